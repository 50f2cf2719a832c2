package depth

import "math"

// fitLinear lays a line through K/S against w or ln w, by centred sums.
func fitLinear(f Form, ps []Point) Curve {
	c := Curve{Form: f, n: len(ps)}
	meanKS := 0.0
	for _, p := range ps {
		c.centre += f.axis(p.WOF) / float64(len(ps))
		meanKS += p.KS / float64(len(ps))
	}
	sxx, sxy := 0.0, 0.0
	for _, p := range ps {
		x := f.axis(p.WOF) - c.centre
		sxx += x * x
		sxy += x * (p.KS - meanKS)
	}
	c.B = sxy / sxx
	c.A = meanKS - c.B*c.centre
	c.c00, c.c11 = 1/float64(len(ps)), 1/sxx
	c.ResidualSD = scatter(c, ps)
	if !(c.B > 0) {
		c.Unfit = "K/S does not rise with the dose"
	}
	return c
}

// scatter is the residual standard deviation, for two fitted figures.
func scatter(c Curve, ps []Point) float64 {
	if len(ps) <= 2 {
		return 0
	}
	return math.Sqrt(squares(c, ps) / float64(len(ps)-2))
}

func squares(c Curve, ps []Point) (sum float64) {
	for _, p := range ps {
		d := p.KS - c.KS(p.WOF)
		sum += d * d
	}
	return sum
}

// beyond is how far outside the swatches' doses the half-way dose of the
// saturating form is looked for. Further up the curve is a line through nothing,
// further down it is level: neither bends within the swatches.
const beyond = 1000

// fitSaturating lays K/S = m·w/(h + w) through swatches. For each h the best m
// follows by itself, so one figure is searched: by a ladder of h, so that the
// lowest valley is found, then by golden section, then Gauss and Newton's steps
// on both figures while they still gain.
func fitSaturating(ps []Point) Curve {
	low, high := math.Inf(1), 0.0
	for _, p := range ps {
		low, high = min(low, p.WOF), max(high, p.WOF)
	}
	bottom, top := math.Log(low/beyond), math.Log(high*beyond)
	at := func(lnH float64) Curve { return withHalf(math.Exp(lnH), ps) }
	const rungs = 60
	step := (top - bottom) / rungs
	best := bottom
	for i := 1; i <= rungs; i++ {
		if u := bottom + step*float64(i); squares(at(u), ps) < squares(at(best), ps) {
			best = u
		}
	}
	best = golden(func(u float64) float64 { return squares(at(u), ps) }, max(best-step, bottom), min(best+step, top))
	c := polish(at(best), ps)
	switch {
	case math.Log(c.B) > top-step:
		c.Unfit = "K/S does not bend within these swatches"
	case math.Log(c.B) < bottom+step:
		c.Unfit = "K/S does not rise with the dose"
	}
	c.ResidualSD = scatter(c, ps)
	c.c00, c.c01, c.c11 = covariance(c, ps)
	return c
}

// withHalf is the best saturating curve of a given half-way dose.
func withHalf(h float64, ps []Point) Curve {
	gy, gg := 0.0, 0.0
	for _, p := range ps {
		g := p.WOF / (h + p.WOF)
		gy += g * p.KS
		gg += g * g
	}
	return Curve{Form: Saturating, A: gy / gg, B: h, n: len(ps)}
}

func golden(of func(float64) float64, a, b float64) float64 {
	const ratio = 0.6180339887498949 // (√5 − 1)/2
	x, y := b-ratio*(b-a), a+ratio*(b-a)
	fx, fy := of(x), of(y)
	for range 60 { // 0.618^60 is 3e-13 of the first width
		if fx < fy {
			b, y, fy = y, x, fx
			x = b - ratio*(b-a)
			fx = of(x)
		} else {
			a, x, fx = x, y, fy
			y = a + ratio*(b-a)
			fy = of(y)
		}
	}
	return (a + b) / 2
}

// polish takes Gauss and Newton's steps until one gains nothing.
func polish(c Curve, ps []Point) Curve {
	for range 20 {
		c00, c01, c11 := covariance(c, ps)
		r0, r1 := 0.0, 0.0
		for _, p := range ps {
			g0, g1 := c.gradient(p.WOF)
			d := p.KS - c.KS(p.WOF)
			r0 += g0 * d
			r1 += g1 * d
		}
		next := c
		next.A += c00*r0 + c01*r1
		next.B += c01*r0 + c11*r1
		if !(next.B > 0) || !(squares(next, ps) < squares(c, ps)) {
			return c
		}
		c = next
	}
	return c
}

// covariance is the inverse of JᵀJ; the curve's variance times it is that of its
// two figures.
func covariance(c Curve, ps []Point) (c00, c01, c11 float64) {
	a, b, d := 0.0, 0.0, 0.0
	for _, p := range ps {
		g0, g1 := c.gradient(p.WOF)
		a += g0 * g0
		b += g0 * g1
		d += g1 * g1
	}
	det := a*d - b*b
	return d / det, -b / det, a / det
}
