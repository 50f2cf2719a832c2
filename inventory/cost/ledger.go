package cost

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// Paid is a parcel as its cost is known.
type Paid struct {
	ID     int64
	Item   stock.Item
	Origin stock.Origin
	// Cost is what was paid for all of it, carriage included; no currency: nobody
	// wrote it down.
	Cost quantity.Money
	// Gathering is what the labour of a harvest came to; no currency: nobody
	// wrote any.
	Gathering quantity.Money
	Unrated   []string // why not all of it is known: "no rate for labour"
	// Customers: it belongs to a customer, and is never valued.
	Customers bool
}

// Code is what is written on its bag.
func (p Paid) Code() string { return stock.Parcel{ID: p.ID}.Code() }

// Posting is one leg of a movement that stands, in or out of the shelf.
type Posting struct {
	Movement int64
	Line     int
	ParcelID int64
	From, To stock.Place
	N        int64 // in the item's smallest step
}

// Ref names a posting.
type Ref struct {
	Movement int64
	Line     int
}

// Priced is what a taking cost, as far as it is known.
type Priced struct {
	Money   quantity.Money
	Unknown []string // why it is not all known: "P3 has no price"
	Notes   []string
}

// Unit is the price of an amount of a parcel: Priced for Per smallest steps.
type Unit struct {
	Priced
	Per int64
}

// Of is what n steps cost at that price, half-even to a millionth.
func (u Unit) Of(n int64) Priced {
	p := u.Priced
	p.Money = p.Money.Part(n, u.Per)
	return p
}

// Valued is a ledger with a price on each taking.
type Valued struct {
	Takings map[Ref]Priced
	Parcels map[int64]Unit
}

// shelf is what Value keeps of a parcel while it reads the ledger.
type shelf struct {
	paid  Paid
	base  int64 // came in, whole
	taken int64
	cost  Priced // of the base
}

// Value prices every taking of a ledger: by the parcel's own cost (specific
// identification), or, for items that are pooled, by the moving average. Postings
// are those of every parcel in question and of what each was made of, in the
// order of their movements, takings before what they made; reversed movements
// and their reversals are left out.
//
// A parcel's takings are cut from its cost one behind the other, so that they
// and what is left sum to it. What was found beyond what came in costs as the
// rest did. A making costs what its parents did; a harvest its labour, or
// nothing: it was gathered.
func Value(parcels []Paid, postings []Posting, pooled func(itemID int64) bool, currency string) (Valued, error) {
	v := Valued{Takings: map[Ref]Priced{}, Parcels: map[int64]Unit{}}
	shelves := map[int64]*shelf{}
	for _, p := range parcels {
		shelves[p.ID] = &shelf{paid: p}
	}
	heaps := map[int64]*heap{}
	made := map[int64]Priced{} // by movement: what its parents cost
	for _, p := range postings {
		s := shelves[p.ParcelID]
		if s == nil {
			return v, fmt.Errorf("the ledger has a posting of %s, which was not loaded", Paid{ID: p.ParcelID}.Code())
		}
		var h *heap
		if item := s.paid.Item.ID; pooled(item) && !s.paid.Customers {
			if heaps[item] == nil {
				heaps[item] = &heap{}
			}
			h = heaps[item]
		}
		if p.To == stock.Shelf {
			if err := s.receive(p, made[p.Movement], h, currency); err != nil {
				return v, err
			}
			continue
		}
		price, err := s.take(p.N, h, currency)
		if err != nil {
			return v, err
		}
		v.Takings[Ref{p.Movement, p.Line}] = price
		if p.To == stock.InMaking {
			made[p.Movement] = made[p.Movement].plus(price)
		}
	}
	for id, s := range shelves {
		if h := heaps[s.paid.Item.ID]; h != nil && h.last.Per > 0 {
			v.Parcels[id] = h.last
		} else if s.base > 0 {
			v.Parcels[id] = Unit{s.cost, s.base}
		}
	}
	return v, nil
}

func (p Priced) plus(q Priced) Priced {
	return Priced{quantity.Money{Micro: p.Money.Micro + q.Money.Micro, Currency: q.Money.Currency}, union(p.Unknown, q.Unknown), union(p.Notes, q.Notes)}
}

// heap is the shelf of a pooled item.
type heap struct {
	Layer
	unknown []string
	last    Unit // the price after the last receipt
}

func (s *shelf) receive(p Posting, parents Priced, h *heap, currency string) error {
	came := p.From == stock.Supplier || p.From == stock.Field || p.From == stock.InMaking || s.base == 0
	var cost Priced
	if came {
		cost = s.paid.price(parents, currency)
		if s.base > 0 { // a second leg of what was paid for once
			cost.Money.Micro = 0
		}
		s.base += p.N
		s.cost = s.cost.plus(cost)
	}
	if h == nil {
		return nil
	}
	grown, err := h.Receive(Layer{quantity.Amount{N: p.N, Unit: s.paid.Item.Unit}, quantity.Money{Micro: cost.Money.Micro, Currency: currency}})
	if err != nil {
		return fault.In(s.paid.Code(), err)
	}
	h.Layer, h.unknown = grown, union(h.unknown, cost.Unknown)
	h.last = Unit{Priced{grown.Cost, h.unknown, []string{"moving average"}}, grown.Amount.N}
	return nil
}

// price is what the whole of a parcel cost.
func (p Paid) price(parents Priced, currency string) Priced {
	none := quantity.Money{Currency: currency}
	switch {
	case p.Customers:
		return Priced{Money: none, Notes: []string{p.Code() + " is the customer's own: never valued"}}
	case p.Cost.Currency != "" && p.Cost.Currency != currency:
		return Priced{Money: none, Unknown: []string{fmt.Sprintf("%s was paid in %s, and no rate to %s is kept", p.Code(), p.Cost.Currency, currency)}}
	case p.Cost.Currency != "":
		return Priced{Money: p.Cost}
	case p.Origin == stock.FromMaking && parents.Money.Currency != "":
		return parents
	case p.Origin == stock.FromHarvest && p.Gathering.Currency != "":
		return Priced{Money: p.Gathering, Unknown: union(nil, p.Unrated), Notes: []string{p.Code() + " was gathered: its labour"}}
	case p.Origin == stock.FromHarvest:
		return Priced{Money: none, Notes: []string{p.Code() + " was gathered: no price"}}
	}
	return Priced{Money: none, Unknown: []string{p.Code() + " has no price"}}
}

func (s *shelf) take(n int64, h *heap, currency string) (Priced, error) {
	if h != nil {
		paid, left, err := MovingAverage(h.Layer, quantity.Amount{N: n, Unit: s.paid.Item.Unit})
		if err != nil {
			return Priced{}, fault.In(s.paid.Code(), err)
		}
		h.Layer = left
		return Priced{quantity.Money{Micro: paid.Micro, Currency: currency}, h.unknown, []string{s.paid.Item.Code + ": moving average"}}, nil
	}
	cut := s.cost
	cut.Money.Currency = currency
	cut.Money.Micro = s.cost.Money.Part(s.taken+n, s.base).Micro - s.cost.Money.Part(s.taken, s.base).Micro
	s.taken += n
	return cut, nil
}
