package calc

import (
	"fmt"
	"math"
	"math/big"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
)

var line = calculation{
	name:  "line",
	short: "Fit a straight line, with its errors",
	long: `The straight line through points by least squares, such as the strength of a
stored harvest over the months, with standard errors on n − 2 degrees of
freedom; at one x also what it says there, and the interval in which one new
reading falls (Student's t). At least three points.`,
	example:  `dyelot calc line --x 0,3,6,9,12 --y 100,96,95,90,88 --at 15`,
	says:     `y = 99.8 − 1 · x; at x = 15 it says 84.8,`,
	document: `{"x": [0,3,6,9,12], "y": [100,96,95,90,88], "at": 15}`,
	ask:      func() question { return &lineQuestion{confidence: 0.95} },
}

type lineQuestion struct {
	x, y       []*big.Rat
	at         *big.Rat
	confidence float64
}

func (q *lineQuestion) fields() []field {
	return []field{
		need("x", "where the readings were taken; not all the same", exacts(&q.x, 1)),
		need("y", "the readings, one for each x", exacts(&q.y, 1)),
		may("at", "x to read the line at", anExact(&q.at)),
		may("confidence", "share of new readings that the interval holds; 0.95 unless given", aReal(&q.confidence)),
	}
}

func (q *lineQuestion) answer(func() bool) (answer, error) {
	if err := withinReach("x", q.x, q.y, []*big.Rat{q.at}); err != nil {
		return nil, err
	}
	l, err := season.FitLine(q.x, q.y)
	if err != nil {
		return nil, err
	}
	a := &lineAnswer{asked: *q, Intercept: real(l.Intercept), Slope: real(l.Slope), InterceptSE: real(l.InterceptSE), SlopeSE: real(l.SlopeSE), ResidualSD: real(l.ResidualSD)}
	if l.RSquared != nil {
		a.RSquared = new(real(*l.RSquared))
	}
	at := q.at
	if at == nil {
		at = q.x[0] // the confidence is held to its limits all the same
	}
	predicted, low, high, err := l.Predict(at, q.confidence)
	switch {
	case err != nil || q.at == nil:
		return a, err
	case math.IsInf(high-low, 0) || math.IsNaN(high-low):
		return nil, fault.BadField("confidence", "no interval can be written that holds %v of the readings so far out", q.confidence)
	}
	a.Predicted, a.Interval = new(real(predicted)), reals(low, high)
	return a, nil
}

type lineAnswer struct {
	asked lineQuestion

	Intercept   real   `json:"intercept"`
	Slope       real   `json:"slope"`
	InterceptSE real   `json:"intercept_se"`
	SlopeSE     real   `json:"slope_se"`
	ResidualSD  real   `json:"residual_sd"`
	RSquared    *real  `json:"r_squared"` // null where y is constant
	Predicted   *real  `json:"predicted,omitempty"`
	Interval    []real `json:"interval,omitempty"`
}

func (a *lineAnswer) tell(p *page) {
	sign, slope := "+", float64(a.Slope)
	if slope < 0 {
		sign, slope = "−", -slope
	}
	said := fmt.Sprintf("y = %s %s %s · x", six(float64(a.Intercept)), sign, six(slope))
	if a.Predicted != nil {
		said += fmt.Sprintf("; at x = %s it says %s, a new reading falls from %s to %s in %s"+nbsp+"%% of cases",
			num(a.asked.at), six(float64(*a.Predicted)), six(float64(a.Interval[0])), six(float64(a.Interval[1])), six(100*a.asked.confidence))
	}
	p.note("%s.", said)
	explained := "none: all y are the same"
	if a.RSquared != nil {
		explained = six(float64(*a.RSquared))
	}
	p.rows(
		[2]string{"intercept", six(float64(a.Intercept)) + ", standard error " + six(float64(a.InterceptSE))},
		[2]string{"slope", six(float64(a.Slope)) + ", standard error " + six(float64(a.SlopeSE))},
		[2]string{"residual sd", six(float64(a.ResidualSD)) + ", on " + counted(int64(len(a.asked.x)-2), "degree") + " of freedom"},
		[2]string{"r squared", explained},
	)
	p.note("Least squares, sums exact, interval by Student's t (Draper & Smith, Applied Regression Analysis, ch. 1). Beyond the points the line is a guess.")
}

// six is a figure to six digits, for what has no natural number of decimals.
func six(f float64) string {
	if f == 0 {
		return "0"
	}
	return fmt.Sprintf("%.6g", f)
}
