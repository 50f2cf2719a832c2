package lot

import (
	"fmt"
	"slices"
	"time"

	"dyelot/inventory/colour"
)

// Allows tells whether a difference passes.
func (t Tolerance) Allows(difference float64) bool { return t.within(difference) }

// Widest is the greatest difference that passes.
func (t Tolerance) Widest() float64 { return float64(t)/1000 + 1e-9 }

// Shown rounds a difference once, for a person, and never across the tolerance.
func (t Tolerance) Shown(difference float64) string { return t.show(difference) }

// Counted are the readings that make the lot's colour, as Colour takes them.
func (m Measured) Counted(view colour.View) []Reading { return m.counted(view, time.Time{}) }

// ColourOf is the colour of one garment: the mean, in L*, a* and b*, of its own
// readings that count for the lot's, and their codes. ok is false where none
// does; the lot's colour is then no answer, for sisters of one pot differ.
func (m Measured) ColourOf(tag string, view colour.View) (c colour.Lab, codes []string, ok bool) {
	var own []colour.Lab
	for _, r := range m.Counted(view) {
		if r.Tag == tag {
			own, codes = append(own, r.Colour), append(codes, r.Code())
		}
	}
	c, ok = mean(own)
	return c, codes, ok
}

// Unread says why a garment has no colour of its own: it was never read, or why
// its newest reading does not count.
func (m Measured) Unread(tag string, view colour.View) string {
	why := "never read by itself"
	for _, r := range m.Readings {
		if r.Tag != tag {
			continue
		}
		switch {
		case !r.Withdrawn.Stands():
			why = r.Code() + " was withdrawn: " + r.Withdrawn.Reason
		case r.Wet:
			why = r.Code() + " was of wet cloth"
		case !r.Rested:
			why = r.Code() + " was of cloth that had not rested"
		case r.View != view:
			why = fmt.Sprintf("%s was for %s, and the standard is for %s", r.Code(), r.View, view)
		case !r.after(m.LastBath):
			why = fmt.Sprintf("%s was read before its last bath, %s", r.Code(), m.LastBath.Record)
		}
	}
	return why
}

// HangsApart says why a garment is sorted with nobody of its lot: it was judged
// by itself, or is not in the house, or is to be dyed again. Empty: it is sorted.
func (g Garment) HangsApart(l Lot) string {
	state := State(g.Verdict(l))
	switch {
	case g.Place == PlaceSold:
		return "sold under order " + g.OrderRef
	case g.Place == PlaceReturned:
		return "came back, and nobody has judged it since"
	case slices.Contains([]Place{PlacePlanned, PlacePartDone, PlaceScrapped, PlaceGone, PlaceGivenBack}, g.Place):
		return "is " + g.Place.Words()
	case (Measured{State: state}).leftItsSet() && g.Outcome != "":
		return "its own verdict: " + state.Words()
	case (Measured{State: state}).leftItsSet():
		return "its lot is " + state.Words()
	case g.Next != 0:
		return fmt.Sprintf("is planned into L%d, to be dyed again", g.Next)
	}
	return ""
}
