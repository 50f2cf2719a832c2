package lot_test

import (
	"strings"
	"testing"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

func look(grade fastness.Grade) lot.EyeJudgement {
	return lot.EyeJudgement{ID: 3, LotID: 1, Grade: grade, Light: "north light", By: "dyer-1", Second: "owner", Rested: true}
}

// Greys at L* 60 and the standard's own L*: ΔE*ab is their difference in L*, so
// that the steps of ISO 105-A02 (2.5 is 3-4, 0.8 is 4-5, 4.8 is 2-3) are met by
// hand. The tolerance is 1.5 CIEDE2000.
func TestEyeAndInstrumentBesideEachOther(t *testing.T) {
	t.Parallel()
	grey := olive
	grey.Colour.A, grey.Colour.B = 0, 0
	for name, c := range map[string]struct {
		off   float64 // L* of the lot − the standard
		grade fastness.Grade
		step  string
		says  []string
	}{
		"agree":                 {0.8, fastness.Half(4), "4-5", nil},
		"half a grade apart":    {0.8, fastness.Whole(4), "4-5", nil},
		"a whole grade apart":   {0.8, fastness.Half(3), "4-5", []string{"more than half a grade apart", "worse than 4, and the instrument is within tolerance"}},
		"better than measured":  {4.8, fastness.Half(3), "2-3", []string{"is a 2-3 of the grey scale (ISO 105-A02)"}},
		"no difference is seen": {2.5, fastness.Whole(5), "3-4", []string{"more than half a grade", "beyond tolerance (CIEDE2000 "}},
		"worse than 4 within":   {1.7, fastness.Half(3), "4", []string{"worse than 4"}},
	} {
		m := measured(1, "L1", reading(1, grey.Colour.L+c.off, 0, 0))
		k := look(c.grade).Beside(m, lot.Measured{}, grey)
		if !k.Measured || k.Step.String() != c.step || len(k.Disagreements) != len(c.says) {
			t.Errorf("%s: %+v", name, k)
			continue
		}
		for i, says := range c.says {
			if !strings.Contains(k.Disagreements[i], says) || !strings.Contains(k.Disagreements[i], "D65/10°") {
				t.Errorf("%s: %q does not say %q and its light", name, k.Disagreements[i], says)
			}
		}
	}
}

// A garment is held against its own readings, a lot against another's; without
// readings that count nothing is measured, and a withdrawn look disagrees with
// nobody.
func TestWhatALookIsHeldAgainst(t *testing.T) {
	t.Parallel()
	piece := reading(2, 50, -2, 38)
	piece.Tag = "16JD"
	m := measured(1, "L1", reading(1, 62, -2, 38), piece)
	e := look(fastness.Whole(5))
	e.Tag = "16JD"
	if k := e.Beside(m, lot.Measured{}, olive); k.DeltaE != 12 || len(k.Disagreements) != 2 {
		t.Errorf("%+v", k)
	}
	if e.Tag = "16KF"; e.Beside(m, lot.Measured{}, olive).Measured {
		t.Error("a garment that nobody read is measured")
	}
	e.Tag, e.AgainstLot = "", 2
	other := measured(2, "L2", reading(3, 56, -2, 38))
	if k := e.Beside(measured(1, "L1", reading(1, 62, -2, 38)), other, olive); k.DeltaE != 6 || !strings.Contains(k.Disagreements[0], "to lot L2") {
		t.Errorf("%+v", k)
	}
	wet := reading(3, 56, -2, 38)
	wet.Wet = true
	if e.Beside(m, measured(2, "L2", wet), olive).Measured {
		t.Error("wet cloth is compared")
	}
	e.AgainstLot, e.Withdrawn = 0, lot.Withdrawal{By: "owner", Reason: "wrong lot", At: july9}
	if k := e.Beside(m, other, olive); !k.Measured || len(k.Disagreements) != 0 {
		t.Errorf("%+v", k)
	}
}

func TestLooksThatNobodyCanHaveHad(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		with  func(*lot.EyeJudgement)
		field string
		says  string
	}{
		"no grade":    {func(e *lot.EyeJudgement) { e.Grade = 0 }, "grade", "4-5"},
		"blue wool 8": {func(e *lot.EyeJudgement) { e.Grade = fastness.Whole(8) }, "grade", "grey scale"},
		"no light":    {func(e *lot.EyeJudgement) { e.Light = " " }, "light", "north light"},
		"itself":      {func(e *lot.EyeJudgement) { e.AgainstLot = 1 }, "against_lot_code", "itself"},
		"twice one":   {func(e *lot.EyeJudgement) { e.Second = "Dyer-1" }, "second_by", "two people"},
		"direction":   {func(e *lot.EyeJudgement) { e.Directions = []string{"nicer"} }, "directions", "bluer, greener"},
		"said twice":  {func(e *lot.EyeJudgement) { e.Directions = []string{"redder", "redder"} }, "directions", "twice"},
	} {
		e := look(fastness.Half(4))
		c.with(&e)
		t.Log(name)
		wantFault(t, e.Check(), fault.Invalid, "INVALID_FIELD", c.says)
		if f, _ := fault.Of(e.Check()); f.Field != c.field {
			t.Errorf("field %q", f.Field)
		}
	}
	e := look(fastness.Half(4))
	if e.Directions = []string{"redder", "duller"}; e.Check() != nil || len(e.Warnings()) != 0 || e.Code() != "V3" {
		t.Errorf("%v, %v", e.Check(), e.Warnings())
	}
	if e.Second, e.Rested = "", false; len(e.Warnings()) != 2 {
		t.Errorf("%v", e.Warnings())
	}
}
