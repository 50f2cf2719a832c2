package season

import (
	"fmt"
	"strings"
	"time"
)

// Headline is the first line of the reorder list: what to order by the next day
// that matters, with what is past due never hidden. lines are sorted by the day
// they must be ordered; those with nothing to order are passed over. It is
// empty where nothing need be ordered.
//
//	2 to order by Thu 14 May: alum 4 kg (harbour salts, 54.00 EUR), …
func Headline(lines []BuyLine, today time.Time) string {
	var urgent, rest []BuyLine
	var by time.Time
	for _, l := range lines {
		switch {
		case l.Order.Order.N == 0:
		case l.DaysLate > 0 || by.IsZero() || !l.OrderBy.After(by):
			if urgent = append(urgent, l); l.DaysLate == 0 {
				by = l.OrderBy
			}
		default:
			rest = append(rest, l)
		}
	}
	if len(urgent) == 0 {
		return ""
	}
	words := make([]string, len(urgent))
	late := 0
	for i, l := range urgent {
		words[i] = l.words()
		if l.DaysLate > 0 {
			late++
		}
	}
	say := fmt.Sprintf("%d to order by %s", len(urgent), Weekday(by))
	switch {
	case by.IsZero():
		say = fmt.Sprintf("%d to order at once", len(urgent))
	case by.Equal(today):
		say = fmt.Sprintf("%d to order today", len(urgent))
	}
	if late > 0 && late < len(urgent) {
		say += fmt.Sprintf(", %d of them late", late)
	}
	say += ": " + strings.Join(words, ", ")
	if len(rest) > 0 {
		say += fmt.Sprintf("; %d more by %s", len(rest), Weekday(rest[len(rest)-1].OrderBy))
	}
	return say
}

// words are the line in short: "alum 4 kg (harbour salts, 54.00 EUR, late by 6
// days)".
func (l BuyLine) words() string {
	var about []string
	if from := l.From(); from != "" {
		about = append(about, from)
	}
	if cost := l.Cost(); cost.Currency != "" {
		about = append(about, cost.String())
	}
	if l.DaysLate > 0 {
		about = append(about, "late by "+inDays(l.DaysLate))
	}
	say := fmt.Sprintf("%s %s", l.Item.Name, l.Order.Order)
	if len(about) > 0 {
		say += " (" + strings.Join(about, ", ") + ")"
	}
	return say
}
