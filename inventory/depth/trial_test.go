package depth_test

import (
	"slices"
	"strings"
	"testing"

	"dyelot/inventory/colour"
	"dyelot/inventory/depth"
	"dyelot/inventory/quantity"
)

func page(code string, wof int64, baths ...string) depth.Trial {
	t := depth.Trial{Code: code, WOF: quantity.WholePercent(wof), Read: level(0.2), Ground: level(0.7)}
	for _, b := range baths {
		metal := map[string]string{"potassium-alum": "Al", "aluminium-triacetate": "Al", "copperas": "Fe"}[b]
		t.Baths = append(t.Baths, depth.Bath{Substance: b, Metal: metal, WOF: quantity.WholePercent(12)})
	}
	return t
}

func level(r float64) *colour.Curve {
	return &colour.Curve{FirstNM: 400, StepNM: 20, Reflectance: slices.Repeat([]float64{r}, 16)}
}

func codes(ts []depth.Trial) (all string) {
	for _, t := range ts {
		all += t.Code
	}
	return all
}

// A curve goes through swatches that had the same substances in the same order.
func TestSwatchesOfTheSameBaths(t *testing.T) {
	t.Parallel()
	book := []depth.Trial{page("A", 10, "potassium-alum"), page("B", 20, "potassium-alum"), page("C", 20, "potassium-alum", "copperas"),
		page("D", 20, "copperas", "potassium-alum"), page("E", 20), page("F", 20, "aluminium-triacetate")}
	for _, c := range []struct {
		mordants []string
		want     string
	}{
		{[]string{"alum"}, "AB"}, {[]string{" Potassium Alum "}, "AB"}, {[]string{"KAl(SO4)2.12H2O"}, "AB"},
		{[]string{"alum", "copperas"}, "C"}, {[]string{"alum", "fe"}, "C"}, {[]string{"Fe", "Al"}, "D"},
		{[]string{"none"}, "E"}, {[]string{}, "E"}, {[]string{"aluminium triacetate"}, "F"},
	} {
		got, err := depth.Same(book, c.mordants)
		if err != nil || codes(got) != c.want {
			t.Errorf("%v: %s %v, want %s", c.mordants, codes(got), err, c.want)
		}
	}
	_, err := depth.Same(book, nil)
	refused(t, err, "INVALID_FIELD", "mordants", "potassium alum (2); potassium alum, then copperas (1)")
	_, err = depth.Same(book, []string{"Al"})
	refused(t, err, "INVALID_FIELD", "mordants", "there is aluminium triacetate (1); potassium alum (2): say which")
	_, err = depth.Same(book, []string{"chalk"})
	refused(t, err, "NO_SWATCHES", "", "no swatch had chalk: there is")
	_, err = depth.Same(book, []string{"alum", " "})
	refused(t, err, "INVALID_FIELD", "mordants[1]", "is empty")
	_, err = depth.Same(nil, nil)
	refused(t, err, "NO_SWATCHES", "", "no swatch had no mordant")
	if got, err := depth.Same(book[:2], nil); err != nil || codes(got) != "AB" {
		t.Errorf("agreed: %s %v", codes(got), err)
	}
}

// K/S of R = 0.2 is 1.6 and of 0.7 is 0.0642857: (1−R)²/2R.
func TestWhatAMeasuredSwatchSays(t *testing.T) {
	t.Parallel()
	weak := page("W", 50)
	weak.Strength, weak.Parcel = quantity.WholePercent(80), "P1"
	noDose, noSpectrum, noGround, bright, black := page("N", 0), page("S", 10), page("G", 10), page("B", 10), page("K", 10)
	noSpectrum.Read, noGround.Ground, bright.Read, black.Read = nil, nil, level(1.04), level(0)
	ms, passed := depth.Measure([]depth.Trial{page("A", 10), weak, noDose, noSpectrum, noGround, bright, black}, nil)
	if len(ms) != 3 || len(passed) != 4 {
		t.Fatalf("%v %v", ms, passed)
	}
	for i, says := range []string{"no % WOF", "never read", "undyed cloth was not read", "brightener"} {
		if !strings.Contains(passed[i].Why, says) {
			t.Errorf("%s: %q does not say %q", passed[i].Trial.Code, passed[i].Why, says)
		}
	}
	if from, to := depth.Common(ms); from != 400 || to != 700 {
		t.Errorf("%v to %v nm", from, to)
	}
	read, passed := depth.At(ms, 450)
	if len(read) != 2 || len(passed) != 1 || !strings.Contains(passed[0].Why, "needs one above 0") {
		t.Fatalf("%v %v", read, passed)
	}
	near(t, "K/S", read[0].Point.KS, 1.6-0.09/1.4, 1e-12)
	near(t, "dose", read[0].Point.WOF, 10, 0)
	near(t, "50 % at a strength of 80 %", read[1].Point.WOF, 40, 1e-12)

	pale := page("P", 10)
	pale.Read = level(0.8)
	ms, _ = depth.Measure([]depth.Trial{pale}, nil)
	if _, passed = depth.At(ms, 450); len(passed) != 1 || !strings.Contains(passed[0].Why, "no deeper than undyed") {
		t.Errorf("%v", passed)
	}
	given, err := level(0.7).Spectrum("ground")
	if err != nil {
		t.Fatal(err)
	}
	if ms, _ = depth.Measure([]depth.Trial{noGround}, &given); len(ms) != 1 || ms[0].OwnGround {
		t.Errorf("%v", ms)
	}
}

func TestWhatSwatchesOfOneCurveDifferIn(t *testing.T) {
	t.Parallel()
	a, b, c := page("A", 10, "potassium-alum"), page("B", 20, "potassium-alum"), page("C", 20, "potassium-alum")
	a.Parcel, a.Strength, a.Part = "P1", quantity.WholePercent(90), "leaf"
	b.Parcel, b.Part = "P2", "flowering top"
	b.Baths[0].WOF = quantity.WholePercent(15)
	ms, _ := depth.Measure([]depth.Trial{a, b, c}, nil)
	if got := keys(depth.Mixed(ms)); got != "mordant-differs harvests-differ parts-differ" {
		t.Errorf("%s: %v", got, depth.Mixed(ms))
	}
	if got := depth.Mixed(ms[2:]); got != nil {
		t.Errorf("%v", got)
	}
}

// The mean of several spots is the mean at each wavelength; a spot of another
// scale is left out.
func TestMeanOfSpots(t *testing.T) {
	t.Parallel()
	other := *level(0.9)
	other.StepNM = 10
	got := depth.Mean([]colour.Curve{*level(0.2), *level(0.4), other})
	near(t, "mean", got.Reflectance[7], 0.3, 1e-12)
	if len(got.Reflectance) != 16 || got.FirstNM != 400 || len(depth.Mean(nil).Reflectance) != 0 {
		t.Errorf("%+v", got)
	}
	if depth.Percent(52.34567) != 523457 {
		t.Errorf("%v", depth.Percent(52.34567))
	}
}
