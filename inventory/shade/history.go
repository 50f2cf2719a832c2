package shade

import (
	"time"

	"dyelot/inventory/season"
)

// Point is one lot on a chart.
type Point struct {
	Lot     string
	DyedAt  time.Time
	Value   float64
	Outside bool // beyond a limit
}

// Chart is an individuals chart of one figure over lots, in the order of their
// dyeing.
type Chart struct {
	Points []Point
	// Drawn: there are two points at least, so that the limits mean something.
	Drawn  bool
	Limits season.Chart
	// Provisional: drawn from few lots, so that the limits still move.
	Provisional bool
	Outside     []string // the lots beyond a limit
}

// Settled is how many lots make limits that stand; with fewer they are
// provisional (common practice: twenty to twenty-five).
const Settled = 20

// Individuals draws the chart of a figure that cannot be below 0, such as a
// difference or a strength: a lower limit below 0 is 0. With fewer than two
// points there are no limits.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, by
// season.IndividualsChart. Errors: fault.Invalid naming readings[i].
func Individuals(points []Point) (Chart, error) {
	c := Chart{Points: points, Provisional: len(points) < Settled}
	if len(points) < 2 {
		return c, nil
	}
	values := make([]float64, len(points))
	for i, p := range points {
		values[i] = p.Value
	}
	limits, err := season.IndividualsChart(values)
	if err != nil {
		return c, err
	}
	limits.Lower = max(limits.Lower, 0)
	c.Drawn, c.Limits = true, limits
	for i := range c.Points {
		p := &c.Points[i]
		// The last bits of equal readings are no change of the process.
		if p.Outside = p.Value > limits.Upper+1e-9 || p.Value < limits.Lower-1e-9; p.Outside {
			c.Outside = append(c.Outside, p.Lot)
		}
	}
	return c, nil
}
