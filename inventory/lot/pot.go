package lot

import (
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Pot is a vessel as a place for a bath.
type Pot struct {
	ID     int64
	Code   string
	Brim   quantity.Amount
	Fill   quantity.Percent // how full it may be
	IsIron bool             // kept for iron alone
}

// Liquor is how much the pot may hold: 40 L at 80 % is 32 L.
func (p Pot) Liquor() quantity.Amount { return p.Brim.Percent(p.Fill) }

// Takes is the air-dry fibre that its liquor serves at a ratio: 32 L at 1 : 40
// is 800 g.
func (p Pot) Takes(ratio quantity.Ratio) quantity.Amount { return ratio.Fibre(p.Liquor()) }

// Fits refuses (fault.Refused, POT_TOO_SMALL) a lot that is too heavy for its
// pot.
func (p Pot) Fits(fibre quantity.Amount, ratio quantity.Ratio) error {
	if room := p.Takes(ratio); fibre.N > room.N {
		return fault.Refuse("POT_TOO_SMALL", "%s of fibre at %s need %s of liquor; pot %s may hold %s, which serves %s",
			fibre, ratio, ratio.Bath(fibre), p.Code, p.Liquor(), room).With("fibre", fibre.String()).With("room", room.String())
	}
	return nil
}

// Holds refuses (fault.Refused, VESSEL_TOO_SMALL) a planned bath that does not
// go into the vessel.
func (p Pot) Holds(bath quantity.Amount) error {
	if bath.N > p.Liquor().N {
		return fault.Refuse("VESSEL_TOO_SMALL", "a bath of %s does not go into %s, which may hold %s", bath, p.Code, p.Liquor()).
			With("bath", bath.String()).With("room", p.Liquor().String())
	}
	return nil
}

// Warnings says what to mind of this vessel for a bath of some kind: iron stays
// in the pot that it was used in, and saddens what comes after. It stops
// nothing.
func (p Pot) Warnings(k Kind) []recipe.Warning {
	if !p.IsIron || !k.Bath || k.Uses == "iron" {
		return nil
	}
	return []recipe.Warning{{Key: "iron-pot", Text: p.Code + " is kept for iron: it will sadden the colour", Source: recipe.Source{Mark: recipe.Practice}}}
}

// PotRatio is the liquor ratio that a lot's own pot must have room for: the
// deepest of the stages that are done in it, each at its own ratio or the
// recipe's. A rinse at 1 : 60 in a tub asks nothing of the pot.
func PotRatio(stages []Stage, ratio quantity.Ratio) quantity.Ratio {
	deepest := quantity.Ratio(0)
	for _, s := range stages {
		if s.Kind.Dyes {
			deepest = max(deepest, s.ratio(ratio))
		}
	}
	if deepest == 0 {
		return ratio
	}
	return deepest
}
