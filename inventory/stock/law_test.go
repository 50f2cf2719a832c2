package stock_test

import (
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// shelf is the simple model: what was decided is written down, and everything
// else is read back from that.
type shelf struct {
	parcels   []stock.Parcel
	movements []stock.Movement
	promises  []stock.Promise
}

// write books an act like the store does: entries first, then the movement.
func (s *shelf) write(t *rapid.T, m stock.Movement, entries ...stock.PromiseEntry) {
	for _, e := range entries {
		pr := &s.promises[e.PromiseID-1]
		pr.Outstanding.N += e.Delta
		s.parcels[pr.ParcelID-1].Promised.N += e.Delta
		if pr.Outstanding.N < 0 {
			t.Fatalf("promise %d overdrawn by %+v", pr.ID, e)
		}
	}
	m.ID = int64(len(s.movements) + 1)
	for id, d := range stock.OnShelf(m.Legs) {
		s.parcels[id-1].OnHand.N += d.N
	}
	if m.Kind == stock.ActReversal {
		s.movements[m.ReversesID-1].ReversedByID = m.ID
	}
	s.movements = append(s.movements, m)
}

// settle and write an act with the promises it fulfils.
func (s *shelf) book(t *rapid.T, m stock.Movement, fulfilled ...stock.PromiseEntry) {
	eaten, _ := stock.Settle(s.parcels, m.Legs, s.promises, fulfilled)
	s.write(t, m, append(fulfilled, eaten...)...)
}

func (s *shelf) parcel(t *rapid.T) stock.Parcel {
	return s.parcels[rapid.IntRange(0, len(s.parcels)-1).Draw(t, "parcel")]
}

func some(t *rapid.T) quantity.Amount {
	return quantity.Amount{N: rapid.Int64Range(1, 40).Draw(t, "amount"), Unit: quantity.Mass}
}

// lawful: no parcel below zero or promised beyond what it holds; the promised
// figure is the sum of promises; received + found = used + lost + sent back +
// on hand, by replaying every leg (laws 1, 2 and 4).
func (s *shelf) lawful(t *rapid.T) {
	for _, p := range s.parcels {
		if p.OnHand.N < 0 || p.Promised.N < 0 || p.Promised.N > p.OnHand.N {
			t.Fatalf("%s holds %d, promised %d", p.Code(), p.OnHand.N, p.Promised.N)
		}
		var promised int64
		for _, pr := range s.promises {
			if pr.ParcelID == p.ID {
				promised += pr.Outstanding.N
			}
		}
		at := map[stock.Place]int64{}
		for _, m := range s.movements {
			for _, l := range m.Legs {
				if l.ParcelID == p.ID {
					at[l.From] -= l.Amount.N
					at[l.To] += l.Amount.N
				}
				if l.Amount.N <= 0 || (l.From == stock.Shelf) == (l.To == stock.Shelf) {
					t.Fatalf("%s has the leg %+v", m.Code(), l)
				}
			}
		}
		came := -at[stock.Supplier] - at[stock.Difference] - at[stock.InMaking]
		if promised != p.Promised.N || came != at[stock.Process]+at[stock.Loss]+p.OnHand.N || at[stock.Shelf] != p.OnHand.N {
			t.Fatalf("%s: promised %d of %d, places %v, on hand %d", p.Code(), p.Promised.N, promised, at, p.OnHand.N)
		}
	}
}

func TestNoActBreaksALaw(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := &shelf{parcels: []stock.Parcel{bag(1, weld, g(0), g(0)), bag(2, weld, g(0), g(0))}}
		t.Repeat(map[string]func(*rapid.T){
			"deliver": func(t *rapid.T) {
				p := s.parcel(t)
				s.book(t, stock.Movement{Kind: stock.ActDelivery, Legs: []stock.Leg{{p.ID, stock.Supplier, stock.Shelf, some(t)}}})
			},
			"promise": func(t *rapid.T) {
				p, a := s.parcel(t), some(t)
				if err := stock.MayPromise(p, a, today); (err == nil) != (a.N <= p.OnHand.N-p.Promised.N) {
					t.Fatalf("%d of %d free: %v", a.N, p.Free().N, err)
				} else if err == nil {
					pr := stock.Promise{ID: int64(len(s.promises) + 1), ParcelID: p.ID, DoseID: rapid.Int64Range(0, 1).Draw(t, "dose")}
					pr.Outstanding.Unit = quantity.Mass
					s.promises = append(s.promises, pr)
					s.write(t, stock.Movement{}, stock.PromiseEntry{PromiseID: pr.ID, Delta: a.N, Why: stock.Made})
				}
			},
			"use": func(t *rapid.T) {
				p, a := s.parcel(t), some(t)
				var own []stock.Promise
				for _, pr := range s.promises {
					if !pr.ByHand() && rapid.Bool().Draw(t, "own") {
						own = append(own, pr)
					}
				}
				s.book(t, stock.Movement{Kind: stock.ActUse, RecordID: 1, Legs: stock.Take(p, a)}, stock.Fulfil(own, map[int64]quantity.Amount{p.ID: a})...)
			},
			"count": func(t *rapid.T) {
				p, a := s.parcel(t), some(t)
				m, err := stock.Count(p, stock.Now(p), a)
				if err != nil {
					t.Fatal(err)
				}
				s.book(t, m.Movement)
				if s.parcels[p.ID-1].OnHand != a {
					t.Fatalf("counted %d, booked %d", a.N, s.parcels[p.ID-1].OnHand.N)
				}
			},
			"write off": func(t *rapid.T) {
				p, a := s.parcel(t), some(t)
				m, err := stock.WriteOff(p, a, "mould", false)
				if (err == nil) != (a.N <= p.OnHand.N) {
					t.Fatalf("%d of %d: %v", a.N, p.OnHand.N, err)
				}
				if err == nil {
					s.book(t, m)
				}
			},
			"make": func(t *rapid.T) {
				a := some(t)
				m, err := stock.Make(weld, a, []stock.Given{{s.parcels[0], a}}, false)
				if err != nil {
					t.Fatal(err)
				}
				s.book(t, m.Movement(2))
			},
			"release": func(t *rapid.T) {
				for _, pr := range s.promises {
					if e, err := stock.Release(pr); err == nil {
						s.write(t, stock.Movement{}, e)
						return
					}
				}
			},
			"reverse": func(t *rapid.T) {
				if len(s.movements) == 0 {
					return
				}
				m := s.movements[rapid.IntRange(0, len(s.movements)-1).Draw(t, "movement")]
				if back, err := stock.Reverse(m, s.parcels, "slip"); err == nil {
					s.book(t, back)
				}
			},
			"": func(t *rapid.T) {
				s.lawful(t)
				s.yearsHold(t)
			},
		})
	})
}
