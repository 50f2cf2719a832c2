package lot_test

import (
	"math"
	"testing"
	"time"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

func TestStandardsThatNothingCanBeJudgedBy(t *testing.T) {
	t.Parallel()
	today := dyed
	for field, edits := range map[string][]func(*lot.Standard){
		"colour.l":      {func(s *lot.Standard) { s.Colour.L = 100.1 }, func(s *lot.Standard) { s.Colour.L = math.NaN() }},
		"colour.a":      {func(s *lot.Standard) { s.Colour.A = 301 }},
		"tolerance":     {func(s *lot.Standard) { s.Tolerance = 0 }, func(s *lot.Standard) { s.Tolerance = 100_001 }},
		"set_tolerance": {func(s *lot.Standard) { s.SetTolerance = -1 }},
		"dated_on":      {func(s *lot.Standard) { s.DatedOn = today.AddDate(0, 0, 1) }},
		"renew_on":      {func(s *lot.Standard) { s.RenewOn = s.DatedOn }},
	} {
		for _, edit := range edits {
			s := olive
			edit(&s)
			if f, ok := fault.Of(s.Check(today)); !ok || f.Field != field {
				t.Errorf("%s: %v", field, s.Check(today))
			}
		}
	}
	s := olive
	s.RenewOn = s.DatedOn.AddDate(0, 0, 1)
	s.Colour = colour.Lab{L: 100}
	if err := s.Check(today); err != nil {
		t.Error(err)
	}
	if d := s.RenewOn.Sub(s.DatedOn); d != 24*time.Hour {
		t.Error(d)
	}
}

func TestTolerancesAreReadInThousandths(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]lot.Tolerance{"1.5": 1500, "0.001": 1, "2": 2000, "10000": 10_000_000} {
		if got, err := lot.ParseTolerance("tolerance", text); err != nil || got != want || got.Decimal() != text {
			t.Errorf("%s: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "1,5", "1.2345", "NaN", "about 1"} {
		if _, err := lot.ParseTolerance("set_tolerance", text); err == nil {
			t.Errorf("%q is read", text)
		} else if f, ok := fault.Of(err); !ok || f.Field != "set_tolerance" {
			t.Error(err)
		}
	}
}
