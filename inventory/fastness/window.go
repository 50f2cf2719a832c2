package fastness

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
)

// Window is the studio's own window test of one specimen: half covered behind
// glass with blue wools beside it, looked at again on days set beforehand, and
// taken in at last. All days are the studio's own, at midnight UTC.
type Window struct {
	Code   string // "X4"
	PutOut time.Time
	Again  []time.Time // the days to look again, rising
	Beside []int       // blue wools, rising
	// Light of the place, where somebody knows it; zero where nobody does.
	Lux, HoursPerDay float64
	UV               bool // ultraviolet is not filtered out
	Looks            []Look
	In               time.Time // the day it was taken in; zero while it is out
}

// Look is one look at it.
type Look struct {
	On      time.Time
	Grade   Grade // of change, on the grey scale; zero where nobody graded it
	Changed []int // blue wools that have changed by now, all of them
}

const (
	// longestTest: after ten years nobody remembers what the strip was for.
	longestTest = 3660
	// mostLooks: a look a week for a year and a few more.
	mostLooks = 60
	windowMin = 1 // a day after it is put out, the first look at the earliest
)

// UsualLooks are the days after which a window test is looked at where nobody
// says otherwise: each span is twice the last, as the doses of light of the blue
// wools are (common practice).
func UsualLooks() []int { return []int{7, 14, 28, 56} }

// Facings are the directions that a window may face.
func Facings() []string {
	return []string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west", "sky"}
}

// LookDays turns days after putting out, and days of the calendar, into one
// rising list without doubles. An empty one is that of [UsualLooks]. Errors are
// INVALID_FIELD on "look_after_days" or "look_on".
func LookDays(putOut time.Time, after []int, on []time.Time) ([]time.Time, error) {
	if len(after)+len(on) == 0 {
		after = UsualLooks()
	}
	var days []time.Time
	for i, n := range after {
		if n < windowMin || n > longestTest {
			return nil, fault.BadField(fmt.Sprintf("look_after_days[%d]", i), "%d: look again %d to %d days after it was put out", n, windowMin, longestTest)
		}
		days = append(days, putOut.AddDate(0, 0, n))
	}
	for i, d := range on {
		if !d.After(putOut) || d.After(putOut.AddDate(0, 0, longestTest)) {
			return nil, fault.BadField(fmt.Sprintf("look_on[%d]", i), "%s: look again %d to %d days after %s, when it was put out",
				d.Format(time.DateOnly), windowMin, longestTest, putOut.Format(time.DateOnly))
		}
		days = append(days, d)
	}
	slices.SortFunc(days, time.Time.Compare)
	days = slices.CompactFunc(days, time.Time.Equal)
	if len(days) > mostLooks {
		return nil, fault.BadField("look_on", "%d days to look again, at most %d", len(days), mostLooks)
	}
	return days, nil
}

// Check refuses a window test that nobody could have put out: INVALID_FIELD on
// "blue_wools", "lux" or "hours_per_day". Light may be left unknown, both figures
// together.
func (w Window) Check() error {
	if err := checkWools("blue_wools", w.Beside, nil); err != nil {
		return err
	}
	if w.Lux == 0 && w.HoursPerDay == 0 {
		return nil
	}
	if w.Lux == 0 {
		return fault.BadField("lux", "is needed beside the hours a day: one without the other gives no dose")
	}
	if w.HoursPerDay == 0 {
		return fault.BadField("hours_per_day", "is needed beside the lux: one without the other gives no dose")
	}
	_, err := Fade(1, w.Lux, w.HoursPerDay, 0, w.UV)
	return err
}

// checkWools refuses what is no blue wool, stands twice, or lies not beside it
// (nil: any may).
func checkWools(field string, wools, beside []int) error {
	for i, n := range wools {
		at := fmt.Sprintf("%s[%d]", field, i)
		switch {
		case n < 1 || n > len(lightDoses):
			return fault.BadField(at, "%d is not a blue wool; they run from 1 to %d", n, len(lightDoses))
		case slices.Contains(wools[:i], n):
			return fault.BadField(at, "blue wool %d stands twice", n)
		case beside != nil && !slices.Contains(beside, n):
			return fault.BadField(at, "blue wool %d does not lie beside it; there are %s", n, woolList(beside))
		}
	}
	return nil
}

// MayLook refuses a look that cannot have been: WINDOW_IN after it was taken in,
// and INVALID_FIELD on "looked_on", "grade" or "changed".
func (w Window) MayLook(l Look) error {
	if err := w.stillOut(); err != nil {
		return err
	}
	if l.On.Before(w.PutOut) {
		return fault.BadField("looked_on", "%s is before %s, when %s was put out", l.On.Format(time.DateOnly), w.PutOut.Format(time.DateOnly), w.Code)
	}
	if l.Grade != 0 {
		if err := GreyChange.check("grade", l.Grade); err != nil {
			return err
		}
	}
	beside := w.Beside
	if beside == nil {
		beside = []int{}
	}
	return checkWools("changed", l.Changed, beside)
}

// MayTakeIn refuses a day before the last look, and what is in already.
func (w Window) MayTakeIn(on time.Time) error {
	if err := w.stillOut(); err != nil {
		return err
	}
	last := w.PutOut
	if n := len(w.Looks); n > 0 {
		last = w.Looks[n-1].On
	}
	if on.Before(last) {
		return fault.BadField("taken_in_on", "%s is before %s, when %s was last looked at or put out", on.Format(time.DateOnly), last.Format(time.DateOnly), w.Code)
	}
	return nil
}

func (w Window) stillOut() error {
	if w.In.IsZero() {
		return nil
	}
	return fault.Refuse("WINDOW_IN", "%s was taken in on %s: nothing more is recorded of it", w.Code, w.In.Format(time.DateOnly)).With("window", w.Code)
}

// NextLook is the first day set that no look has reached yet; zero once it is in,
// or every one was looked at. A look after a day covers it, however late.
func (w Window) NextLook() time.Time {
	var last time.Time
	if n := len(w.Looks); n > 0 {
		last = w.Looks[n-1].On
	}
	for _, d := range w.Again {
		if w.In.IsZero() && d.After(last) {
			return d
		}
	}
	return time.Time{}
}

// Due is the work that waits at the window on a day: a look, with the day it is
// for, or, once all were made, to take it in on any day. ok is false where none
// waits yet.
func (w Window) Due(today time.Time) (text string, by time.Time, ok bool) {
	switch next := w.NextLook(); {
	case !w.In.IsZero() || len(w.Again) == 0:
		return "", by, false
	case next.IsZero():
		return "every look that was set is made: take it in, or leave it and look when you like", time.Time{}, true
	case !today.Before(next):
		return fmt.Sprintf("look at it: day %d in the window", days(w.PutOut, next)), next, true
	}
	return "", by, false
}

// days counts whole days from one to another.
func days(from, to time.Time) int { return int(to.Sub(from).Hours()/24 + 0.5) }

func woolList(wools []int) string {
	if len(wools) == 0 {
		return "none"
	}
	var words []string
	for _, n := range wools {
		words = append(words, fmt.Sprint(n))
	}
	return strings.Join(words, ", ")
}
