package fastness

import "math"

// Step is one pair of chips of a grey scale: the CIELAB difference between its
// two chips and how far a working copy may lie off it.
type Step struct {
	Grade     Grade
	DeltaE    float64 // ΔE*ab between the two chips
	Tolerance float64 // a chip is good within DeltaE ± Tolerance
}

// Allows reports whether a pair of chips measured at deltaE (ΔE*ab) is still
// good for this step. The edges belong to the step; the 1e-9 keeps 1.7 + 0.3
// inside although binary fractions put it just outside.
func (s Step) Allows(deltaE float64) bool {
	return deltaE >= 0 && math.Abs(deltaE-s.DeltaE) <= s.Tolerance+1e-9
}

// ChangeScale is the grey scale for assessing change in colour, ISO 105-A02,
// best grade first. Read in the standard's published table.
func ChangeScale() []Step {
	return []Step{
		{Whole(5), 0, 0.2},
		{Half(4), 0.8, 0.2},
		{Whole(4), 1.7, 0.3},
		{Half(3), 2.5, 0.35},
		{Whole(3), 3.4, 0.4},
		{Half(2), 4.8, 0.5},
		{Whole(2), 6.8, 0.6},
		{Half(1), 9.6, 0.7},
		{Whole(1), 13.6, 1.0},
	}
}

// StainScale is the grey scale for assessing staining, ISO 105-A03, best grade
// first. From memory; the tolerance of grade 5, whose two chips are meant to be
// identical, is that of ISO 105-A02, since no measurement is exactly zero.
func StainScale() []Step {
	return []Step{
		{Whole(5), 0, 0.2},
		{Half(4), 2.2, 0.3},
		{Whole(4), 4.3, 0.3},
		{Half(3), 6.0, 0.4},
		{Whole(3), 8.5, 0.5},
		{Half(2), 12.0, 0.7},
		{Whole(2), 16.9, 1.0},
		{Half(1), 24.0, 1.5},
		{Whole(1), 34.1, 2.0},
	}
}

// ChangeStep is the grade of the grey scale for change whose step lies nearest
// to a difference of deltaE (ΔE*ab), half way between two the worse of them. It
// says which pair of chips an eye would have held beside the cloth; the grade of
// a fastness test is [ChangeGrade].
func ChangeStep(deltaE float64) Grade {
	steps := ChangeScale()
	for i := len(steps) - 1; i > 0; i-- {
		if deltaE >= (steps[i].DeltaE+steps[i-1].DeltaE)/2-1e-9 {
			return steps[i].Grade
		}
	}
	return steps[0].Grade
}
