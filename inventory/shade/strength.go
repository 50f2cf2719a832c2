package shade

import (
	"math"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

// Curve is the reflectance of one cloth by wavelength: 0 to 1, the first at
// FirstNM, then every StepNM.
type Curve struct {
	FirstNM, StepNM int
	Reflectance     []float64
	Specular        string // included, excluded, or empty where nobody said
}

// at is the reflectance at a wavelength; ok is false where none was measured.
func (c Curve) at(nm int) (r float64, ok bool) {
	i := nm - c.FirstNM
	if c.StepNM <= 0 || i < 0 || i%c.StepNM != 0 || i/c.StepNM >= len(c.Reflectance) {
		return 0, false
	}
	return c.Reflectance[i/c.StepNM], true
}

// Depth is where a standard takes up most light, and how much.
type Depth struct {
	NM       int
	KS       float64
	specular string
}

// DepthOf finds the wavelength of a standard's greatest K/S; of equals, the
// shortest. fault.Invalid, field "standard", where its spectrum has no K/S, or
// none above 0.
func DepthOf(standard Curve) (Depth, error) {
	nm := make([]float64, len(standard.Reflectance))
	for i := range nm {
		nm[i] = float64(standard.FirstNM + i*standard.StepNM)
	}
	scale, err := colour.NewWavelengths("standard", nm)
	if err != nil {
		return Depth{}, err
	}
	s, err := scale.Spectrum("standard", standard.Reflectance)
	if err != nil {
		return Depth{}, err
	}
	d, err := s.Depth()
	if err != nil {
		return Depth{}, err
	}
	if d.Max <= 0 {
		return Depth{}, fault.BadField("standard", "it reflects all light, so it has no depth to compare with")
	}
	return Depth{int(math.Round(d.MaxNM)), d.Max, standard.Specular}, nil
}

// Strength is the K/S of a lot over that of the standard, in per cent, at the
// standard's wavelength of greatest K/S. Each reading is the curves of its
// spots: their mean reflectance, and then the mean over the readings, is the
// lot's, as an instrument averages. why says why there is none: no reading was
// taken as a spectrum, at that wavelength, with the gloss handled alike.
//
// It compares depths in one dyestuff; near saturation K/S grows more slowly than
// the dye, so there it is a guess (common practice).
func (d Depth) Strength(readings [][]Curve) (percent float64, ok bool, why string) {
	why = "no spectrum"
	sum, n := 0.0, 0
	for _, spots := range readings {
		one, m := 0.0, 0
		for _, c := range spots {
			r, measured := c.at(d.NM)
			switch {
			case !measured:
				why = "not measured at the standard's wavelength"
			case c.Specular != "" && d.specular != "" && c.Specular != d.specular:
				why = "gloss " + c.Specular + ", and in the standard " + d.specular
			default:
				one, m = one+r, m+1
			}
		}
		if m > 0 {
			sum, n = sum+one/float64(m), n+1
		}
	}
	if n == 0 {
		return 0, false, why
	}
	ks, err := colour.KS("reading", sum/float64(n))
	if err != nil {
		return 0, false, "a reflectance of 0 has no K/S"
	}
	return 100 * ks / d.KS, true, ""
}
