package colour

import "math"

// grey is the product of two chromas below which one of them has no hue: the
// hue difference ΔH could then be 2e-15 at most.
const grey = 1e-30

// opposite is how near to half a turn two hues count as exactly opposite,
// relative to their product: the rounding of two products of decimals.
const opposite = 1e-15

// hues is how two colours stand to each other around the grey axis.
type hues struct {
	step     float64 // ΔH = 2·√(C₁C₂)·sin(Δh/2), above 0 where the second angle is larger by the shorter way
	cos, sin float64 // the direction of the mean hue
}

// turn compares the hues of x and y, whose a* are stretched by g and whose
// chromas after that are c1 and c2, with c1·c2 > grey. It needs no angle: the
// mean hue is the bisector of the two directions and ΔH follows from their dot
// and cross products (Sève, Color Res. Appl. 16 (1991) 217–218, from memory), so
// that nothing has to be wrapped at 0° or 360°.
//
// Half a turn apart both ways round are equal. Sharma, Wu & Dalal (2005) take
// there the half-sum of the two angles as they stand in 0 to 360; their pairs
// 10 and 14 depend on it.
func turn(x, y Lab, c1, c2, g float64) hues {
	a1, a2 := x.A*g, y.A*g
	p := c1 * c2
	dot := a1*a2 + x.B*y.B
	// The conversions keep a compiler from fusing product and difference, which
	// would leave a residue where the two products are equal.
	cross := float64(a1*y.B) - float64(a2*x.B)

	if dot > -0.99*p { // up to 172°: the bisector is the sum of the directions
		q := p + dot
		n := 1 / math.Sqrt(2*p*q)
		return hues{
			step: cross * math.Sqrt(2/q),
			cos:  (a1*c2 + a2*c1) * n,
			sin:  (x.B*c2 + y.B*c1) * n,
		}
	}
	// Beyond, that sum fades to nothing: it is the normal of their difference, on
	// the side of the shorter way.
	q := p - dot
	n := 1 / math.Sqrt(2*p*q)
	cos, sin := (y.B*c1-x.B*c2)*n, (a1*c2-a2*c1)*n
	// At half a turn the half-sum of two angles in 0 to 360 lies from 90 to 270.
	tie := math.Abs(cross) <= opposite*p
	if cross < 0 && !tie || tie && (cos > 0 || cos == 0 && sin < 0) {
		return hues{step: -math.Sqrt(2 * q), cos: -cos, sin: -sin}
	}
	return hues{step: math.Sqrt(2 * q), cos: cos, sin: sin}
}
