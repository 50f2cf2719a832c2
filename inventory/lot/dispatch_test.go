package lot_test

import (
	"testing"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

// reasonOf is why a rule said no: its reason, or the field that is off.
func reasonOf(err error) string {
	f, ok := fault.Of(err)
	switch {
	case err == nil:
		return ""
	case !ok:
		return err.Error()
	case f.Kind == fault.Invalid:
		return f.Field
	}
	return f.Reason
}

// A garment leaves from the shelf with a verdict, its own or its lot's: the
// house's rule.
func TestMayLeave(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		state   lot.State
		outcome string
		place   lot.Place
		want    string
	}{
		{lot.Passed, "", lot.PlaceShelf, ""},
		{lot.Imperfect, "", lot.PlaceShelf, ""},
		{lot.Closed, "", lot.PlaceShelf, ""}, // passed before it was closed
		{lot.Held, "passed", lot.PlaceShelf, ""},
		{lot.Held, "imperfect", lot.PlaceShelf, ""},
		{lot.Passed, "held", lot.PlaceInWork, "NOT_PASSED"},
		{lot.Passed, "re-dye", lot.PlaceInWork, "NOT_PASSED"},
		{lot.Passed, "", lot.PlaceSold, "GARMENT_AWAY"},
		{lot.Passed, "", lot.PlaceReturned, "NEEDS_VERDICT"},
		{lot.Passed, "scrapped", lot.PlaceScrapped, "GARMENT_AWAY"},
		{lot.Cancelled, "", lot.PlaceGone, "GARMENT_AWAY"},
		{lot.Passed, "", lot.PlaceInWork, "GARMENT_AWAY"},
		{lot.Planned, "", lot.PlacePlanned, "NOT_PASSED"},
		{lot.InWork, "", lot.PlaceInWork, "NOT_PASSED"},
		{lot.WaitingForTests, "", lot.PlaceInWork, "NOT_PASSED"},
		{lot.Held, "", lot.PlaceInWork, "NOT_PASSED"},
		{lot.ReDye, "", lot.PlaceInWork, "NOT_PASSED"},
	} {
		g := lot.Garment{Tag: "16JD", Place: c.place, Outcome: c.outcome, OrderRef: "choir-7"}
		if got := reasonOf(g.MayLeave(lot.Lot{Code: "L1", State: c.state})); got != c.want {
			t.Errorf("%+v: got %q", c, got)
		}
	}
}

func TestMayComeBack(t *testing.T) {
	t.Parallel()
	sold := time.Date(2026, 7, 10, 9, 0, 0, 0, time.UTC)
	for _, p := range lot.Places() {
		want := "NOT_SOLD"
		if p == lot.PlaceSold {
			want = ""
		}
		if got := reasonOf(lot.Garment{Tag: "16JD", Place: p}.MayComeBack(sold, sold)); got != want {
			t.Errorf("%s: got %q", p, got)
		}
	}
	if got := reasonOf(lot.Garment{Place: lot.PlaceSold}.MayComeBack(sold, sold.Add(-time.Second))); got != "happened_at" {
		t.Errorf("back before it was sold: %q", got)
	}
}

func TestOrderRefIsNoAddress(t *testing.T) {
	t.Parallel()
	for ref, want := range map[string]string{"choir-7": "", " 12/2026 ": "", "": "order_ref", " \t": "order_ref", "wearer@example.org": "order_ref"} {
		if got := reasonOf(lot.OrderRef(ref)); got != want {
			t.Errorf("%q: got %q", ref, got)
		}
	}
}
