package season

import (
	"cmp"
	"math/big"

	"dyelot/inventory/fault"
)

// Line is a straight line fitted through points by least squares, such as the
// strength of a stored harvest over the months. The standard errors and the
// residual standard deviation have n − 2 degrees of freedom.
type Line struct {
	Intercept, Slope     float64
	InterceptSE, SlopeSE float64
	ResidualSD           float64
	RSquared             *float64 // nil where all y are the same, for there is nothing to explain

	// The exact values that the figures above are rounded from.
	slope, intercept *big.Rat
	variance         *big.Rat // of the residuals
	meanX, spreadX   *big.Rat // mean of x, Σ (x − mean)²
	points           int
}

// FitLine fits y = Intercept + Slope · x. It needs three points or more, and x
// must not be constant.
//
// All sums are exact: the points are scaled to whole numbers, and only the
// results are rounded, so that no set of points is ill-conditioned. The
// formulas are those of Draper & Smith, Applied Regression Analysis, ch. 1.
// Errors: fault.Invalid naming x or y.
func FitLine(x, y []*big.Rat) (*Line, error) {
	err := cmp.Or(each("x", x, present), each("y", y, present))
	switch {
	case err != nil:
		return nil, err
	case len(x) != len(y):
		return nil, fault.BadField("y", "%d values do not fit %d values of x", len(y), len(x))
	case len(x) < 3:
		return nil, fault.BadField("x", "%d points are too few for a line with its error, at least 3 are needed", len(x))
	}
	s := sumUp(x, y)
	if s.xx.Sign() == 0 {
		return nil, fault.BadField("x", "all values are %s: a line needs two different ones", shown(x[0]))
	}
	return s.line(), nil
}

// Predict returns what the line says at one x, and the interval in which one
// new reading there falls with the given confidence (strictly between 0 and 1;
// 0.95 is usual), by Student's t. Errors: fault.Invalid naming at or
// confidence.
func (l *Line) Predict(at *big.Rat, confidence float64) (predicted, low, high float64, err error) {
	if err := cmp.Or(present("at", at), share("confidence", confidence)); err != nil {
		return 0, 0, 0, err
	}
	y := new(big.Rat).Mul(l.slope, at)
	predicted = nearest(y.Add(y, l.intercept))
	half := studentWithin(confidence, l.points-2) * root(l.errorAt(at, 1))
	return predicted, predicted - half, predicted + half, nil
}

// errorAt is the variance of the line at x, with so many new readings added.
func (l *Line) errorAt(x *big.Rat, readings int64) *big.Rat {
	off := new(big.Rat).Sub(x, l.meanX)
	off.Mul(off, off).Quo(off, l.spreadX)
	off.Add(off, big.NewRat(1, int64(l.points))).Add(off, big.NewRat(readings, 1))
	return off.Mul(off, l.variance)
}

// pointSums are exact sums over n points: of the values, and n times the
// centred sums of squares and products.
type pointSums struct {
	n          int
	x, y       *big.Rat
	xx, xy, yy *big.Rat
}

func sumUp(x, y []*big.Rat) pointSums {
	xs, ofX := whole(x)
	ys, ofY := whole(y)
	var sx, sy, sxx, sxy, syy, product big.Int
	for i := range xs {
		sx.Add(&sx, xs[i])
		sy.Add(&sy, ys[i])
		sxx.Add(&sxx, product.Mul(xs[i], xs[i]))
		sxy.Add(&sxy, product.Mul(xs[i], ys[i]))
		syy.Add(&syy, product.Mul(ys[i], ys[i]))
	}
	n := big.NewInt(int64(len(xs)))
	centred := func(products, a, b, scaleA, scaleB *big.Int) *big.Rat {
		c := new(big.Int).Mul(n, products)
		c.Sub(c, new(big.Int).Mul(a, b))
		return new(big.Rat).SetFrac(c, new(big.Int).Mul(scaleA, scaleB))
	}
	return pointSums{
		n: len(xs),
		x: new(big.Rat).SetFrac(&sx, ofX), y: new(big.Rat).SetFrac(&sy, ofY),
		xx: centred(&sxx, &sx, &sx, ofX, ofX),
		xy: centred(&sxy, &sx, &sy, ofX, ofY),
		yy: centred(&syy, &sy, &sy, ofY, ofY),
	}
}

// whole scales fractions to whole numbers over one denominator.
func whole(fractions []*big.Rat) (numbers []*big.Int, of *big.Int) {
	of = commonDenominator(fractions)
	for _, r := range fractions {
		k := new(big.Int).Quo(of, r.Denom())
		numbers = append(numbers, k.Mul(k, r.Num()))
	}
	return numbers, of
}

func (s pointSums) line() *Line {
	n := big.NewRat(int64(s.n), 1)
	l := &Line{points: s.n}
	l.slope = new(big.Rat).Quo(s.xy, s.xx)
	l.meanX = new(big.Rat).Quo(s.x, n)
	l.spreadX = new(big.Rat).Quo(s.xx, n)
	l.intercept = new(big.Rat).Sub(new(big.Rat).Quo(s.y, n), new(big.Rat).Mul(l.slope, l.meanX))
	explained := new(big.Rat).Mul(l.slope, s.xy)
	l.variance = new(big.Rat).Sub(s.yy, explained)
	l.variance.Quo(l.variance, n.Mul(n, big.NewRat(int64(s.n-2), 1)))

	l.Intercept, l.Slope = nearest(l.intercept), nearest(l.slope)
	l.InterceptSE = root(l.errorAt(new(big.Rat), 0))
	l.SlopeSE = root(new(big.Rat).Quo(l.variance, l.spreadX))
	l.ResidualSD = root(l.variance)
	if s.yy.Sign() != 0 {
		r2 := nearest(explained.Quo(explained, s.yy))
		l.RSquared = &r2
	}
	return l
}

func nearest(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}

// root is the square root of a fraction that is not negative, right to the last
// digit of a float64 or the one before it.
func root(r *big.Rat) float64 {
	if r.Sign() == 0 {
		return 0
	}
	f, _ := new(big.Float).Sqrt(new(big.Float).SetPrec(128).SetRat(r)).Float64()
	return f
}
