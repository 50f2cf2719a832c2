package caution

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// The doses of elemental iron that toxicology counts with, in mg per kg of
// body weight (McGuigan 1996; Bateman 2003) [S].
const (
	illAt      = 20 // makes a child ill
	systemicAt = 60 // poisons the whole body
)

// What the card shows where nobody says otherwise: the studio's usual bottle,
// and a child of a year and a half.
const (
	usualLiquor = quantity.Concentration(200_000) // 200 g/L
	smallChild  = 10                              // kg
)

var toxicology = recipe.Source{Mark: recipe.Published, Cite: "McGuigan 1996; Bateman 2003"}

// swallowKey is the line that AtStrength replaces.
const swallowKey = "iron-swallow"

// IronSwallowLine says how much of a copperas liquor brings 20 mg of elemental
// iron per kg of body weight: "5 mL of a 200 g/L liquor holds 20 mg/kg for a
// 10 kg child". The volume is computed from the molar mass of FeSO4·7H2O [C]
// and shown to two figures or so (0.01 mL below 1 mL, 0.1 mL below 10 mL, 1 mL
// above); the dose is published [S].
//
// Refused (fault.Invalid): a concentration of 0 or less ("stock_g_per_l"), a
// body outside 1 to 200 kg ("body_kg").
func IronSwallowLine(liquor quantity.Concentration, bodyKg int64) (string, error) {
	if liquor <= 0 {
		return "", fault.BadField("stock_g_per_l", "%s holds no iron: more than 0 is needed", liquor)
	}
	if bodyKg < 1 || bodyKg > 200 {
		return "", fault.BadField("body_kg", "%d kg: 1 to 200 is believed", bodyKg)
	}
	return swallowLine(liquor, bodyKg), nil
}

func swallowLine(liquor quantity.Concentration, bodyKg int64) string {
	volume := liquor.VolumeOf(illFrom(bodyKg))
	step := int64(1000)
	switch {
	case volume.N < 1000:
		step = 10
	case volume.N < 10_000:
		step = 100
	}
	who := "child"
	if bodyKg >= 50 {
		who = "person"
	}
	return fmt.Sprintf("%s of a %s liquor holds %d mg/kg for a %d kg %s", volume.Round(step), liquor, illAt, bodyKg, who)
}

// AtStrength replaces the swallowing line, where there is one, by that of the
// bottle in hand. It refuses what IronSwallowLine refuses.
func AtStrength(cs []Caution, liquor quantity.Concentration, bodyKg int64) ([]Caution, error) {
	line, err := IronSwallowLine(liquor, bodyKg)
	if err != nil {
		return nil, err
	}
	of := append([]Caution(nil), cs...)
	for i := range of {
		if of[i].Key == swallowKey {
			of[i].Text = line + "."
		}
	}
	return of, nil
}

// illFrom is the copperas that makes a body of that mass ill.
func illFrom(bodyKg int64) quantity.Amount {
	return recipe.CopperasHolding(quantity.Amount{N: illAt * bodyKg * 1000, Unit: quantity.Mass})
}

// ironLines stand wherever iron is handled.
func ironLines() []Caution {
	dry := illFrom(smallChild).Round(100_000)
	return []Caution{
		{"iron-dose", fmt.Sprintf("Iron: %d mg per kg of body makes a child ill, %d mg poisons the whole body.", illAt, systemicAt), toxicology},
		{swallowKey, swallowLine(usualLiquor, smallChild) + ".", toxicology},
		{"iron-dry", fmt.Sprintf("So does %s of dry copperas.", dry), toxicology},
		{"iron-call", "If swallowed, call the poison centre at once. Do not wait for signs.", practice},
		{"iron-dogs", "Iron is dangerous to dogs too.", practice},
		{"iron-store", "Keep dissolved copperas locked and high, under a tight child-resistant cap.", practice},
		{"iron-bottle", "Never keep it in a drink bottle.", practice},
	}
}
