package fastness_test

import (
	"testing"

	"dyelot/inventory/fastness"
)

// The steps of ISO 105-A02, as the check list reads them, are their own grades
// to their tolerance; half way between two it is the worse.
func TestTheNearestStepOfTheGreyScale(t *testing.T) {
	t.Parallel()
	for _, s := range fastness.ChangeScale() {
		for _, off := range []float64{0, -s.Tolerance, s.Tolerance} {
			if got := fastness.ChangeStep(s.DeltaE + off); s.DeltaE+off >= 0 && got != s.Grade {
				t.Errorf("%v ± %v is %s, want %s", s.DeltaE, s.Tolerance, got, s.Grade)
			}
		}
	}
	for deltaE, want := range map[float64]string{0.39: "5", 0.4: "4-5", 1.24: "4-5", 1.25: "4", 2.09: "4", 2.1: "3-4", 11.6: "1", 60: "1"} {
		if got := fastness.ChangeStep(deltaE); got.String() != want {
			t.Errorf("ΔE*ab %v is %s, want %s", deltaE, got, want)
		}
	}
}
