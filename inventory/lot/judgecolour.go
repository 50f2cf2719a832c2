package lot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
)

// Reading is one measured colour of a lot's witness cloth or of a garment.
type Reading struct {
	ID         int64
	LotID      int64
	Tag        string // the garment's; empty of witness cloth
	Colour     colour.Lab
	View       colour.View
	Wet        bool
	Rested     bool // in the dark for a day, before it was read
	By         string
	Instrument string          // or "eye"
	Specular   colour.Specular // empty where nobody said
	Note       string
	HappenedAt time.Time
	RecordedAt time.Time
	// Apart: a verdict of its own took the garment out of the lot.
	Apart bool
	// Withdrawn readings stay to be read and no longer count.
	Withdrawn Withdrawal
}

// Withdrawal is who took a reading or a test back, and why; zero while it counts.
type Withdrawal struct {
	By, Reason string
	At         time.Time
}

// Stands is true of what was not withdrawn.
func (w Withdrawal) Stands() bool { return w.At.IsZero() }

// Code is how the reading is called: "C4".
func (r Reading) Code() string { return "C" + strconv.FormatInt(r.ID, 10) }

// Measured is a lot with its readings.
type Measured struct {
	ID       int64
	Code     string
	State    State
	Readings []Reading
	LastBath LastBath
}

// LastBath is the last record that put the lot's cloth into a liquor; zero
// where there is none.
type LastBath struct {
	Record     string
	HappenedAt time.Time
	RecordedAt time.Time
}

// after tells whether a reading was taken on the finished cloth. A bath whose
// time was not reported carries the time of its record: it was done before
// that, so what was recorded later is taken as read later.
func (r Reading) after(b LastBath) bool {
	if b.HappenedAt.Equal(b.RecordedAt) {
		return !r.RecordedAt.Before(b.RecordedAt)
	}
	return !r.HappenedAt.Before(b.HappenedAt)
}

// counted are the readings that make the lot's colour: of dry, rested cloth, in
// the standard's light and by its eye, after the last bath, of garments that
// are still the lot's, and not withdrawn; recorded by a moment, or all where it
// is zero.
func (m Measured) counted(view colour.View, by time.Time) []Reading {
	return slices.DeleteFunc(slices.Clone(m.Readings), func(r Reading) bool {
		late := !by.IsZero() && r.RecordedAt.After(by)
		return late || !r.Withdrawn.Stands() || r.Wet || !r.Rested || r.Apart || r.View != view || !r.after(m.LastBath)
	})
}

// Colour is the lot's colour: the mean, in L*, a* and b*, of the readings that
// count. One spot of one cloth is not the lot, and no single spot decides; wet
// or unrested cloth never counts. ok is false where no reading counts.
func (m Measured) Colour(view colour.View) (mean colour.Lab, ok bool) {
	return m.colourBy(view, time.Time{})
}

func (m Measured) colourBy(view colour.View, by time.Time) (colour.Lab, bool) {
	var cs []colour.Lab
	for _, r := range m.counted(view, by) {
		cs = append(cs, r.Colour)
	}
	return mean(cs)
}

// To is the CIEDE2000 of a reading to the standard, for a person; empty in
// another light or by another eye, since those never compare.
func (r Reading) To(s Standard) string {
	if r.View != s.View {
		return ""
	}
	return s.Tolerance.show(colour.CIEDE2000(s.Colour, r.Colour))
}

// Within tells whether a reading by itself is within a standard's tolerance;
// false in another light or by another eye.
func (r Reading) Within(s Standard) bool {
	return r.View == s.View && s.Tolerance.within(colour.CIEDE2000(s.Colour, r.Colour))
}

// Beyond says how far a reading is from a standard where it is beyond its
// tolerance, or cannot be compared with it; empty where it is within.
func (r Reading) Beyond(s Standard) string {
	switch d := colour.CIEDE2000(s.Colour, r.Colour); {
	case r.View != s.View:
		return fmt.Sprintf("%s was read in another light or by another eye than %s, so nobody can say how far they are apart; lots are judged by %s", r.Code(), s.Code, s.Code)
	case r.Wet || !r.Rested:
		return fmt.Sprintf("%s was read on cloth that was not dry and rested: agree to a swatch that was", r.Code())
	case !s.Tolerance.within(d):
		return fmt.Sprintf("%s is %s from %s (%s), beyond its tolerance of %s: lots are judged by the standard, so keep a standard of the swatch that was agreed to", r.Code(), s.Tolerance.show(d), s.Code, s.terms(), s.Tolerance)
	}
	return ""
}

// terms name a difference the way every view must: by formula, light and eye.
func (s Standard) terms() string { return "CIEDE2000, " + s.View.String() }

func (c Case) colourRow() JudgedRow {
	s := c.Standard
	r := JudgedRow{Key: RowColour, Title: fmt.Sprintf("colour to standard %s, %s", s.Code, s.terms()), Asked: s.Tolerance.Decimal(), State: fastness.NotTested}
	what, more := "colour ("+s.terms()+")", "no dry, rested reading of the finished cloth in this light"
	now, read := c.Lot.Colour(s.View)
	difference := colour.CIEDE2000(s.Colour, now)
	if read {
		r.Found, r.Evidence = s.Tolerance.show(difference), c.Lot.evidence(s)
		what, more = fmt.Sprintf("colour %s (%s, %s)", r.Found, s.terms(), r.Evidence), ""
		r.State = fastness.Failed
		if s.Tolerance.within(difference) {
			r.State = fastness.Passed
		}
	}
	bare := r.State
	r.overridden(c.latest(RowColour), func(o RowOverride) bool {
		then, had := c.Lot.colourBy(s.View, o.RecordedAt)
		return !read || had && colour.CIEDE2000(s.Colour, then) >= difference-1e-9
	})
	r.say(what, bare, more)
	return r
}

// evidence lists the readings that count, and of several the farthest.
func (m Measured) evidence(s Standard) string {
	counted := m.counted(s.View, time.Time{})
	var codes []string
	far := 0
	for i, r := range counted {
		codes = append(codes, r.Code())
		if colour.CIEDE2000(s.Colour, r.Colour) > colour.CIEDE2000(s.Colour, counted[far].Colour) {
			far = i
		}
	}
	if len(codes) == 1 {
		return "reading " + codes[0]
	}
	return fmt.Sprintf("mean of readings %s, the farthest %s at %s", strings.Join(codes, ", "), codes[far], counted[far].To(s))
}
