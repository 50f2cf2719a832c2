package stock

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// strongest is what a litre of anything dissolved in water may hold in the
// books; beyond it the volume was mistyped.
const strongest = quantity.Concentration(10_000_000) // 10 000 g/L

// nameless is true of a liquor whose strength no recipe tells: it holds a metal
// and has no formula, like vinegar-and-scrap iron.
func nameless(it Item) bool {
	s, err := recipe.Lookup(it.Substance)
	return err == nil && s.Metal != "" && !s.HasFormula()
}

// concentrate computes a solution's grams a litre from what was weighed.
func concentrate(m *Making, from []Given) error {
	it := m.Parcel.Item
	if it.Kind != Solution {
		return nil
	}
	if m.Parcel.StrengthUnknown || nameless(it) {
		m.Parcel.StrengthUnknown = true
		return nil
	}
	acting, known, err := solute(it, from)
	if err != nil {
		return err
	}
	if !known {
		m.Parcel.StrengthUnknown = true
		return nil
	}
	c, err := quantity.Of(acting, m.Amount)
	if err != nil || c <= 0 || c > strongest {
		return fault.BadField("amount", "%s of substance in %s: 0.001 to %s is believed of a solution", acting, m.Amount, strongest)
	}
	m.Parcel.Concentration = c
	return nil
}

// solute is the mass of the solution's substance in what was given. Without a
// substance all parents must be of one item, which then is what the grams a
// litre count. known is false where a liquor of unknown strength went in.
func solute(it Item, from []Given) (acting quantity.Amount, known bool, err error) {
	known = true
	for _, g := range from {
		p := g.Parcel
		if !sameSubstance(it, p.Item, from[0].Parcel.Item) {
			continue
		}
		mass := p.ActingMass(g.Amount)
		if mass.Unit == 0 {
			known = false
		}
		acting = acting.Add(mass)
	}
	if it.Substance == "" && mixed(from) {
		return acting, false, fault.Refuse("NO_SOLUTE", "%s names no substance and was made from more than one item: no strength can be computed, so make it as of unknown strength", it.Code)
	}
	if acting.N == 0 && known {
		return acting, false, fault.Refuse("NO_SOLUTE", "%s is %s in water, and nothing of that went in: no strength can be computed; add what was weighed, or make it as of unknown strength", it.Code, it.Substance)
	}
	return acting, known, nil
}

func mixed(from []Given) bool {
	for _, g := range from {
		if g.Parcel.Item.ID != from[0].Parcel.Item.ID {
			return true
		}
	}
	return false
}

func sameSubstance(made, given, first Item) bool {
	if made.Substance == "" {
		return given.ID == first.ID
	}
	a, errA := recipe.Lookup(made.Substance)
	b, errB := recipe.Lookup(given.Substance)
	if errA != nil || errB != nil {
		return false
	}
	return a.Name == b.Name
}

// CheckBought refuses (fault.Invalid) grams a litre for what is no solution or
// whose strength nobody can state, and a piece mass for what is no blank.
func CheckBought(it Item, c quantity.Concentration, pieceMass quantity.Amount) error {
	switch {
	case c != 0 && it.Unit != quantity.Volume:
		return fault.BadField("grams_per_litre", "%s is weighed in %s: only liquids have grams a litre", it.Code, it.Unit.Name())
	case c < 0:
		return fault.BadField("grams_per_litre", "%s is below zero", c)
	case c != 0 && nameless(it):
		return fault.BadField("grams_per_litre", "%s has no known strength, whatever a bottle says: it is dosed by swatch", it.Substance)
	case pieceMass.Unit != 0 && it.Kind != Blank:
		return fault.BadField("piece_mass", "is for blanks, and %s is a %s", it.Code, it.Kind)
	case pieceMass.Unit != 0:
		return CheckPieceMass(pieceMass)
	}
	return nil
}

// Potassium alum in water, from memory: about 115 g/L dissolve at 20 °C and 55
// to 60 at 0 °C, so a stock that must not crystallise in a cold shed stays at
// 50. Concentrated beyond a kilogram a litre, hardly any salt dissolves.
const (
	alumDissolves = quantity.Concentration(115_000)
	alumKeeps     = quantity.Concentration(50_000)
	mostDissolve  = quantity.Concentration(1_000_000)
)

// LiquorWarnings says what to mind of a parcel of a solution: a strength nobody
// knows, crystals, and what iron in water can do to a child.
func LiquorWarnings(p Parcel) []recipe.Warning {
	if p.Item.Kind != Solution {
		return nil
	}
	var found []recipe.Warning
	warn := func(key, text string, source recipe.Source) {
		found = append(found, recipe.Warning{Key: key, Text: text, Source: source})
	}
	s, err := recipe.Lookup(p.Item.Substance)
	switch c := p.Concentration; {
	case p.StrengthUnknown:
		warn("strength-unknown", "its strength is unknown: dose it by swatch, in mL; no % WOF can be computed from it, and iron sums will read 'at least … + unknown'", practice)
	case err == nil && s.Key == "potassium-alum" && c > alumKeeps:
		warn("crystallises", fmt.Sprintf("%s of potassium alum crystallises: about %s dissolve at 20 °C and half of that in the cold; keep a stock at %s at most, or dose it dry", c, alumDissolves, alumKeeps), recalled)
	case c > mostDissolve:
		warn("hardly-dissolves", fmt.Sprintf("%s is more than a kilogram in a litre: hardly any salt dissolves so far, look for what lies at the bottom", c), practice)
	}
	if err == nil && s.HasIron() {
		found = append(found, ironInWater(p, s)...)
	}
	return found
}
