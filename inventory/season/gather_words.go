package season

import (
	"fmt"
	"strings"
	"time"

	"dyelot/inventory/quantity"
)

func (g GatherLine) says(today time.Time) string {
	switch g.State {
	case GatherUnknown:
		return fmt.Sprintf("%s, %s: nobody knows its weeks", g.Word(), g.fresh())
	case GatherMissed:
		return fmt.Sprintf("%s: %s: missed; %s dry is lacking", g.Word(), g.over(today), g.ToDry)
	}
	return fmt.Sprintf("%s, %s, %s", g.Word(), g.fresh(), g.Weeks.Says(today))
}

// over is "over since 3 weeks", also where the next weeks are nearer.
func (g GatherLine) over(today time.Time) string {
	return "over since " + since(daysFrom(g.Span.Closes, today))
}

func (g GatherLine) fresh() string {
	place := ""
	if g.Place != nil && g.Place.Place != "" {
		place = " (" + g.Place.Place + ")"
	}
	switch {
	case g.Drying.Own:
		return Carried(g.Low) + " fresh" + place
	case g.Drying.Known():
		return rangeOf(g.Low, g.High) + " fresh, nobody has measured yours" + place
	}
	return fmt.Sprintf("for %s dry; how much fresh nobody knows%s", g.ToDry, place)
}

// rangeOf is "10.8 to 16.2 kg".
func rangeOf(low, high quantity.Amount) string {
	a, b := Carried(low), Carried(high)
	if a == b {
		return a
	}
	if n, unit, _ := strings.Cut(a, " "); strings.HasSuffix(b, " "+unit) {
		a = n
	}
	return a + " to " + b
}

// why tells the arithmetic, a line each.
func (g GatherLine) why(today time.Time, dampWords string) []string {
	var needs []string
	for _, l := range g.Left {
		needs = append(needs, l.String())
	}
	lines := []string{"needed: " + strings.Join(needs, "; ")}
	if g.Shelf.N > 0 {
		lines = append(lines, fmt.Sprintf("taken off first: %s free on the shelf", g.Shelf))
	}
	if dampWords != "" {
		lines = append(lines, "taken off first: "+dampWords)
	}
	if g.Strength > 0 {
		lines = append(lines, fmt.Sprintf("strength: %s was at %s, so %s dry for %s", g.StrengthOf, g.Strength, g.ToDry, g.Dry))
	} else {
		lines = append(lines, "strength: none of yours was measured, so it counts as 100 %")
	}
	lines = append(lines, "fresh to dry: "+g.Drying.String())
	if g.State != GatherMissed && g.Drying.Known() {
		lines = append(lines, g.pickingWords())
	}
	if g.State == GatherUnknown {
		return append(lines, "weeks: neither your log nor the table has any; log each harvest")
	}
	lines = append(lines, fmt.Sprintf("weeks: %s (%s)", g.Weeks, g.Weeks.Source()))
	return append(lines, g.Weeks.beside(today)...)
}

func (g GatherLine) pickingWords() string {
	low, high := g.Pickings()
	switch {
	case g.Place == nil:
		return "pickings: you have logged none of it"
	case low == 0:
		return "pickings: " + g.Place.String()
	case low == high:
		return fmt.Sprintf("pickings: %d (%s)", low, g.Place)
	}
	return fmt.Sprintf("pickings: %d to %d (%s)", low, high, g.Place)
}

// beside is what the table says beside own weeks.
func (w Weeks) beside(today time.Time) []string {
	if !w.Own || w.Table == nil || w.Table.Bought() {
		return nil
	}
	text := fmt.Sprintf("the table says %s (%s)", w.Table.When(), MarkOf(w.Table.Source))
	table := Weeks{From: w.Table.From, To: w.Table.To}
	if s, open := table.On(today); open {
		if _, own := w.On(today); !own {
			text += fmt.Sprintf(", beyond your own: look at the plant before %s", soon(s.Closes, today))
		}
	}
	return []string{text}
}
