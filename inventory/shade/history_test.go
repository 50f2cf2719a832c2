package shade_test

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/shade"
)

func points(values ...float64) []shade.Point {
	ps := make([]shade.Point, len(values))
	for i, v := range values {
		ps[i] = shade.Point{Lot: fmt.Sprintf("L%d", i+1), Value: v}
	}
	return ps
}

// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (from memory): limits
// 45.8159 and 55.8041, and no reading beyond them.
func TestIndividualsOfTheHandbook(t *testing.T) {
	t.Parallel()
	c, err := shade.Individuals(points(49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1))
	if err != nil || !c.Drawn || !c.Provisional || len(c.Outside) != 0 {
		t.Errorf("%+v, %v", c, err)
	}
	near(t, "lower", c.Limits.Lower, 45.8159, 0.00005)
	near(t, "upper", c.Limits.Upper, 55.8041, 0.00005)
}

// The same ten, then an eleventh that jumped: it is named. One lot has no
// limits; twenty make them stand; a lower limit below nothing is nothing.
func TestIndividualsSayWhatTheyRestOn(t *testing.T) {
	t.Parallel()
	jumped, err := shade.Individuals(points(49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1, 64))
	if err != nil || !cmp.Equal(jumped.Outside, []string{"L11"}) || !jumped.Points[10].Outside || jumped.Points[0].Outside {
		t.Errorf("%+v, %v", jumped, err)
	}
	for n, want := range map[int]struct{ drawn, provisional bool }{0: {false, true}, 1: {false, true}, 2: {true, true}, 19: {true, true}, 20: {true, false}} {
		c, err := shade.Individuals(points(make([]float64, n)...))
		if err != nil || c.Drawn != want.drawn || c.Provisional != want.provisional || len(c.Outside) != 0 {
			t.Errorf("%d: %+v, %v", n, c, err)
		}
	}
	low, err := shade.Individuals(points(0.1, 0.9, 0.1, 1.2))
	if err != nil || low.Limits.Lower != 0 {
		t.Errorf("%+v, %v", low, err)
	}
}

// The K/S of published reflectances (Adv. Mater. Sci. Eng. 2017, 7516409, table
// 3): 4.03 % is 11.43, 6.46 % is 6.77; the paler is 59.2 % of the deeper.
func TestStrengthByPublishedDepths(t *testing.T) {
	t.Parallel()
	d, err := shade.DepthOf(colour.Curve{FirstNM: 400, StepNM: 20, Reflectance: []float64{0.2, 0.0403, 0.3, 0.5}, Specular: "included"})
	if err != nil || d.NM != 420 {
		t.Fatalf("%+v, %v", d, err)
	}
	near(t, "K/S", d.KS, 11.43, 0.005)
	lot := colour.Curve{FirstNM: 380, StepNM: 10, Reflectance: []float64{0.5, 0.5, 0.5, 0.5, 0.0646}, Specular: "included"}
	percent, ok, why := d.Strength([][]colour.Curve{{lot}})
	if !ok || why != "" {
		t.Fatal(why)
	}
	near(t, "strength", percent, 100*6.77/11.43, 0.05)
}

// Spots are averaged within a reading, and readings among each other: a reading
// of five spots counts no more than one of one.
func TestStrengthAveragesReflectance(t *testing.T) {
	t.Parallel()
	flat := func(r float64, specular colour.Specular, first int) colour.Curve {
		return colour.Curve{FirstNM: first, StepNM: 10, Reflectance: []float64{r, r, r, r}, Specular: specular}
	}
	d, err := shade.DepthOf(flat(0.5, "included", 400)) // K/S 0.25
	if err != nil || d.NM != 400 {
		t.Fatalf("%+v, %v", d, err)
	}
	near(t, "K/S", d.KS, 0.25, 1e-12)
	percent, ok, _ := d.Strength([][]colour.Curve{{flat(0.3, "", 400), flat(0.5, "included", 400)}, {flat(0.6, "", 400)}, nil})
	if !ok { // means 0.4 and 0.6, so 0.5
		t.Fatal("no strength")
	}
	near(t, "strength", percent, 100, 1e-9)
	for why, readings := range map[string][][]colour.Curve{
		"no spectrum": {nil, nil},
		"not measured at the standard's wavelength":    {{flat(0.5, "", 405)}, {flat(0.5, "", 410)}},
		"gloss excluded, and in the standard included": {{flat(0.5, "excluded", 400)}},
		"a reflectance of 0 has no K/S":                {{flat(0, "", 400)}},
	} {
		if _, ok, said := d.Strength(readings); ok || said != why {
			t.Errorf("%v %q, want %q", ok, said, why)
		}
	}
	for _, off := range []colour.Curve{{}, flat(0, "", 400), flat(1, "", 400), flat(1.2, "", 400), {FirstNM: 400, StepNM: 7, Reflectance: []float64{1, 1, 1, 1}}} {
		if _, err := shade.DepthOf(off); err == nil {
			t.Errorf("%+v has a depth", off)
		} else if f, _ := fault.Of(err); f == nil || f.Field != "standard" {
			t.Errorf("%v", err)
		}
	}
}
