package stock

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// What a customer brings to be dyed lies on the shelf as a parcel and is theirs
// all the while: it has no cost, no run but their commission's picks it, nothing
// is made of it, and nobody sells it. It leaves by being given back.
const (
	FromCustomer Origin = "customer"
	Customer     Place  = "customer"
	ActTakenIn   Act    = "taken-in"
	ActGivenBack Act    = "given-back"
)

// Customers is true of a parcel that belongs to the customer of a commission.
func (p Parcel) Customers() bool { return p.CommissionID != 0 }

// NotCustomers refuses (fault.Refused, CUSTOMERS_OWN) to do with a customer's
// garments what only the studio's own are for: "made into another parcel".
func NotCustomers(p Parcel, what string) error {
	if !p.Customers() {
		return nil
	}
	return fault.Refuse("CUSTOMERS_OWN", "%s belongs to the customer of W%d: it is dyed for that commission and given back, never %s", p.Code(), p.CommissionID, what).
		With("parcel", p.Code()).With("commission", fmt.Sprintf("W%d", p.CommissionID))
}

// MayBeDyedFor refuses (fault.Refused, CUSTOMERS_OWN) a run of another
// commission, or of none, where commissionID is zero.
func (p Parcel) MayBeDyedFor(commissionID int64) error {
	if p.CommissionID == commissionID {
		return nil
	}
	return NotCustomers(p, "taken for another run")
}

// TakeIn books pieces of a parcel that a customer brought. fault.Refused,
// NOT_A_BLANK, for what is no garment; fault.Invalid, field "pieces".
func TakeIn(it Item, pieces int64) (quantity.Amount, error) {
	switch {
	case it.Kind != Blank:
		return quantity.Amount{}, fault.Refuse("NOT_A_BLANK", "%s is a %s: what a customer brings to be dyed is a garment, so describe it as a blank", it.Code, it.Kind).With("item", it.Code)
	case pieces < 1 || pieces > mostPieces:
		return quantity.Amount{}, fault.BadField("pieces", "%d pieces: 1 to %d are taken in at once", pieces, mostPieces)
	}
	return quantity.Pieces(pieces), nil
}

// mostPieces: beyond that a mass was typed for a count.
const mostPieces = 2000

// GiveBack takes undyed pieces off the shelf to the customer of a commission.
// What a lot was promised is not free to go: cancel its run first.
//
// Refused: NOT_CUSTOMERS for what is not that customer's; STOCK_SHORT;
// (fault.Invalid, field "amount") another unit.
func GiveBack(p Parcel, commissionID int64, amount quantity.Amount) (Leg, error) {
	switch {
	case p.CommissionID == 0 || p.CommissionID != commissionID:
		return Leg{}, fault.Refuse("NOT_CUSTOMERS", "%s does not belong to the customer of W%d: only their own is given back", p.Code(), commissionID).With("parcel", p.Code())
	case amount.Unit != quantity.Count || amount.N <= 0:
		return Leg{}, fault.BadField("amount", "%s: %s is counted in pc, above zero", amount, p.Code())
	case amount.N > p.Free().N:
		return Leg{}, fault.Refuse("STOCK_SHORT", "%s has %s free of %s on hand, %s cannot be given back undyed: what a run was promised is free once that run is cancelled", p.Code(), p.Free(), p.OnHand, amount).
			With("parcel", p.Code()).With("asked", amount.String()).With("free", p.Free().String())
	}
	return Leg{p.ID, Shelf, Customer, amount}, nil
}

// MaySample refuses (fault.Refused, NOT_A_BLEND) to call sampled what is no
// making of a dyestuff: one harvest needs no sampling before a set.
func MaySample(p Parcel) error {
	if p.Origin != FromMaking || !p.Item.GivesShade() {
		return fault.Refuse("NOT_A_BLEND", "%s is a %s of %s: what is sampled before a set is a blend, made from two harvests of one dyestuff", p.Code(), p.Origin, p.Item.Name).With("parcel", p.Code())
	}
	return nil
}

// GivesShade is true of a dyestuff, or a liquor made of one.
func (it Item) GivesShade() bool {
	return it.Kind == Dyestuff || it.Kind == Solution && it.Plant != ""
}
