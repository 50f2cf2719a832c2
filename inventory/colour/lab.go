package colour

import (
	"math"

	"dyelot/inventory/fault"
)

// Lab is a colour in CIE 1976 L*a*b* (ISO/CIE 11664-4). L runs from 0 (black)
// to 100 (white); A is red above 0 and green below, B is yellow above 0 and
// blue below. It says nothing until its illuminant and observer are named: see
// View.
type Lab struct{ L, A, B float64 }

// LCh is the same colour by chroma and hue: C is the distance from grey (0 or
// more), H the hue angle in degrees from 0 up to but not including 360. A grey
// has no hue; its H reads 0.
type LCh struct{ L, C, H float64 }

// XYZ is a colour by CIE 1931 or 1964 tristimulus values, scaled so that a
// perfect white has Y = 100.
type XYZ struct{ X, Y, Z float64 }

// farthest bounds |a*|, |b*| and C*. No surface under these illuminants lies
// beyond about 200, so a larger number is a slip of the decimal point.
const farthest = 300

// radians is one degree.
const radians = math.Pi / 180

// Check refuses what is no colour of a surface: L* outside 0 to 100, a* or b*
// beyond ±300, NaN and infinities. The error is a fault.BadField on "l", "a"
// or "b".
func (c Lab) Check() error {
	return within(
		bound{"l", "L*", c.L, 0, 100},
		bound{"a", "a*", c.A, -farthest, farthest},
		bound{"b", "b*", c.B, -farthest, farthest},
	)
}

// Check refuses what is no colour of a surface: L* outside 0 to 100, C* outside
// 0 to 300, a hue angle outside 0 to 360, NaN and infinities. The error is a
// fault.BadField on "l", "c" or "h".
func (c LCh) Check() error {
	return within(
		bound{"l", "L*", c.L, 0, 100},
		bound{"c", "C*", c.C, 0, farthest},
		bound{"h", "the hue angle", c.H, 0, 360},
	)
}

// Check refuses what is no colour of a surface: X, Y or Z outside 0 to 200,
// NaN and infinities. The error is a fault.BadField on "x", "y" or "z".
func (c XYZ) Check() error {
	const most = 200 // perfect white is at most X 111 (A/10°), Y 100, Z 109 (D65/2°)
	return within(
		bound{"x", "X", c.X, 0, most},
		bound{"y", "Y", c.Y, 0, most},
		bound{"z", "Z", c.Z, 0, most},
	)
}

// bound is one number of a colour and the range it must lie in.
type bound struct {
	field, name   string
	value, lo, hi float64
}

func within(bounds ...bound) error {
	const rounding = 1e-9 // a perfect white computed from a spectrum is 100 give or take the last bits
	for _, b := range bounds {
		if !(b.value >= b.lo-rounding && b.value <= b.hi+rounding) { // written so that NaN fails
			return fault.BadField(b.field, "%s is %v, but it must be a number from %v to %v", b.name, b.value, b.lo, b.hi)
		}
	}
	return nil
}

// LCh returns the colour by chroma and hue angle.
func (c Lab) LCh() LCh {
	h := math.Atan2(c.B, c.A) / radians
	if h < 0 {
		h += 360
	}
	if h >= 360 || (c.A == 0 && c.B == 0) { // -1e-20 + 360 is 360; Atan2 gives a grey -0 or ±180 by its signs
		h = 0
	}
	return LCh{c.L, math.Sqrt(c.A*c.A + c.B*c.B), h}
}

// Lab returns the colour by its red-green and yellow-blue coordinates.
func (c LCh) Lab() Lab {
	sin, cos := math.Sincos(c.H * radians)
	return Lab{c.L, c.C * cos, c.C * sin}
}

// The two pieces of the CIE 1976 curve meet at t = (6/29)³ (CIE 015).
const (
	meet  = 6.0 / 29
	slope = 841.0 / 108
	lift  = 4.0 / 29
)

func compress(t float64) float64 {
	if t > meet*meet*meet {
		return math.Cbrt(t)
	}
	return slope*t + lift
}

func expand(f float64) float64 {
	if f > meet {
		return f * f * f
	}
	return (f - lift) / slope
}

// Lab returns the colour as seen by an eye at home in the given white (CIE 015).
// The white must belong to the same illuminant and observer.
func (c XYZ) Lab(white XYZ) Lab {
	x, y, z := compress(c.X/white.X), compress(c.Y/white.Y), compress(c.Z/white.Z)
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// XYZ returns the tristimulus values of the colour under the given white.
func (c Lab) XYZ(white XYZ) XYZ {
	y := (c.L + 16) / 116
	return XYZ{white.X * expand(y+c.A/500), white.Y * expand(y), white.Z * expand(y-c.B/200)}
}
