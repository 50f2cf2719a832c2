package trace_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"dyelot/inventory/trace"
)

// By hand from Holm's rule (Scandinavian Journal of Statistics 6, 1979): times
// 4, 3, 2, 1 from the smallest on, never falling, never above 1.
func TestHolm(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ p, want []float64 }{
		{[]float64{0.01, 0.04, 0.03, 0.005}, []float64{0.03, 0.06, 0.06, 0.02}},
		{[]float64{0.5, 0.02}, []float64{0.5, 0.04}},
		{[]float64{0.6, 0.7, 0.8}, []float64{1, 1, 1}},
		{[]float64{0.03}, []float64{0.03}},
		{[]float64{0, 1}, []float64{0, 1}},
		{[]float64{}, []float64{}},
	} {
		got, err := trace.Holm(c.p)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(c.want, got, cmpopts.EquateApprox(1e-15, 0)); d != "" {
			t.Errorf("%v: %s", c.p, d)
		}
	}
}

// A correction never makes a suspect more suspect, nor changes who is worse.
func TestHolmKeepsTheOrder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOf(rapid.Float64Range(0, 1)).Draw(t, "p")
		before := slices.Clone(p)
		got, err := trace.Holm(p)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(before, p) {
			t.Fatal("the list that was given has changed")
		}
		for i := range p {
			if got[i] < p[i] || got[i] > 1 {
				t.Fatalf("%v became %v", p[i], got[i])
			}
			for j := range p {
				if p[i] < p[j] && got[i] > got[j] {
					t.Fatalf("%v < %v became %v > %v", p[i], p[j], got[i], got[j])
				}
			}
		}
	})
}

func TestHolmRefuses(t *testing.T) {
	t.Parallel()
	for _, v := range []float64{-0.1, 1.1, math.NaN(), math.Inf(1)} {
		_, err := trace.Holm([]float64{0.5, v})
		wantField(t, err, "p_values[1]")
	}
}
