package season

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/quantity"
)

// Lack is what one run or collection still lacks of a dyestuff.
type Lack struct {
	Dry       quantity.Amount // at reference strength
	On        time.Time       // the day it must be on the shelf; zero: nobody said
	For       string          // "R3", or "collection spring"
	Colourway string
	Fibre     quantity.Amount // that is to be dyed; absent where it is not known
}

// String is "R3 (harbour-gold), 600 g dry by 2026-12-01".
func (l Lack) String() string {
	text := l.For
	if l.Colourway != "" {
		text += " (" + l.Colourway + ")"
	}
	text += fmt.Sprintf(", %s dry", l.Dry)
	if !l.On.IsZero() {
		text += " by " + l.On.Format(time.DateOnly)
	}
	return text
}

// AtReference is a planned dose, or the part of it that is short, at reference
// strength: a plan reckons with the strength of the bag that it picked, and what
// is still to be gathered is another bag. Fibre and value are those of the dose
// (% WOF), amount the whole planned dose.
//
// 652 g planned of a bag at 92 % for 1000 g at 60 % WOF: 600 g.
func AtReference(short, amount, fibre quantity.Amount, wof quantity.Percent, step int64) quantity.Amount {
	reference := fibre.Percent(wof)
	if amount.N <= 0 || reference.Round(step) == amount {
		return short
	}
	return quantity.Amount{N: quantity.MulDiv(short.N, reference.N, amount.N), Unit: short.Unit}.Round(step)
}

// Stand is one dyestuff as it stands: what is known of its plant, what lacks it,
// and what there is.
type Stand struct {
	Item, Name  string
	Plant, Part string // in the words of the table
	Supplier    string // who sells it too
	Own         []Harvested
	Lacks       []Lack
	Shelf       quantity.Amount // free and usable, in dry mass at reference strength
	Widen       int             // days at each end of the own weeks, as somebody said
}

// Word is the plant and, where it needs saying, its part: "walnut hull".
func (s Stand) Word() string { return PlantWord(s.Plant, s.Part) }

// PlantWord is how a plant and its part are said: "weld", "walnut hull". The part
// is left out where the table knows one part alone.
func PlantWord(plant, part string) string {
	if rows := GatheringsOf(plant, ""); part == "" || len(rows) == 1 && rows[0].Part == part && rows[0].Dye == plant {
		return plant
	}
	if strings.HasSuffix(plant, " "+part) {
		return plant
	}
	return plant + " " + part
}

// GatherState is what a line of the list asks for.
type GatherState string

const (
	GatherNow     GatherState = "open"    // in season
	GatherLater   GatherState = "later"   // its weeks come, in time
	GatherMissed  GatherState = "missed"  // over, and not again before it is needed
	GatherUnknown GatherState = "unknown" // nobody knows its weeks
)

// GatherLine is one line of the list of what to gather.
type GatherLine struct {
	Stand
	State      GatherState
	Weeks      Weeks
	Span       Span      // to gather in, or that was missed; zero: unknown
	Week       time.Time // the Monday of the first day to go; zero: missed or unknown
	Left       []Lack    // that this line is for, after shelf and damp bags
	Dry        quantity.Amount
	Strength   quantity.Percent // of the last own harvest that was measured; zero: never, so 100 % is taken
	StrengthOf string           // its parcel
	ToDry      quantity.Amount  // Dry at that strength
	Drying     Drying
	Low, High  quantity.Amount // fresh; absent where nobody knows
	Place      *PlaceYield     // the most generous own place; nil: none
	Text       string          // the line as it is said
	Why        []string
}

// ToGather says what of a dyestuff is to be gathered, when, and how much fresh:
// what is lacked, the earliest day first, less what is on the shelf and what
// hangs damp; divided by the strength of the own harvests; times the own ratio
// of fresh to dry. What the next weeks bring too late for its day is missed. There
// is no line for what is bought.
//
// 2.70 kg dry at 5.41 : 1 are 14.6 kg fresh. Nothing is lacked: no line.
func ToGather(s Stand, today time.Time) []GatherLine {
	base := GatherLine{Stand: s, Drying: DryingOf(s.Plant, s.Part, s.Own)}
	weeks, known := WeeksOf(s.Plant, s.Part, s.Own, s.Widen)
	if !known && (s.Supplier != "" || weeks.Table != nil && weeks.Table.Bought()) {
		return nil // it is bought: the reorder list has it
	}
	base.Weeks = weeks
	base.Strength, base.StrengthOf = lastStrength(s.Own)
	damp, dampWords := base.damp()
	lacks := uncovered(s.Lacks, s.Shelf.N+damp.N)
	var lines []GatherLine
	for _, state := range []GatherState{GatherUnknown, GatherMissed, GatherNow, GatherLater} {
		line := base
		line.State, line.Dry = state, quantity.Amount{Unit: quantity.Mass}
		for _, l := range lacks {
			if stateFor(weeks, known, l.On, today) == state {
				line.Left, line.Dry = append(line.Left, l), line.Dry.Add(l.Dry)
			}
		}
		if len(line.Left) == 0 {
			continue
		}
		line.finish(today, dampWords)
		lines = append(lines, line)
	}
	return lines
}

// stateFor is what becomes of a need: whether there are weeks before its day.
// One without a day is missed while the weeks gone by are nearer than the next.
func stateFor(w Weeks, known bool, on, today time.Time) GatherState {
	if !known {
		return GatherUnknown
	}
	if _, open := w.On(today); open {
		return GatherNow
	}
	if on.IsZero() && w.past(today) || !on.IsZero() && on.Before(w.After(today).Opens) {
		return GatherMissed
	}
	return GatherLater
}

// uncovered takes what there is from the earliest needs on; those without a day
// come last.
func uncovered(lacks []Lack, there int64) []Lack {
	var left []Lack
	for _, l := range byNeed(lacks) {
		used := min(max(there, 0), l.Dry.N)
		there -= used
		if l.Dry.N -= used; l.Dry.N > 0 {
			left = append(left, l)
		}
	}
	return left
}

func byNeed(lacks []Lack) []Lack {
	sorted := slices.Clone(lacks)
	slices.SortStableFunc(sorted, func(a, b Lack) int {
		if a.On.IsZero() != b.On.IsZero() {
			if a.On.IsZero() {
				return 1
			}
			return -1
		}
		return a.On.Compare(b.On)
	})
	return sorted
}

func lastStrength(own []Harvested) (quantity.Percent, string) {
	var last Harvested
	for _, h := range own {
		if h.Strength > 0 && !h.Picked.Before(last.Picked) {
			last = h
		}
	}
	return last.Strength, last.Parcel
}

// damp is what own harvests that are not dry yet may be counted on to give, at
// reference strength.
func (g *GatherLine) damp() (quantity.Amount, string) {
	sum, words := quantity.Amount{Unit: quantity.Mass}, []string{}
	for _, h := range g.Own {
		if h.Dry.N > 0 {
			continue
		}
		gives := g.Drying.Dries(h.Fresh)
		if g.Strength > 0 {
			gives.N = quantity.MulDiv(gives.N, int64(g.Strength), int64(quantity.WholePercent(100)))
		}
		sum = sum.Add(gives)
		words = append(words, fmt.Sprintf("about %s from %s, damp, %s fresh", gives.Round(1_000_000), h.Parcel, Carried(h.Fresh)))
	}
	return sum, strings.Join(words, "; ")
}

func (g *GatherLine) finish(today time.Time, dampWords string) {
	g.ToDry = g.Dry
	if g.Strength > 0 {
		g.ToDry = raised(g.Dry.N, int64(quantity.WholePercent(100)), int64(g.Strength))
	}
	g.Low, g.High = g.Drying.Fresh(g.ToDry)
	if yields := YieldsOf(g.Own); len(yields) > 0 {
		g.Place = &yields[0]
	}
	switch g.State {
	case GatherNow:
		g.Span, _ = g.Weeks.On(today)
		g.Week = Monday(today)
	case GatherLater:
		g.Span = g.Weeks.After(today)
		g.Week = Monday(g.Span.Opens)
	case GatherMissed:
		g.Span = g.Weeks.Before(today)
	}
	g.Text = g.says(today)
	g.Why = g.why(today, dampWords)
}

// Pickings is how many the best own place takes, by what it gave: from the least
// to the most fresh. Zero where nobody weighed one.
func (g GatherLine) Pickings() (low, high int) {
	if g.Place == nil {
		return 0, 0
	}
	return g.Place.For(g.Low), g.Place.For(g.High)
}

// GatherOrder puts what is due first: what closes first, then what opens first,
// then what was missed, then what nobody knows.
func GatherOrder(lines []GatherLine) {
	rank := map[GatherState]int{GatherNow: 0, GatherLater: 1, GatherMissed: 2, GatherUnknown: 3}
	at := func(g GatherLine) time.Time {
		if g.State == GatherLater {
			return g.Span.Opens
		}
		return g.Span.Closes
	}
	slices.SortStableFunc(lines, func(a, b GatherLine) int {
		return cmp.Or(cmp.Compare(rank[a.State], rank[b.State]), at(a).Compare(at(b)), cmp.Compare(a.Item, b.Item))
	})
}
