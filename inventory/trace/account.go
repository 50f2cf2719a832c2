package trace

import (
	"fmt"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// Account is where everything of one parcel came from and went, in weighed
// mass, volume or pieces. Strength has no place in it: it is a dated finding,
// never a movement.
type Account struct {
	Received quantity.Amount // delivered, harvested, made, or brought by a customer
	Found    quantity.Amount // there, though the book held less
	Used     quantity.Amount // in baths, with lots, in makings
	Lost     quantity.Amount // written off, or missing at a count
	SentBack quantity.Amount // to its supplier, or to the customer it belongs to
	OnHand   quantity.Amount // as the shelf has it, not as the rest implies
}

// AccountOf adds a parcel's movements up. A reversal takes its movement back
// out, so that what was booked wrongly counts nowhere.
func AccountOf(p stock.Parcel, movements []stock.Movement) Account {
	zero := p.Item.Zero()
	a := Account{zero, zero, zero, zero, zero, zero.Add(p.OnHand)}
	for _, m := range movements {
		for _, l := range m.Legs {
			if l.ParcelID != p.ID {
				continue
			}
			amount := l.Amount
			if m.Kind == stock.ActReversal {
				l.From, l.To, amount.N = l.To, l.From, -amount.N
			}
			if side := a.side(l); side != nil {
				*side = side.Add(amount)
			}
		}
	}
	return a
}

// side is where a leg counts.
func (a *Account) side(l stock.Leg) *quantity.Amount {
	in := map[stock.Place]*quantity.Amount{stock.Supplier: &a.Received, stock.Field: &a.Received, stock.InMaking: &a.Received, stock.Customer: &a.Received, stock.Difference: &a.Found}
	out := map[stock.Place]*quantity.Amount{stock.Process: &a.Used, stock.InMaking: &a.Used, stock.Loss: &a.Lost, stock.Difference: &a.Lost, stock.Supplier: &a.SentBack, stock.Customer: &a.SentBack}
	if l.To == stock.Shelf {
		return in[l.From]
	}
	return out[l.To]
}

// Missing is what the parcel should still hold by its account and does not;
// below zero where it holds more. It is zero in whole books (law 4).
func (a Account) Missing() quantity.Amount {
	return a.Received.Add(a.Found).Sub(a.Used).Sub(a.Lost).Sub(a.SentBack).Sub(a.OnHand)
}

// String is the account in words.
func (a Account) String() string {
	s := fmt.Sprintf("received %s + found %s = used %s + lost %s + sent back %s + on hand %s", a.Received, a.Found, a.Used, a.Lost, a.SentBack, a.OnHand)
	if gone := a.Missing(); gone.N != 0 {
		s += fmt.Sprintf("; this does not add up by %s: verify the books", gone)
	}
	return s
}
