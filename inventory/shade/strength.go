package shade

import (
	"math"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

// Depth is where a standard takes up most light, and how much.
type Depth struct {
	NM       int
	KS       float64
	specular colour.Specular
}

// DepthOf finds the wavelength of a standard's greatest K/S; of equals, the
// shortest. fault.Invalid, field "standard", where its spectrum has no K/S, or
// none above 0.
func DepthOf(standard colour.Curve) (Depth, error) {
	s, err := standard.Spectrum("standard")
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
func (d Depth) Strength(readings [][]colour.Curve) (percent float64, ok bool, why string) {
	why = "no spectrum"
	sum, n := 0.0, 0
	for _, spots := range readings {
		one, m := 0.0, 0
		for _, c := range spots {
			r, measured := c.At(d.NM)
			switch {
			case !measured:
				why = "not measured at the standard's wavelength"
			case c.Specular != "" && d.specular != "" && c.Specular != d.specular:
				why = "gloss " + string(c.Specular) + ", and in the standard " + string(d.specular)
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
