package colour

import (
	"math"
	"testing"
)

// Worked by hand: 2.1 2.6 2.4 2.5 2.3 2.1 2.3 2.6 8.2 8.3 (the example of
// Iglewicz & Hoaglin 1993, from memory) have the median 2.45; the deviations from
// it, in order, are 0.05 0.05 0.15 0.15 0.15 0.15 0.35 0.35 5.75 5.85, so that
// MAD is 0.15, and 8.2 scores 0.6745·5.75/0.15 = 25.86.
func TestModifiedZByHand(t *testing.T) {
	t.Parallel()
	x := []float64{2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3}
	want := []float64{-1.5738, 0.6745, -0.2248, 0.2248, -0.6745, -1.5738, -0.6745, 0.6745, 25.8558, 26.3055}
	for i, z := range modifiedZ(x, 1e-9) {
		if math.Abs(z-want[i]) > 5e-5 {
			t.Errorf("%v scores %v, want %v", x[i], z, want[i])
		}
		if (z > outlierScore) != (x[i] > 8) {
			t.Errorf("%v is an outlier: %v", x[i], z > outlierScore)
		}
	}
	if m := median([]float64{3, 1, 2}); m != 2 {
		t.Errorf("the median of three is %v", m)
	}
}
