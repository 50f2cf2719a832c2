package depth

import "math"

// Form is a way in which K/S grows with the dose.
type Form string

// The forms, in the order in which they are preferred where none foretells
// better.
const (
	Line       Form = "line"       // K/S = A + B·w
	Log        Form = "log"        // K/S = A + B·ln w
	Saturating Form = "saturating" // K/S = A·w/(B + w)
)

// Forms lists them in that order.
func Forms() []Form { return []Form{Line, Log, Saturating} }

// Curve is one form laid through swatches by least squares.
type Curve struct {
	Form Form
	// A and B are the form's own: intercept and slope of line and log; the depth
	// that the saturating form bends towards, and the % WOF half way there.
	A, B float64
	// ResidualSD is the scatter of the swatches about the curve, in K/S, with
	// n − 2 degrees of freedom.
	ResidualSD float64
	// LeftOutError is the root mean square of what each swatch differs, in K/S,
	// from the curve through all the others.
	LeftOutError float64
	// Unfit says why the form cannot be taken; empty where it can.
	Unfit string

	n      int
	centre float64 // mean of w or of ln w, which keeps the covariance diagonal
	// inverse of JᵀJ at the fit, J by what gradient returns
	c00, c01, c11 float64
}

// axis is what the dose of a linear form is counted in.
func (f Form) axis(w float64) float64 {
	if f == Log {
		return math.Log(w)
	}
	return w
}

// KS is what the curve says of a dose in % WOF.
func (c Curve) KS(w float64) float64 {
	if c.Form == Saturating {
		return c.A * w / (c.B + w)
	}
	return c.A + c.B*c.Form.axis(w)
}

// Slope is K/S a per cent WOF, at a dose.
func (c Curve) Slope(w float64) float64 {
	switch c.Form {
	case Saturating:
		return c.A * c.B / ((c.B + w) * (c.B + w))
	case Log:
		return c.B / w
	}
	return c.B
}

// doseAt is the dose at which the curve reaches a depth; +Inf where it never
// does.
func (c Curve) doseAt(ks float64) float64 {
	switch c.Form {
	case Saturating:
		if ks >= c.A {
			return math.Inf(1)
		}
		return c.B * ks / (c.A - ks)
	case Log:
		return math.Exp((ks - c.A) / c.B)
	}
	return (ks - c.A) / c.B
}

// gradient is how the curve at a dose moves with its two figures; those of a
// linear form are its height at the centre and its slope.
func (c Curve) gradient(w float64) (g0, g1 float64) {
	if c.Form == Saturating {
		return w / (c.B + w), -c.A * w / ((c.B + w) * (c.B + w))
	}
	return 1, c.Form.axis(w) - c.centre
}

// spread is the standard deviation of one new swatch of a dose about the curve:
// s·√(1 + gᵀ(JᵀJ)⁻¹g). It is exact for line and log and the delta method's for the
// saturating form (Bates & Watts, Nonlinear Regression Analysis, ch. 2).
func (c Curve) spread(w float64) float64 {
	g0, g1 := c.gradient(w)
	return c.ResidualSD * math.Sqrt(1+g0*g0*c.c00+2*g0*g1*c.c01+g1*g1*c.c11)
}

// Words is the curve as one would write it down.
func (c Curve) Words() string {
	a, b := Number(c.A), Number(c.B)
	switch c.Form {
	case Saturating:
		return "K/S = " + a + " · w/(" + b + " + w)"
	case Log:
		return "K/S = " + a + signed(c.B) + " · ln w"
	}
	return "K/S = " + a + signed(c.B) + " · w"
}

func signed(v float64) string {
	if v < 0 {
		return " − " + Number(-v)
	}
	return " + " + Number(v)
}
