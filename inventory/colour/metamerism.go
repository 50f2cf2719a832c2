package colour

import "dyelot/inventory/fault"

// Metameric is how far a sample that is made to match its standard in one light
// parts from it in another.
type Metameric struct {
	Reference float64 // ΔE*ab in the reference light, as measured
	Index     float64 // ΔE*ab in the test light, once the first is corrected away
}

// Metamerism is the special index of metamerism for a change of illuminant (CIE
// 015, multiplicative correction; from memory): the sample's X, Y and Z in the test
// light are multiplied by the ratio of standard to sample in the reference
// light, so that what was no match to begin with does not count. A sample that
// reflects nothing cannot be corrected and is a fault.BadField on its field.
func Metamerism(standard, sample Spectrum, eye Observer, reference, test Illuminant) (Metameric, error) {
	home, away := View{reference, eye}, View{test, eye}
	want, got := standard.XYZ(home), sample.XYZ(home)
	if !(got.X > 0 && got.Y > 0 && got.Z > 0) {
		return Metameric{}, fault.BadField(sample.field, "the sample reflects too little in %s to be matched to the standard there", home)
	}
	seen := sample.XYZ(away)
	seen = XYZ{seen.X * want.X / got.X, seen.Y * want.Y / got.Y, seen.Z * want.Z / got.Z}
	white := away.White()
	return Metameric{
		Reference: Between(standard.Lab(home), sample.Lab(home)).E,
		Index:     Between(standard.XYZ(away).Lab(white), seen.Lab(white)).E,
	}, nil
}
