package depth

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Measured is a trial with the spectra that its depth is read from.
type Measured struct {
	Trial
	Dyed, Undyed colour.Spectrum
	// OwnGround: its undyed cloth was read with it.
	OwnGround bool
	// Point is its dose as so much of the reference, by the strength of its
	// harvest where the books know that, and its K/S once At has read it.
	Point Point
}

// Measure takes the trials that have a dose and can be read, and says of the
// others why not. given stands for undyed cloth that was not read with its
// swatch; nil where there is none.
func Measure(trials []Trial, given *colour.Spectrum) (ms []Measured, passed []Passed) {
	for _, t := range trials {
		m, why := measure(t, given)
		if why != "" {
			passed = append(passed, Passed{t, why})
			continue
		}
		ms = append(ms, m)
	}
	return ms, passed
}

func measure(t Trial, given *colour.Spectrum) (m Measured, why string) {
	m.Trial = t
	switch {
	case t.WOF <= 0:
		return m, "no % WOF is written of it"
	case t.Read == nil:
		return m, "it was never read as a spectrum"
	case t.Ground == nil && given == nil:
		return m, "its undyed cloth was not read, and none was given"
	}
	var err error
	if m.Dyed, err = t.Read.Spectrum("spectrum"); err != nil {
		return m, say(err)
	}
	if t.Ground == nil {
		m.Undyed = *given
	} else if m.Undyed, err = t.Ground.Spectrum("ground"); err != nil {
		return m, "undyed: " + say(err)
	} else {
		m.OwnGround = true
	}
	m.Point.WOF = percent(t.WOF)
	if t.Strength > 0 {
		m.Point.WOF *= percent(t.Strength) / 100
	}
	return m, ""
}

func say(err error) string {
	if f, ok := fault.Of(err); ok {
		return f.Say
	}
	return err.Error()
}

// percent is a figure per cent as a number.
func percent(p quantity.Percent) float64 { return float64(p) / float64(quantity.WholePercent(1)) }

// Percent is a number per cent as an exact figure, to 0.0001 %; beyond a million
// times full strength, which only the end of an interval can be, it is that.
func Percent(v float64) quantity.Percent {
	return quantity.Percent(math.RoundToEven(min(v, 1e8) * float64(quantity.WholePercent(1))))
}

// Common is from where to where, in nm, every measured swatch and its undyed
// cloth were read.
func Common(ms []Measured) (from, to float64) {
	to = math.Inf(1)
	for _, m := range ms {
		for _, s := range []colour.Spectrum{m.Dyed, m.Undyed} {
			first, last := s.Range()
			from, to = max(from, first), min(to, last)
		}
	}
	return from, to
}

// At reads the K/S of each swatch over its undyed cloth at a wavelength. One
// that is no deeper than undyed cloth there is passed over.
func At(ms []Measured, nm float64) (read []Measured, passed []Passed) {
	for _, m := range ms {
		ks, err := m.Dyed.KSOver(m.Undyed, nm)
		switch {
		case err != nil:
			passed = append(passed, Passed{m.Trial, say(err)})
			continue
		case !(ks > 0):
			passed = append(passed, Passed{m.Trial, fmt.Sprintf("at %v nm it is no deeper than undyed cloth", nm)})
			continue
		}
		m.Point.KS = ks
		read = append(read, m)
	}
	return read, passed
}

// Mixed warns where swatches that stand on one curve differ in what a curve does
// not hold: the strength of a mordant, the harvest, the part of the plant.
func Mixed(ms []Measured) (ws []Warning) {
	var unknown, harvests, parts []string
	for _, m := range ms {
		if m.Parcel != "" && !slices.Contains(harvests, m.Parcel) {
			harvests = append(harvests, m.Parcel)
		}
		if m.Strength == 0 {
			unknown = append(unknown, m.Code)
		}
		if m.Part != "" && !slices.Contains(parts, m.Part) {
			parts = append(parts, m.Part)
		}
	}
	for i := range ms[0].Baths {
		low, high := ms[0].Baths[i].WOF, ms[0].Baths[i].WOF
		for _, m := range ms {
			low, high = min(low, m.Baths[i].WOF), max(high, m.Baths[i].WOF)
		}
		if low != high && low > 0 {
			ws = append(ws, Warning{Key: "mordant-differs", Text: fmt.Sprintf("the swatches had %s to %s of %s: a curve through them takes that for scatter", low, high, after([]string{ms[0].Baths[i].Substance}))})
		}
	}
	if len(harvests) > 1 && len(unknown) > 0 {
		ws = append(ws, Warning{Key: "harvests-differ", Text: fmt.Sprintf("the swatches are of %d harvests, and those of %s are counted at full strength because nobody set theirs", len(harvests), list(unknown))})
	}
	if len(parts) > 1 {
		ws = append(ws, Warning{Key: "parts-differ", Text: "the swatches are of several parts of the plant: " + strings.Join(parts, ", ")})
	}
	return ws
}

// list names a few of many.
func list(codes []string) string {
	const few = 4
	if len(codes) > few {
		return strings.Join(codes[:few], ", ") + fmt.Sprintf(" and %d more", len(codes)-few)
	}
	return strings.Join(codes, ", ")
}
