package stock

import (
	"fmt"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Swallowed iron makes a child ill from 20 mg of the element on each kilogram
// of body weight (McGuigan 1996; Bateman 2003); for a child of 10 kg that is
// 200 mg. 5 mL of a 200 g/L copperas liquor hold it.
var illnessOf10kg = quantity.Amount{N: 200_000, Unit: quantity.Mass}

var ironSource = recipe.Source{Mark: recipe.Published, Cite: "McGuigan 1996; Bateman 2003"}

// ironInWater is what must be read before an iron liquor is put on a shelf. The
// supplier's safety data sheet and local rules come first.
func ironInWater(p Parcel, s recipe.Substance) []recipe.Warning {
	text := "swallowed, iron liquor poisons a child or a dog"
	if metal := s.MetalMass(quantity.Amount{N: int64(p.Concentration) * 1000, Unit: quantity.Mass}); metal.N > 0 && p.Concentration > 0 {
		// metal is what a litre holds
		mL := quantity.Amount{N: quantity.MulDiv(illnessOf10kg.N, 1_000_000, metal.N), Unit: quantity.Volume}
		text = fmt.Sprintf("%s of this liquor swallowed makes a child of 10 kg ill", mL.Round(100))
	}
	found := []recipe.Warning{{Key: "iron-liquor", Source: ironSource,
		Text: text + ": tight child-resistant cap, never a drink bottle, locked and high; the supplier's safety data sheet comes first"}}
	if !s.HasFormula() {
		found = append(found, recipe.Warning{Key: "working-jar", Source: practice,
			Text: "while it works a vinegar-and-scrap jar gives off hydrogen, and a tight cap bursts it: vented, outdoors, away from flame, locked up; capped only once strained and still"})
	}
	return found
}
