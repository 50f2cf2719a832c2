package lot

import (
	"fmt"
	"slices"
	"time"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// Shelf is the parcels that a plan may pick from, by item. It shrinks as doses
// are filled.
type Shelf struct {
	Today   time.Time
	Parcels map[int64][]stock.Parcel
}

// fill picks for doses of one item that belong together: either one dose, or
// all of a matched set's that must come from one parcel.
func (s *Shelf) fill(group []need, prefer int64) error {
	item := group[0].dose.Item
	ask := s.asking(group)
	if _, err := total(group, ask.reference); err != nil {
		return err
	}
	picked := stock.PickFor(ask.need, s.Parcels[item.ID], prefer, ask.alone, s.Today)
	if len(picked.Picks) == 0 {
		return leaveShort(group, ask.reference, picked)
	}
	return s.assign(group, picked)
}

// asking is what a group of doses needs of any parcel. A parcel that cannot
// serve is told by nothing; that no parcel can is found by the reference.
type asking struct {
	need      func(stock.Parcel) quantity.Amount
	reference stock.Parcel
	alone     bool
}

func (s *Shelf) asking(group []need) asking {
	ref := stock.Parcel{Item: group[0].dose.Item}
	for _, p := range s.Parcels[ref.Item.ID] {
		if p.Concentration > 0 { // full strength where there is none; of a solution, as the newest was made
			ref.Concentration = p.Concentration
		}
	}
	return asking{reference: ref, alone: len(group) > 1 || group[0].alone, need: func(p stock.Parcel) quantity.Amount {
		if p.ID == 0 {
			p = ref
		}
		sum, err := total(group, p)
		if err != nil {
			return quantity.Amount{} // this parcel cannot serve
		}
		return sum
	}}
}

// total is what a group of doses takes of one parcel.
func total(group []need, p stock.Parcel) (quantity.Amount, error) {
	sum := quantity.Amount{Unit: p.Item.Unit}
	for _, n := range group {
		a, err := n.dose.In(p, *n.bath)
		if err != nil {
			return sum, err
		}
		sum = sum.Add(a)
	}
	return sum, nil
}

// leaveShort says of each dose what it would be, and what the largest parcel
// would make of it: a smaller dose is never applied silently.
func leaveShort(group []need, reference stock.Parcel, picked stock.Picked) error {
	for _, n := range group {
		amount, err := n.dose.In(reference, *n.bath)
		if err != nil {
			return err
		}
		n.dose.Amount, n.dose.Short, n.dose.Lacks, n.dose.Note = amount, amount, picked.Lacks, picked.Say
		could := picked.Need.Sub(picked.Lacks)
		if could.N > 0 && n.dose.Ask.Percent > 0 {
			would := quantity.Percent(quantity.MulDiv(int64(n.dose.Ask.Percent), could.N, picked.Need.N))
			n.dose.Note += fmt.Sprintf("; %s would make %s WOF, which nobody asked for", could, would)
		}
	}
	return nil
}

// assign hands what was picked to the doses. Several doses come from one
// parcel, and one dose may come from several.
func (s *Shelf) assign(group []need, picked stock.Picked) error {
	item := group[0].dose.Item
	for _, n := range group {
		d := n.dose
		d.Picks, d.Note, d.Short, d.Lacks = nil, picked.Say, item.Zero(), item.Zero()
		if len(group) == 1 {
			d.Amount = picked.Need
			for _, p := range picked.Picks {
				d.Picks = append(d.Picks, s.take(item.ID, p.ParcelID, p.Amount))
			}
			continue
		}
		i := slices.IndexFunc(s.Parcels[item.ID], func(p stock.Parcel) bool { return p.ID == picked.Picks[0].ParcelID })
		amount, err := d.In(s.Parcels[item.ID][i], *n.bath)
		if err != nil {
			return err
		}
		d.Amount, d.Picks = amount, []Pick{s.take(item.ID, picked.Picks[0].ParcelID, amount)}
	}
	return nil
}

// take promises an amount on this shelf, so that the next dose finds less.
func (s *Shelf) take(item, parcel int64, amount quantity.Amount) Pick {
	i := slices.IndexFunc(s.Parcels[item], func(p stock.Parcel) bool { return p.ID == parcel })
	p := &s.Parcels[item][i]
	p.Promised = p.Promised.Add(amount)
	return Pick{p.ID, p.Code(), amount}
}
