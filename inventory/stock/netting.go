package stock

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"dyelot/inventory/quantity"
)

// Coming is what is still to come on one line of a purchase order.
type Coming struct {
	ItemID   int64
	Order    string // "Q5"
	Line     int
	Supplier string
	Left     quantity.Amount
	Promised time.Time
	Expected time.Time // the promised day, moved by how late this supplier really is
}

// Net is what must be bought, and the day it must be on the shelf; zero: no
// plan names a day.
type Net struct {
	On     time.Time
	Amount quantity.Amount
	For    string
}

// Hurry says that an order on the way would cover a need if it came sooner.
type Hurry struct {
	Coming  Coming
	Covers  quantity.Amount
	Needed  time.Time
	For     string
	Instead bool // a new order would be no sooner, so none is proposed for it
}

// Text is the sentence for the list.
func (h Hurry) Text() string {
	say := fmt.Sprintf("%s brings %s on %s, too late for %s on %s: ask %s to send it sooner", h.Coming.Order, h.Covers, h.Coming.Expected.Format(time.DateOnly),
		h.For, h.Needed.Format(time.DateOnly), h.Coming.Supplier)
	if h.Instead {
		return say + "; a new order would be no sooner"
	}
	return say + ", and less need be ordered"
}

// NetNeeds holds needs day by day against what is usable and what is on the
// way, and keeps the minimum: the netting rule net = max(0, minimum + needs −
// arrivals − on hand) of materials requirements planning (Orlicky 1975), by
// days. Needs without a day come last. What a broken minimum lacks is wanted at
// once, that is on soonest, the day on which a new order can be there.
//
// An order on the way is never moved silently. Where it comes after a need, the
// need is bought anew and Hurry says what asking would do; only where a new
// order would be no sooner is nothing bought (Instead).
func NetNeeds(it Item, needs []Need, coming []Coming, soonest time.Time) (net []Net, hurry []Hurry) {
	needs, waiting := byDay(needs), byExpected(coming)
	level := it.Usable.N - it.Terms.Minimum.N
	spare := map[Coming]int64{} // what no earlier need would have of an order, were it sooner
	early := map[Coming]int64{} // what was counted before it came
	for _, c := range waiting {
		spare[c] = c.Left.N
	}
	arrive := func(until time.Time) {
		for len(waiting) > 0 && (until.IsZero() || !waiting[0].Expected.After(until)) {
			level += waiting[0].Left.N - early[waiting[0]]
			waiting = waiting[1:]
		}
	}
	want := func(on time.Time, of string) {
		short := -level
		if short <= 0 {
			return
		}
		for i, asked := 0, int64(0); i < len(waiting) && !on.IsZero(); i++ {
			c := waiting[i]
			covers := min(short-asked, spare[c])
			if covers <= 0 {
				continue
			}
			spare[c] -= covers
			h := Hurry{c, quantity.Amount{N: covers, Unit: it.Unit}, on, of, !c.Expected.After(soonest)}
			if hurry = append(hurry, h); !h.Instead {
				asked += covers
				continue
			}
			early[c] += covers
			short, level = short-covers, level+covers
		}
		if short > 0 {
			net = append(net, Net{on, quantity.Amount{N: short, Unit: it.Unit}, of})
			level += short
		}
	}
	if level < 0 {
		first := soonest
		if len(needs) > 0 && !needs[0].DueOn.IsZero() && needs[0].DueOn.Before(first) {
			first = needs[0].DueOn
		}
		arrive(soonest)
		want(first, "the minimum kept")
	}
	for _, n := range needs {
		arrive(n.DueOn)
		level -= n.Short.N
		want(n.DueOn, n.of())
	}
	return net, hurry
}

// firstBeyond is the first need, by day, that what is there, and what has come
// by then, no longer covers.
func firstBeyond(needs []Need, coming []Coming, there int64) (Need, bool) {
	waiting := byExpected(coming)
	for _, n := range byDay(needs) {
		for len(waiting) > 0 && (n.DueOn.IsZero() || !waiting[0].Expected.After(n.DueOn)) {
			there += waiting[0].Left.N
			waiting = waiting[1:]
		}
		if there -= n.Short.N; there < 0 {
			return n, true
		}
	}
	return Need{}, false
}

// byExpected sorts a copy, the earliest first.
func byExpected(coming []Coming) []Coming {
	sorted := slices.Clone(coming)
	slices.SortStableFunc(sorted, func(a, b Coming) int {
		return cmp.Or(a.Expected.Compare(b.Expected), cmp.Compare(a.Order, b.Order), cmp.Compare(a.Line, b.Line))
	})
	return sorted
}
