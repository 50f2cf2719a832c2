package recipe

import (
	"dyelot/inventory/quantity"
)

// Recipe is one version of a recipe, whole. Once written it never changes: a
// better idea is the next version.
type Recipe struct {
	ID      int64 // of the version; zero until it is written
	Code    string
	Name    string
	Version int            // 1, 2, 3 …; zero until it is written
	Fibre   string         // the one fibre it is for, by its key
	Ratio   quantity.Ratio // liquor ratio of every bath that has none of its own
	Stages  []Stage
	Note    string // what changed, and why
}

// Stage is one step of a recipe.
type Stage struct {
	Position int    // 1, 2, 3 … in the order of work
	Kind     string // a key of the table of stage kinds
	Shared   bool   // one bath for all lots of the run, divided by fibre mass
	Celsius  int    // zero: not said
	Minutes  int    // zero: not said
	Ratio    quantity.Ratio
	PHLow    *PH
	PHHigh   *PH
	Doses    []Line
	Note     string
}

// Line is one dose of a stage: how much of which item, with what the rules must
// know of that item.
type Line struct {
	ItemID    int64
	ItemCode  string
	ItemName  string
	ItemKind  Kind
	Unit      quantity.Unit // what the item is kept in
	Substance string        // what acts in it; empty where nothing is named
	Plant     string
	Part      string
	Family    string // dye chemistry, where the item says it
	Ask       Ask    // without strength and stock, which belong to a parcel
}

// StageKind is what a recipe must know of a kind of stage. The table of kinds
// is package lot's, which imports this one.
type StageKind struct {
	Key, Name string
	Bath      bool // it has a liquor
	Doses     bool // something may go into it
	Brews     bool // its liquor goes on into the next dye or vat stage
	Dyes      bool
}

// RatioOf is the liquor ratio of a stage: its own, else the recipe's.
func (r Recipe) RatioOf(s Stage) quantity.Ratio {
	if s.Ratio > 0 {
		return s.Ratio
	}
	return r.Ratio
}

// AskFrom is a recipe line as the books keep it: a basis and a number of its
// smallest steps (0.0001 % of the fibre, mg in a litre, µL or pieces to a
// kilogram).
func AskFrom(b Basis, steps int64) Ask {
	a := Ask{Basis: b}
	switch b {
	case OnFibre:
		a.Percent = quantity.Percent(steps)
	case InBath:
		a.PerLitre = quantity.Concentration(steps)
	case OfLiquor, Counted:
		a.PerKilo = quantity.Amount{N: steps, Unit: perKiloUnit[b]}
	}
	return a
}

// Steps is the number that AskFrom reads.
func (a Ask) Steps() int64 {
	switch a.Basis {
	case OnFibre:
		return int64(a.Percent)
	case InBath:
		return int64(a.PerLitre)
	}
	return a.PerKilo.N
}

// Implied is what a line makes in per cent on the fibre at a liquor ratio,
// where that can be said before a parcel is picked: 5 g/L at 1 : 40 is 20 %
// WOF. Litres and fibre are easily muddled, so it is held against the same
// bounds. nil for what is dosed by volume or by the piece.
func (a Ask) Implied(ratio quantity.Ratio) *quantity.Percent {
	switch a.Basis {
	case OnFibre:
		return new(a.Percent)
	case InBath: // mg/L × mL/kg is 10^-3 mg/kg, and 1 mg/kg is 0.0001 %
		return new(quantity.Percent(quantity.MulDiv(int64(a.PerLitre), int64(ratio), 1000)))
	}
	return nil
}
