package colour

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The proof of facing, tried: for cells of every size and place, seen from
// everywhere, no colour of a cell is nearer than its floor, and none nearer than
// the sieve says; and both stay within the slack that Find allows for rounding.
func TestNoColourIsNearerThanItsCell(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(2005, 7))
	for range 30_000 {
		seeds, labs := someCell(r)
		least, most := extent(seeds)
		x := cellAround(least, most)
		q := someColour(r)
		switch r.IntN(4) {
		case 0: // from within
			q = labs[0]
		case 1: // from across the grey axis, or nearly
			p := labs[0].LCh()
			q = LCh{q.L, q.LCh().C, p.H + 180 + math.Pow(10, -12*r.Float64())*r.NormFloat64()}.Lab()
		}
		if q.Check() != nil {
			continue
		}
		from := ask(q)
		floor, sieve := from.floor(&x, math.Inf(1)), from.sieve(&x)
		for _, p := range labs {
			d := CIEDE2000(q, p)
			if !(floor <= d*d*(1+1e-9)+1e-10) {
				t.Fatalf("%v is %v from %v, but its cell %+v at least %v", p, d, q, x, math.Sqrt(floor))
			}
			if s := sieve.floor(p); !(s <= d*d*(1+1e-9)+1e-10) {
				t.Fatalf("%v is %v from %v, but by the sieve of %+v at least %v", p, d, q, x, math.Sqrt(s))
			}
		}
	}
}

// A bound of 0 would hold too: for cells of a single colour it must come near.
// Over the blues the hue and the rotation blur it.
func TestTheBoundIsTight(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(2005, 8))
	const pairs = 20_000
	var close int
	for range pairs {
		p, q := someColour(r), someColour(r)
		at := [3]float64{p.L, p.LCh().C, p.LCh().H * radians}
		x := cellAround(at, at)
		from := ask(q)
		if math.Sqrt(from.floor(&x, math.Inf(1))) > 0.97*CIEDE2000(q, p) {
			close++
		}
	}
	if close < pairs*4/5 {
		t.Errorf("the bound comes within 3 %% for %d of %d pairs only", close, pairs)
	}
}

// someCell is some colours around one of them, spread by anything from nothing
// to everything in each of lightness, chroma and hue.
func someCell(r *rand.Rand) (seeds []seed, labs []Lab) {
	middle := someColour(r).LCh()
	wide := func(most float64) float64 { return most * math.Pow(10, -7*r.Float64()) }
	l, c, h := wide(50), wide(80), wide(200)
	for len(labs) < 12 {
		p := LCh{
			L: min(max(middle.L+l*r.NormFloat64(), 0), 100),
			C: math.Abs(middle.C + c*r.NormFloat64()),
			H: middle.H + h*r.NormFloat64(),
		}.Lab()
		if p.Check() != nil {
			p = middle.Lab()
		}
		at := p.LCh()
		labs = append(labs, p)
		seeds = append(seeds, seed{at: [3]float64{at.L, at.C, at.H * radians}})
	}
	return seeds, labs
}

// someColour favours what is awkward: greys, the blues around 275°, hues by 0° and
// the axes, the chromas around 25 where a* is stretched by most or least, and the
// limits of Check.
func someColour(r *rand.Rand) Lab {
	c := Lab{100 * r.Float64(), 200*r.Float64() - 100, 200*r.Float64() - 100}
	switch r.IntN(8) {
	case 0:
		c.A, c.B = c.A*1e-3, c.B*1e-3
	case 1:
		c = LCh{c.L, 100 * r.Float64(), 275 + 20*r.NormFloat64()}.Lab()
	case 2:
		c = LCh{c.L, 100 * r.Float64(), float64(90*r.IntN(4)) + 2*r.NormFloat64()}.Lab()
	case 3:
		c = LCh{c.L, 50 * r.Float64(), 360 * r.Float64()}.Lab()
	case 4:
		c.A, c.B = 3*c.A, 3*c.B
	case 5:
		c = Lab{float64(100 * r.IntN(2)), float64(r.IntN(3) - 1), float64(r.IntN(3) - 1)}
	}
	return c
}
