package trace_test

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/trace"
)

func TestSuspect(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name        string
		r           trace.Returns
		p, expected float64
	}{
		// Fisher, The Design of Experiments, 1935: eight cups, four with the milk
		// poured first; 17/70 = 0.2429 and 1/70 = 0.0143.
		{"tea, three of four", trace.Returns{8, 4, 4, 3}, 17. / 70, 2},
		{"tea, four of four", trace.Returns{8, 4, 4, 4}, 1. / 70, 2},
		{"tea, none said", trace.Returns{8, 4, 4, 0}, 1, 2},
		{"tea, one of four", trace.Returns{8, 4, 4, 1}, 69. / 70, 2},
		// By hand: C(5,3)/C(12,3) = 10/220.
		{"three returns, all exposed", trace.Returns{12, 3, 5, 3}, 10. / 220, 1.25},
		{"nothing came back", trace.Returns{100, 0, 40, 0}, 1, 0},
		{"everything is exposed", trace.Returns{100, 7, 100, 7}, 1, 7},
		{"everything came back", trace.Returns{100, 100, 7, 7}, 1, 7},
		{"one garment", trace.Returns{1, 1, 1, 1}, 1, 1},
		// mpmath 1.3 at 60 digits, from binomials.
		{"a run of tunics", trace.Returns{10_000, 40, 1080, 12}, 0.00074541538557617790706, 4.32},
		{"a million garments", trace.Returns{1_000_000, 500, 20_000, 25}, 0.00003729183841692975582, 10},
		{"a million, half of them back", trace.Returns{1_000_000, 500_000, 500_000, 250_100}, 0.34531510316145106314, 250_000},
		{"a million, as expected", trace.Returns{1_000_000, 3000, 10_000, 31}, 0.4516467247315432552, 30},
		{"a million, few and far", trace.Returns{1_000_000, 1000, 1000, 12}, 7.4395965283357708426e-10, 1},
		{"a million, beyond doubt", trace.Returns{1_000_000, 20_000, 30_000, 900}, 4.9996985530990521478e-32, 600},
		{"3.2e-350 is below every float64", trace.Returns{1_000_000, 500_000, 500_000, 260_000}, 0, 250_000},
		{"the largest archive", trace.Returns{1_000_000_000, 500_000_000, 500_000_000, 250_010_000}, 0.10296294297341531406, 250_000_000},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p, expected, err := trace.Suspect(c.r)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(p-c.p) > 4e-16*c.p {
				t.Errorf("p = %.17g, want %.17g", p, c.p)
			}
			if expected != c.expected {
				t.Errorf("expected %v, want %v", expected, c.expected)
			}
		})
	}
}

// drawReturns draws four counts that fit each other.
func drawReturns(t *rapid.T, most int64) trace.Returns {
	r := trace.Returns{Garments: rapid.Int64Range(1, most).Draw(t, "garments")}
	r.Returned = rapid.Int64Range(0, r.Garments).Draw(t, "returned")
	r.Exposed = rapid.Int64Range(0, r.Garments).Draw(t, "exposed")
	r.ExposedReturned = rapid.Int64Range(max(0, r.Returned+r.Exposed-r.Garments), min(r.Returned, r.Exposed)).Draw(t, "exposed returned")
	return r
}

// Whole binomials, no roundings, divided once.
func TestSuspectAgreesWithCounting(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawReturns(t, 300)
		ways, term := new(big.Int), new(big.Int)
		for k := r.ExposedReturned; k <= min(r.Returned, r.Exposed); k++ {
			term.Binomial(r.Exposed, k)
			ways.Add(ways, term.Mul(term, new(big.Int).Binomial(r.Garments-r.Exposed, r.Returned-k)))
		}
		want, _ := new(big.Rat).SetFrac(ways, new(big.Int).Binomial(r.Garments, r.Returned)).Float64()
		got, _, err := trace.Suspect(r)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-want) > 3e-16*want {
			t.Fatalf("%+v: %.17g, want %.17g", r, got, want)
		}
	})
}

// The probabilities over the support sum to 1: what the exposed reach or pass,
// the unexposed do not, and the other way round.
func TestSuspectSumsToOneOverTheSupport(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawReturns(t, 100_000)
		if r.ExposedReturned == max(0, r.Returned+r.Exposed-r.Garments) {
			return // there is nothing below
		}
		reached, _, err := trace.Suspect(r)
		if err != nil {
			t.Fatal(err)
		}
		below, _, err := trace.Suspect(trace.Returns{
			Garments: r.Garments, Returned: r.Returned,
			Exposed: r.Garments - r.Exposed, ExposedReturned: r.Returned - r.ExposedReturned + 1,
		})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(reached+below-1) > 4e-16 {
			t.Fatalf("%+v: %v and %v", r, reached, below)
		}
	})
}

func TestSuspectRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		field string
		r     trace.Returns
	}{
		{"garments", trace.Returns{0, 0, 0, 0}},
		{"garments", trace.Returns{-5, 0, 0, 0}},
		{"garments", trace.Returns{trace.MostGarments + 1, 0, 0, 0}},
		{"returned", trace.Returns{8, 9, 4, 3}},
		{"returned", trace.Returns{8, -1, 4, 0}},
		{"exposed", trace.Returns{8, 4, 9, 3}},
		{"exposed", trace.Returns{8, 4, -1, 0}},
		{"exposed_returned", trace.Returns{8, 4, 4, 5}},
		{"exposed_returned", trace.Returns{8, 4, 3, 4}},
		{"exposed_returned", trace.Returns{8, 4, 4, -1}},
		{"exposed_returned", trace.Returns{8, 7, 4, 2}}, // only one did not come back, so three exposed did
	} {
		_, _, err := trace.Suspect(c.r)
		wantField(t, err, c.field)
	}
}
