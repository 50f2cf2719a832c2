package colour

import "math"

// CMC is the CMC(l:c) difference of a sample from its standard (ISO 105-J03),
// about 1 where a colour matcher begins to say no. It weighs by the standard's
// own lightness, chroma and hue, so that swapping the two changes the answer.
// It is defined for what Check accepts.
func CMC(standard, sample Lab, ratio Ratio) float64 {
	d := Between(standard, sample)
	sl, sc, sh := ellipsoid(standard.LCh())
	l, c, h := d.L/(ratio.L*sl), d.C/(ratio.C*sc), d.H/sh
	return math.Sqrt(l*l + c*c + h*h)
}

// ellipsoid returns the half-axes, in ΔL*, ΔC*ab and ΔH*ab, of what still looks
// like the standard.
func ellipsoid(s LCh) (sl, sc, sh float64) {
	sl = 0.511
	if s.L >= 16 {
		sl = 0.040975 * s.L / (1 + 0.01765*s.L)
	}
	sc = 0.0638*s.C/(1+0.0131*s.C) + 0.638

	t := 0.36 + math.Abs(0.4*math.Cos((s.H+35)*radians))
	if s.H >= 164 && s.H <= 345 {
		t = 0.56 + math.Abs(0.2*math.Cos((s.H+168)*radians))
	}
	c4 := s.C * s.C * s.C * s.C
	f := math.Sqrt(c4 / (c4 + 1900))
	return sl, sc, sc * (t*f + 1 - f)
}
