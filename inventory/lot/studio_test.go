package lot_test

import (
	"fmt"
	"time"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// A studio for the tests, with the figures of the two days that were worked by
// hand by two people: a choir's ten silk tunics, and one linen shirt.

var may14 = time.Date(2026, 5, 14, 0, 0, 0, 0, time.UTC)

func g(n int64) quantity.Amount  { return quantity.Grams(n) }
func mL(n int64) quantity.Amount { return quantity.Millilitres(n) }
func mg(n int64) quantity.Amount { return quantity.Amount{N: n * 1000, Unit: quantity.Mass} }
func pct(s string) quantity.Percent {
	p, err := quantity.ParsePercent(s)
	if err != nil {
		panic(err)
	}
	return p
}

var (
	alum    = stock.Item{ID: 1, Code: "alum", Name: "alum", Kind: stock.Mordant, Unit: quantity.Mass, Substance: "potassium alum", Resolution: mg(100)}
	weld    = stock.Item{ID: 2, Code: "weld", Name: "weld", Kind: stock.Dyestuff, Unit: quantity.Mass, Plant: "weld", Part: "tops", Resolution: g(1)}
	liquor  = stock.Item{ID: 3, Code: "iron-liquor", Name: "iron liquor", Kind: stock.Solution, Unit: quantity.Volume, Substance: "copperas", Resolution: mL(1)}
	vinegar = stock.Item{ID: 4, Code: "vinegar-iron", Name: "vinegar iron", Kind: stock.Solution, Unit: quantity.Volume, Substance: "vinegar-and-scrap iron liquor", Resolution: mL(1)}
	powder  = stock.Item{ID: 5, Code: "copperas", Name: "copperas", Kind: stock.Mordant, Unit: quantity.Mass, Substance: "copperas", Resolution: mg(10)}
	galls   = stock.Item{ID: 6, Code: "galls", Name: "oak galls", Kind: stock.Dyestuff, Unit: quantity.Count, Plant: "oak gall", Resolution: quantity.Pieces(1)}
	soap    = stock.Item{ID: 7, Code: "soap", Name: "soap", Kind: stock.Auxiliary, Unit: quantity.Mass, Resolution: mg(100)}
)

// bag is a delivered parcel; each id a day younger than the one before.
func bag(id int64, it stock.Item, onHand, promised quantity.Amount) stock.Parcel {
	return stock.Parcel{ID: id, Item: it, Origin: stock.FromDelivery, OnHand: onHand, Promised: promised, ArrivedAt: may14.AddDate(0, -1, int(id))}
}

// bottle is a solution of some g/L; 0 for one of unknown strength.
func bottle(id int64, it stock.Item, onHand quantity.Amount, gramsPerLitre int64) stock.Parcel {
	p := bag(id, it, onHand, mL(0))
	p.Concentration, p.StrengthUnknown = quantity.Concentration(gramsPerLitre*1000), gramsPerLitre == 0
	return p
}

func shelfOf(parcels ...stock.Parcel) *lot.Shelf {
	s := &lot.Shelf{Today: may14, Parcels: map[int64][]stock.Parcel{}}
	for _, p := range parcels {
		s.Parcels[p.Item.ID] = append(s.Parcels[p.Item.ID], p)
	}
	return s
}

func wof(percent string) recipe.Ask { return recipe.Ask{Basis: recipe.OnFibre, Percent: pct(percent)} }
func perKilo(millilitres int64) recipe.Ask {
	return recipe.Ask{Basis: recipe.OfLiquor, PerKilo: mL(millilitres)}
}
func gPerL(n int64) recipe.Ask {
	return recipe.Ask{Basis: recipe.InBath, PerLitre: quantity.Concentration(n * 1000)}
}

func kind(key string) lot.Kind {
	k, err := lot.KindOf(key)
	if err != nil {
		panic(err)
	}
	return k
}

func stage(position int, key string, shared bool, lines ...lot.Line) lot.Stage {
	return lot.Stage{Position: position, Kind: kind(key), Shared: shared, Lines: lines}
}

const oneToForty = quantity.Ratio(40_000)

// A 40 L and a 30 L pot filled to 0.8, a 60 L tub, and one pot kept for iron.
var (
	potA = pot(1, "K1", 40)
	potB = pot(2, "K2", 30)
	tub  = pot(3, "T1", 60)
	rust = lot.Pot{ID: 4, Code: "K9", Brim: mL(40_000), Fill: quantity.WholePercent(80), IsIron: true}
)

func pot(id int64, code string, litres int64) lot.Pot {
	return lot.Pot{ID: id, Code: code, Brim: mL(litres * 1000), Fill: quantity.WholePercent(80)}
}

// The tunics in the order in which they were weighed.
var tunics = []quantity.Amount{g(105), g(104), g(106), g(103), g(105), g(104), g(105), g(103), g(106), g(103)}

func lotOf(id int64, p lot.Pot, garments, witness quantity.Amount) lot.Lot {
	return lot.Lot{ID: id, Code: fmt.Sprintf("L%d", id), State: lot.Planned, Pot: p, GarmentMass: garments, WitnessMass: witness, WitnessParcel: 9}
}

func choirLots() []lot.Lot {
	return []lot.Lot{lotOf(1, potA, g(523), g(18)), lotOf(2, potB, g(521), g(18))}
}

// choirStages: alum 15 %, weld 60 %, copperas 1 %, each where the story has it.
func choirStages() []lot.Stage {
	stages := []lot.Stage{
		stage(1, "mordant", true, lot.Line{Item: alum, Ask: wof("15")}),
		stage(2, "brew", true, lot.Line{Item: weld, Ask: wof("60")}),
		stage(3, "dye", false),
		stage(4, "after-dip", false, lot.Line{Item: liquor, Ask: wof("1")}),
		stage(5, "look-over", false),
	}
	stages[2].Celsius, stages[2].Minutes = 70, 60
	return stages
}

// choirShelf is the shelf of 14 May: the old bag, the bag that came, this
// year's weld of 90 %, and the iron liquor of 10 May, 100 g in 500 mL.
func choirShelf() []stock.Parcel {
	harvest := bag(3, weld, g(900), g(0))
	harvest.Strength = quantity.WholePercent(90)
	return []stock.Parcel{bag(1, alum, g(155), g(20)), bag(2, alum, g(500), g(0)), harvest, bottle(4, liquor, mL(500), 200)}
}
