package colour_test

import (
	"math"
	"testing"

	"dyelot/inventory/colour"
)

// Ranges that instruments and standards use.
func TestScalesThatAreTaken(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name               string
		nm                 []float64
		count              int
		rangeFrom, rangeTo float64
	}{
		{"400 to 700 by 10", every(400, 700, 10), 31, 400, 700},
		{"380 to 780 by 5", every(380, 780, 5), 81, 380, 780},
		{"360 to 830 by 5", every(360, 830, 5), 95, 380, 780},
		{"400 to 700 by 20", every(400, 700, 20), 16, 400, 700},
		{"360 to 740 by 10", every(360, 740, 10), 39, 380, 740},
		{"370 to 790 by 20", every(370, 790, 20), 22, 390, 770},
		{"four readings", every(500, 560, 20), 4, 500, 560},
		{"beside the grid", every(401, 701, 10), 31, 401, 701},
		{"decimals", every(400.1, 700.2, 10), 31, 400.1, 700.1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if len(c.nm) != c.count {
				t.Fatalf("%d wavelengths, want %d", len(c.nm), c.count)
			}
			s := measured(t, c.nm, func(float64) float64 { return 0.5 })
			from, to := s.Range()
			near(t, "first", from, c.rangeFrom, 1e-9)
			near(t, "last", to, c.rangeTo, 1e-9)
			// A flat curve is a grey of Y = 50 in every light: L* = 116·∛0.5 − 16.
			for _, v := range views(t) {
				got := s.Lab(v)
				near(t, v.String()+" L*", got.L, 116*math.Cbrt(0.5)-16, 1e-9)
				near(t, v.String()+" a*", got.A, 0, 1e-9)
				near(t, v.String()+" b*", got.B, 0, 1e-9)
			}
		})
	}
}

func TestScalesThatAreRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		nm    []float64
		words string
	}{
		{"none", nil, "at least 4"},
		{"three", []float64{400, 410, 420}, "at least 4"},
		{"step 7", every(400, 700, 7), "5, 10 or 20"},
		{"step 1", every(400, 700, 1), "5, 10 or 20"},
		{"step 40", every(400, 700, 40), "5, 10 or 20"},
		{"step 7.5", every(400, 700, 7.5), "5, 10 or 20"},
		{"falling", []float64{700, 690, 680, 670}, "must rise"},
		{"unordered", []float64{400, 410, 430, 420, 440}, "equal steps"},
		{"unordered later", []float64{400, 410, 420, 410, 440}, "must rise"},
		{"twice the same", []float64{400, 400, 410, 420}, "must rise"},
		{"one left out", []float64{400, 410, 420, 440, 450}, "equal steps"},
		{"mixed steps", []float64{400, 410, 420, 425}, "equal steps"},
		{"NaN first", []float64{math.NaN(), 410, 420, 430}, "NaN"},
		{"NaN later", []float64{400, 410, math.NaN(), 430}, "NaN"},
		{"infinite", []float64{400, 410, 420, math.Inf(1)}, "Inf"},
		{"minus infinite", []float64{math.Inf(-1), 410, 420, 430}, "Inf"},
		{"zero", []float64{0, 10, 20, 30}, "above 0"},
		{"infrared", every(800, 900, 10), "380 to 780"},
		{"three in the visible", every(300, 400, 10), "380 to 780"},
		{"micrometres", []float64{.40, .41, .42, .43}, "5, 10 or 20"},
		{"too large to step", []float64{1e300, 2e300, 3e300, 4e300}, "5, 10 or 20"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := colour.NewWavelengths("wavelengths_nm", c.nm)
			refused(t, err, "wavelengths_nm", c.words)
		})
	}
}

func TestReflectancesThatAreRefused(t *testing.T) {
	t.Parallel()
	scale := must(colour.NewWavelengths("wavelengths_nm", every(400, 440, 10)))(t)
	for _, c := range []struct {
		name  string
		r     []float64
		words string
	}{
		{"none", nil, "0 reflectances for 5"},
		{"too few", []float64{.1, .2, .3, .4}, "4 reflectances for 5"},
		{"too many", []float64{.1, .2, .3, .4, .5, .6}, "6 reflectances for 5"},
		{"brightener", []float64{.1, .2, 1.08, .4, .5}, "brightener"},
		{"percent", []float64{10, 20, 30, 40, 50}, "percent"},
		{"infinite", []float64{.1, .2, .3, .4, math.Inf(1)}, "brightener"},
		{"negative", []float64{.1, -.2, .3, .4, .5}, "from 0 to 1"},
		{"minus infinite", []float64{.1, .2, .3, .4, math.Inf(-1)}, "from 0 to 1"},
		{"NaN", []float64{.1, .2, .3, .4, math.NaN()}, "NaN"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := scale.Spectrum("sample", c.r)
			refused(t, err, "sample", c.words)
		})
	}
	_, err := scale.Spectrum("sample", []float64{.1, .2, 1.08, .4, .5})
	refused(t, err, "sample", "420 nm")
}

func TestUnknownLightsAndEyesAreRefused(t *testing.T) {
	t.Parallel()
	_, err := colour.NewIlluminant("reference", "D55")
	refused(t, err, "reference", "D65, A, D50, F2, F11")
	_, err = colour.NewIlluminant("test", "")
	refused(t, err, "test", "no illuminant")
	_, err = colour.NewObserver("observer", 5)
	refused(t, err, "observer", "2 or 10")
	if got := view(t, "d65", 10); got != (colour.View{}) || got.String() != "D65/10°" || got.Observer.Degrees() != 10 {
		t.Errorf("d65 and 10 gave %s", got)
	}
}

// The project's contract: readings outside 380 to 780 nm are ignored, whatever
// they are, for the colour and for K/S.
func TestReadingsOutsideTheTablesAreIgnored(t *testing.T) {
	t.Parallel()
	curve := func(nm float64) float64 { return 0.1 + 0.6*(nm-380)/400 }
	inside := measured(t, every(380, 780, 5), curve)

	nm := every(360, 830, 5)
	r := make([]float64, len(nm))
	for i, w := range nm {
		r[i] = curve(w)
		if w < 380 || w > 780 {
			r[i] = 1.5
		}
	}
	wider := must(must(colour.NewWavelengths("wavelengths_nm", nm))(t).Spectrum("reflectance", r))(t)
	for _, v := range views(t) {
		if a, b := inside.XYZ(v), wider.XYZ(v); a != b {
			t.Errorf("%s: %v inside, %v with readings outside", v, a, b)
		}
	}
	if a, b := must(inside.Depth())(t), must(wider.Depth())(t); a != b {
		t.Errorf("K/S %v inside, %v with readings outside", a, b)
	}
}

// The project's contract: end values are held where the instrument stops.
func TestEndValuesAreHeld(t *testing.T) {
	t.Parallel()
	curve := func(nm float64) float64 { return 0.1 + 0.6*(min(max(nm, 400), 700)-380)/400 }
	short, long := measured(t, every(400, 700, 5), curve), measured(t, every(380, 780, 5), curve)
	for _, v := range views(t) {
		if a, b := short.XYZ(v), long.XYZ(v); a != b {
			t.Errorf("%s: %v where the ends are held, %v where they are written out", v, a, b)
		}
	}
}

// K/S = (1−R)²/2R by hand: R 0.5 → 0.25, R 0.2 → 1.6, R 0.8 → 0.025, R 1 → 0.
func TestDepth(t *testing.T) {
	t.Parallel()
	scale := must(colour.NewWavelengths("wavelengths_nm", []float64{400, 410, 420, 430}))(t)
	spectrum := func(field string, r ...float64) colour.Spectrum { return must(scale.Spectrum(field, r))(t) }
	dyed := spectrum("reflectance", .5, .2, .8, .2)
	undyed := spectrum("undyed", .8, .5, .8, .8)
	check := func(name string, got colour.Depth, nm, top, sum float64) {
		t.Helper()
		near(t, name+", wavelength", got.MaxNM, nm, 0)
		near(t, name+", largest", got.Max, top, 1e-12)
		near(t, name+", sum", got.Sum, sum, 1e-12)
	}
	check("dyed", must(dyed.Depth())(t), 410, 1.6, .25+1.6+.025+1.6)
	check("over undyed", must(dyed.DepthOver(undyed))(t), 430, 1.575, .225+1.35+0+1.575)
	check("paler than its ground", must(undyed.DepthOver(dyed))(t), 420, 0, -(.225 + 1.35 + 1.575))
	check("white", must(spectrum("reflectance", 1, 1, 1, 1).Depth())(t), 400, 0, 0)

	black := spectrum("reflectance", .5, 0, .5, .5)
	_, err := black.Depth()
	refused(t, err, "reflectance", "410 nm is 0")
	_, err = black.DepthOver(undyed)
	refused(t, err, "reflectance", "410 nm is 0")
	_, err = dyed.DepthOver(spectrum("undyed", .5, .5, .5, 0))
	refused(t, err, "undyed", "430 nm is 0")
	for _, elsewhere := range [][]float64{every(410, 440, 10), every(400, 415, 5), every(400, 440, 10)} {
		undyed := must(must(colour.NewWavelengths("wavelengths_nm", elsewhere))(t).Spectrum("undyed", make([]float64, len(elsewhere))))(t)
		_, err = dyed.DepthOver(undyed)
		refused(t, err, "undyed", "wavelengths of the dyed")
	}
	near(t, "K/S of a perfect white", must(colour.KS("reflectance", 1))(t), 0, 0)
	for _, r := range []float64{0, -.1, 1.01, math.NaN(), math.Inf(1)} {
		_, err := colour.KS("reflectance", r)
		refused(t, err, "reflectance", "above 0 and at most 1")
	}
}

// A black sample has a colour, but nothing to multiply up to the standard.
func TestMetamerismRefusesABlackSample(t *testing.T) {
	t.Parallel()
	scale := must(colour.NewWavelengths("wavelengths_nm", every(400, 700, 10)))(t)
	black := must(scale.Spectrum("sample", make([]float64, 31)))(t)
	grey := measured(t, every(400, 700, 10), func(float64) float64 { return .5 })
	near(t, "L* of black", black.Lab(colour.View{}).L, 0, 1e-12)
	_, err := colour.Metamerism(grey, black, colour.TwoDegrees, colour.D65, colour.F11)
	refused(t, err, "sample", "D65/2°")
	got := must(colour.Metamerism(black, grey, colour.TwoDegrees, colour.D65, colour.F11))(t)
	near(t, "index against a black standard", got.Index, 0, 1e-9)
}
