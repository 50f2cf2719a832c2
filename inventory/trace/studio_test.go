package trace_test

import (
	"slices"

	"pgregory.net/rapid"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/inventory/trace"
)

// studio is the simple model that the laws are tried on: what happened is
// written down in order, and everything else is read back from that.
type studio struct {
	parcels   []stock.Parcel // parcel n has id n+1
	movements []stock.Movement
	baths     []recorded
	garments  []trace.Member
	cloth     []trace.Given
}

type recorded struct {
	trace.Bath
	undone bool
}

var powder = stock.Item{Unit: quantity.Mass, Kind: stock.Mordant, Resolution: quantity.Amount{N: 7, Unit: quantity.Mass}}

const lotsOfStudio = 4

// anyStudio draws a history: parcels delivered and made, baths of one or more
// lots recorded and undone, cloth issued, garments dyed over, shelves counted and cleared.
func anyStudio(t *rapid.T) *studio {
	s := &studio{}
	s.deliver(t)
	acts := []func(*rapid.T){s.deliver, s.make, s.record, s.record, s.undo, s.issue, s.overDye, s.count, s.writeOff, s.reverse}
	for range rapid.IntRange(0, 25).Draw(t, "acts") {
		acts[rapid.IntRange(0, len(acts)-1).Draw(t, "act")](t)
	}
	return s
}

// post books a movement and moves the shelf.
func (s *studio) post(m stock.Movement) {
	m.ID = int64(len(s.movements) + 1)
	for id, d := range stock.OnShelf(m.Legs) {
		s.parcels[id-1].OnHand.N += d.N
	}
	s.movements = append(s.movements, m)
}

func (s *studio) fresh() int64 {
	id := int64(len(s.parcels) + 1)
	s.parcels = append(s.parcels, stock.Parcel{ID: id, Item: powder, OnHand: powder.Zero()})
	return id
}

func (s *studio) anyParcel(t *rapid.T) stock.Parcel {
	return s.parcels[rapid.IntRange(0, len(s.parcels)-1).Draw(t, "parcel")]
}

func anyAmount(t *rapid.T) quantity.Amount {
	return quantity.Amount{N: rapid.Int64Range(1, 1000).Draw(t, "amount"), Unit: quantity.Mass}
}

func (s *studio) deliver(t *rapid.T) {
	id := s.fresh()
	s.post(stock.Movement{Kind: stock.ActDelivery, Legs: []stock.Leg{{ParcelID: id, From: stock.Supplier, To: stock.Shelf, Amount: anyAmount(t)}}})
}

func (s *studio) make(t *rapid.T) {
	var given []stock.Given
	for range rapid.IntRange(1, 3).Draw(t, "parents") {
		p := s.anyParcel(t)
		if !slices.ContainsFunc(given, func(g stock.Given) bool { return g.Parcel.ID == p.ID }) {
			given = append(given, stock.Given{Parcel: p, Amount: anyAmount(t)})
		}
	}
	sum := powder.Zero()
	for _, g := range given {
		sum = sum.Add(g.Amount)
	}
	made, err := stock.Make(powder, sum, given, false)
	if err != nil {
		t.Fatal(err)
	}
	s.post(made.Movement(s.fresh()))
}

func (s *studio) record(t *rapid.T) {
	r := recorded{Bath: trace.Bath{Record: int64(len(s.baths) + 1)}}
	for id := range int64(lotsOfStudio) {
		if rapid.Bool().Draw(t, "in the bath") {
			r.Lots = append(r.Lots, lot.BathLot{LotID: id + 1, Fibre: anyAmount(t)})
		}
	}
	if len(r.Lots) == 0 {
		return
	}
	p, amount := s.anyParcel(t), anyAmount(t)
	r.Poured = []trace.Poured{{Parcel: p.ID, Amount: amount, Step: powder.Resolution}}
	s.baths = append(s.baths, r)
	s.post(stock.Movement{Kind: stock.ActUse, RecordID: r.Record, Legs: stock.Take(p, amount)})
}

func (s *studio) undo(t *rapid.T) {
	for i, m := range s.movements {
		if m.RecordID == 0 || m.ReversedByID != 0 || !rapid.Bool().Draw(t, "this one") {
			continue
		}
		if back, err := stock.Mirror(m, s.parcels, "slip"); err == nil {
			s.baths[m.RecordID-1].undone = true
			s.movements[i].ReversedByID = int64(len(s.movements) + 1)
			s.post(back)
			return
		}
	}
}

func (s *studio) reverse(t *rapid.T) {
	i := rapid.IntRange(0, len(s.movements)-1).Draw(t, "movement")
	if back, err := stock.Reverse(s.movements[i], s.parcels, "slip"); err == nil {
		s.movements[i].ReversedByID = int64(len(s.movements) + 1)
		s.post(back)
	}
}

func (s *studio) issue(t *rapid.T) {
	p, own := s.anyParcel(t), rapid.Int64Range(1, lotsOfStudio).Draw(t, "lot")
	blanks := rapid.Bool().Draw(t, "blanks")
	s.post(stock.Movement{Kind: stock.ActUse, LotID: own, Legs: stock.Take(p, anyAmount(t))})
	s.cloth = append(s.cloth, trace.Given{Lot: own, Through: trace.LotNode(own), Parcel: p.ID, Blanks: blanks, Share: quantity.Pieces(1)})
	if blanks {
		s.garments = append(s.garments, trace.Member{Garment: int64(len(s.cloth)), Lot: own, Parcel: p.ID})
	}
}

// overDye makes a garment a member of one more lot; what its lots before got, it
// keeps.
func (s *studio) overDye(t *rapid.T) {
	if len(s.garments) == 0 {
		return
	}
	m := s.garments[rapid.IntRange(0, len(s.garments)-1).Draw(t, "garment")]
	m.Lot = rapid.Int64Range(1, lotsOfStudio).Draw(t, "into")
	if !slices.Contains(s.garments, m) {
		s.garments = append(s.garments, m)
	}
}

func (s *studio) count(t *rapid.T) {
	p := s.anyParcel(t)
	m, err := stock.Count(p, stock.Now(p), anyAmount(t))
	if err != nil {
		t.Fatal(err)
	}
	s.post(m.Movement)
}

func (s *studio) writeOff(t *rapid.T) {
	if m, err := stock.WriteOff(s.anyParcel(t), anyAmount(t), "mould", rapid.Bool().Draw(t, "sent back")); err == nil {
		s.post(m)
	}
}

// history is what of all that stands.
func (s *studio) history() trace.History {
	h := trace.History{Members: s.garments, Given: slices.Clone(s.cloth)}
	for _, b := range s.baths {
		if !b.undone {
			h.Given = append(h.Given, b.Given()...)
		}
	}
	for _, m := range s.movements {
		if m.Kind != stock.ActMaking || m.ReversedByID != 0 {
			continue
		}
		for _, l := range m.Legs {
			if l.To == stock.InMaking {
				h.Makings = append(h.Makings, trace.Making{Parent: l.ParcelID, Child: m.MadeParcelID, Amount: l.Amount, Made: s.ever(m.MadeParcelID)})
			}
		}
	}
	return h
}

// ever is all that a made parcel was: made, and found since.
func (s *studio) ever(parcel int64) quantity.Amount {
	sum := powder.Zero()
	for _, m := range s.movements {
		for _, l := range m.Legs {
			if l.ParcelID == parcel && l.To == stock.Shelf && m.Kind != stock.ActReversal && m.ReversedByID == 0 {
				sum = sum.Add(l.Amount)
			}
		}
	}
	return sum
}
