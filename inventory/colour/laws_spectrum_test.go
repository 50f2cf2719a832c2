package colour_test

import (
	"testing"

	"github.com/lucasb-eyer/go-colorful"
	"pgregory.net/rapid"

	"dyelot/inventory/colour"
)

func anySpectrum(scale []float64) *rapid.Generator[colour.Spectrum] {
	return rapid.Custom(func(t *rapid.T) colour.Spectrum {
		r := rapid.SliceOfN(rapid.Float64Range(0.001, 1), len(scale), len(scale)).Draw(t, "reflectance")
		return must(must(colour.NewWavelengths("wavelengths_nm", scale))(t).Spectrum("reflectance", r))(t)
	})
}

// A third-order Lagrange polynomial is exact on cubics, so a cubic curve read
// every 10 or 20 nm has the colour that it has when read every 5 nm.
func TestInterpolationIsExactOnCubics(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SliceOfN(rapid.Float64Range(-0.125, 0.125), 4, 4).Draw(t, "coefficients")
		cubic := func(nm float64) float64 {
			u := (nm - 580) / 200
			return 0.5 + k[0] + u*(k[1]+u*(k[2]+u*k[3]))
		}
		v := rapid.SampledFrom(views(t)).Draw(t, "view")
		want := measured(t, every(380, 780, 5), cubic).XYZ(v)
		for _, step := range []float64{10, 20} {
			got := measured(t, every(380, 780, step), cubic).XYZ(v)
			within(t, "X", got.X, want.X, 1e-9)
			within(t, "Y", got.Y, want.Y, 1e-9)
			within(t, "Z", got.Z, want.Z, 1e-9)
		}
		// Beside the 5 nm grid it is read between all its points; its ends are
		// held for 2 nm, where the eye sees next to nothing.
		got := measured(t, every(382, 778, 10), cubic).XYZ(v)
		within(t, "Y beside the grid", got.Y, want.Y, 0.01)
	})
}

func TestColourIsLinearInReflectance(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		nm := every(400, 700, rapid.SampledFrom([]float64{5, 10, 20}).Draw(t, "step"))
		share := rapid.Float64Range(0.01, 1).Draw(t, "share")
		full := rapid.SliceOfN(rapid.Float64Range(0, 1), len(nm), len(nm)).Draw(t, "reflectance")
		part := make([]float64, len(full))
		for i, r := range full {
			part[i] = share * r
		}
		scale := must(colour.NewWavelengths("wavelengths_nm", nm))(t)
		v := rapid.SampledFrom(views(t)).Draw(t, "view")
		a, b := must(scale.Spectrum("full", full))(t).XYZ(v), must(scale.Spectrum("part", part))(t).XYZ(v)
		within(t, "X", b.X, share*a.X, 1e-9)
		within(t, "Y", b.Y, share*a.Y, 1e-9)
		within(t, "Z", b.Z, share*a.Z, 1e-9)
	})
}

// A cloth matches itself, and a paler cloth of the same curve, in every light.
func TestParallelCurvesAreNotMetameric(t *testing.T) {
	t.Parallel()
	lights := []colour.Illuminant{colour.A, colour.D50, colour.D65, colour.F2, colour.F11}
	nm := every(400, 700, 10)
	rapid.Check(t, func(t *rapid.T) {
		// Between 0.3 and 0.6 no overshoot of a cubic can reach black.
		r := rapid.SliceOfN(rapid.Float64Range(0.3, 0.6), len(nm), len(nm)).Draw(t, "reflectance")
		paler := make([]float64, len(r))
		for i := range r {
			paler[i] = 1.5 * r[i]
		}
		scale := must(colour.NewWavelengths("wavelengths_nm", nm))(t)
		standard, sample := must(scale.Spectrum("standard", r))(t), must(scale.Spectrum("sample", paler))(t)
		reference, test := rapid.SampledFrom(lights).Draw(t, "reference"), rapid.SampledFrom(lights).Draw(t, "test")
		same := must(colour.Metamerism(standard, standard, colour.TenDegrees, reference, test))(t)
		within(t, "itself", same.Index+same.Reference, 0, 1e-9)
		parallel := must(colour.Metamerism(standard, sample, colour.TenDegrees, reference, test))(t)
		within(t, "parallel", parallel.Index, 0, 1e-9)
		if !(parallel.Reference > 1) {
			t.Fatalf("a cloth half as light again differs by %v only", parallel.Reference)
		}
	})
}

func TestLawsOfDepth(t *testing.T) {
	t.Parallel()
	nm := every(400, 700, 20)
	rapid.Check(t, func(t *rapid.T) {
		dyed, ground := anySpectrum(nm).Draw(t, "dyed"), anySpectrum(nm).Draw(t, "undyed")
		alone := must(dyed.Depth())(t)
		if !(alone.Max >= 0 && alone.Max <= alone.Sum && alone.Sum <= 16*alone.Max) {
			t.Fatalf("largest %v, sum of 16 %v", alone.Max, alone.Sum)
		}
		if nothing := must(dyed.DepthOver(dyed))(t); nothing.Max != 0 || nothing.Sum != 0 {
			t.Fatalf("a cloth over itself has depth %+v", nothing)
		}
		over := must(dyed.DepthOver(ground))(t)
		within(t, "sums subtract", over.Sum, alone.Sum-must(ground.Depth())(t).Sum, 1e-9*(1+alone.Sum))
	})
}

// Every screen colour is in gamut and comes back from its L*a*b* to the same
// hex; go-colorful v1.4.1 gives the L*a*b*, against the white of IEC 61966-2-1
// (chromaticity 0.3127, 0.3290).
func TestScreenColoursComeBack(t *testing.T) {
	t.Parallel()
	white := [3]float64{0.3127 / 0.3290, 1, 0.3583 / 0.3290}
	count := rapid.IntRange(0, 255)
	rapid.Check(t, func(t *rapid.T) {
		r, g, b := count.Draw(t, "r"), count.Draw(t, "g"), count.Draw(t, "b")
		c := colorful.Color{R: float64(r) / 255, G: float64(g) / 255, B: float64(b) / 255}
		l, x, y := c.LabWhiteRef(white)
		got, inGamut := colour.Lab{L: 100 * l, A: 100 * x, B: 100 * y}.SRGB()
		if want := c.Hex(); got != want || !inGamut {
			t.Fatalf("%s came back as %s, in gamut %v", want, got, inGamut)
		}
	})
}

// A grey has no tint on the screen and is always in gamut; more chroma than any
// screen has is always out, and clipped to a colour all the same.
func TestScreenGamut(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := rapid.Float64Range(0, 100).Draw(t, "L")
		hex, inGamut := colour.Lab{L: l}.SRGB()
		if hex[1:3] != hex[3:5] || hex[3:5] != hex[5:7] || !inGamut {
			t.Fatalf("grey %v shows as %s, in gamut %v", l, hex, inGamut)
		}
		h := rapid.Float64Range(0, 360).Draw(t, "h")
		hex, inGamut = colour.LCh{L: l, C: 140, H: h}.Lab().SRGB()
		if inGamut || len(hex) != 7 {
			t.Fatalf("C* 140 at %v° shows as %s, in gamut %v", h, hex, inGamut)
		}
	})
}
