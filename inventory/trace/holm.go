package trace

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"dyelot/inventory/fault"
)

// Holm corrects the probabilities of several suspects for having looked at all
// of them: each, from the smallest on, is multiplied by how many are left, and
// is no less than the one before it and no more than 1. The order of the list
// is kept. Whoever stays below 0.05 is suspected with at most one chance in
// twenty that anyone on the list is wrongly so.
//
// Source: Holm, Scandinavian Journal of Statistics 6 (1979) 65–70. Errors:
// fault.Invalid naming p_values where one does not lie from 0 to 1.
func Holm(pValues []float64) ([]float64, error) {
	order := make([]int, len(pValues))
	for i, p := range pValues {
		if math.IsNaN(p) || p < 0 || p > 1 {
			return nil, fault.BadField("p_values["+strconv.Itoa(i)+"]", "%v does not lie from 0 to 1", p)
		}
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(pValues[i], pValues[j]) })
	corrected, atLeast := make([]float64, len(pValues)), 0.0
	for rank, i := range order {
		atLeast = max(atLeast, min(1, pValues[i]*float64(len(pValues)-rank)))
		corrected[i] = atLeast
	}
	return corrected, nil
}
