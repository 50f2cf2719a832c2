package colour

import "math"

// asked is a colour asked for.
type asked struct {
	lab  Lab
	c, h float64 // its chroma, and its hue in radians
}

func ask(q Lab) asked {
	p := q.LCh()
	return asked{q, p.C, p.H * radians}
}

// facing is what holds for every colour p of a cell as seen from q, so that
// CIEDE2000 from q to any of them has a bound. With the names of Sharma, Wu &
// Dalal (2005), g for 1 + G, h for hues and C for chromas before a* is stretched
// by g, and C′ after it,
//
//	CIEDE2000² = (ΔL/S_L)² + (ΔC′/S_C)² + (ΔH′/S_H)² + R_T (ΔC′/S_C)(ΔH′/S_H)
//
// The proof takes the parts one by one.
//
// Lightness. With m = L̄ − 50, S_L = 1 + 0.015 m²/√(20+m²), and |dS_L/dm| < 0.0164.
// ΔL/S_L grows with p's L all the way from 0 to 100: its derivative has the sign
// of S_L − ΔL/2·dS_L/dm ≥ 1 − 50·0.0164 > 0. So |ΔL/S_L| is least where the cell
// comes nearest to q's L.
//
// Chroma. g = 1.5 − √s/2 with s = C̄⁷/(C̄⁷+25⁷) depends on p through C alone and
// falls as C grows; C̄·|dg/dC̄| = 1.75 √s (1−s) ≤ 1.75·2/(3√3) < 0.68. Let p move
// outwards with its hue kept. Its C′ is C·w, w² = 1 + (g²−1) cos² h. As
// g cos² h/w ≤ w/g and C/2 ≤ C̄, dC′/dC = w − C·g cos² h/w·|dg/dC| ≥
// w (1 − C̄·|dg/dC̄|) > 0, while q's own C′ falls with g. So ΔC′, p's less q's,
// grows with C. It is no less than at the near side, with g as it is there and the
// least cos² h, and no more than at the far side, with g as it is there and the
// most cos² h. Last, as C̄′ = C′q + ΔC′/2, the weighted ΔC′/(1 + 0.045 (C′q + ΔC′/2))
// grows with ΔC′ and shrinks as C′q grows; and C′q is no more than at the near side.
//
// Hue. ΔH′² = 2 (C′q C′p − q′·p′) is, with u = g² and (a1, b1) and (a2, b2) for the two,
// 2√(u a1² + b1²)√(u a2² + b2²) − 2 (u a1a2 + b1b2); its derivative by u is
// a1² C′2/C′1 + a2² C′1/C′2 − 2 a1a2 ≥ 2|a1a2| − 2 a1a2 ≥ 0. So it is no less than
// with g as at the far side. With one g for all it is C′q C′p times the square of the
// chord between the two directions. The chord is least at one end of the arc of
// hues, since stretching keeps the order of directions around the circle, and C′p
// is C·w. The divisor S_H = 1 + 0.015 C̄′ T is no more than α + βC, with β from the most
// of w and T. C/(α+βC)² rises up to C = α/β and falls from there, so that within
// the cell it is least at the near or at the far side.
//
// Mean hue. Stretching turns no hue by more than asin((g−1)/(g+1)) ≤ 0.51 (g−1),
// and two hues less than half a turn apart stay so. So h̄′ lies half way from q's
// hue to the arc, give or take that much; there the most of T and |R_T| are looked
// up. Where the shorter way may be either, the most of the whole circle serves.
//
// Rotation. R_T ≤ 0, so it takes away only where ΔC′ and ΔH′ agree in sign, and
// stretching keeps the sign of ΔH′. How much it takes see least.
type facing struct {
	c, h  float64 // |ΔC′/S_C| and |ΔH′/S_H| are no less
	twist float64 // |R_T| is no more, or else R_T adds to the difference

	gFar, gNear     float64 // 1 + G is no less and no more
	ownFar, ownNear float64 // q's C′ by these
	mean            float64 // C̄′ is no more
	weight          float64 // T is no more
}

// face looks at a cell from q.
func (q *asked) face(x *cell) (f facing) {
	near, far := float64(x.c[0]), float64(x.c[1])
	f.gNear = 1.5 - 0.5*math.Sqrt(saturation(0.5*(q.c+near)))
	f.gFar = 1.5 - 0.5*math.Sqrt(saturation(0.5*(q.c+far)))
	f.ownNear, f.ownFar = q.stretched(f.gNear), q.stretched(f.gFar)
	inner := near*widened(f.gNear, x.square[0]) - f.ownNear
	outer := far*widened(f.gFar, x.square[1]) - f.ownFar
	f.mean = f.ownNear + 0.5*outer
	step := max(inner, min(outer, 0)) // what of ΔC′ is nearest to 0
	f.c = math.Abs(step / (1 + 0.045*(f.ownNear+0.5*step)))

	w := q.way(x, f.gNear)
	f.weight = w.weight
	if !w.same && near*q.c > 1e-12 { // with less there is no hue to differ in
		chord := f.ownFar * widened(f.gFar, x.square[0]) * q.opening(x, f.gFar, f.ownFar)
		half := 0.0075 * w.weight
		alpha, beta := 1+half*f.ownNear, half*widened(f.gNear, x.square[1])
		share := near / ((alpha + beta*near) * (alpha + beta*near))
		if beta*far > alpha {
			share = min(share, far/((alpha+beta*far)*(alpha+beta*far)))
		}
		f.h = math.Sqrt(chord * share)
	}
	if w.twist > 0 && w.turn*step >= 0 {
		f.twist = 2 * w.twist * math.Sqrt(saturation(f.mean))
	}
	return f
}

// least is the least of c² + h² − twist·c·h for c and h no less than f's. By itself
// each is best at twist/2 of the other, if it may go so low.
func (f *facing) least() float64 {
	c, h := f.c, f.h
	if f.twist > 0 {
		c, h = max(c, 0.5*f.twist*h), max(h, 0.5*f.twist*c)
	}
	return c*c + h*h - f.twist*c*h
}

// floor is a number that CIEDE2000² from q to no colour of the cell falls below,
// but for rounding. Once it is more than enough it is not raised further.
func (q *asked) floor(x *cell, enough float64) float64 {
	to := min(max(q.lab.L, float64(x.l[0])), float64(x.l[1]))
	l := (to - q.lab.L) / lightnessWeight(q.lab.L, to)
	if l*l > enough {
		return l * l
	}
	f := q.face(x)
	return l*l + f.least()
}

// sieve is a bound for single colours of a cell, at a tenth of the cost of
// CIEDE2000. By the proof of facing, with what differs little within the cell
// taken at its worst: S_L, which is the greater the farther L̄ is from 50; S_C and S_H;
// the rotation, which leaves at least 1 − |R_T|/2 of c² + h²; and g, which makes a
// colour's C′ at least what it is by gFar and at most gNear/gFar times that.
type sieve struct {
	q                      Lab
	square, spread         float64 // gFar², gNear/gFar
	ownFar, ownNear        float64
	lightness, chroma, hue float64 // what ΔL², ΔC′² and ΔH′² count
}

func (q *asked) sieve(x *cell) sieve {
	f := q.face(x)
	sl := max(lightnessWeight(q.lab.L, float64(x.l[0])), lightnessWeight(q.lab.L, float64(x.l[1])))
	sc, sh := 1+0.045*f.mean, 1+0.015*f.mean*f.weight
	rest := 1 - 0.5*f.twist
	return sieve{
		q: q.lab, square: f.gFar * f.gFar, spread: f.gNear / f.gFar, ownFar: f.ownFar, ownNear: f.ownNear,
		lightness: 1 / (sl * sl), chroma: rest / (sc * sc), hue: rest / (sh * sh),
	}
}

// floor is a number that CIEDE2000² from q to p does not fall below, but for
// rounding.
func (s *sieve) floor(p Lab) float64 {
	a := s.square * p.A
	c := math.Sqrt(a*p.A + p.B*p.B)
	l := p.L - s.q.L
	step := max(c-s.ownNear, min(c*s.spread-s.ownFar, 0))
	turn := 2 * (c*s.ownFar - a*s.q.A - p.B*s.q.B)
	return s.lightness*l*l + s.chroma*step*step + s.hue*turn
}

// lightnessWeight is S_L.
func lightnessWeight(x, y float64) float64 {
	m := 0.5*(x+y) - 50
	m *= m
	return 1 + 0.015*m/math.Sqrt(20+m)
}

// stretched is q's chroma with a* stretched by g.
func (q *asked) stretched(g float64) float64 {
	a := q.lab.A * g
	return math.Sqrt(a*a + q.lab.B*q.lab.B)
}

// widened is by how much a chroma grows when a* is stretched by g, for a hue
// whose cosine has this square.
func widened(g float64, square float32) float64 {
	return math.Sqrt(1 + (g*g-1)*float64(square))
}

// opening is the square of the chord between the direction of q and the nearer
// end of the cell's hues on the unit circle, a* stretched by g; own is q's chroma
// after that.
func (q *asked) opening(x *cell, g, own float64) float64 {
	least := 4.0
	for end := range x.cos {
		cos, sin := g*float64(x.cos[end]), float64(x.sin[end])
		p := own * math.Sqrt(cos*cos+sin*sin)
		dot := g*q.lab.A*cos + q.lab.B*sin
		square := 2 * (p - dot) / p
		if dot > 0 { // the same, without the difference of near equals
			cross := g*q.lab.A*sin - q.lab.B*cos
			square = 2 * cross * cross / (p * (p + dot))
		}
		least = min(least, square)
	}
	return least
}
