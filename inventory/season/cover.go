package season

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	goods "dyelot/inventory/stock"
)

// Shelf is what there is of one item that nobody was promised.
type Shelf struct {
	Item goods.Item
	Held []Held
}

// Held is what is free of one parcel, in the measure of the needs: a weak
// harvest by what of it acts, a solution by the grams a litre that the needs are
// told in.
type Held struct {
	Code   string
	Amount quantity.Amount
	Until  time.Time // the last day that it is good for; zero: it keeps
}

// Arriving is what is on order and expected on a day.
type Arriving struct {
	ItemID int64
	Amount quantity.Amount
	On     time.Time
}

// Made is how a solution was last made in the studio: so much of it from these.
type Made struct {
	Amount quantity.Amount
	From   []Part
}

// Part is what went into a making.
type Part struct {
	ItemID int64
	Amount quantity.Amount
}

// Covered is one item: what is needed, what there is, what is short, and by when.
type Covered struct {
	Item     goods.Item
	Needed   quantity.Amount
	Free     quantity.Amount // on the shelf today, and good today
	Arriving quantity.Amount
	Lost     quantity.Amount // out of date before anybody needs it
	Short    quantity.Amount
	// ShortBy is the first day on which it is short, and First how much on that
	// day. The zero time: it is not.
	ShortBy time.Time
	First   quantity.Amount
	Weeks   []CoveredWeek
	Needs   []Need // why, by day
}

// CoveredWeek is one ISO week of an item. What should have been there before
// today is a row of its own, PastDue, ahead of the others.
type CoveredWeek struct {
	Monday   time.Time // of the past due: of the earliest
	PastDue  bool
	Needed   quantity.Amount
	Arriving quantity.Amount
	Lost     quantity.Amount
	Short    quantity.Amount
	Left     quantity.Amount // on the shelf after it, were the short covered
}

// makeDays is how long before it is needed a solution is made: the day before.
const makeDays = 1

// HeldOf is what a parcel counts for needs told by d, and why it counts for
// nothing where it does. Damp, blocked and out of date is not on the shelf; nor
// is a liquor of unknown strength where the recipe asks for per cent.
func HeldOf(p goods.Parcel, d Dosed, today time.Time) (h Held, why string) {
	h = Held{Code: p.Code(), Amount: p.Free(), Until: p.UsableUntil}
	if err := p.Usable(today); err != nil {
		return Held{}, err.Error()
	}
	switch {
	case p.CommissionID != 0:
		return Held{}, p.Code() + " is a customer's own"
	case p.Item.Unit == quantity.Mass:
		h.Amount = h.Amount.Percent(p.StrengthOr100())
	case p.Item.Unit == quantity.Volume && d.Concentration > 0 && p.Concentration == 0:
		return Held{}, p.Code() + " is of unknown strength"
	case p.Item.Unit == quantity.Volume && d.Concentration > 0:
		h.Amount.N = quantity.MulDiv(h.Amount.N, int64(p.Concentration), int64(d.Concentration))
	}
	return h, ""
}

// Cover nets needs against the shelf and what is on order, item by item. Each
// need takes from what is good on its day, what runs out of date first before
// the rest; a need of before today is netted today, and said. What is short of a
// solution that the studio makes is needed of what it is made of, a day earlier.
//
// Every day on which an item is needed is a period of Net, and what goes out of
// date unused is gone before the next.
//
// Refused (fault.Invalid): makings[code] for a solution that needs itself,
// needs[i].amount or arriving[i].amount below zero, needs[i].item that has no
// shelf.
func Cover(today time.Time, needs []Need, shelves map[int64]Shelf, arriving []Arriving, makings map[int64]Made) ([]Covered, error) {
	of := map[int64][]Need{}
	for i, n := range needs {
		s, known := shelves[n.ItemID]
		if !known {
			return nil, fault.BadField(fmt.Sprintf("needs[%d].item", i), "nothing is known of item %d", n.ItemID)
		}
		if n.Amount.N < 0 || n.Amount.Unit != s.Item.Unit {
			return nil, fault.BadField(fmt.Sprintf("needs[%d].amount", i), "%s of %s is no amount to need", n.Amount, s.Item.Code)
		}
		of[n.ItemID] = append(of[n.ItemID], n)
	}
	coming := map[int64][]Arriving{}
	for i, a := range arriving {
		if a.Amount.N < 0 {
			return nil, fault.BadField(fmt.Sprintf("arriving[%d].amount", i), "%s is below zero", a.Amount)
		}
		coming[a.ItemID] = append(coming[a.ItemID], a)
	}
	order, err := inOrder(of, shelves, makings)
	if err != nil {
		return nil, err
	}
	var all []Covered
	for _, id := range order {
		if len(of[id]) == 0 {
			continue
		}
		c, shorts, err := cover(today, of[id], shelves[id], coming[id])
		if err != nil {
			return nil, err
		}
		all = append(all, c)
		for _, n := range made(c, shorts, shelves, makings[id]) {
			of[n.ItemID] = append(of[n.ItemID], n)
		}
	}
	slices.SortStableFunc(all, pressing)
	return all, nil
}

// pressing puts what is short first, the earliest day before the rest.
func pressing(a, b Covered) int {
	if a.ShortBy.IsZero() != b.ShortBy.IsZero() {
		if a.ShortBy.IsZero() {
			return 1
		}
		return -1
	}
	return cmp.Or(a.ShortBy.Compare(b.ShortBy), cmp.Compare(a.Item.Code, b.Item.Code))
}

// inOrder lists the items so that each comes before what it is made of. A
// solution that is made of itself, at once or by way of others, is refused.
func inOrder(of map[int64][]Need, shelves map[int64]Shelf, makings map[int64]Made) ([]int64, error) {
	const under, done = 1, 2
	state := map[int64]int{}
	var path, order []int64
	var visit func(id int64) error
	visit = func(id int64) error {
		switch state[id] {
		case done:
			return nil
		case under:
			return needsItself(append(path[slices.Index(path, id):], id), shelves)
		}
		state[id], path = under, append(path, id)
		for _, p := range makings[id].From {
			if shelves[p.ItemID].Item.Unit != p.Amount.Unit || p.Amount.N < 0 {
				return fault.BadField("makings["+shelves[id].Item.Code+"]", "%s of item %d is no part of it", p.Amount, p.ItemID)
			}
			if err := visit(p.ItemID); err != nil {
				return err
			}
		}
		state[id], path = done, path[:len(path)-1]
		order = append(order, id)
		return nil
	}
	ids := make([]int64, 0, len(of))
	for id := range of {
		ids = append(ids, id)
	}
	slices.SortFunc(ids, func(a, b int64) int { return cmp.Compare(shelves[a].Item.Code, shelves[b].Item.Code) })
	for _, id := range ids {
		if err := visit(id); err != nil {
			return nil, err
		}
	}
	slices.Reverse(order)
	return order, nil
}

func needsItself(circle []int64, shelves map[int64]Shelf) error {
	codes := make([]string, len(circle))
	for i, id := range circle {
		codes[i] = shelves[id].Item.Code
	}
	return fault.BadField("makings["+codes[0]+"]", "%s needs itself: %s", codes[0], strings.Join(codes, " is made of "))
}

// made is what the short of a solution needs of its parts.
func made(c Covered, shorts []short, shelves map[int64]Shelf, m Made) []Need {
	if m.Amount.N <= 0 {
		return nil
	}
	var needs []Need
	for _, s := range shorts {
		for _, p := range m.From {
			part := shelves[p.ItemID].Item
			a := quantity.Amount{N: quantity.MulDiv(s.amount.N, p.Amount.N, m.Amount.N), Unit: p.Amount.Unit}.Round(part.Resolution.N)
			needs = append(needs, Need{ItemID: p.ItemID, Amount: a, On: s.on.AddDate(0, 0, -makeDays), For: "to make " + c.Item.Code, Line: -1, Collection: s.collection,
				Why: fmt.Sprintf("%s: %s are short; last made of %s of %s to %s, so %s", c.Item.Code, s.amount, p.Amount, part.Code, m.Amount, Kilos(a))})
		}
	}
	return needs
}

// short is what is missing on one day.
type short struct {
	on         time.Time
	amount     quantity.Amount
	collection string // of the first need of that day
}

// rat is an amount as Net takes it.
func rat(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }
