package stock

import (
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Moment is what the book held of a parcel when it was counted. A count that is
// written down at once is of the book as it stands: Now.
type Moment struct {
	At     time.Time // zero: now
	OnHand quantity.Amount
	// Came is when the parcel first came onto the shelf; zero where that is of
	// no matter.
	Came time.Time
	// CountedSince is the first count after this moment; zero where there is
	// none.
	CountedSince time.Time
}

// Now is the moment of a count that is written down at once.
func Now(p Parcel) Moment { return Moment{OnHand: p.OnHand} }

// Counted is what follows from a count.
type Counted struct {
	Movement   // without legs where the book was right
	Difference quantity.Amount
	// Beyond is what was missing at the count and was taken all the same since:
	// the book goes no lower than nothing. Absent where there is none.
	Beyond quantity.Amount
}

// Count holds what was found in a parcel against what the book held at that
// moment, and books the difference. 350 g are booked at 11:00, 337 g are
// counted, 50 g are used at 14:00 and the count is typed in at 17:00: 13 g were
// missing, so 300 − 13 = 287 g are left, not 337.
//
// Where so much has been taken since that the shelf would hold less than
// nothing, the difference is booked down to nothing, and the rest is Beyond.
//
// Refused: PARCEL_DAMP; COUNTED_SINCE, since a later count covers all that was
// before it; (fault.Invalid) field "counted", another unit or less than
// nothing, and field "happened_at", before the parcel came.
func Count(p Parcel, then Moment, counted quantity.Amount) (Counted, error) {
	switch {
	case p.Damp():
		return Counted{}, fault.Refuse("PARCEL_DAMP", "%s is still damp and is not booked: weigh it dry first", p.Code()).With("parcel", p.Code())
	case counted.Unit != p.Item.Unit || counted.N < 0:
		return Counted{}, fault.BadField("counted", "%s: %s is counted in %s, from zero up", counted, p.Code(), p.Item.Unit.Name())
	case !then.At.IsZero() && then.At.Before(then.Came):
		return Counted{}, fault.BadField("happened_at", "%s came onto the shelf at %s, after this count at %s: give the hour too", p.Code(), clock(then.Came), clock(then.At))
	case !then.CountedSince.IsZero():
		return Counted{}, fault.Refuse("COUNTED_SINCE", "%s was counted again at %s, and that count covers all that was before it: there is nothing to set right", p.Code(), clock(then.CountedSince)).
			With("parcel", p.Code())
	}
	c := Counted{Movement: Movement{Kind: ActCount, HappenedAt: then.At}, Difference: counted.Sub(then.OnHand)}
	gone := then.OnHand.Sub(counted)
	if gone.N > p.OnHand.N {
		c.Beyond, gone = gone.Sub(p.OnHand), p.OnHand
	}
	switch {
	case gone.N < 0:
		c.Legs = []Leg{{p.ID, Difference, Shelf, c.Difference}}
	case gone.N > 0:
		c.Legs = []Leg{{p.ID, Shelf, Difference, gone}}
	}
	return c, nil
}

// Overtaken warns of an act that happened before its parcel was counted and is
// written down after: the count took what the act had taken for missing, so it
// would be gone twice.
func Overtaken(p Parcel, act, counted time.Time, found quantity.Amount) (w recipe.Warning, is bool) {
	if counted.IsZero() || !act.Before(counted) {
		return w, false
	}
	return recipe.Warning{Key: "before-count", Source: recipe.Source{Mark: recipe.Practice},
		Text: "this was at " + clock(act) + ", before " + p.Code() + " was counted at " + clock(counted) + " and " + found.String() +
			" were found, and it is written down after: that count may have booked it already, so count " + p.Code() + " again"}, true
}

// clock shows a moment in the zone that it carries.
func clock(t time.Time) string { return t.Format("2006-01-02 15:04") }

// WriteOff takes spoiled stock off the shelf, or sends it back to its supplier.
// An absent amount is all that is left. More than the book holds is refused,
// since nobody weighed it into anything: count the parcel first.
//
// Refused: PARCEL_DAMP, PARCEL_EMPTY, STOCK_SHORT, NOT_DELIVERED for sending back what no
// supplier sent; (fault.Invalid, field "reason") no reason.
func WriteOff(p Parcel, amount quantity.Amount, reason string, sendBack bool) (Movement, error) {
	m := Movement{Kind: ActWriteOff, Reason: reason}
	to, act := Loss, "write off"
	if sendBack {
		m.Kind, to, act = ActSendBack, Supplier, "send back"
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
		return m, fault.Refuse("PARCEL_EMPTY", "%s is empty: there is nothing to %s", p.Code(), act).With("parcel", p.Code())
	case amount.N > p.OnHand.N:
		return m, fault.Refuse("STOCK_SHORT", "%s is booked at %s, %s cannot be written off: if there is more in it, count it first", p.Code(), p.OnHand, amount).
			With("parcel", p.Code()).With("asked", amount.String()).With("on_hand", p.OnHand.String())
	}
	m.Legs = []Leg{{p.ID, Shelf, to, amount}}
	return m, nil
}
