package colour_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

func scaleOf(t testing.TB, first, step float64, n int) colour.Wavelengths {
	t.Helper()
	var nm []float64
	for i := range n {
		nm = append(nm, first+float64(i)*step)
	}
	w, err := colour.NewWavelengths("spectrum", nm)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// At the wavelengths of the readings the peak is what DepthOver finds.
func TestPeakOverIsDepthOverOnOneScale(t *testing.T) {
	t.Parallel()
	at := scaleOf(t, 400, 10, 31)
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(name string) colour.Spectrum {
			s, err := at.Spectrum(name, rapid.SliceOfN(rapid.Float64Range(0.01, 1), 31, 31).Draw(rt, name))
			if err != nil {
				rt.Fatal(err)
			}
			return s
		}
		dyed, undyed := draw("dyed"), draw("undyed")
		want, err := dyed.DepthOver(undyed)
		if err != nil {
			rt.Fatal(err)
		}
		nm, ks, err := dyed.PeakOver(undyed, 400, 700)
		if err != nil || nm != want.MaxNM || ks != want.Max {
			rt.Fatalf("%v nm %v (%v), DepthOver says %+v", nm, ks, err, want)
		}
	})
}

// K/S of 4.03 % is 11.43 (Adv. Mater. Sci. Eng. 2017, 7516409, table 3, prints
// 11.42), also where it is read between two wavelengths of a level spectrum.
func TestKSAtBetweenReadings(t *testing.T) {
	t.Parallel()
	level := make([]float64, 16)
	straight := make([]float64, 16)
	for i := range level {
		level[i], straight[i] = 0.0403, 0.10+0.02*float64(i)
	}
	at := scaleOf(t, 400, 20, 16)
	flat, err := at.Spectrum("spectrum", level)
	if err != nil {
		t.Fatal(err)
	}
	if ks, err := flat.KSAt(445); err != nil || math.Abs(ks-11.43) > 0.005 {
		t.Errorf("%v %v", ks, err)
	}
	rising, err := at.Spectrum("spectrum", straight)
	if err != nil {
		t.Fatal(err)
	}
	// Half way from 0.14 to 0.16 a straight line reads 0.15.
	if ks, err := rising.KSAt(450); err != nil || math.Abs(ks-0.85*0.85/0.30) > 1e-12 {
		t.Errorf("%v %v", ks, err)
	}
	if over, err := flat.KSOver(rising, 450); err != nil || math.Abs(over-(11.4269-0.85*0.85/0.30)) > 1e-3 {
		t.Errorf("%v %v", over, err)
	}
	for _, nm := range []float64{399, 701, math.NaN()} {
		if _, err := flat.KSAt(nm); !isField(err, "spectrum") {
			t.Errorf("%v nm: %v", nm, err)
		}
	}
	level[3] = 0
	black, err := at.Spectrum("spectrum", level)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := black.KSAt(460); !isField(err, "spectrum") {
		t.Errorf("a reflectance of 0: %v", err)
	}
	if _, _, err := flat.PeakOver(rising, 710, 780); !isField(err, "spectrum") {
		t.Errorf("nothing in common: %v", err)
	}
}

func isField(err error, field string) bool {
	f, ok := fault.Of(err)
	return ok && f.Kind == fault.Invalid && f.Field == field
}
