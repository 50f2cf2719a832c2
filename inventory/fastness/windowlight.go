package fastness

import (
	"fmt"
	"math"
	"time"
)

// MegaluxHours is the dose of light from the day it was put out to another day,
// and false where nobody knows the light.
func (w Window) MegaluxHours(until time.Time) (dose float64, known bool) {
	if w.Lux == 0 || w.HoursPerDay == 0 {
		return 0, false
	}
	return w.Lux * w.HoursPerDay * float64(max(days(w.PutOut, until), 0)) / 1e6, true
}

// Expected is when a blue wool beside it should show a just noticeable fade, by
// the dose; and the first look that found it changed, zero where none did.
type Expected struct {
	BlueWool int
	On       time.Time // zero where the light is not known, or it is beyond ten years
	Changed  time.Time
}

// Expect lists each blue wool beside it.
func (w Window) Expect() []Expected {
	var all []Expected
	for _, n := range w.Beside {
		e := Expected{BlueWool: n, Changed: w.woolChanged(n)}
		if w.Lux > 0 && w.HoursPerDay > 0 {
			if f, err := Fade(n, w.Lux, w.HoursPerDay, 0, w.UV); err == nil && f.JustNoticeableAfterDays <= longestTest {
				e.On = w.PutOut.AddDate(0, 0, int(math.Ceil(f.JustNoticeableAfterDays)))
			}
		}
		all = append(all, e)
	}
	return all
}

// Say is the sentence for a day: "blue wool 2 should have shown a change by about
// 14 June 2026; it had by 10 June 2026". Neither is a promise.
func (e Expected) Say(today time.Time) string {
	say := fmt.Sprintf("blue wool %d", e.BlueWool)
	switch {
	case e.On.IsZero() && e.Changed.IsZero():
		return say + ": nobody can say when, and no look has found it changed"
	case e.On.IsZero():
		return say + " was found changed on " + dayWords(e.Changed)
	case e.On.After(today):
		say += " may show a change by about " + dayWords(e.On)
	default:
		say += " should have shown a change by about " + dayWords(e.On)
	}
	switch {
	case !e.Changed.IsZero():
		return say + "; it was found changed on " + dayWords(e.Changed)
	case !e.On.After(today):
		return say + "; no look has found it changed yet"
	}
	return say
}

func dayWords(d time.Time) string { return d.Format("2 January 2006") }

// woolChanged is the first look that found a blue wool changed. What has changed
// stays changed, whether or not a later look names it again.
func (w Window) woolChanged(n int) time.Time {
	for _, l := range w.Looks {
		for _, c := range l.Changed {
			if c == n {
				return l.On
			}
		}
	}
	return time.Time{}
}
