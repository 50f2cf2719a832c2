package stock

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/quantity"
)

// Need is what one open run, or one line of a plan, still lacks of an item:
// planned, not yet recorded, and not promised.
type Need struct {
	ItemID int64
	RunID  int64     // zero where it is no run's
	DueOn  time.Time // zero where it has no day
	Short  quantity.Amount
	For    string // in words, "harbour-gold: 24 tunics"; empty: the run
}

// of names what a need is for.
func (n Need) of() string {
	if n.For != "" {
		return n.For
	}
	return fmt.Sprintf("R%d", n.RunID)
}

// Order is one line of the reorder list.
type Order struct {
	Item   Item            // with its sums
	Needed quantity.Amount // by all open runs together
	OnWay  quantity.Amount // ordered, and not yet here
	Order  quantity.Amount // in whole packs; zero: nothing need be ordered
	// OrderBy is the last day on which an order still arrives in time; today
	// where the shelf is below its minimum already. Zero with nothing to order.
	OrderBy   time.Time
	Late      bool   // that day has passed
	Why       string // in words, with the figures
	Otherwise string // what goes wrong without it
	Net       []Net  // what must be bought, and for when
	Hurry     []Hurry
}

// Reorder says whether an item must be ordered, how much, and until when: what
// is usable and free, and what is on the way, must cover what open runs still
// lack, and leave the minimum. What is damp, blocked or out of date does not
// count as free.
//
// 135 g of alum are free, runs lack 162 g and 100 g are to stay: 127 g are
// missing, which is one pack of 500 g.
func Reorder(it Item, needs []Need, today time.Time, coming ...Coming) Order {
	it.OnHand, it.Promised, it.Usable = it.Zero().Add(it.OnHand), it.Zero().Add(it.Promised), it.Zero().Add(it.Usable)
	o := Order{Item: it, Needed: it.Zero(), Order: it.Zero(), OnWay: it.Zero()}
	for _, n := range needs {
		o.Needed = o.Needed.Add(n.Short)
	}
	for _, c := range coming {
		o.OnWay = o.OnWay.Add(c.Left)
	}
	minimum := it.Zero().Add(it.Terms.Minimum)
	o.Net, o.Hurry = NetNeeds(it, needs, coming, today.AddDate(0, 0, it.Terms.LeadDays))
	o.Why = figures(o, minimum, needs, coming)
	missing := o.Missing()
	if missing.N <= 0 {
		return o
	}
	o.Order = inPacks(missing, it.Terms.Pack)
	o.OrderBy = today
	if first := o.Net[0].On; !first.IsZero() {
		o.OrderBy = first.AddDate(0, 0, -it.Terms.LeadDays)
	}
	o.Late = o.OrderBy.Before(today)
	o.Why += fmt.Sprintf(": %s missing", missing)
	if o.Order != missing {
		o.Why += fmt.Sprintf(", %s in packs of %s", o.Order, it.Terms.Pack)
	}
	o.Why += when(o)
	o.Otherwise = otherwise(it, needs, coming, o.Needed)
	return o
}

// Missing is all that must be bought.
func (o Order) Missing() quantity.Amount {
	missing := o.Item.Zero()
	for _, n := range o.Net {
		missing = missing.Add(n.Amount)
	}
	return missing
}

// inPacks raises an amount to whole packs.
func inPacks(a, pack quantity.Amount) quantity.Amount {
	if pack.N <= 0 {
		return a
	}
	packs := a.N / pack.N
	if a.N%pack.N > 0 {
		packs++
	}
	return quantity.Amount{N: packs * pack.N, Unit: a.Unit}
}

// byDay puts dated needs first, the earliest before the rest.
func byDay(needs []Need) []Need {
	sorted := slices.Clone(needs)
	slices.SortStableFunc(sorted, func(a, b Need) int {
		if a.DueOn.IsZero() != b.DueOn.IsZero() {
			if a.DueOn.IsZero() {
				return 1
			}
			return -1
		}
		return cmp.Or(a.DueOn.Compare(b.DueOn), cmp.Compare(a.RunID, b.RunID))
	})
	return sorted
}

func figures(o Order, minimum quantity.Amount, needs []Need, coming []Coming) string {
	it, needed := o.Item, o.Needed
	parts := []string{fmt.Sprintf("%s free", it.Usable)}
	if kept := it.Free().Sub(it.Usable); kept.N > 0 {
		parts[0] += fmt.Sprintf(" (%s more is damp, blocked or out of date)", kept)
	}
	if needed.N > 0 {
		runs := []string{}
		for _, n := range byDay(needs) {
			run := n.of()
			if !n.DueOn.IsZero() {
				run += " due " + n.DueOn.Format(time.DateOnly)
			}
			if !slices.Contains(runs, run) {
				runs = append(runs, run)
			}
		}
		parts = append(parts, fmt.Sprintf("%s lack %s (%s)", whoLacks(needs), needed, few(runs)))
	} else {
		parts = append(parts, "no open run lacks any")
	}
	if o.OnWay.N > 0 {
		parts = append(parts, fmt.Sprintf("%s on the way (%s)", o.OnWay, few(arrivals(coming))))
	}
	if minimum.N > 0 {
		parts = append(parts, fmt.Sprintf("%s is kept as a minimum", minimum))
	}
	return strings.Join(parts, ", ")
}

// few keeps a list short enough to read.
func few(words []string) string {
	const most = 3
	if len(words) > most {
		return strings.Join(words[:most], ", ") + fmt.Sprintf(" and %d more", len(words)-most)
	}
	return strings.Join(words, ", ")
}

// whoLacks names the kinds of plan that lack something.
func whoLacks(needs []Need) string {
	runs, plans := false, false
	for _, n := range needs {
		runs, plans = runs || n.RunID != 0, plans || n.RunID == 0
	}
	switch {
	case runs && plans:
		return "open runs and plans"
	case plans:
		return "plans"
	}
	return "open runs"
}

func arrivals(coming []Coming) []string {
	words := []string{}
	for _, c := range byExpected(coming) {
		words = append(words, fmt.Sprintf("%s, expected %s", c.Order, c.Expected.Format(time.DateOnly)))
	}
	return words
}

func when(o Order) string {
	lead := fmt.Sprintf("%d days", o.Item.Terms.LeadDays)
	if o.Item.Terms.LeadDays == 1 {
		lead = "1 day"
	}
	from := ""
	if s := o.Item.Terms.Supplier; s != "" {
		from = " from " + s
	}
	say := fmt.Sprintf("; it takes %s%s", lead, from)
	if o.Late {
		say += fmt.Sprintf(", so it comes too late for %s unless that day moves", o.Net[0].On.Format(time.DateOnly))
	}
	return say
}

func otherwise(it Item, needs []Need, coming []Coming, needed quantity.Amount) string {
	there := it.Usable
	for _, c := range coming {
		there = there.Add(c.Left)
	}
	if first, short := firstBeyond(needs, coming, it.Usable.N); short {
		lacks := needed.Sub(there)
		say := fmt.Sprintf("%s of %s is missing at the pot, %s first", lacks, it.Name, first.of())
		if lacks.N <= 0 {
			say = fmt.Sprintf("%s is not there in time for %s", it.Name, first.of())
		}
		if !first.DueOn.IsZero() {
			say += ", due " + first.DueOn.Format(time.DateOnly)
		}
		return say
	}
	return fmt.Sprintf("%s of %s is left after open runs, below the minimum of %s", there.Sub(needed), it.Name, it.Terms.Minimum)
}
