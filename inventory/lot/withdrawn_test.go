package lot_test

import (
	"testing"

	"dyelot/inventory/fastness"
	"dyelot/inventory/lot"
)

// A withdrawn reading is as if it had not been taken, whatever it read; the last
// one withdrawn leaves a lot without a colour.
func TestAWithdrawnReadingIsNoReading(t *testing.T) {
	t.Parallel()
	taken := lot.Withdrawal{By: "bench-1", Reason: "a rust stain lay under the eye", At: july2}
	slip := reading(7, 20, 30, -40)
	slip.Withdrawn = taken
	with := measured(2, "L2", reading(2, 60.8, -1.4, 36.6), slip)
	a, b := judged(t, choirCase(lotB, lotA, fastness.Whole(3))), judged(t, choirCase(with, lotA, fastness.Whole(3)))
	if a.Rows[0].Found != b.Rows[0].Found || a.Rows[0].State != b.Rows[0].State || a.Rows[0].Evidence != b.Rows[0].Evidence {
		t.Errorf("%+v, and with a withdrawn reading beside it %+v", a.Rows[0], b.Rows[0])
	}
	gone := measured(2, "L2", slip)
	if row := judged(t, choirCase(gone, lotA, fastness.Whole(3))).Rows[0]; row.State != fastness.NotTested {
		t.Errorf("%+v", row)
	}
}

// A withdrawn test does not count, better or worse.
func TestAWithdrawnTestIsNoTest(t *testing.T) {
	t.Parallel()
	c := choirCase(lotA, lotB, fastness.Whole(2))
	c.Tests[0].Withdrawn = "the card hung in the shade"
	c.Tests = append(c.Tests, graded("F2", "L1", fastness.EachLot, fastness.Whole(3)))
	if row := judged(t, c).Rows[1]; row.State != fastness.Passed {
		t.Errorf("%+v", row)
	}
	c.Tests[1].Withdrawn = "wrong strip"
	if row := judged(t, c).Rows[1]; row.State != fastness.NotTested {
		t.Errorf("%+v", row)
	}
}
