package depth

import (
	"math"
	"strings"

	"dyelot/inventory/fault"
)

const (
	// fewest swatches: a curve has two figures, and one that has nothing left
	// over to be wrong about foretells nothing.
	fewestSwatches = 4
	fewestDoses    = 3
	// mostSwatches: leaving each out in turn is work that grows with its square.
	mostSwatches = 500
)

// Fit is what swatches say of one dyestuff on one fibre after the same baths.
type Fit struct {
	Points []Point // from the lowest dose up
	Curves []Curve // all three forms, in the order of Forms
	// Chosen foretells a swatch that it has not seen best.
	Chosen Curve
	// From and To are the swatches' own doses, % WOF.
	From, To float64
}

// FitSwatches lays the three forms and takes the one with the smallest left-out
// error. Errors: fault.Invalid on swatches[i]; fault.Refused TOO_FEW_SWATCHES
// under four swatches or three doses, NO_RISE where K/S does not grow with the
// dose by any form.
func FitSwatches(swatches []Point) (*Fit, error) {
	if err := check("swatches", swatches); err != nil {
		return nil, err
	}
	switch n, d := len(swatches), doses(swatches); {
	case n < fewestSwatches || d < fewestDoses:
		return nil, fault.Refuse("TOO_FEW_SWATCHES", "%d %s at %d different %% WOF: a curve needs at least %d swatches at %d different doses", n, plural(n, "swatch", "swatches"), d, fewestSwatches, fewestDoses).
			With("swatches", Number(float64(n))).With("doses", Number(float64(d)))
	case n > mostSwatches:
		return nil, fault.BadField("swatches", "%d are more than the %d that are fitted at once: choose fewer", n, mostSwatches)
	}
	ps := sorted(swatches)
	f := &Fit{Points: ps, From: ps[0].WOF, To: ps[len(ps)-1].WOF}
	best := -1
	for i, form := range Forms() {
		c := lay(form, ps)
		c.LeftOutError = leftOut(form, ps)
		f.Curves = append(f.Curves, c)
		if c.Unfit == "" && (best < 0 || c.LeftOutError < f.Curves[best].LeftOutError*(1-1e-9)-1e-12) {
			best = i
		}
	}
	if best < 0 {
		var why []string
		for _, c := range f.Curves {
			why = append(why, string(c.Form)+": "+c.Unfit)
		}
		return nil, fault.Refuse("NO_RISE", "no curve fits these swatches (%s)", strings.Join(why, "; "))
	}
	f.Chosen = f.Curves[best]
	return f, nil
}

func lay(form Form, ps []Point) Curve {
	if form == Saturating {
		return fitSaturating(ps)
	}
	return fitLinear(form, ps)
}

// leftOut is the root mean square error in foretelling each swatch from the
// others.
func leftOut(form Form, ps []Point) float64 {
	others := make([]Point, 0, len(ps))
	sum := 0.0
	for i, p := range ps {
		others = append(append(others[:0], ps[:i]...), ps[i+1:]...)
		d := p.KS - lay(form, others).KS(p.WOF)
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(ps)))
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
