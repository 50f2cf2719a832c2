package days

import (
	"slices"
	"time"

	"dyelot/inventory/fault"
)

// Hours are when people work, and what the studio has beside its vessels.
type Hours struct {
	Weekdays []time.Weekday
	From, To int // minutes of the day
	People   int
	Off      []time.Time // days off, each as its date
	Burners  int         // 0: as many as vessels
	// RackPieces is how many garments dry at once; 0: never counted.
	RackPieces int
}

// UsualHours stand until the studio has said its own: one person, Monday to
// Friday from 8 to 17, two burners. Common practice of a small studio.
func UsualHours() Hours {
	return Hours{Weekdays: []time.Weekday{1, 2, 3, 4, 5}, From: 8 * 60, To: 17 * 60, People: 1, Burners: 2}
}

// The most that hours may say; beyond it somebody typed a wrong figure.
const (
	maxPeople = 50
	maxCount  = 100_000
	maxOff    = 400
)

// Validate refuses, naming the field, what is no working week: people,
// weekdays, from, to, days_off, burners, rack_pieces.
func (h Hours) Validate() error {
	switch {
	case h.People < 1 || h.People > maxPeople:
		return fault.BadField("people", "%d people: 1 to %d work in the studio", h.People, maxPeople)
	case len(h.Weekdays) == 0:
		return fault.BadField("weekdays", "are needed: nobody works on no day")
	case h.From < 0 || h.From >= int(Day):
		return fault.BadField("from", "%d is no minute of the day", h.From)
	case h.To > int(Day):
		return fault.BadField("to", "%d is no minute of the day", h.To)
	case h.To <= h.From:
		return fault.BadField("to", "the hours end at %s, before they begin at %s", clock(h.To), clock(h.From))
	case h.Burners < 0 || h.Burners > maxCount:
		return fault.BadField("burners", "%d burners", h.Burners)
	case h.RackPieces < 0 || h.RackPieces > maxCount:
		return fault.BadField("rack_pieces", "%d pieces on the racks", h.RackPieces)
	case len(h.Off) > maxOff:
		return fault.BadField("days_off", "%d days off are told at once; %d at most", len(h.Off), maxOff)
	}
	for _, d := range h.Weekdays {
		if d < time.Sunday || d > time.Saturday {
			return fault.BadField("weekdays", "%d is no day of the week", d)
		}
	}
	return nil
}

// Calendar lays the hours over so many days, the first of them given by its
// date.
func (h Hours) Calendar(first time.Time, span int) Calendar {
	var c Calendar
	for d := range span {
		day := first.AddDate(0, 0, d)
		off := slices.ContainsFunc(h.Off, func(o time.Time) bool { return o.Format(time.DateOnly) == day.Format(time.DateOnly) })
		if off || !slices.Contains(h.Weekdays, day.Weekday()) {
			continue
		}
		start := Minute(d) * Day
		c = append(c, Shift{start + Minute(h.From), start + Minute(h.To), h.People})
	}
	return c
}

func clock(minute int) string {
	return time.Date(2000, 1, 1, 0, minute, 0, 0, time.UTC).Format("15:04")
}

// Shift is a time in which people are in the house.
type Shift struct {
	From, To Minute
	People   int
}

// Calendar is shifts in order, none touching the next.
type Calendar []Shift

// fit is the earliest start, not before at, of something that must end within
// the shift in which it starts; Never where there is none.
func (c Calendar) fit(at Minute, length Minute) Minute {
	for k := c.shiftAt(at); k < len(c); k++ {
		if s := max(at, c[k].From); s+length <= c[k].To {
			return s
		}
	}
	return Never
}

// shiftAt is the first shift that ends after at. Weeks are alike, so it lies near
// where an even calendar would have it.
func (c Calendar) shiftAt(at Minute) int {
	if len(c) == 0 || at < c[0].To {
		return 0
	}
	if at >= c[len(c)-1].To {
		return len(c)
	}
	k := int(int64(len(c)-1) * (at - c[0].From) / (c[len(c)-1].To - c[0].From))
	for k > 0 && c[k-1].To > at {
		k--
	}
	for c[k].To <= at {
		k++
	}
	return k
}

func (c Calendar) longest() (most Minute) {
	for _, s := range c {
		most = max(most, s.To-s.From)
	}
	return most
}
