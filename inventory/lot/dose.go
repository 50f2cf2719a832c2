package lot

import (
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// Dose is one thing that goes into a bath.
type Dose struct {
	ID     int64
	Item   stock.Item
	Ask    recipe.Ask      // in the recipe's words
	Amount quantity.Amount // by the strength of the parcel picked, or of the one that comes nearest
	Picks  []Pick
	Short  quantity.Amount // what is not picked; zero when it all is
	// Lacks is what the shelf is short of for that, absent when it is not
	// known. Doses of a set that one parcel must serve together lack it
	// together: it stands with each of them.
	Lacks quantity.Amount
	Note  string // why it is short, and what not to do
	// Promises behind the picks, once they are made.
	Promises []stock.Promise
}

// Pick is an amount meant to come from one parcel.
type Pick struct {
	ParcelID int64
	Code     string
	Amount   quantity.Amount
}

// OnlyFrom is true of a dose that is picked from one parcel and no other.
func (d Dose) OnlyFrom(parcel int64) bool {
	return len(d.Picks) > 0 && !slices.ContainsFunc(d.Picks, func(p Pick) bool { return p.ParcelID != parcel })
}

// open is true of a dose that is not picked, or no longer in full.
func (d Dose) open() bool { return d.Amount.Unit == 0 || !d.Short.IsZero() }

// In is the dose's amount when it is filled from a parcel: more of a weaker
// harvest, millilitres of a solution by its g/L. 1 % of 1080 g is 54 mL of a
// 200 g/L liquor.
//
// Refused: STRENGTH_UNKNOWN for per cent or g/L of a liquor whose g/L nobody
// knows, and NOT_MADE where there is no such liquor to ask; BELOW_SCALE and what
// else recipe.Ask.For refuses.
func (d Dose) In(p stock.Parcel, b Bath) (quantity.Amount, error) {
	ask, scale := d.Ask, recipe.Scale{}
	switch d.Item.Unit {
	case quantity.Mass:
		scale.Mass = d.Item.Resolution
		if p.Strength != 0 {
			ask.Strength = new(p.Strength)
		}
	case quantity.Volume:
		scale.Volume = d.Item.Resolution
		if p.Concentration > 0 {
			ask.Stock = new(p.Concentration)
		} else if ask.Basis != recipe.OfLiquor {
			return quantity.Amount{}, d.unmeasured(p)
		}
	}
	dose, err := ask.For(recipe.Pot{Dry: b.Fibre(), Bath: b.Volume}, scale)
	if err == nil && dose.Take.Unit != d.Item.Unit {
		return quantity.Amount{}, fault.BadField("basis", "%s comes in %s, and %s is kept in %s", ask, dose.Take.Unit.Name(), d.Item.Code, d.Item.Unit.Name())
	}
	return dose.Take, err
}

// unmeasured says why no volume can be told of a liquor, and what helps.
func (d Dose) unmeasured(p stock.Parcel) error {
	if p.ID == 0 {
		return fault.Refuse("NOT_MADE", "no %s is on the shelf to tell its g/L, so %s cannot be measured: make some first, or book in what there is", d.Item.Name, d.Ask)
	}
	return fault.Refuse("STRENGTH_UNKNOWN", "%s (%s) is of unknown strength, so %s cannot be measured from it: dose it in mL/kg by swatch, or make some of known strength",
		p.Code(), d.Item.Name, d.Ask).With("parcel", p.Code())
}
