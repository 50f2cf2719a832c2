package stock

import (
	"strconv"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Origin is where a parcel came from. It is stored and sent as text.
type Origin string

// The origins.
const (
	FromDelivery Origin = "delivery"
	FromHarvest  Origin = "harvest"
	FromMaking   Origin = "making"
)

// Parcel is one quantity of one item with one origin: a bag, a jar, a harvest,
// a stack of blanks.
type Parcel struct {
	ID          int64
	Item        Item // its facts; the sums over all parcels are absent here
	Origin      Origin
	Supplier    string
	SupplierLot string
	Cost        quantity.Money // no currency: unknown
	Harvest     Harvest
	// Strength in force against the item's reference, the newest dated finding;
	// zero where none was ever made, which counts as 100 %.
	Strength quantity.Percent
	// Concentration of a solution; zero where it has none or nobody knows.
	Concentration   quantity.Concentration
	StrengthUnknown bool            // a liquor of unknown strength: no % WOF may be computed
	PieceMass       quantity.Amount // blanks of this delivery, where it differs from the item's
	ArrivedAt       time.Time
	UsableUntil     time.Time // the last day; zero: it keeps
	Blocked         string    // why it may not be picked or promised; empty: it may
	Note            string
	RecordedBy      string

	// Of what a customer brought to be dyed: their commission (zero for the
	// studio's own), and why it might not take.
	CommissionID int64
	MightNotTake string
	// Unsampled: a blend of harvests that no swatch was dyed with. Known only
	// where a plan is about to pick.
	Unsampled bool

	OnHand   quantity.Amount
	Promised quantity.Amount
}

// Harvest is what is known of a gathered parcel. Dry is absent while it is
// damp: damp plant is not booked as dry.
type Harvest struct {
	Part       string
	Place      string // the studio's own words, never coordinates
	Ripeness   string
	PickedOn   time.Time
	Permission string // who allowed the picking
	Fresh      quantity.Amount
	Dry        quantity.Amount
}

// Code is what stands on the bag: "P7".
func (p Parcel) Code() string { return "P" + strconv.FormatInt(p.ID, 10) }

// Free is what is on hand and nobody was promised.
func (p Parcel) Free() quantity.Amount { return p.OnHand.Sub(p.Promised) }

// Damp is true of a harvest that has not been weighed dry.
func (p Parcel) Damp() bool { return p.Origin == FromHarvest && p.Harvest.Dry.N == 0 }

// StrengthOr100 is the strength to dose by.
func (p Parcel) StrengthOr100() quantity.Percent {
	if p.Strength == 0 {
		return whole
	}
	return p.Strength
}

// OnePiece is the air-dry mass of one blank of this parcel; absent for the rest.
func (p Parcel) OnePiece() quantity.Amount {
	if p.PieceMass.Unit != 0 {
		return p.PieceMass
	}
	return p.Item.PieceMass
}

// ActingMass is the mass of the substance, at full strength, in an amount of
// the parcel: grams times strength, millilitres times g/L. 30 mL of a 200 g/L
// liquor hold 6 g. It is absent where nobody knows: a liquor of unknown
// strength, pieces, a liquid without g/L.
func (p Parcel) ActingMass(a quantity.Amount) quantity.Amount {
	switch {
	case a.Unit == quantity.Mass:
		return a.Percent(p.StrengthOr100())
	case a.Unit == quantity.Volume && p.Concentration > 0:
		return p.Concentration.MassIn(a)
	}
	return quantity.Amount{}
}

// Usable says why a parcel may not be picked or promised today (fault.Refused):
// PARCEL_DAMP, PARCEL_BLOCKED or PARCEL_PAST. What lies in it may still be
// recorded as used: facts are never refused.
func (p Parcel) Usable(today time.Time) error {
	switch {
	case p.Damp():
		return fault.Refuse("PARCEL_DAMP", "%s is still damp and holds nothing: weigh it dry first", p.Code()).With("parcel", p.Code())
	case p.Blocked != "":
		return fault.Refuse("PARCEL_BLOCKED", "%s is blocked: %s", p.Code(), p.Blocked).With("parcel", p.Code())
	case p.past(today):
		return fault.Refuse("PARCEL_PAST", "%s was usable until %s", p.Code(), p.UsableUntil.Format(time.DateOnly)).With("parcel", p.Code())
	}
	return nil
}

func (p Parcel) past(today time.Time) bool {
	return !p.UsableUntil.IsZero() && today.After(p.UsableUntil)
}

// CheckStrength refuses (fault.Invalid, field "strength_percent") what is
// outside 1 to 1000 %, and NO_STRENGTH for what has none: cloth, and solutions,
// whose strength is their g/L.
func CheckStrength(it Item, s quantity.Percent) error {
	switch {
	case it.Kind.isCloth() || it.Unit != quantity.Mass:
		return fault.Refuse("NO_STRENGTH", "%s is a %s counted in %s: only what is weighed and acts has a strength; that of a solution is its g/L", it.Code, it.Kind, it.Unit.Name())
	case s < quantity.WholePercent(1) || s > quantity.WholePercent(1000):
		return fault.BadField("strength_percent", "%s: 1 to 1000 %% of the reference is believed", s)
	}
	return nil
}
