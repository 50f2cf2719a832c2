package season

import (
	"fmt"
	"slices"
	"time"

	"dyelot/inventory/recipe"
)

// Weeks is when one part of one plant is gathered, year after year: the studio's
// own, from its harvest log, or else the table's.
type Weeks struct {
	From, To MonthDay // both included; To before From runs over the new year
	Own      bool
	Pickings int // own ones that they rest on: of one place on one day
	Years    int // in which those were
	Widened  int // days added at each end, because somebody said so
	// Table is the seed table's row, nil where it has none. Beside own weeks it
	// is told, and changes nothing.
	Table *Gathering
}

// leapYear has every day that a year can have, so that a day of the year is the
// same one in each.
const (
	leapYear = 2024
	yearDays = 366
)

func (d MonthDay) ordinal() int {
	return time.Date(leapYear, d.Month, d.Day, 0, 0, 0, 0, time.UTC).YearDay() - 1
}

func monthDayAt(ordinal int) MonthDay {
	d := time.Date(leapYear, time.January, 1+(ordinal%yearDays+yearDays)%yearDays, 0, 0, 0, 0, time.UTC)
	return MonthDay{d.Month(), d.Day()}
}

// in is that day of a year; 29 February is the 28th of a year that has none.
func (d MonthDay) in(year int) time.Time {
	t := time.Date(year, d.Month, d.Day, 0, 0, 0, 0, time.UTC)
	if t.Month() != d.Month {
		return t.AddDate(0, 0, -1)
	}
	return t
}

// WeeksOf are the own weeks of a plant: from the earliest to the latest own
// picking by day of the year, widened by so many days at each end where a person
// said so. Pickings in December and January run over the new year: the longest
// time without one is the time out of season. Where there is no own picking the
// table's weeks count, and so they do for what the table has all year. known is
// false where nobody can say.
func WeeksOf(plant, part string, own []Harvested, widen int) (w Weeks, known bool) {
	if rows := GatheringsOf(plant, part); len(rows) > 0 {
		w.Table = &rows[0]
	}
	allYear := w.Table != nil && w.Table.From == newYear && w.Table.To == newYearsEve
	days, years := map[int]bool{}, map[int]bool{}
	for _, p := range pickingsOf(own) {
		days[MonthDay{p.day.Month(), p.day.Day()}.ordinal()], years[p.day.Year()] = true, true
		w.Pickings++
	}
	w.Years = len(years)
	switch {
	case len(days) > 0 && !allYear:
		w.Own, w.Widened = true, widen
		w.From, w.To = around(days, widen)
		return w, true
	case w.Table == nil || w.Table.Bought():
		return w, false
	}
	w.From, w.To = w.Table.From, w.Table.To
	return w, true
}

// around is the shortest stretch of the year that holds all days, widened.
func around(days map[int]bool, widen int) (from, to MonthDay) {
	var sorted []int
	for d := range days {
		sorted = append(sorted, d)
	}
	slices.Sort(sorted)
	n := len(sorted)
	first, longest := 0, sorted[0]+yearDays-sorted[n-1]
	for i := 1; i < n; i++ {
		if gap := sorted[i] - sorted[i-1]; gap > longest {
			first, longest = i, gap
		}
	}
	start, length := sorted[first], yearDays-longest+1
	if length+2*widen >= yearDays {
		return newYear, newYearsEve
	}
	return monthDayAt(start - widen), monthDayAt(start + length - 1 + widen)
}

// AllYear is true of what is never out of season.
func (w Weeks) AllYear() bool { return w.From == newYear && w.To == newYearsEve }

// Span is the weeks of one year, first and last day included.
type Span struct{ Opens, Closes time.Time }

// Year names a span: the year in which it opened.
func (s Span) Year() int { return s.Opens.Year() }

// In is the span that opens in a year.
func (w Weeks) In(year int) Span {
	s := Span{w.From.in(year), w.To.in(year)}
	if w.To.before(w.From) {
		s.Closes = w.To.in(year + 1)
	}
	return s
}

// On is the span that holds a day; open is false where none does.
func (w Weeks) On(day time.Time) (s Span, open bool) {
	for _, year := range []int{day.Year() - 1, day.Year()} {
		if s := w.In(year); !day.Before(s.Opens) && !day.After(s.Closes) {
			return s, true
		}
	}
	return Span{}, false
}

// Before is the last span that was over on a day.
func (w Weeks) Before(day time.Time) Span {
	for year := day.Year(); ; year-- {
		if s := w.In(year); s.Closes.Before(day) {
			return s
		}
	}
}

// After is the next span that opens after a day.
func (w Weeks) After(day time.Time) Span {
	for year := day.Year() - 1; ; year++ {
		if s := w.In(year); s.Opens.After(day) {
			return s
		}
	}
}

// String is "20 June to 4 July"; a single day is "20 June".
func (w Weeks) String() string {
	if w.From == w.To {
		return w.From.String()
	}
	return Gathering{From: w.From, To: w.To}.When()
}

// Source says what they rest on: "own, 3 pickings in 2 years".
func (w Weeks) Source() string {
	if !w.Own {
		return MarkOf(w.Table.Source)
	}
	text := fmt.Sprintf("own, %s in %s", counted(w.Pickings, "picking"), counted(w.Years, "year"))
	if w.Widened > 0 {
		text += fmt.Sprintf(", widened by %s at each end, as you said", counted(w.Widened, "day"))
	}
	return text
}

// MarkOf is a source in words: "common practice", and the mark of the others.
func MarkOf(s recipe.Source) string {
	if s.Mark == recipe.Practice {
		return "common practice"
	}
	return s.String()
}

// Says is where a day stands to them: "opens in 12 days", "closes Friday", "over
// since 3 weeks".
func (w Weeks) Says(today time.Time) string {
	if w.AllYear() {
		return "all year"
	}
	if s, open := w.On(today); open {
		return "closes " + soon(s.Closes, today)
	}
	before, after := w.Before(today), w.After(today)
	if w.past(today) {
		return "over since " + since(daysFrom(before.Closes, today))
	}
	if n := daysFrom(today, after.Opens); n > 1 && n <= 28 {
		return fmt.Sprintf("opens in %d days", n)
	}
	return "opens " + soon(after.Opens, today)
}

// past is true out of season while the last weeks are nearer than the next.
func (w Weeks) past(day time.Time) bool {
	return daysFrom(w.Before(day).Closes, day) <= daysFrom(day, w.After(day).Opens)
}

// soon is a day as it is said aloud: "today", "Friday", "4 July".
func soon(day, today time.Time) string {
	switch n := daysFrom(today, day); {
	case n == 0:
		return "today"
	case n == 1:
		return "tomorrow"
	case n < 7:
		return day.Weekday().String()
	case day.Year() != today.Year():
		return day.Format("2 January 2006")
	}
	return day.Format("2 January")
}

func since(days int) string {
	if days < 14 {
		return counted(days, "day")
	}
	return counted(days/7, "week")
}

func daysFrom(a, b time.Time) int { return int(b.Sub(a).Hours()/24 + 0.5) }

func counted(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
