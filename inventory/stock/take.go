package stock

import (
	"cmp"
	"slices"

	"dyelot/inventory/quantity"
)

// Take books what was weighed out of a parcel into the process. It is a fact,
// so it is never refused (law 2): where the book holds less, the rest is booked
// as found in the same act. 118 g from a jar booked at 100 g is shelf → process
// 118 g and difference → shelf 18 g, and leaves nothing.
//
// One parcel is taken from once in a movement: add up what it gives first. An
// amount of nothing gives no legs.
func Take(p Parcel, amount quantity.Amount) []Leg { return take(p, amount, Process) }

func take(p Parcel, amount quantity.Amount, to Place) []Leg {
	if amount.N <= 0 {
		return nil
	}
	legs := []Leg{{p.ID, Shelf, to, amount}}
	if found := amount.Sub(p.OnHand); found.N > 0 {
		legs = append(legs, Leg{p.ID, Difference, Shelf, found})
	}
	return legs
}

// Struck is a promise that could not be kept in full, because the stock behind
// it is gone.
type Struck struct {
	Promise Promise
	Short   quantity.Amount // of what was promised until this act
}

// Eat takes back what a parcel can no longer keep: after is what it holds once
// the act is booked, outstanding are the promises on it without what this act
// fulfils. The newest promise gives way first, so whoever asked first is served
// first.
func Eat(after quantity.Amount, outstanding []Promise) (entries []PromiseEntry, struck []Struck) {
	var promised quantity.Amount
	for _, pr := range outstanding {
		promised = promised.Add(pr.Outstanding)
	}
	over := promised.N - after.N
	newest := slices.Clone(outstanding)
	slices.SortFunc(newest, func(a, b Promise) int { return cmp.Compare(b.ID, a.ID) })
	for _, pr := range newest {
		gone := min(over, pr.Outstanding.N)
		if gone <= 0 {
			continue
		}
		entries = append(entries, PromiseEntry{pr.ID, -gone, Eaten})
		struck = append(struck, Struck{pr, quantity.Amount{N: gone, Unit: pr.Outstanding.Unit}})
		over -= gone
	}
	return entries, struck
}

// Fulfil closes a bath's own promises with what was really taken: each gives
// what its parcel gave ('used'), and what is left of it goes free ('unused').
// taken is by parcel.
func Fulfil(own []Promise, taken map[int64]quantity.Amount) []PromiseEntry {
	var entries []PromiseEntry
	left := map[int64]int64{}
	for id, a := range taken {
		left[id] = a.N
	}
	for _, pr := range own {
		used := min(left[pr.ParcelID], pr.Outstanding.N)
		if used > 0 {
			entries = append(entries, PromiseEntry{pr.ID, -used, Used})
			left[pr.ParcelID] -= used
		}
		if rest := pr.Outstanding.N - max(used, 0); rest > 0 {
			entries = append(entries, PromiseEntry{pr.ID, -rest, Unused})
		}
	}
	return entries
}

// Settle says what an act does to the promises on its parcels, so that none is
// promised beyond what it holds. Given are the parcels as they stand locked
// before the act, its legs, every outstanding promise on them, and the entries
// by which the act fulfils its own. Write fulfilled and eaten entries first and
// the movement after them: the database checks each statement.
func Settle(parcels []Parcel, legs []Leg, outstanding []Promise, fulfilled []PromiseEntry) (eaten []PromiseEntry, struck []Struck) {
	done := map[int64]int64{}
	for _, e := range fulfilled {
		done[e.PromiseID] += e.Delta
	}
	on := map[int64][]Promise{}
	for _, pr := range outstanding {
		pr.Outstanding.N += done[pr.ID]
		on[pr.ParcelID] = append(on[pr.ParcelID], pr)
	}
	change := OnShelf(legs)
	for _, p := range parcels {
		e, s := Eat(p.OnHand.Add(change[p.ID]), on[p.ID])
		eaten, struck = append(eaten, e...), append(struck, s...)
	}
	return eaten, struck
}
