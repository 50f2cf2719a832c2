package colour_test

import (
	"math"
	"testing"

	"dyelot/inventory/colour"
)

// FuzzCIEDE2000 holds the formula to finite, non-negative, symmetric answers
// for any finite colours up to 1e40, far beyond what Check accepts; what is
// larger, or not a number, Check must refuse.
func FuzzCIEDE2000(f *testing.F) {
	f.Add(50.0, 2.49, -0.001, 50.0, -2.49, 0.001)                   // half a turn apart: Sharma 2005, pair 10
	f.Add(0.0, 0.0, 0.0, 100.0, 0.0, 0.0)                           // black and white
	f.Add(50.0, 1e-160, 1e-160, 50.0, -1e-160, 1e-160)              // chromas whose squares vanish
	f.Add(50.0, 5e-324, 0.0, 50.0, 0.0, 5e-324)                     // the smallest number there is
	f.Add(1e40, -1e40, 1e40, -1e40, 1e40, 1e40)                     // the largest it promises
	f.Add(50.0, 1e40, 0.0, 50.0, 1e-40, 0.0)                        // both at once
	f.Add(math.MaxFloat64, 0.0, 0.0, math.NaN(), math.Inf(1), -1e9) // none of Check's
	f.Fuzz(func(t *testing.T, l1, a1, b1, l2, a2, b2 float64) {
		x, y := colour.Lab{L: l1, A: a1, B: b1}, colour.Lab{L: l2, A: a2, B: b2}
		for _, v := range []float64{l1, a1, b1, l2, a2, b2} {
			if !(math.Abs(v) <= 1e40) {
				if x.Check() == nil && y.Check() == nil {
					t.Fatalf("%v counts as part of a colour", v)
				}
				return
			}
		}
		d, back := colour.CIEDE2000(x, y), colour.CIEDE2000(y, x)
		if !(d >= 0 && d <= math.MaxFloat64) {
			t.Fatalf("%v and %v differ by %v", x, y, d)
		}
		if !(math.Abs(d-back) <= 1e-9*(1+d)) {
			t.Fatalf("%v to %v is %v, back it is %v", x, y, d, back)
		}
		if same := colour.CIEDE2000(x, x); same != 0 {
			t.Fatalf("%v differs from itself by %v", x, same)
		}
	})
}
