package season_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
)

// The recursion of Teunter, Syntetos & Babai 2011 by hand: eight months of 4 make
// a size of 4 and a chance of 1; four months without leave 0.9⁴ = 0.6561 of the
// chance, so 4 · 0.6561 = 2.6244 a month, where Croston still says 4.
func TestTSBByHand(t *testing.T) {
	t.Parallel()
	use := []float64{4, 4, 4, 4, 4, 4, 4, 4, 0, 0, 0, 0}
	f, err := season.TSB(use, 0.1, 0.1)
	if err != nil || f.Months != 8 {
		t.Fatal(f, err)
	}
	wantNear(t, "rate", f.Rate, 2.6244, 1e-12)
	wantNear(t, "size", f.Size, 4, 1e-12)
	c, err := season.Croston(use, 0.1)
	if err != nil || c.Rate != 4 {
		t.Error(c, err)
	}
}

// By hand, with other weights: first use of 2 in the second month, chance 1/2;
// then seven months of 6 with alpha 1/2 and beta 1/2. Size 6 − 4/2⁷ = 5.96875,
// chance 1 − (1/2)/2⁷ = 0.99609375, rate 5.945434570….
func TestTSBStartsFromTheFirstUse(t *testing.T) {
	t.Parallel()
	f, err := season.TSB([]float64{0, 2, 6, 6, 6, 6, 6, 6, 6}, 0.5, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	wantNear(t, "size", f.Size, 5.96875, 1e-12)
	wantNear(t, "interval", f.Interval, 1/0.99609375, 1e-12)
	wantNear(t, "rate", f.Rate, 5.96875*0.99609375, 1e-12)
}

func TestTSBRefuses(t *testing.T) {
	t.Parallel()
	for _, w := range []float64{0, -0.1, 1.1, nan} {
		_, err := season.TSB(productC, w, 0.1)
		wantField(t, err, "alpha")
		_, err = season.TSB(productC, 0.1, w)
		wantField(t, err, "beta")
	}
	_, err := season.TSB(nil, 0.1, 0.1)
	wantField(t, err, "use")
	_, err = season.TSB([]float64{-1}, 0.1, 0.1)
	wantField(t, err, "use[0]")
	_, err = season.TSB([]float64{1, 1, 1}, 0.1, 0.1)
	if f, ok := fault.Of(err); !ok || f.Reason != "FORECAST_TOO_THIN" {
		t.Error(err)
	}
}

// The rule picks the kind and says which. The steady range by hand: 30 ± 2 each
// in turn over 12 months have a mean of 30 and an sd of 2·√(12/11) = 2.0889; t
// of 11 degrees at 80 % is 1.3634 (table of Student's t, from memory), so
// 1.3634 · 2.0889 · √(1/3 + 1/12) = 1.838.
func TestTheRulePicksTheKind(t *testing.T) {
	t.Parallel()
	b, err := season.BeyondPlan([]float64{28, 32, 28, 32, 28, 32, 28, 32, 28, 32, 28, 32})
	if err != nil || b.Method != season.Steady || !strings.Contains(b.Why, "normal theory") {
		t.Fatal(b, err)
	}
	wantNear(t, "low", b.Low, 30-1.838, 0.001)
	wantNear(t, "high", b.High, 30+1.838, 0.001)

	b, err = season.BeyondPlan(productC)
	if err != nil || b.Method != season.Lumpy || b.Low < 0 || b.Low >= 0.985 || b.High <= 0.985 || !strings.Contains(b.Why, "Croston (0.985)") || !strings.Contains(b.Why, "TSB") {
		t.Errorf("%+v %v", b, err)
	}
	for _, use := range [][]float64{nil, {0, 0}, {5, 5, 5, 5, 5, 5, 5}, {9, 0, 9, 0, 9, 0, 9, 0, 9, 0, 9, 0, 9}} {
		b, err := season.BeyondPlan(use)
		if err != nil || b.Method != season.Nothing || b.Low != 0 || b.High != 0 || !strings.Contains(b.Why, "under 8 nothing") {
			t.Errorf("%v: %+v %v", use, b, err)
		}
	}
	_, err = season.BeyondPlan([]float64{1, -1})
	wantField(t, err, "use[1]")
}

// Nothing under eight months with use, a range with an inside otherwise, and what
// was used twice as much is told as twice as much.
func TestBeyondPlanIsARangeAndScales(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		use := rapid.SliceOfN(rapid.SampledFrom([]float64{0, 0, 1, 2, 5, 20}), 1, 30).Draw(t, "use")
		b, err := season.BeyondPlan(use)
		if err != nil {
			t.Fatal(err)
		}
		if (b.Method == season.Nothing) != (b.Used < season.FewestMonths) || b.Low < 0 || b.High < b.Low {
			t.Fatalf("%+v", b)
		}
		double := make([]float64, len(use))
		for i := range use {
			double[i] = 2 * use[i]
		}
		d, err := season.BeyondPlan(double)
		if err != nil || d.Method != b.Method || math.Abs(d.High-2*b.High) > 1e-9*(1+d.High) || math.Abs(d.Low-2*b.Low) > 1e-9*(1+d.Low) {
			t.Fatalf("%+v %+v %v", b, d, err)
		}
	})
}
