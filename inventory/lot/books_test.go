package lot_test

import (
	"fmt"
	"slices"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// books is a simple model of what the store keeps: what was decided is written
// down, and everything else is read back from that.
type books struct {
	lots     []lot.Lot
	baths    []lot.Bath
	parcels  []stock.Parcel
	promises []stock.Promise // by id, from 1
	kept     []int64         // what each was made of, less what was eaten or released
	records  []written
	fibres   []string
	iron     map[int64]recipe.Iron // before this run
}

type written struct {
	position int
	lots     []int64
	used     []lot.Used
	legs     []stock.Leg
	undone   bool
}

// open lays stages over lots, picks from parcels and promises what was picked,
// as a plan is stored.
func open(lots []lot.Lot, stages []lot.Stage, vessels map[int]lot.Pot, parcels []stock.Parcel, matched bool) (*books, error) {
	b := &books{lots: lots, parcels: slices.Clone(parcels), fibres: []string{"silk"}}
	var err error
	if b.baths, err = lot.Baths(stages, oneToForty, lots, vessels); err != nil {
		return nil, err
	}
	if err := lot.Fill(b.baths, shelfOf(parcels...), matched, nil); err != nil {
		return nil, err
	}
	for i := range b.baths {
		for j, l := range b.baths[i].Lots {
			b.baths[i].Lots[j].LotID = lots[l.LotID].ID
		}
		for j := range b.baths[i].Doses {
			d := &b.baths[i].Doses[j]
			for _, p := range d.Picks {
				b.promises = append(b.promises, stock.Promise{ID: int64(len(b.promises) + 1), ParcelID: p.ParcelID, DoseID: 1, Outstanding: p.Amount})
				b.kept = append(b.kept, p.Amount.N)
				b.parcel(p.ParcelID).Promised = b.parcel(p.ParcelID).Promised.Add(p.Amount)
				d.Promises = append(d.Promises, b.promises[len(b.promises)-1])
			}
		}
	}
	return b, nil
}

func (b *books) parcel(id int64) *stock.Parcel {
	i := slices.IndexFunc(b.parcels, func(p stock.Parcel) bool { return p.ID == id })
	return &b.parcels[i]
}

func (b *books) lot(id int64) *lot.Lot {
	i := slices.IndexFunc(b.lots, func(l lot.Lot) bool { return l.ID == id })
	return &b.lots[i]
}

// standing is the record that covers a lot at a position; 0 for none.
func (b *books) standing(position int, id int64) int {
	for i, r := range b.records {
		if r.position == position && !r.undone && slices.Contains(r.lots, id) {
			return i + 1
		}
	}
	return 0
}

func (b *books) waits(position int, id int64) bool {
	return b.standing(position, id) == 0 && b.lot(id).State != lot.Scrapped
}

func serves(bath lot.Bath, id int64) bool {
	return slices.ContainsFunc(bath.Lots, func(l lot.BathLot) bool { return l.LotID == id })
}

// planned is the plan with its promises as they stand now.
func (b *books) planned() []lot.Bath {
	baths := slices.Clone(b.baths)
	for i := range baths {
		baths[i].Doses = slices.Clone(baths[i].Doses)
		for j := range baths[i].Doses {
			d := &baths[i].Doses[j]
			d.Promises = slices.Clone(d.Promises)
			for k, p := range d.Promises {
				d.Promises[k] = b.promises[p.ID-1]
			}
		}
	}
	return baths
}

// before is what a record of a position is decided on.
func (b *books) before(position int, ids ...int64) lot.Before {
	is := lot.Before{Recorded: map[int64]string{}, Open: map[int64]int{}, Scrapped: map[int64]bool{}, Iron: map[int64]recipe.Iron{}, Fibres: b.fibres}
	for _, id := range ids {
		is.Lots = append(is.Lots, *b.lot(id))
	}
	for _, bath := range b.planned() {
		for _, l := range bath.Lots {
			if b.standing(bath.Position, l.LotID) == 0 {
				is.Open[l.LotID]++
			}
		}
		if bath.Position == position && slices.ContainsFunc(ids, func(id int64) bool { return serves(bath, id) }) {
			is.Baths = append(is.Baths, bath)
		}
	}
	for _, l := range b.lots {
		if r := b.standing(position, l.ID); r != 0 {
			is.Recorded[l.ID] = fmt.Sprintf("S%d", r)
		}
		is.Scrapped[l.ID] = l.State == lot.Scrapped
		is.Iron[l.ID] = b.iron[l.ID]
	}
	return is
}

// write books a decision: promises first, then what was taken, found where the
// book held less, then the lots' states.
func (b *books) write(position int, used []lot.Used, dec lot.Decision) {
	r := written{position: position, used: used}
	taken := map[int64]quantity.Amount{}
	for _, u := range used {
		taken[u.Parcel.ID] = taken[u.Parcel.ID].Add(u.Amount)
	}
	var legs []stock.Leg
	var touched []stock.Parcel
	for _, p := range b.parcels {
		if a, ok := taken[p.ID]; ok {
			legs, touched = append(legs, stock.Take(p, a)...), append(touched, p)
		}
	}
	r.legs = legs
	eaten, _ := stock.Settle(touched, legs, b.promises, dec.Promises)
	b.keep(slices.Concat(dec.Promises, eaten))
	for id, change := range stock.OnShelf(legs) {
		b.parcel(id).OnHand = b.parcel(id).OnHand.Add(change)
	}
	for id, s := range dec.States {
		b.lot(id).State = s
		r.lots = append(r.lots, id)
	}
	b.records = append(b.records, r)
}

// keep writes promise entries.
func (b *books) keep(entries []stock.PromiseEntry) {
	for _, e := range entries {
		p := &b.promises[e.PromiseID-1]
		p.Outstanding.N += e.Delta
		b.parcel(p.ParcelID).Promised.N += e.Delta
		if e.Why == stock.Eaten || e.Why == stock.Released {
			b.kept[e.PromiseID-1] += e.Delta
		}
	}
}

// undo takes a record back: states, amounts, and promises as far as they may.
func (b *books) undo(i int) error {
	r := &b.records[i]
	before := b.before(r.position, r.lots...)
	states, err := lot.UndoStates(before.Lots)
	if err != nil {
		return err
	}
	r.undone = true
	for id, change := range stock.OnShelf(r.legs) {
		b.parcel(id).OnHand = b.parcel(id).OnHand.Sub(change)
	}
	for id, s := range states {
		b.lot(id).State = s
	}
	b.keep(b.restored(before, *r))
	return nil
}

// restored is what comes back of the promises of an undone record's baths.
func (b *books) restored(before lot.Before, r written) []stock.PromiseEntry {
	var spent []stock.Promise
	var own map[int64]quantity.Amount
	free := map[int64]quantity.Amount{}
	for _, bath := range before.Baths {
		for _, l := range bath.Lots {
			if before.Recorded[l.LotID] != "" && !slices.Contains(r.lots, l.LotID) {
				own = map[int64]quantity.Amount{}
			}
		}
		for _, d := range bath.Doses {
			for _, p := range d.Promises {
				p.Outstanding.N = b.kept[p.ID-1] - p.Outstanding.N
				spent, free[p.ParcelID] = append(spent, p), b.parcel(p.ParcelID).Free()
			}
		}
	}
	if own != nil {
		for _, u := range r.used {
			own[u.Parcel.ID] = u.Amount
		}
	}
	return lot.Restore(spent, free, own)
}

// picked is what the plan has for a position and some lots' own or shared baths.
func (b *books) picked(position int, ids ...int64) []lot.Used {
	var used []lot.Used
	for _, bath := range b.before(position, ids...).Baths {
		for _, d := range bath.Doses {
			for _, p := range d.Picks {
				used = pour(used, *b.parcel(p.ParcelID), p.Amount)
			}
		}
	}
	return used
}

// pour adds an amount, each parcel once.
func pour(used []lot.Used, p stock.Parcel, a quantity.Amount) []lot.Used {
	for i := range used {
		if used[i].Parcel.ID == p.ID {
			used[i].Amount = used[i].Amount.Add(a)
			return used
		}
	}
	return append(used, lot.Used{Parcel: p, Amount: a})
}
