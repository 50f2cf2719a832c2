package colour

import (
	"math"

	"dyelot/inventory/fault"
)

// fewest is how many readings a third-order interpolation needs.
const fewest = 4

// Wavelengths is the scale of an instrument: where its readings stand, as far
// as they lie within 380 to 780 nm. NewWavelengths makes one.
type Wavelengths struct {
	first, step float64 // nm
	given       int     // readings in the list
	skip, n     int     // readings before 380 nm, and readings kept
}

// Spectrum is the reflectance of a surface at some Wavelengths, each from 0
// (black) to 1 (perfect white). Wavelengths.Spectrum makes one.
type Spectrum struct {
	at    Wavelengths
	r     []float64
	field string // what a later refusal names
}

// NewWavelengths takes the wavelengths of a list of readings, in nm. They must
// rise in equal steps of 5, 10 or 20 nm and at least four must lie within 380 to
// 780 nm; those outside are ignored, as are their readings. The error is a
// fault.BadField on field.
func NewWavelengths(field string, nm []float64) (Wavelengths, error) {
	if len(nm) < fewest {
		return Wavelengths{}, fault.BadField(field, "there are %d wavelengths, but at least %d are needed", len(nm), fewest)
	}
	step := nm[1] - nm[0]
	for i, w := range nm {
		if math.IsNaN(w) || math.IsInf(w, 0) || w <= 0 {
			return Wavelengths{}, fault.BadField(field, "wavelength %d is %v, but it must be a number of nanometres above 0", i+1, w)
		}
		if i > 0 && !(w > nm[i-1]) {
			return Wavelengths{}, fault.BadField(field, "wavelengths must rise, but %v nm follows %v nm", w, nm[i-1])
		}
		if i > 0 && math.Abs(w-nm[i-1]-step) > 1e-6 { // 410.1 − 400.1 is not quite 10
			return Wavelengths{}, fault.BadField(field, "wavelengths must rise in equal steps, but %v nm follows %v nm after a step of %v nm", w, nm[i-1], step)
		}
	}
	step = math.Round(step*1e6) / 1e6
	if step != 5 && step != 10 && step != 20 {
		return Wavelengths{}, fault.BadField(field, "wavelengths rise by %v nm, but the step must be 5, 10 or 20 nm", step)
	}
	kept := Wavelengths{step: step, given: len(nm)}
	for _, w := range nm {
		switch {
		case w < firstNM:
			kept.skip++
		case w <= lastNM:
			kept.n++
		}
	}
	if kept.n < fewest {
		return Wavelengths{}, fault.BadField(field, "%d wavelengths lie within %d to %d nm, but at least %d are needed", kept.n, firstNM, lastNM, fewest)
	}
	kept.first = nm[kept.skip]
	return kept, nil
}

// Spectrum puts reflectances on the scale, one for each wavelength, those to be
// ignored included. A value below 0, above 1 (a brightener, or percent) or not
// a number is a fault.BadField on field. A reflectance of exactly 0 has a
// colour but no K/S: see Depth.
func (w Wavelengths) Spectrum(field string, reflectance []float64) (Spectrum, error) {
	if len(reflectance) != w.given {
		return Spectrum{}, fault.BadField(field, "there are %d reflectances for %d wavelengths", len(reflectance), w.given)
	}
	s := Spectrum{w, append([]float64(nil), reflectance[w.skip:w.skip+w.n]...), field}
	for i, r := range s.r {
		if r > 1 {
			return Spectrum{}, fault.BadField(field, "the reflectance at %v nm is %v, above 1: a brightener gives off light of its own there and has no reflectance colour (and percent are written as fractions, 0 to 1)", s.nm(i), r)
		}
		if !(r >= 0) { // written so that NaN fails
			return Spectrum{}, fault.BadField(field, "the reflectance at %v nm is %v, but it must be from 0 to 1", s.nm(i), r)
		}
	}
	return s, nil
}

// nm returns the wavelength of reading i.
func (s Spectrum) nm(i int) float64 { return s.at.first + float64(i)*s.at.step }

// Range returns the first and the last wavelength that count, in nm. Below and
// above them the end readings are held, so that a colour from a short range is a
// guess: instruments begin at 360 to 420 nm and end at 700 to 780 nm.
func (s Spectrum) Range() (first, last float64) { return s.nm(0), s.nm(len(s.r) - 1) }

// XYZ returns the colour in a view: the reflectances at 5 nm, weighed and
// summed from 380 to 780 nm (CIE 015).
func (s Spectrum) XYZ(v View) XYZ { return v.sum(s.every5nm()) }

// Lab returns the colour in a view, against the white of the same view.
func (s Spectrum) Lab(v View) Lab { return s.XYZ(v).Lab(v.White()) }

// every5nm brings the readings to the bands of the tables, by a third-order
// Lagrange polynomial through the four readings nearest around (at the ends,
// the first or last four), end values held (CIE 015).
func (s Spectrum) every5nm() *[bands]float64 {
	var out [bands]float64
	last := float64(len(s.r) - 1)
	for i := range out {
		steps := (float64(firstNM+i*tableNM) - s.at.first) / s.at.step
		steps = min(max(steps, 0), last)
		from := min(max(int(steps)-1, 0), len(s.r)-fewest)
		out[i] = lagrange([fewest]float64(s.r[from:]), steps-float64(from))
	}
	return &out
}

// lagrange is the cubic through y at 0, 1, 2 and 3, read at u.
func lagrange(y [fewest]float64, u float64) float64 {
	return -y[0]*(u-1)*(u-2)*(u-3)/6 +
		y[1]*u*(u-2)*(u-3)/2 -
		y[2]*u*(u-1)*(u-3)/2 +
		y[3]*u*(u-1)*(u-2)/6
}
