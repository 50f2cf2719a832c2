package depth

import (
	"fmt"
	"math"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
)

// Proposal is the dose that reaches a depth, in % WOF.
type Proposal struct {
	WOF       float64
	Low, High float64 // of the interval, never beyond the swatches
	// LowOpen and HighOpen: the interval goes on beyond the swatches there, and
	// how far nobody knows.
	LowOpen, HighOpen bool
	Confidence        float64
	Warnings          []Warning
}

const (
	// flat: where one per cent more depth takes more than three of dyestuff. On
	// the saturating form that is beyond two thirds of the depth that it bends
	// towards, where the slope is a ninth of what it began with.
	flat = 3.0
	// wide: a scatter of more than a tenth of the depth asked for can be seen.
	wide = 0.10
)

// Dose proposes the % WOF that reaches a K/S, with the interval of doses whose
// prediction band holds that K/S, at a confidence strictly between 0 and 1
// (0.95 is usual). For line and log that is Fieller's interval; for the
// saturating form the band is the delta method's. Errors: fault.Invalid naming
// target_ks or confidence; fault.Refused BEYOND_THE_SWATCHES, with the range.
func (f *Fit) Dose(target, confidence float64) (Proposal, error) {
	if !(target > 0) || math.IsInf(target, 0) {
		return Proposal{}, fault.BadField("target_ks", "%v is no depth: K/S above 0 is needed", target)
	}
	t, err := season.Student(confidence, len(f.Points)-2)
	if err != nil {
		return Proposal{}, err
	}
	c := f.Chosen
	p := Proposal{WOF: c.doseAt(target), Confidence: confidence}
	// The ends themselves are within, whatever the last bit says.
	const slack = 1e-9
	if !(p.WOF >= f.From*(1-slack) && p.WOF <= f.To*(1+slack)) {
		return Proposal{}, f.beyond(target)
	}
	p.WOF = min(max(p.WOF, f.From), f.To)
	p.Low, p.LowOpen = f.end(p.WOF, f.From, func(w float64) float64 { return c.KS(w) + t*c.spread(w) - target })
	p.High, p.HighOpen = f.end(p.WOF, f.To, func(w float64) float64 { return target - c.KS(w) + t*c.spread(w) })
	p.Warnings = f.mind(p, target)
	return p, nil
}

func (f *Fit) beyond(target float64) error {
	way := "deeper"
	if target < f.Chosen.KS(f.From) {
		way = "paler"
	}
	return fault.Refuse("BEYOND_THE_SWATCHES", "K/S %s is %s than these swatches: they go from %s to %s %% WOF, where the curve (%s) says K/S %s to %s; dye a %s swatch, nothing is guessed beyond them",
		Number(target), way, Dose(f.From), Dose(f.To), f.Chosen.Form, Number(f.Chosen.KS(f.From)), Number(f.Chosen.KS(f.To)), way).
		With("target_ks", Number(target)).With("from", Dose(f.From)+" % WOF").With("to", Dose(f.To)+" % WOF")
}

// end walks from the dose towards an end of the swatches until the target has
// left the band (gap falls to zero), and reads that place off exactly. Where it
// never leaves, the interval is open.
func (f *Fit) end(from, to float64, gap func(w float64) float64) (at float64, open bool) {
	const steps = 200
	inside := from
	for i := 1; i <= steps; i++ {
		w := from + (to-from)*float64(i)/steps
		if gap(w) > 0 {
			inside = w
			continue
		}
		outside := w
		for range 100 {
			middle := inside + (outside-inside)/2
			if gap(middle) > 0 {
				inside = middle
			} else {
				outside = middle
			}
		}
		return inside, false
	}
	return to, true
}

func (f *Fit) mind(p Proposal, target float64) []Warning {
	var ws []Warning
	if takes := target / (p.WOF * f.Chosen.Slope(p.WOF)); takes > flat {
		ws = append(ws, Warning{Key: "near-saturation", Limit: true,
			Text: fmt.Sprintf("the curve is nearly flat at K/S %s: one per cent more depth takes %s %% more dyestuff, and the fibre may be full", Number(target), Number(takes))})
	}
	if share := f.Chosen.ResidualSD / target; share > wide {
		ws = append(ws, Warning{Key: "wide-scatter", Limit: true,
			Text: fmt.Sprintf("the swatches scatter about the curve by K/S %s, which is %.0f %% of the depth asked for (above %.0f %% is much): look for one that is of another kind", Number(f.Chosen.ResidualSD), share*100, wide*100)})
	}
	if p.LowOpen || p.HighOpen {
		which := "below the palest"
		switch {
		case p.LowOpen && p.HighOpen:
			which = "below the palest and above the deepest"
		case p.HighOpen:
			which = "above the deepest"
		}
		ws = append(ws, Warning{Key: "open-interval", Text: "the interval goes on " + which + " of the swatches, by how much they do not say"})
	}
	return ws
}

// AtStrength is the dose of a harvest where a dose of the reference is known:
// reference × 100 / strength %. 648 at 90 % is 720.
func AtStrength(reference, strengthPercent float64) float64 { return reference * 100 / strengthPercent }

// Between is the interval in words, each end times a factor: "44 to 61", and
// where an end is open "20 or less, to 61".
func (p Proposal) Between(times float64) string {
	low, high, to := Dose(p.Low*times), Dose(p.High*times), " to "
	if p.LowOpen {
		low, to = low+" or less", ", to "
	}
	if p.HighOpen {
		high += " or more"
	}
	return low + to + high
}
