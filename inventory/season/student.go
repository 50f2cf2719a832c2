package season

import (
	"math"

	"dyelot/inventory/fault"
)

// Student returns the t that holds a share (strictly between 0 and 1) of
// Student's t distribution between −t and t: 0.95 with 10 degrees of freedom,
// of which at least 1 is needed, is 2.228. Errors: fault.Invalid naming
// confidence or freedom.
func Student(confidence float64, freedom int) (float64, error) {
	if err := share("confidence", confidence); err != nil {
		return 0, err
	}
	if freedom < 1 {
		return 0, fault.BadField("freedom", "%d degrees of freedom are too few, at least 1 is needed", freedom)
	}
	return studentWithin(confidence, freedom), nil
}

// studentWithin returns the t that holds a share of Student's t distribution
// with a whole number of degrees of freedom between −t and t.
//
// studentShare is concave in t, so Newton's steps from zero rise towards the
// root and never pass it; they end where rounding stops the rise. Right to 14
// digits up to a hundred degrees, to 11 at a hundred thousand, less where the
// share comes within a millionth of 1.
//
// It is our own because the quantile of gonum v0.17.0 fails for many degrees of
// freedom and a share near 1 (81.7 instead of 5.2 at 100 000 and 0.9999998).
func studentWithin(share float64, freedom int) float64 {
	t := 0.0
	for {
		within, density := studentShare(t, freedom)
		next := t + (share-within)/density
		if !(next > t) {
			return t
		}
		t = next
	}
}

// studentShare is the probability between −t and t, t ≥ 0, and its derivative.
//
// Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 26.7.3 and
// 26.7.4: a finite sum in cos²θ with tan θ = t/√ν, all of its terms positive.
func studentShare(t float64, freedom int) (within, density float64) {
	nu := float64(freedom)
	theta := math.Atan2(t, math.Sqrt(nu))
	sin, cos2 := math.Sin(theta), nu/(nu+t*t)
	term, first := 1.0, 2.0
	if freedom%2 == 1 {
		term, first = math.Sqrt(cos2), 3.0
	}
	// k runs over the divisors: 2, 4 … ν−2 for even ν, 3, 5 … ν−2 for odd.
	sum, lost := 0.0, 0.0
	for k := first; ; k += 2 {
		add := term - lost
		grown := sum + add
		lost = (grown - sum) - add
		sum = grown
		if k > nu-2 || term < sum*1e-20 {
			break
		}
		term *= cos2 * (k - 1) / k
	}
	switch within = sin * sum; {
	case freedom == 1:
		within = 2 / math.Pi * theta
	case freedom%2 == 1:
		within = 2 / math.Pi * (theta + within)
	}
	up, _ := math.Lgamma((nu + 1) / 2)
	down, _ := math.Lgamma(nu / 2)
	density = 2 * math.Exp(up-down-(nu+1)/2*math.Log1p(t*t/nu)) / math.Sqrt(nu*math.Pi)
	return within, density
}
