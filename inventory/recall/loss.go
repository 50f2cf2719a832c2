package recall

import (
	"slices"

	"dyelot/inventory/quantity"
	"dyelot/inventory/trace"
)

// Gone is one garment that was scrapped.
type Gone struct {
	Lots   []int64 // every lot that it was issued with
	Parcel int64   // of its blank
	Dry    quantity.Amount
}

// Paid is what was paid for a parcel, and for how much of it.
type Paid struct {
	Cost     quantity.Money
	Received quantity.Amount
}

// Lost is what went into the scrapped garments of one parcel.
type Lost struct {
	Parcel int64
	Amount quantity.Amount // Unit is zero where nobody can say
	Cost   quantity.Money  // Currency is empty where nothing was paid, or nobody can say
}

// Loss is what was lost with some garments.
type Loss struct {
	Pieces  int64
	Dry     quantity.Amount
	Parcels []Lost
	Costs   []quantity.Money // one a currency, of what has a cost
	// WithoutCost are parcels that came from outside without a cost: what they
	// were worth is in no sum.
	WithoutCost []int64
}

// LossOf is what the ledger says went into scrapped garments: of whatever their
// lots got, their part by fibre mass of all garments that the lots ever had
// (masses, µg by lot), witness cloth in proportion; and of blanks their own. Of
// a made parcel its parents are lost, in proportion (trace.History.Sources), and
// the cost is that of what was paid for: nothing is counted twice.
//
// It fails where the books have a cycle.
func LossOf(h trace.History, gone []Gone, masses map[int64]int64, paid map[int64]Paid) (Loss, error) {
	loss := Loss{Dry: quantity.Grams(0)}
	scrapped, blanks := map[int64]int64{}, map[int64]int64{}
	for _, g := range gone {
		loss.Pieces++
		loss.Dry = loss.Dry.Add(g.Dry)
		blanks[g.Parcel]++
		for _, l := range g.Lots {
			scrapped[l] += g.Dry.N
		}
	}
	sources, err := partOf(h, scrapped, blanks, masses).Sources()
	if err != nil {
		return Loss{}, err
	}
	made := map[int64]bool{}
	for _, m := range h.Makings {
		made[m.Child] = true
	}
	for _, s := range sources {
		lost := Lost{Parcel: s.Parcel, Amount: s.Share}
		p, known := paid[s.Parcel]
		switch {
		case known && s.Share.Unit != 0 && s.Share.Unit == p.Received.Unit && p.Received.N > 0:
			lost.Cost = p.Cost.Part(s.Share.N, p.Received.N)
			if err := loss.pay(lost.Cost); err != nil {
				return Loss{}, err
			}
		case known || !made[s.Parcel]:
			loss.WithoutCost = append(loss.WithoutCost, s.Parcel)
		}
		loss.Parcels = append(loss.Parcels, lost)
	}
	slices.Sort(loss.WithoutCost)
	return loss, nil
}

// partOf is the history of the scrapped garments alone.
func partOf(h trace.History, scrapped, blanks, masses map[int64]int64) trace.History {
	part := trace.History{Makings: h.Makings}
	for _, x := range h.Given {
		if x.Blanks || scrapped[x.Lot] == 0 {
			continue
		}
		if x.Share.Unit != 0 {
			x.Share.N = quantity.MulDiv(x.Share.N, scrapped[x.Lot], max(masses[x.Lot], scrapped[x.Lot]))
		}
		part.Given = append(part.Given, x)
	}
	for parcel, n := range blanks {
		part.Given = append(part.Given, trace.Given{Parcel: parcel, Through: trace.LotNode(0), Share: quantity.Pieces(n)})
	}
	slices.SortFunc(part.Given, func(a, b trace.Given) int { return int(a.Parcel - b.Parcel) })
	return part
}

func (l *Loss) pay(m quantity.Money) (err error) {
	for i := range l.Costs {
		if l.Costs[i].Currency == m.Currency {
			l.Costs[i], err = l.Costs[i].Add(m)
			return err
		}
	}
	l.Costs = append(l.Costs, m)
	return nil
}
