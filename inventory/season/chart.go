package season

import (
	"math"

	"dyelot/inventory/fault"
)

// spanOfTwo is d2 for samples of two: the mean range of two normal readings in
// standard deviations, to the three decimals that the handbook uses.
const spanOfTwo = 1.128

// Chart holds the limits within which single readings of a steady process stay
// 997 times out of 1000.
type Chart struct {
	Mean            float64
	MeanMovingRange float64 // mean absolute step from one reading to the next
	Lower, Upper    float64 // mean ∓ 3 · MeanMovingRange / 1.128
}

// IndividualsChart draws the limits of an individuals chart from readings in
// the order they were taken, such as the depth of one standard recipe from lot
// to lot. Two readings at least; fewer than twenty give rough limits.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2. Errors:
// fault.Invalid naming readings.
func IndividualsChart(readings []float64) (Chart, error) {
	if err := each("readings", readings, finite); err != nil {
		return Chart{}, err
	}
	n := float64(len(readings))
	if n < 2 {
		return Chart{}, fault.BadField("readings", "%d readings have no steps between them, at least 2 are needed", len(readings))
	}
	var sum, steps float64
	for i, v := range readings {
		sum += v
		if i > 0 {
			steps += math.Abs(v - readings[i-1])
		}
	}
	c := Chart{Mean: sum / n, MeanMovingRange: steps / (n - 1)}
	c.Lower = c.Mean - 3*c.MeanMovingRange/spanOfTwo
	c.Upper = c.Mean + 3*c.MeanMovingRange/spanOfTwo
	return c, nil
}
