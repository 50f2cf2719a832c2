package colour

import (
	"math"

	"dyelot/inventory/fault"
)

// Specular says what became of the surface's gloss when cloth was read. Shiny
// silk read with it looks paler than without, so readings of the two kinds are
// never compared in silence. Empty: nobody said.
type Specular string

// The two ports of an instrument.
const (
	SpecularIncluded Specular = "included"
	SpecularExcluded Specular = "excluded"
)

// NewSpecular reads "included", "excluded" or nothing; anything else is a
// fault.BadField on field.
func NewSpecular(field, word string) (Specular, error) {
	switch s := Specular(word); s {
	case "", SpecularIncluded, SpecularExcluded:
		return s, nil
	}
	return "", fault.BadField(field, "%.40q is neither included nor excluded (leave it out where nobody knows)", word)
}

// Against is true where both are known and differ.
func (s Specular) Against(other Specular) bool { return s != "" && other != "" && s != other }

// String is the word, or "not stated".
func (s Specular) String() string {
	if s == "" {
		return "not stated"
	}
	return string(s)
}

// Curve is a spectrum as an instrument wrote it and as it is kept: every
// reflectance, 0 to 1, at whole nanometres, those outside 380 to 780 nm too.
type Curve struct {
	FirstNM, StepNM int
	Reflectance     []float64
	Specular        Specular
}

// longest is a curve from 1 to 2 000 nm by 5.
const longest = 400

// Spectrum is the curve ready for computing. A fault.BadField on field where it
// is none: see NewWavelengths and Wavelengths.Spectrum.
func (c Curve) Spectrum(field string) (Spectrum, error) {
	if c.StepNM <= 0 || c.FirstNM <= 0 || c.FirstNM > 2000 {
		return Spectrum{}, fault.BadField(field, "it begins at %d nm and goes on by %d nm: a first wavelength from 1 to 2000 nm and a step of 5, 10 or 20 nm are needed", c.FirstNM, c.StepNM)
	}
	if n := len(c.Reflectance); n > longest {
		return Spectrum{}, fault.BadField(field, "there are %d reflectances, at most %d are kept", n, longest)
	}
	nm := make([]float64, len(c.Reflectance))
	for i, r := range c.Reflectance {
		nm[i] = float64(c.FirstNM + i*c.StepNM)
		if math.IsNaN(r) || math.IsInf(r, 0) {
			return Spectrum{}, fault.BadField(field, "the reflectance at %v nm is %v, which is no number", nm[i], r)
		}
	}
	scale, err := NewWavelengths(field, nm)
	if err != nil {
		return Spectrum{}, err
	}
	return scale.Spectrum(field, c.Reflectance)
}

// At is the reflectance at a wavelength in nm; ok is false where none was
// measured.
func (c Curve) At(nm int) (r float64, ok bool) {
	i := nm - c.FirstNM
	if c.StepNM <= 0 || i < 0 || i%c.StepNM != 0 || i/c.StepNM >= len(c.Reflectance) {
		return 0, false
	}
	return c.Reflectance[i/c.StepNM], true
}

// sameScale is true of curves that stand at the same wavelengths.
func (c Curve) sameScale(other Curve) bool {
	return c.FirstNM == other.FirstNM && c.StepNM == other.StepNM && len(c.Reflectance) == len(other.Reflectance)
}

// meanCurve is the mean reflectance of curves of one scale; ok is false where
// there is none, or where the scales differ. Its gloss is the curves' own, not
// stated where one of them does not state it.
func meanCurve(curves []Curve) (mean Curve, ok bool) {
	if len(curves) == 0 {
		return mean, false
	}
	mean = curves[0]
	mean.Reflectance = make([]float64, len(curves[0].Reflectance))
	for _, c := range curves {
		if !c.sameScale(mean) {
			return Curve{}, false
		}
		for i, r := range c.Reflectance {
			mean.Reflectance[i] += r / float64(len(curves))
		}
		if c.Specular != mean.Specular {
			mean.Specular = ""
		}
	}
	for i, r := range mean.Reflectance { // thirds of 1 may sum to a trifle more
		if r > 1 && r < 1+1e-12 {
			mean.Reflectance[i] = 1
		}
	}
	return mean, true
}
