package colour_test

import (
	"math"
	"testing"

	"dyelot/inventory/colour"
)

// The sign rule of the project's contract: positive when the hue angle grows;
// a grey takes the other's hue. The amounts are 2·√(C₁C₂)·sin(Δh/2), CIE 015.
func TestHueDifferenceIsSigned(t *testing.T) {
	t.Parallel()
	polar := func(c, h float64) colour.Lab { return colour.LCh{L: 50, C: c, H: h}.Lab() }
	chord := func(c1, c2, turn float64) float64 {
		return 2 * math.Sqrt(c1*c2) * math.Sin(turn/2*math.Pi/180)
	}
	for _, c := range []struct {
		name             string
		standard, sample colour.Lab
		want             float64
	}{
		{"grows", polar(30, 20), polar(40, 50), chord(30, 40, 30)},
		{"shrinks", polar(30, 50), polar(40, 20), -chord(30, 40, 30)},
		{"grows past 360", polar(30, 350), polar(30, 10), chord(30, 30, 20)},
		{"shrinks past 0", polar(30, 10), polar(30, 350), -chord(30, 30, 20)},
		{"the shorter way up", polar(30, 170), polar(30, 345), chord(30, 30, 175)},
		{"the shorter way down", polar(30, 170), polar(30, 355), -chord(30, 30, 175)},
		{"half a turn from 0", colour.Lab{L: 50, A: 10}, colour.Lab{L: 50, A: -10}, 20},
		{"half a turn back to 0", colour.Lab{L: 50, A: -10}, colour.Lab{L: 50, A: 10}, -20},
		{"half a turn from 90", colour.Lab{L: 50, B: 10}, colour.Lab{L: 50, B: -10}, 20},
		{"half a turn back to 90", colour.Lab{L: 50, B: -10}, colour.Lab{L: 50, B: 10}, -20},
		{"half a turn of decimals", colour.Lab{L: 50, A: 1.1, B: 3.3}, colour.Lab{L: 50, A: -3.3, B: -9.9}, 2 * math.Sqrt(3) * math.Hypot(1.1, 3.3)},
		{"half a turn of decimals back", colour.Lab{L: 50, A: -3.3, B: -9.9}, colour.Lab{L: 50, A: 1.1, B: 3.3}, -2 * math.Sqrt(3) * math.Hypot(1.1, 3.3)},
		{"grey standard", colour.Lab{L: 50}, polar(20, 200), 0},
		{"grey sample", polar(20, 200), colour.Lab{L: 50}, 0},
		{"same hue", polar(10, 33), polar(40, 33), 0},
	} {
		near(t, c.name, colour.Between(c.standard, c.sample).H, c.want, 1e-12)
	}
}

// d is sample − standard.
func TestDifferencesAreSampleLessStandard(t *testing.T) {
	t.Parallel()
	d := must(colour.Compare(colour.Lab{L: 50, A: 3, B: 4}, colour.Lab{L: 48, A: 6, B: 8}, colour.Acceptance))(t)
	near(t, "ΔL*", d.L, -2, 1e-12)
	near(t, "ΔC*", d.C, 5, 1e-12)
	near(t, "ΔH*", d.H, 0, 1e-12)
	near(t, "ΔE*ab", d.E, math.Sqrt(29), 1e-12)
}

func TestCompareNamesTheFieldThatIsOff(t *testing.T) {
	t.Parallel()
	fine := colour.Lab{L: 50, A: 10, B: 10}
	for _, c := range []struct {
		name             string
		standard, sample colour.Lab
		ratio            colour.Ratio
		field, words     string
	}{
		{"NaN", colour.Lab{L: math.NaN()}, fine, colour.Acceptance, "standard.l", "NaN"},
		{"infinite", fine, colour.Lab{L: 50, A: math.Inf(1)}, colour.Acceptance, "sample.a", "Inf"},
		{"minus infinite", fine, colour.Lab{L: 50, B: math.Inf(-1)}, colour.Acceptance, "sample.b", "-Inf"},
		{"too light", colour.Lab{L: 100.5}, fine, colour.Acceptance, "standard.l", "from 0 to 100"},
		{"too dark", fine, colour.Lab{L: -0.1}, colour.Acceptance, "sample.l", "from 0 to 100"},
		{"decimal point slipped", colour.Lab{L: 42, A: 413}, fine, colour.Acceptance, "standard.a", "413"},
		{"no weight for lightness", fine, fine, colour.Ratio{L: 0, C: 1}, "cmc.l", "above 0"},
		{"weight NaN", fine, fine, colour.Ratio{L: 2, C: math.NaN()}, "cmc.c", "NaN"},
		{"weight infinite", fine, fine, colour.Ratio{L: math.Inf(1), C: 1}, "cmc.l", "Inf"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := colour.Compare(c.standard, c.sample, c.ratio)
			refused(t, err, c.field, c.words)
		})
	}
}

func TestChecksOfTheOtherForms(t *testing.T) {
	t.Parallel()
	refused(t, colour.LCh{L: 50, C: -1}.Check(), "c", "-1")
	refused(t, colour.LCh{L: 100.5}.Check(), "l", "100.5")
	if err := (colour.LCh{L: 50}).Check(); err != nil {
		t.Errorf("a grey of hue 0: %v", err)
	}
	refused(t, colour.LCh{L: 50, C: 1, H: 361}.Check(), "h", "361")
	refused(t, colour.LCh{L: 50, C: 1, H: math.NaN()}.Check(), "h", "NaN")
	refused(t, colour.XYZ{X: math.Inf(1)}.Check(), "x", "Inf")
	refused(t, colour.XYZ{Y: -1}.Check(), "y", "-1")
	refused(t, colour.XYZ{Z: 201}.Check(), "z", "201")
	for _, v := range views(t) {
		white := v.White()
		if err := white.Check(); err != nil {
			t.Errorf("the white of %s: %v", v, err)
		}
		if err := white.Lab(white).Check(); err != nil {
			t.Errorf("the white of %s as L*a*b*: %v", v, err)
		}
	}
}

func TestGreyHasHueZero(t *testing.T) {
	t.Parallel()
	minus := math.Copysign(0, -1)
	for _, c := range []colour.Lab{{L: 50}, {L: 50, A: minus}, {L: 50, B: minus}, {L: 50, A: minus, B: minus}} {
		if got := c.LCh(); got.H != 0 || got.C != 0 {
			t.Errorf("%v has chroma %v and hue %v", c, got.C, got.H)
		}
	}
	if h := (colour.Lab{L: 50, A: 1, B: -1e-20}).LCh().H; !(h >= 0 && h < 360) {
		t.Errorf("a hue a hair below 0° reads %v", h)
	}
}
