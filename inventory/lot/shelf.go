package lot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// Shelf is the parcels that a plan may pick from, by item. It shrinks as doses
// are filled.
type Shelf struct {
	Today   time.Time
	Parcels map[int64][]stock.Parcel
	// Bound is, by item, the parcels that other runs of the same commission took
	// their dyestuff from: its set goes on with the first of them (law 11).
	Bound map[int64][]int64
	// PassedOver are sentences about blends that a set did not take, because
	// nobody sampled them.
	PassedOver []string
}

// maySet is the parcels of an item that a matched set may take.
func (s *Shelf) maySet(item int64) (may []stock.Parcel, passed []string) {
	for _, p := range s.Parcels[item] {
		if !p.Unsampled {
			may = append(may, p)
			continue
		}
		passed = append(passed, unsampled(p))
		if !slices.Contains(s.PassedOver, unsampled(p)) {
			s.PassedOver = append(s.PassedOver, unsampled(p))
		}
	}
	return may, passed
}

// GiveBack frees what promises still keep aside, so that their doses may be
// picked anew.
func (s *Shelf) GiveBack(promises []stock.Promise) {
	for _, parcels := range s.Parcels {
		for i := range parcels {
			for _, pr := range promises {
				if pr.ParcelID == parcels[i].ID {
					parcels[i].Promised = parcels[i].Promised.Sub(pr.Outstanding)
				}
			}
		}
	}
}

// fill picks for doses of one item that belong together: either one dose, or
// all of a matched set's that must come from one parcel.
func (s *Shelf) fill(group []need, prefer int64) error {
	item := group[0].dose.Item
	reference := s.reference(item)
	ask := func(p stock.Parcel) quantity.Amount {
		if p.ID == 0 {
			p = reference
		}
		sum, err := total(group, p)
		if err != nil {
			return quantity.Amount{} // this parcel cannot serve
		}
		return sum
	}
	candidates, passed := s.Parcels[item.ID], []string(nil)
	if group[0].alone {
		candidates, passed = s.maySet(item.ID)
	}
	picked := stock.PickFor(ask, candidates, prefer, len(group) > 1 || group[0].alone, s.Today)
	if len(picked.Picks) == 0 {
		picked.Say = strings.Join(append([]string{picked.Say}, passed...), "; ")
		if slices.Contains(s.Bound[item.ID], prefer) {
			picked.Say += fmt.Sprintf("; another run of this commission took P%d, and a matched set takes one harvest of each dyestuff", prefer)
		}
		return s.leaveShort(group, reference, picked)
	}
	return s.assign(group, picked)
}

// reference is what a dose is reckoned by where no parcel serves: full strength
// of what is weighed; of a liquor the newest whose g/L is known, or the newest
// at all, whose name then stands in the refusal.
func (s *Shelf) reference(item stock.Item) stock.Parcel {
	ref := stock.Parcel{Item: item}
	if item.Unit != quantity.Volume {
		return ref
	}
	for _, p := range s.Parcels[item.ID] {
		known, had := p.Concentration > 0, ref.Concentration > 0
		if ref.ID == 0 || known && !had || known == had && p.ArrivedAt.After(ref.ArrivedAt) {
			ref = p
		}
	}
	return ref
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

// leaveShort says of each dose what it would be, and what the shelf would make
// of it: a smaller dose is never applied silently.
func (s *Shelf) leaveShort(group []need, reference stock.Parcel, picked stock.Picked) error {
	by := s.nearest(group, reference, picked.Need)
	for _, n := range group {
		d := n.dose
		amount, err := d.In(by, *n.bath)
		if err != nil && d.Amount.N > 0 { // reckoned before, from what is used up now
			d.Short, d.Lacks, d.Note, d.Picks = d.Amount, quantity.Amount{}, sentence(err), nil
			continue
		}
		if err != nil {
			return err
		}
		d.Amount, d.Short, d.Lacks, d.Note, d.Picks = amount, amount, picked.Lacks, picked.Say, nil
		if len(group) > 1 {
			d.Note = fmt.Sprintf("for %d baths of the set together %s", len(group), d.Note)
		}
		if could := picked.Need.Sub(picked.Lacks); could.N > 0 && d.Ask.Percent > 0 {
			would := quantity.Percent(quantity.MulDiv(int64(d.Ask.Percent), could.N, picked.Need.N))
			d.Note += fmt.Sprintf("; %s would make %s WOF, which nobody asked for", could, would)
		}
	}
	return nil
}

// nearest is the parcel that the sentence about the shelf is reckoned by, so
// that a short dose shows the same figure; the reference where there is none.
func (s *Shelf) nearest(group []need, reference stock.Parcel, need quantity.Amount) stock.Parcel {
	for _, p := range s.Parcels[reference.Item.ID] {
		if sum, err := total(group, p); err == nil && sum == need {
			return p
		}
	}
	return reference
}

// sentence is what a refusal says, without the field.
func sentence(err error) string {
	if f, ok := fault.Of(err); ok {
		return f.Say
	}
	return err.Error()
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
		i := s.find(item.ID, picked.Picks[0].ParcelID)
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
	p := &s.Parcels[item][s.find(item, parcel)]
	p.Promised = p.Promised.Add(amount)
	return Pick{p.ID, p.Code(), amount}
}

// find is where a parcel lies that was picked from this shelf.
func (s *Shelf) find(item, parcel int64) int {
	return slices.IndexFunc(s.Parcels[item], func(p stock.Parcel) bool { return p.ID == parcel })
}
