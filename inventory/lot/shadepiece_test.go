package lot_test

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/colour"
	"dyelot/inventory/lot"
)

// A garment's colour is the mean of its own readings that count for its lot;
// the cloth's and the sisters' are not its own (common practice: pieces of one
// pot differ, which is why they are sorted).
func TestAGarmentHasAColourOfItsOwn(t *testing.T) {
	t.Parallel()
	noon := time.Date(2026, 5, 20, 12, 0, 0, 0, time.UTC)
	read := func(id int64, tag string, l float64, how func(*lot.Reading)) lot.Reading {
		r := lot.Reading{ID: id, Tag: tag, Colour: colour.Lab{L: l}, Rested: true, HappenedAt: noon, RecordedAt: noon.Add(time.Hour)}
		if how != nil {
			how(&r)
		}
		return r
	}
	for name, c := range map[string]struct {
		how func(*lot.Reading)
		why string
	}{
		"wet":        {func(r *lot.Reading) { r.Wet, r.Rested = true, false }, "C3 was of wet cloth"},
		"unrested":   {func(r *lot.Reading) { r.Rested = false }, "C3 was of cloth that had not rested"},
		"withdrawn":  {func(r *lot.Reading) { r.Withdrawn = lot.Withdrawal{By: "owner", Reason: "the cap was on", At: noon} }, "C3 was withdrawn: the cap was on"},
		"lamp light": {func(r *lot.Reading) { r.View.Illuminant = colour.A }, "C3 was for A/10°, and the standard is for D65/10°"},
		"before":     {func(r *lot.Reading) { r.HappenedAt = noon.Add(-3 * time.Hour) }, "C3 was read before its last bath, S7"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := lot.Measured{LastBath: lot.LastBath{Record: "S7", HappenedAt: noon.Add(-2 * time.Hour), RecordedAt: noon}, Readings: []lot.Reading{
				read(1, "1000Q", 60, nil), read(2, "1000Q", 61, nil), read(4, "", 40, nil), read(3, "1001R", 10, c.how),
			}}
			got, codes, ok := m.ColourOf("1000Q", colour.View{})
			if !ok || math.Abs(got.L-60.5) > 1e-9 || !cmp.Equal(codes, []string{"C1", "C2"}) {
				t.Errorf("%v %v %v", got, codes, ok)
			}
			if _, _, ok := m.ColourOf("1001R", colour.View{}); ok || m.Unread("1001R", colour.View{}) != c.why {
				t.Errorf("%v: %s, want %s", ok, m.Unread("1001R", colour.View{}), c.why)
			}
			if why := m.Unread("1002S", colour.View{}); why != "never read by itself" {
				t.Error(why)
			}
		})
	}
}

func TestWhoHangsApart(t *testing.T) {
	t.Parallel()
	for why, c := range map[string]struct {
		g lot.Garment
		l lot.State
	}{
		"":                         {lot.Garment{Place: lot.PlaceShelf}, lot.Passed},
		"sold under order choir-7": {lot.Garment{Place: lot.PlaceSold, OrderRef: "choir-7"}, lot.Passed},
		"came back, and nobody has judged it since": {lot.Garment{Place: lot.PlaceReturned}, lot.Passed},
		"is planned":                           {lot.Garment{Place: lot.PlacePlanned}, lot.Planned},
		"its own verdict: imperfect":           {lot.Garment{Place: lot.PlaceShelf, Outcome: "imperfect"}, lot.Passed},
		"its own verdict: to be re-dyed":       {lot.Garment{Place: lot.PlaceShelf, Outcome: "re-dye"}, lot.Passed},
		"its lot is imperfect":                 {lot.Garment{Place: lot.PlaceShelf}, lot.Imperfect},
		"is planned into L5, to be dyed again": {lot.Garment{Place: lot.PlaceShelf, Next: 5}, lot.Passed},
	} {
		if got := c.g.HangsApart(lot.Lot{State: c.l}); got != why {
			t.Errorf("%q, want %q", got, why)
		}
	}
	if got := (lot.Garment{Place: lot.PlaceShelf, Outcome: "passed"}).HangsApart(lot.Lot{State: lot.Imperfect}); got != "" {
		t.Errorf("%q: its own verdict wins", got)
	}
	if got := (lot.Garment{Place: lot.PlaceInWork}).HangsApart(lot.Lot{State: lot.WaitingForTests}); got != "" {
		t.Errorf("%q: it may be sorted before it is judged", got)
	}
}
