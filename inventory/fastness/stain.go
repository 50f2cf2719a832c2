package fastness

import "math"

// Stain is an instrumental grade of staining and the figures behind it.
type Stain struct {
	DeltaEGS float64 // ΔE_GS of ISO 105-A04
	Rating   float64 // the staining scale rating before it is rounded to a half grade
	Grade    Grade   // on the grey scale for staining
}

// StainGrade is the instrumental grade of staining after ISO 105-A04 (from
// memory): clean is the white strip before the test, or the same strip tested
// without the dyed cloth; stained is the strip that lay against it. Colours that
// no cloth has are refused with an INVALID_FIELD fault on "standard" or
// "sample".
//
//	ΔE_GS = ΔE − 0.4·√(ΔE² − ΔL²)
//	SSR   = 6.1 − 1.45·ln ΔE_GS, or 5 − 0.23·ΔE_GS where the first exceeds 4
//
// The two lines meet within 0.02 of a grade, well inside grade 4, so which of
// them is asked about "exceeds 4" never changes the grade. The rating goes to the
// nearest half grade, upward from the middle, and never leaves 1 to 5.
func StainGrade(clean, stained Lab) (Stain, error) {
	if err := checkPair("standard", clean, "sample", stained); err != nil {
		return Stain{}, err
	}
	dL := stained[0] - clean[0]
	colour := math.Hypot(stained[1]-clean[1], stained[2]-clean[2]) // √(ΔE² − ΔL²)
	deltaEGS := math.Hypot(dL, colour) - 0.4*colour

	rating := 5.0 // ln 0 has no value, and no difference is grade 5
	if deltaEGS > 0 {
		if rating = 6.1 - 1.45*math.Log(deltaEGS); rating > 4 {
			rating = 5 - 0.23*deltaEGS
		}
	}
	half := Grade(math.Floor(2*rating + 0.5))
	return Stain{
		DeltaEGS: deltaEGS,
		Rating:   rating,
		Grade:    min(max(half, GreyStaining.Worst()), GreyStaining.Best()),
	}, nil
}
