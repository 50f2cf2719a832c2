package depth_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/depth"
)

// dips are dyed at doses, by a curve, of a harvest of some strength (1 is the
// reference).
func dips(curve func(w float64) float64, strength float64, doses ...float64) (ps []depth.Point) {
	for _, w := range doses {
		ps = append(ps, depth.Point{WOF: w, KS: curve(strength * w)})
	}
	return ps
}

func straight(w float64) float64 { return 0.45 * w }
func bending(w float64) float64  { return 12 * w / (14 + w) }

// filling is a bend of another shape: a share of what is still empty fills.
func filling(w float64) float64 { return 9 * (1 - math.Exp(-w/12)) }

func compared(t rapid.TB, sample, reference []depth.Point) depth.Strength {
	t.Helper()
	s, err := depth.Compare(sample, reference)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A sample of a known strength dyes like so much of the reference (trade.md,
// "Arithmetic: strength"), so the dips give the strength back: exactly where
// K/S is in step with the dose or bends to saturation, and to half a per cent
// where it bends by another shape.
func TestAKnownStrengthComesBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		strength := rapid.Float64Range(0.6, 1.6).Draw(rt, "strength")
		shape := rapid.SampledFrom([]string{"straight", "bending", "filling"}).Draw(rt, "shape")
		curve := map[string]func(float64) float64{"straight": straight, "bending": bending, "filling": filling}[shape]
		sampleDoses := rapid.SampledFrom([][]float64{{1, 2, 3, 4}, {1.5, 2.5, 4}, {1, 2, 4, 16, 40}}).Draw(rt, "doses")
		s := compared(rt, dips(curve, strength, sampleDoses...), dips(curve, 1, 1, 2, 3, 4))
		if s.Refused != "" {
			rt.Fatal(s.Refused)
		}
		within := map[string]float64{"straight": 1e-9, "bending": 1e-9, "filling": 5e-3}[shape]
		near(rt, "strength", s.Percent, 100*strength, within)
		near(rt, "dose ratio", 100*s.ReferenceWOF/s.SampleWOF, s.Percent, 1e-12)
		near(rt, "depth by the reference", curve(s.ReferenceWOF), s.AtKS, 5e-3)
		if s.AtKS > 4 || s.AtKS < s.From || s.AtKS > s.To {
			rt.Errorf("compared at K/S %v of %v to %v", s.AtKS, s.From, s.To)
		}
	})
}

// stories.md: weld 60 % of 1 080 g is 648 g, and at a strength of 90 % 720 g.
func TestTheDoseOfAWeakHarvest(t *testing.T) {
	t.Parallel()
	s := compared(t, dips(bending, 0.9, 1, 2, 4), dips(bending, 1, 1, 2, 4))
	near(t, "dose", depth.AtStrength(648, s.Percent), 720, 1e-9)
	// At equal dose the K/S is less than that apart, and more so the deeper.
	if s.FirstGuess <= 90 || s.FirstGuess >= 92 || s.FirstGuessWOF != 1 {
		t.Errorf("first guess %v at %v", s.FirstGuess, s.FirstGuessWOF)
	}
	if s.Low != 0 || s.High != 0 || keys(s.Warnings) != "no-replicates" {
		t.Errorf("an interval out of nothing: %+v", s)
	}
}

func keys(ws []depth.Warning) (all string) {
	for i, w := range ws {
		if i > 0 {
			all += " "
		}
		all += w.Key
	}
	return all
}

// Near saturation there is a warning, and where nothing shallow is shared no
// number.
func TestNearSaturationThereIsNoStrength(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name              string
		sample, reference []depth.Point
		number            bool
		refused, warned   string
	}{
		{"both deep, on the bend", dips(bending, 0.9, 30, 50, 80), dips(bending, 1, 30, 50, 80), false, "the slope of the sample is under half of what it begins with: dip both at lower doses", "near-saturation"},
		{"straight, but too dark", dips(straight, 0.9, 12, 20), dips(straight, 1, 10, 20), false, "K/S 4.86 up, and beyond K/S 4.00 cloth is too dark", "near-saturation"},
		{"shallow and deep", dips(bending, 0.9, 2, 4, 40), dips(bending, 1, 2, 4, 40), true, "", "no-replicates near-saturation"},
		{"no depth in common", dips(straight, 1, 1, 2), dips(straight, 1, 3, 6), false, "the two share no depth: the sample's dips read K/S 0.450 to 0.900, the reference's 1.35 to 2.70", ""},
		{"not alike", dips(func(w float64) float64 { return 0.3 * w * w / (1 + w) }, 1, 1, 2, 4), dips(straight, 1, 0.2, 1, 3), true, "", "no-replicates not-alike"},
		{"a dip that fell back", []depth.Point{{1, 0.5}, {2, 1}, {4, 0.9}}, dips(straight, 1, 1, 2, 4), true, "", "not-rising no-replicates"},
	} {
		s := compared(t, c.sample, c.reference)
		says := s.Refused
		if (s.Percent > 0) != c.number || (c.refused == "") != (says == "") || keys(s.Warnings) != c.warned {
			t.Errorf("%s: %+v", c.name, s)
		}
		if c.refused != "" && !strings.Contains(says, c.refused) {
			t.Errorf("%s: %q does not say %q", c.name, says, c.refused)
		}
	}
}

// Of many dippings with replicates that scatter by 4 %, 95 % of the intervals
// hold the true strength.
func TestTheIntervalOfAStrengthHoldsWhatItSays(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 9))
	held, of := 0, 1000
	for range of {
		off := func(ps []depth.Point) []depth.Point {
			for i := range ps {
				ps[i].KS *= math.Exp(0.04 * rng.NormFloat64())
			}
			return ps
		}
		s := compared(t, off(dips(straight, 0.85, 2, 2, 5, 5)), off(dips(straight, 1, 2, 2, 5, 5)))
		if s.Low <= 85 && 85 <= s.High {
			held++
		}
	}
	// Four standard deviations of a count of 1000 at 95 % are 2.8 %; the depth is
	// chosen from the same dips, which costs little.
	if share := float64(held) / float64(of); math.Abs(share-0.95) > 0.028 {
		t.Errorf("%.4f of the intervals hold the strength", share)
	}
}

func TestDipsThatSayNothingAreRefused(t *testing.T) {
	t.Parallel()
	good := dips(straight, 1, 1, 2, 4)
	for _, c := range []struct {
		name              string
		sample, reference []depth.Point
		field, says       string
	}{
		{"no dips", nil, good, "dips", "0 different doses"},
		{"one dose twice", dips(straight, 1, 2, 2), good, "dips", "1 different dose: at least two"},
		{"one reference", good, dips(straight, 1, 2), "reference_dips", "1 different dose"},
		{"no dye on it", []depth.Point{{1, 0}, {2, 1}}, good, "dips[0].spectrum", "no deeper than undyed cloth"},
		{"no dose", good, []depth.Point{{1, 1}, {-2, 1}}, "reference_dips[1].percent_wof", "above 0"},
		{"mixed up", []depth.Point{{1, 2}, {2, 1}}, good, "dips", "the dip at 2.0 % WOF is no deeper than that at 1.0 %: look whether they were mixed up"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := depth.Compare(c.sample, c.reference)
			refused(t, err, "INVALID_FIELD", c.field, c.says)
		})
	}
}

// Nothing that can be typed makes the arithmetic fall over.
func FuzzCompare(f *testing.F) {
	f.Add(1.0, 0.5, 2.0, 1.0, 1.0, 0.45, 2.0, 0.9)
	f.Add(30.0, 8.0, 50.0, 9.0, 30.0, 8.2, 50.0, 8.9)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, g, h, i float64) {
		s, err := depth.Compare([]depth.Point{{a, b}, {c, d}}, []depth.Point{{e, g}, {h, i}})
		if err != nil || s.Refused != "" {
			return
		}
		if !(s.Percent > 0) || math.IsInf(s.Percent, 0) {
			t.Errorf("a strength of %v", s.Percent)
		}
	})
}
