package colour

import "math"

// CIEDE2000 is the CIE 2000 colour difference with weights 1:1:1 (ISO/CIE
// 11664-6; Sharma, Wu & Dalal, Color Res. Appl. 30 (2005) 21–30): 0 for the
// same colour, about 1 where a trained eye begins to see it. It is symmetric
// and allocates nothing. It is defined for what Check accepts, and stays finite
// as long as every coordinate is below 1e40.
//
// The published text measures hue angles in degrees. This computes the same
// from directions (turn), so that of a dozen trigonometric calls one arctangent
// and one exponential are left, and those only for the hues around blue.
func CIEDE2000(x, y Lab) float64 {
	// a* is stretched near the grey axis, where C̄ is small.
	g := 1.5 - 0.5*math.Sqrt(saturation(0.5*(chroma(x)+chroma(y))))
	a1, a2 := x.A*g, y.A*g
	c1, c2 := math.Sqrt(a1*a1+x.B*x.B), math.Sqrt(a2*a2+y.B*y.B)
	mean := 0.5 * (c1 + c2)

	fromMid := 0.5*(x.L+y.L) - 50
	fromMid *= fromMid
	root := math.Sqrt(20 + fromMid)
	l := (y.L - x.L) * root / (root + 0.015*fromMid)
	c := (c2 - c1) / (1 + 0.045*mean)
	if c1*c2 <= grey { // no hue to differ in
		return math.Sqrt(l*l + c*c)
	}
	t := turn(x, y, c1, c2, g)
	h := t.step / (1 + 0.015*mean*hueWeight(t.cos, t.sin))

	sum := l*l + c*c + h*h + rotation(t.cos, t.sin, mean)*c*h
	return math.Sqrt(max(sum, 0)) // rounding alone could take it below 0
}

// saturation is C⁷/(C⁷ + 25⁷): 0 at grey, a half at C = 25, then soon 1.
func saturation(c float64) float64 {
	c2 := c * c
	c7 := c2 * c2 * (c2 * c)
	return c7 / (c7 + 25*25*25*25*25*25*25)
}

// The cosines and sines of the four angles in the published T, and of 275°.
var (
	cos30, sin30   = math.Cos(30 * radians), math.Sin(30 * radians)
	cos6, sin6     = math.Cos(6 * radians), math.Sin(6 * radians)
	cos63, sin63   = math.Cos(63 * radians), math.Sin(63 * radians)
	cos275, sin275 = math.Cos(275 * radians), math.Sin(275 * radians)
)

// hueWeight is T = 1 − 0.17 cos(h−30°) + 0.24 cos 2h + 0.32 cos(3h+6°) −
// 0.20 cos(4h−63°), from the cosine and sine of h by the addition theorems.
func hueWeight(cos, sin float64) float64 {
	c2, s2 := 2*cos*cos-1, 2*sin*cos
	c3, s3 := cos*(2*c2-1), sin*(2*c2+1)
	c4, s4 := 2*c2*c2-1, 2*s2*c2
	return 1 - 0.17*(cos*cos30+sin*sin30) + 0.24*c2 +
		0.32*(c3*cos6-s3*sin6) - 0.20*(c4*cos63+s4*sin63)
}

// rotation is R_T = −sin 2Δθ · R_C, which ties chroma and hue together in the
// blues around 275°. Beyond 120° from there it is below 3e-10 and taken as 0, so
// that reds, yellows and greens pay for no exponential. The published text takes
// the mean hue from 0 to 360 and does not wrap: a red of 1° is 274° away, not 86°.
func rotation(cos, sin, chroma float64) float64 {
	near := cos*cos275 + sin*sin275
	if near < -0.5 || (cos > 0 && sin >= 0) {
		return 0
	}
	// The tangent of half the angle from 275° gives the angle in 25°.
	away := math.Atan((sin*cos275-cos*sin275)/(1+near)) / (12.5 * radians)
	twice := 60 * radians * math.Exp(-away*away) // 2Δθ, at most 60°
	return -2 * math.Sqrt(saturation(chroma)) * shortSine(twice)
}

// shortSine is sin x for 0 ≤ x ≤ π/3 by its power series up to x¹¹, good to
// 3e-10: the library's sine takes any angle and pays for it with branches.
func shortSine(x float64) float64 {
	s := x * x
	return x * (1 - s*(1.0/6-s*(1.0/120-s*(1.0/5040-s*(1.0/362880-s*(1.0/39916800))))))
}
