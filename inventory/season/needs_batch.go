package season

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	goods "dyelot/inventory/stock"
)

// batch is what is dyed together: all of one colourway of a collection that is
// due on one day.
type batch struct {
	collection, colourway string
	due                   time.Time
	recipe                *recipe.Recipe
	line                  int
	pieces                []pieces
}

type pieces struct {
	blank goods.Item
	n     int64
}

// batchesOf gathers the lines by collection, colourway and day, the earliest
// first. A line of which all is planned has none.
func batchesOf(wanted []Asked, spares []int64) []*batch {
	type key struct {
		collection, colourway string
		due                   time.Time
	}
	by := map[key]*batch{}
	var all []*batch
	for i, w := range wanted {
		left := w.Pieces + spares[i] - w.Planned
		if left <= 0 {
			continue
		}
		k := key{w.Collection, w.Colourway, w.DueOn}
		b := by[k]
		if b == nil {
			b = &batch{w.Collection, w.Colourway, w.DueOn, w.Recipe, i, nil}
			by[k] = b
			all = append(all, b)
		}
		j := slices.IndexFunc(b.pieces, func(p pieces) bool { return p.blank.ID == w.Blank.ID })
		if j < 0 {
			j = len(b.pieces)
			b.pieces = append(b.pieces, pieces{blank: w.Blank})
		}
		b.pieces[j].n += left
	}
	slices.SortStableFunc(all, func(a, b *batch) int {
		return cmp.Or(a.due.Compare(b.due), cmp.Compare(a.line, b.line))
	})
	return all
}

// name is "harbour-gold: 24 tunics".
func (b *batch) name() string {
	var parts []string
	for _, p := range b.pieces {
		parts = append(parts, countOfCode(p.n, p.blank.Code))
	}
	const most = 3
	if len(parts) > most {
		parts = append(parts[:most], fmt.Sprintf("%d more styles", len(parts)-most))
	}
	return b.colourway + ": " + strings.Join(parts, ", ")
}

// countOfCode is "24 × tunic-silk-m": a code has no plural.
func countOfCode(n int64, code string) string { return fmt.Sprintf("%d × %s", n, code) }

// fibre is the mass of all blanks, and how it comes about.
func (b *batch) fibre() (sum quantity.Amount, words string) {
	var parts []string
	sum = quantity.Amount{Unit: quantity.Mass}
	for _, p := range b.pieces {
		sum.N += p.n * p.blank.PieceMass.N
		parts = append(parts, fmt.Sprintf("%s of %s", countOfCode(p.n, p.blank.Code), p.blank.PieceMass))
	}
	return sum, b.colourway + ": " + strings.Join(parts, ", ") + " = " + Kilos(sum)
}

// batch adds what one batch needs.
func (e *Exploded) batch(b *batch, h Habits, kept keptBaths) error {
	starts, err := startsOf(b.recipe, b.due)
	if err != nil {
		return err
	}
	first := b.due
	if len(starts) > 0 {
		first = starts[0]
	}
	add := func(item goods.Item, a quantity.Amount, on time.Time, why string) {
		e.Needs = append(e.Needs, Need{ItemID: item.ID, Amount: a, On: on, For: b.name(), Line: b.line, Collection: b.collection, Colourway: b.colourway, Why: why})
	}
	for _, p := range b.pieces {
		add(p.blank, quantity.Pieces(p.n), first, fmt.Sprintf("%s: %s, spares among them", b.colourway, countOfCode(p.n, p.blank.Code)))
	}
	cloth, words := b.fibre()
	witness, known := h.Witness[b.recipe.Fibre]
	loads := e.loads(b, h.Pots, witness.Each)
	if known && witness.Each.N > 0 {
		all := quantity.Amount{N: witness.Each.N * int64(loads), Unit: quantity.Mass}
		add(witness.Item, all, first, fmt.Sprintf("%s: %s, %s of witness cloth each (%s)", b.colourway, countOf(int64(loads), "lot"), witness.Each, witness.Basis))
		cloth = cloth.Add(all)
		words += fmt.Sprintf(", with %s of witness cloth %s", all, Kilos(cloth))
	} else {
		e.note("%s: no witness cloth of %s is kept, so none is counted", b.colourway, b.recipe.Fibre)
	}
	for i, s := range b.recipe.Stages {
		pot := recipe.Pot{Dry: cloth, Bath: b.recipe.RatioOf(s).Bath(cloth)}
		for _, l := range s.Doses {
			m, err := e.dose(dosing{b, s, pot, starts[i]}, l, h, kept)
			if err != nil {
				return err
			}
			if m != nil {
				add(m.item, m.amount, starts[i], words+"; "+m.why)
			}
		}
	}
	return e.potDays(b, loads, starts)
}

// note says once what cannot be told.
func (e *Exploded) note(format string, args ...any) {
	say := fmt.Sprintf(format, args...)
	if !slices.Contains(e.Notes, say) {
		e.Notes = append(e.Notes, say)
	}
}

// potDays counts the days that the batch's loads stand in their pots, week by
// week: each stage that colours the cloth has them for its days, one at least.
func (e *Exploded) potDays(b *batch, loads int, starts []time.Time) error {
	weeks := map[time.Time]int{}
	for i, s := range b.recipe.Stages {
		k, err := lot.KindOf(s.Kind)
		if err != nil {
			return err
		}
		if k.Dyes {
			weeks[Monday(starts[i])] += loads * max(1, StageDays(s.Kind, s.Minutes))
		}
	}
	for week, days := range weeks {
		e.Pots = append(e.Pots, PotLoads{b.colourway, week, loads, days})
	}
	return nil
}

// startsOf is the day on which each stage begins, and its things must be there.
func startsOf(r *recipe.Recipe, due time.Time) ([]time.Time, error) {
	starts := make([]time.Time, len(r.Stages))
	day := due
	for i, s := range slices.Backward(r.Stages) {
		if s.Minutes < 0 {
			return nil, fault.BadField("minutes", "stage %d of %s has %d minutes", s.Position, r.Code, s.Minutes)
		}
		day = day.AddDate(0, 0, -StageDays(s.Kind, s.Minutes))
		starts[i] = day
	}
	return starts, nil
}

// stageDays are the days from the begin of a stage to that of the next one;
// common practice: wool cools overnight in the pot, cloth dries a day, cures
// and rests a day before it is judged. What is not named is done on the day of
// the stage after it.
var stageDays = map[string]int{"scour": 1, "tannin": 1, "mordant": 1, "brew": 1, "dye": 1, "vat-dip": 1, "dry": 1, "cure": 1, "look-over": 1}

const minutesOfADay = 24 * 60

// StageDays is how many days after a stage of that kind the next one begins: as
// stated for the kind, or its minutes in whole days where those are more. A cold
// mordant of 72 h takes 3 days, a warm one of 60 min until the next day.
func StageDays(kind string, minutes int) int {
	return max(stageDays[kind], (minutes-stagesSlack+minutesOfADay-1)/minutesOfADay)
}

// stagesSlack is what a day's work holds beside another stage: a stage of at
// most 8 hours adds no day of its own.
const stagesSlack = 8 * 60

// Monday is the first day of the ISO 8601 week of a day.
func Monday(day time.Time) time.Time {
	return day.AddDate(0, 0, -(int(day.Weekday())+6)%7)
}

// WeekName is the ISO 8601 week: "2027-W19".
func WeekName(day time.Time) string {
	year, week := day.ISOWeek()
	return fmt.Sprintf("%d-W%02d", year, week)
}

// Kilos shows a mass in kilograms from one on, to the gram: "2.592 kg".
func Kilos(a quantity.Amount) string {
	const kilogram = 1_000_000_000
	if a.Unit != quantity.Mass || a.N < kilogram || a.N >= 10*kilogram {
		return a.String()
	}
	grams := quantity.RoundTo(a.N, 1_000_000) / 1_000_000
	text := strings.TrimRight(fmt.Sprintf("%d.%03d", grams/1000, grams%1000), "0")
	return strings.TrimSuffix(text, ".") + " kg"
}
