package colour_test

import (
	"math"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/colour"
)

// greys are spots of L* alone.
func greys(l ...float64) (spots []colour.Spot) {
	for _, v := range l {
		spots = append(spots, colour.Spot{Lab: colour.Lab{L: v}})
	}
	return spots
}

// flat is a grey of one reflectance from 400 to 700 nm.
func flat(step int, r float64) colour.Curve {
	c := colour.Curve{FirstNM: 400, StepNM: step}
	for nm := 400; nm <= 700; nm += step {
		c.Reflectance = append(c.Reflectance, r)
	}
	return c
}

func spot(t failer, c colour.Curve) colour.Spot {
	t.Helper()
	return must(colour.NewSpot("spectrum", "", c, colour.View{}))(t)
}

// A grey of 20 % and one of 60 % are one of 40 %: L* 69.47 (116·∛0.4 − 16, CIE
// 015), while the mean of their L* (51.84 and 81.84) would be 66.84.
func TestReflectancesAreAveragedBeforeTheyAreColour(t *testing.T) {
	t.Parallel()
	both := []colour.Spot{spot(t, flat(10, 0.2)), spot(t, flat(10, 0.6))}
	a := must(colour.Average(colour.View{}, both))(t)
	near(t, "L* of the mean reflectance", a.Lab.L, 116*math.Cbrt(0.4)-16, 1e-9)
	near(t, "a*", a.Lab.A, 0, 1e-9)
	if a.Counted != 2 || a.Curve == nil || a.Curve.FirstNM != 400 || math.Abs(a.Curve.Reflectance[7]-0.4) > 1e-15 {
		t.Errorf("%+v", a)
	}

	others := map[string]colour.Spot{
		"another step":     spot(t, flat(20, 0.6)),
		"L*a*b* alone":     {Lab: both[1].Lab},
		"another first nm": spot(t, colour.Curve{FirstNM: 410, StepNM: 10, Reflectance: flat(10, 0.6).Reflectance}),
	}
	for name, other := range others {
		a := must(colour.Average(colour.View{}, []colour.Spot{both[0], other}))(t)
		near(t, name+": the mean of L*", a.Lab.L, (both[0].Lab.L+both[1].Lab.L)/2, 1e-9)
		if a.Curve != nil {
			t.Errorf("%s: spectra of two scales have a mean: %+v", name, a.Curve)
		}
	}
}

// spectra_checks.csv, as kept curves rather than lists of wavelengths.
func TestASpotOfAKeptCurveHasTheCheckedColour(t *testing.T) {
	t.Parallel()
	curves := map[string]colour.Curve{}
	for _, r := range rows(t, "spectra_inputs.csv", 3) {
		c := colour.Curve{FirstNM: 400, StepNM: 10}
		for nm := 400; nm <= 700; nm += 10 {
			c.Reflectance = append(c.Reflectance, r.num(t, strconv.Itoa(nm)))
		}
		curves[r["sample"]] = c
	}
	for _, r := range rows(t, "spectra_checks.csv", 12) {
		v := view(t, r["illuminant"], int(r.num(t, "observer")))
		got := must(colour.NewSpot("spectrum", "", curves[r["sample"]], v))(t).Lab
		want := r.lab(t, "L", "a", "b")
		near(t, r["sample"]+" L*", got.L, want.L, 0.05)
		near(t, r["sample"]+" a*", got.A, want.A, 0.05)
		near(t, r["sample"]+" b*", got.B, want.B, 0.05)
	}
}

// The spread of greys, by CIEDE2000 to their mean, worked by hand: at a mean of
// L* 50, S_L is 1 + 0.015·(L̄ − 50)²/√(20 + (L̄ − 50)²) with L̄ half way, so a grey
// of 51 is 1/(1 + 0.015·0.25/√20.25) = 0.99917 away.
func TestTheSpreadIsOfSpotsToTheirMean(t *testing.T) {
	t.Parallel()
	a := must(colour.Average(colour.View{}, greys(49, 50, 51)))(t)
	want := 1 / (1 + 0.015*0.25/math.Sqrt(20.25))
	near(t, "the mean", a.Lab.L, 50, 1e-12)
	near(t, "the greatest", a.Greatest, want, 1e-9)
	near(t, "the mean of three", a.Mean, 2*want/3, 1e-9)
	if len(a.Outliers) != 0 {
		t.Errorf("of three spots one is called an outlier: %v", a.Outliers)
	}
}

// What a person leaves out makes neither the mean nor its spread, and stays.
func TestASpotLeftOutStaysToBeSeen(t *testing.T) {
	t.Parallel()
	spots := greys(50, 50.2, 49.8, 50, 40)
	a := must(colour.Average(colour.View{}, spots))(t)
	if diff := cmp.Diff([]int{4}, a.Outliers); diff != "" || a.Counted != 5 || math.Abs(a.Lab.L-48) > 1e-9 {
		t.Errorf("an outlier is not pointed out, or dropped in silence: %+v", a)
	}
	spots[4].LeftOut = "rust stain"
	a = must(colour.Average(colour.View{}, spots))(t)
	if a.Counted != 4 || math.Abs(a.Lab.L-50) > 1e-9 || len(a.Outliers) != 0 || a.Greatest > 0.3 || a.ToMean[4] < 8 {
		t.Errorf("%+v", a)
	}
}

// Spots that no eye tells apart hold no outlier, and without the floor there
// would be one: three at L* 50.00 and one at 50.10, whose MAD is 0.
func TestNearlyEqualSpotsHoldNoOutlier(t *testing.T) {
	t.Parallel()
	for _, l := range [][]float64{{50, 50, 50, 50.1}, {50, 50, 50, 50}, {50, 50.01, 50, 49.99, 50.5}, {50, 50, 50}, {10, 90}} {
		if a := must(colour.Average(colour.View{}, greys(l...)))(t); len(a.Outliers) != 0 {
			t.Errorf("%v: %v", l, a.Outliers)
		}
	}
	if a := must(colour.Average(colour.View{}, greys(50, 50, 50, 50.6)))(t); len(a.Outliers) != 1 {
		t.Errorf("0.6 off three equal ones: %v", a.Outliers)
	}
}

func TestSpotsThatMakeNoMean(t *testing.T) {
	t.Parallel()
	shiny, matt := flat(10, 0.5), flat(10, 0.5)
	shiny.Specular, matt.Specular = colour.SpecularIncluded, colour.SpecularExcluded
	out := greys(50)
	out[0].LeftOut = "a stain"
	for name, c := range map[string]struct {
		spots []colour.Spot
		says  string
	}{
		"nothing":      {nil, "at least one spot"},
		"all out":      {out, "at least one must count"},
		"both glosses": {[]colour.Spot{spot(t, flat(10, 0.4)), spot(t, shiny), spot(t, matt)}, "spot 2 was read with the gloss and spot 3 without"},
	} {
		_, err := colour.Average(colour.View{}, c.spots)
		t.Log(name)
		refused(t, err, "spots", c.says)
	}
	left := spot(t, matt)
	left.LeftOut = "read without the gloss"
	if a := must(colour.Average(colour.View{}, []colour.Spot{spot(t, shiny), left}))(t); a.Curve.Specular != colour.SpecularIncluded {
		t.Errorf("%+v", a.Curve)
	}
	if a := must(colour.Average(colour.View{}, []colour.Spot{spot(t, shiny), spot(t, flat(10, 0.5))}))(t); a.Curve.Specular != "" {
		t.Errorf("one of two said so: %+v", a.Curve)
	}
}

func TestCurvesThatAreNoSpectrum(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		curve colour.Curve
		says  string
	}{
		"nothing":    {colour.Curve{}, "a step of 5, 10 or 20 nm"},
		"backwards":  {colour.Curve{FirstNM: 700, StepNM: -10, Reflectance: flat(10, 0.5).Reflectance}, "a step of 5, 10 or 20 nm"},
		"step":       {colour.Curve{FirstNM: 400, StepNM: 7, Reflectance: flat(10, 0.5).Reflectance}, "must be 5, 10 or 20 nm"},
		"brightener": {flat(10, 1.2), "a brightener"},
		"percent":    {flat(10, 42), "0 to 1"},
		"below":      {flat(10, -0.1), "from 0 to 1"},
		"no number":  {flat(10, math.NaN()), "no number"},
		"short":      {colour.Curve{FirstNM: 400, StepNM: 10, Reflectance: []float64{0.1, 0.2, 0.3}}, "at least 4"},
		"long":       {colour.Curve{FirstNM: 100, StepNM: 5, Reflectance: make([]float64, 401)}, "at most 400"},
		"infrared":   {colour.Curve{FirstNM: 800, StepNM: 10, Reflectance: flat(10, 0.5).Reflectance}, "within 380 to 780"},
	} {
		_, err := colour.NewSpot("spectrum", "", c.curve, colour.View{})
		t.Log(name)
		refused(t, err, "spectrum", c.says)
	}
	_, err := colour.NewSpecular("specular", "gloss")
	refused(t, err, "specular", "neither included nor excluded")
	if s := must(colour.NewSpecular("specular", "excluded"))(t); !s.Against(colour.SpecularIncluded) || s.Against("") || s.Against(s) {
		t.Error("the gloss compares wrongly")
	}
}

// Laws of the mean: the order of the spots does not matter, equal spots are
// their own mean without a spread, the mean spread is at most the greatest, and an
// outlier is always one of the spots that count.
func TestLawsOfTheMean(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 9).Draw(t, "n")
		var spots, back []colour.Spot
		for range n {
			s := colour.Spot{Lab: colour.Lab{L: rapid.Float64Range(20, 80).Draw(t, "L"), A: rapid.Float64Range(-30, 30).Draw(t, "a"), B: rapid.Float64Range(-30, 30).Draw(t, "b")}}
			if rapid.IntRange(0, 4).Draw(t, "out") == 0 && len(spots) > 0 {
				s.LeftOut = "a stain"
			}
			spots = append(spots, s)
			back = append([]colour.Spot{s}, back...)
		}
		a, b := must(colour.Average(colour.View{}, spots))(t), must(colour.Average(colour.View{}, back))(t)
		if d := colour.Between(a.Lab, b.Lab).E; d > 1e-9 || math.Abs(a.Greatest-b.Greatest) > 1e-9 || len(a.Outliers) != len(b.Outliers) {
			t.Fatalf("%+v, backwards %+v", a, b)
		}
		if a.Mean > a.Greatest+1e-12 || len(a.ToMean) != n {
			t.Fatalf("%+v", a)
		}
		for _, i := range a.Outliers {
			if spots[i].LeftOut != "" || a.Counted < 4 {
				t.Fatalf("spot %d is no outlier: %+v", i, a)
			}
		}
		same := must(colour.Average(colour.View{}, []colour.Spot{spots[0], spots[0], spots[0], spots[0]}))(t)
		if same.Greatest > 1e-6 || len(same.Outliers) != 0 || colour.Between(same.Lab, spots[0].Lab).E > 1e-9 {
			t.Fatalf("%+v", same)
		}
	})
}

// The depth and the metamerism of a mean curve are those of its spectrum. K/S at
// R 4.03 % and 6.46 % is 11.43 and 6.77: Adv. Mater. Sci. Eng. 2017, art. 7516409,
// table 3, as the check list reads it.
func TestTheMeanCurveHasADepth(t *testing.T) {
	t.Parallel()
	a := must(colour.Average(colour.View{}, []colour.Spot{spot(t, flat(10, 0.0403)), spot(t, flat(10, 0.0403))}))(t)
	d := must(must(a.Curve.Spectrum("spots"))(t).Depth())(t)
	near(t, "K/S", d.Max, 11.43, 0.005)
	over := must(must(a.Curve.Spectrum("spots"))(t).DepthOver(must(flat(10, 0.0646).Spectrum("ground"))(t)))(t)
	near(t, "K/S over the ground", over.Max, 11.43-6.77, 0.01)
	if d.MaxNM != 400 {
		t.Errorf("%+v", d)
	}
}
