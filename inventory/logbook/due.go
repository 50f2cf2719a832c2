package logbook

import (
	"fmt"
	"time"

	"dyelot/inventory/fault"
)

// Interval is how often the subjects of a book are checked; an empty subject is
// for all of the book that have none of their own. Zero days: not asked for.
type Interval struct {
	Book    Book
	Subject string
	Days    int
}

// longest interval: ten years is no check any more.
const longest = 3660

// Validate refuses (fault.Invalid) a book that has no checks, and days outside
// 0 to 3660.
func (i Interval) Validate() error {
	if _, err := BookOf(string(i.Book)); err != nil {
		return err
	}
	if !i.Book.Checks() {
		return fault.BadField("book", "%s does not come up again: water, scale and buffer do", i.Book)
	}
	if i.Days < 0 || i.Days > longest {
		return fault.BadField("days", "%d: 0 (no longer asked for) to %d", i.Days, longest)
	}
	return nil
}

// Due is one subject with its last check and the next.
type Due struct {
	Interval
	Last time.Time // the day; zero: never
}

// Next is the day by which it is to be checked again; zero where it is not asked
// for, or was never done.
func (d Due) Next() time.Time {
	if d.Days == 0 || d.Last.IsZero() {
		return time.Time{}
	}
	return d.Last.AddDate(0, 0, d.Days)
}

// Waits is true on the day of the next check and after it, and of what is asked
// for and was never done.
func (d Due) Waits(today time.Time) bool {
	return d.Days > 0 && (d.Last.IsZero() || !today.Before(d.Next()))
}

// Overdue is true after the day of the next check, and of what was never done.
func (d Due) Overdue(today time.Time) bool {
	return d.Days > 0 && (d.Last.IsZero() || today.After(d.Next()))
}

// Text says it in words.
func (d Due) Text() string {
	what := map[Book]string{OfWater: "test the water for hardness and iron", OfScale: "check the scale with a check mass", OfBuffer: "check the pH meter in a fresh buffer"}[d.Book]
	switch {
	case d.Days == 0:
		return what + ": not asked for"
	case d.Last.IsZero():
		return fmt.Sprintf("%s: never done, asked for every %s", what, days(d.Days))
	}
	return fmt.Sprintf("%s: last done %s, asked for every %s", what, d.Last.Format(time.DateOnly), days(d.Days))
}

func days(n int) string {
	if n == 1 {
		return "day"
	}
	return fmt.Sprintf("%d days", n)
}
