package stock

import (
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Count sets a parcel to what was found in it. The movement has no legs where
// the book was right. Refused: PARCEL_DAMP; (fault.Invalid, field "counted")
// another unit or less than nothing.
func Count(p Parcel, counted quantity.Amount) (m Movement, difference quantity.Amount, err error) {
	switch {
	case p.Damp():
		return m, difference, fault.Refuse("PARCEL_DAMP", "%s is still damp and is not booked: weigh it dry first", p.Code()).With("parcel", p.Code())
	case counted.Unit != p.Item.Unit || counted.N < 0:
		return m, difference, fault.BadField("counted", "%s: %s is counted in %s, from zero up", counted, p.Code(), p.Item.Unit.Name())
	}
	m.Kind = ActCount
	difference = counted.Sub(p.OnHand)
	switch {
	case difference.N > 0:
		m.Legs = []Leg{{p.ID, Difference, Shelf, difference}}
	case difference.N < 0:
		m.Legs = []Leg{{p.ID, Shelf, Difference, p.OnHand.Sub(counted)}}
	}
	return m, difference, nil
}

// WriteOff takes spoiled stock off the shelf, or sends it back to its supplier.
// An absent amount is all that is left. More than the book holds is refused,
// since nobody weighed it into anything: count the parcel first.
//
// Refused: PARCEL_DAMP, NOTHING_LEFT, STOCK_SHORT, NOT_DELIVERED for sending back what no
// supplier sent; (fault.Invalid, field "reason") no reason.
func WriteOff(p Parcel, amount quantity.Amount, reason string, sendBack bool) (Movement, error) {
	m := Movement{Kind: ActWriteOff, Reason: reason}
	to := Loss
	if sendBack {
		m.Kind, to = ActSendBack, Supplier
	}
	if amount.Unit == 0 {
		amount = p.OnHand
	}
	switch {
	case strings.TrimSpace(reason) == "":
		return m, fault.BadField("reason", "is needed: mould, spilt, out of date …")
	case sendBack && p.Origin != FromDelivery:
		return m, fault.Refuse("NOT_DELIVERED", "%s is a %s: no supplier takes it back", p.Code(), p.Origin)
	case p.Damp():
		return m, fault.Refuse("PARCEL_DAMP", "%s is still damp and is not booked: block it where it spoilt", p.Code()).With("parcel", p.Code())
	case p.OnHand.N == 0:
		return m, fault.Refuse("NOTHING_LEFT", "%s is empty: there is nothing to write off", p.Code()).With("parcel", p.Code())
	case amount.N > p.OnHand.N:
		return m, fault.Refuse("STOCK_SHORT", "%s is booked at %s, %s cannot be written off: if there is more in it, count it first", p.Code(), p.OnHand, amount).
			With("parcel", p.Code()).With("asked", amount.String()).With("on_hand", p.OnHand.String())
	}
	m.Legs = []Leg{{p.ID, Shelf, to, amount}}
	return m, nil
}
