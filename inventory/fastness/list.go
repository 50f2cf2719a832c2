package fastness

import (
	"math"
	"slices"

	"dyelot/inventory/fault"
)

// Worst is the lowest of the grades, which are all on one scale. An empty list
// or one that holds an ungraded entry is refused: a gap is not a grade.
func Worst(grades []Grade) (Grade, error) {
	if err := checkList(grades); err != nil {
		return 0, err
	}
	return slices.Min(grades), nil
}

// LowerMedian is the middle grade once they are sorted, and of an even number
// the lower of the two in the middle, so that it is always a grade somebody gave.
// Errors as [Worst]. There is no mean here: grades are an order, not a measure.
func LowerMedian(grades []Grade) (Grade, error) {
	if err := checkList(grades); err != nil {
		return 0, err
	}
	return slices.Sorted(slices.Values(grades))[(len(grades)-1)/2], nil
}

func checkList(grades []Grade) error {
	if len(grades) == 0 {
		return fault.BadField("grades", "give at least one grade")
	}
	if i := slices.IndexFunc(grades, func(g Grade) bool { return g <= 0 }); i >= 0 {
		return fault.BadField("grades", "entry %d of %d is not graded; leave it out or grade it", i+1, len(grades))
	}
	return nil
}

// AtLeastShare is the least share of a lot, 0 to 1, that can be said to pass, at
// 95 % confidence, when all n specimens tested passed: 0.05^(1/n), the exact
// binomial bound for no failures. Three of three say only "at least 0.37", five
// of five 0.55. Refused when n is below 1.
func AtLeastShare(n int) (float64, error) {
	if n < 1 {
		return 0, fault.BadField("n", "%d specimens say nothing; at least 1 must be tested", n)
	}
	return math.Pow(0.05, 1/float64(n)), nil
}
