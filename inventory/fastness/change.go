package fastness

import "math"

// Change is an instrumental grade of change and the figure behind it.
type Change struct {
	DeltaEF float64 // ΔE_F of ISO 105-A05
	Grade   Grade   // on the grey scale for change
}

// changeBands are the limits of ISO 105-A05 (from memory): the first band whose
// limit lies above ΔE_F is the grade, and past the last it is grade 1.
var changeBands = []struct {
	below float64
	grade Grade
}{
	{0.40, Whole(5)},
	{1.25, Half(4)},
	{2.10, Whole(4)},
	{2.95, Half(3)},
	{4.10, Whole(3)},
	{5.80, Half(2)},
	{8.20, Whole(2)},
	{11.60, Half(1)},
}

// ChangeGrade is the instrumental grade of change after ISO 105-A05 (from
// memory): original is the untested cloth, tested the same cloth after its test.
// It is not symmetrical. Colours that no cloth has are refused with an
// INVALID_FIELD fault on "standard" or "sample".
//
// The formula works on CIELAB differences and damps those of chroma and hue with
// depth of colour, since the eye forgives them more in a saturated shade; the
// term D moves some of a chroma change into hue around blue (280°).
func ChangeGrade(original, tested Lab) (Change, error) {
	if err := checkPair("standard", original, "sample", tested); err != nil {
		return Change{}, err
	}
	meanChroma := (original.chroma() + tested.chroma()) / 2
	hueTurn, meanHue := hueBetween(original, tested)

	dL := tested[0] - original[0]
	dC := tested.chroma() - original.chroma()
	dH := 2 * math.Sqrt(original.chroma()*tested.chroma()) * math.Sin(hueTurn*math.Pi/360)

	q := math.Abs(meanHue - 280)
	if q > 180 {
		q = 360 - q
	}
	x := (q / 30) * (q / 30)
	d := dC * meanChroma * math.Exp(-x) / 100
	dCF := (dC - d) / (1 + math.Pow(20*meanChroma/1000, 2))
	dHF := (dH - d) / (1 + math.Pow(10*meanChroma/1000, 2))

	deltaEF := math.Sqrt(dL*dL + dCF*dCF + dHF*dHF)
	return Change{DeltaEF: deltaEF, Grade: changeBand(deltaEF)}, nil
}

func changeBand(deltaEF float64) Grade {
	for _, band := range changeBands {
		if deltaEF < band.below {
			return band.grade
		}
	}
	return Whole(1)
}

// hueBetween gives the turn from original to tested along the shorter way round,
// −180 to 180 degrees and positive when the hue angle grows, and the mean hue on
// that way, 0 to 360. Opposite hues are averaged plainly; the 1e-9 keeps a pair
// that is opposite but for rounding from falling on either side by chance.
func hueBetween(original, tested Lab) (turn, mean float64) {
	h1, h2 := huePair(original, tested)
	turn, mean = h2-h1, (h1+h2)/2
	if math.Abs(turn) <= 180+1e-9 {
		return turn, mean
	}
	mean = math.Mod(mean+180, 360)
	if turn > 0 {
		return turn - 360, mean
	}
	return turn + 360, mean
}
