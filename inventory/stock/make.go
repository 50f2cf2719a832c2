package stock

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Given is what one parcel gives to a making.
type Given struct {
	Parcel Parcel
	Amount quantity.Amount
}

// Making is what a making books and what is known of the parcel it makes.
type Making struct {
	// Parcel has its item, origin, concentration, strength and piece mass set;
	// the caller adds who, when and the note, and stores it.
	Parcel Parcel
	// Basis says where Parcel.Strength comes from; empty where it has none to
	// be recorded.
	Basis    string
	Amount   quantity.Amount
	Legs     []Leg // of what was taken
	Warnings []recipe.Warning
}

// Movement is the whole act, once the made parcel has its id.
func (m Making) Movement(madeID int64) Movement {
	legs := append(append([]Leg(nil), m.Legs...), Leg{madeID, InMaking, Shelf, m.Amount})
	return Movement{Kind: ActMaking, MadeParcelID: madeID, Legs: legs}
}

// Make makes one parcel from others: copperas and water into iron liquor, two
// harvests into one blend, fresh plant into dry, blanks and alum into blanks
// that wait for their plant. Water is not stock. The parcel made is always a
// new one, so nothing is made from itself, however long the chain.
//
// A solution's strength is computed from what was weighed: 100 g of copperas in
// 500 mL is 200 g/L. With unknown set, or where a parent is a liquor of unknown
// strength, or for vinegar-and-scrap liquor, it stays unknown. What was taken
// beyond the book is booked as found.
//
// Refused: (fault.Invalid) no parent, one named twice, an amount in another
// unit, unknown for what is no solution; PARCEL_DAMP; CUSTOMERS_OWN; NO_SOLUTE where the
// strength cannot be computed; MORE_THAN_GIVEN where solids alone would have
// grown.
func Make(it Item, amount quantity.Amount, from []Given, unknown bool) (Making, error) {
	m := Making{Amount: amount, Parcel: Parcel{Item: it, Origin: FromMaking, StrengthUnknown: unknown}}
	if amount.Unit != it.Unit || amount.N <= 0 {
		return m, fault.BadField("amount", "%s: %s is counted in %s, above zero", amount, it.Code, it.Unit.Name())
	}
	if unknown && it.Kind != Solution {
		return m, fault.BadField("strength_unknown", "is for solutions, and %s is a %s", it.Code, it.Kind)
	}
	if err := m.take(from); err != nil {
		return m, err
	}
	if len(from) == 0 && !(it.Kind == Solution && (unknown || nameless(it))) {
		return m, fault.BadField("from", "is needed: the parcels it was made from; only a liquor of unknown strength may come from nothing that is kept here")
	}
	for _, step := range []func(*Making, []Given) error{checkGain, concentrate, inheritStrength, inheritPieceMass} {
		if err := step(&m, from); err != nil {
			return m, err
		}
	}
	m.Warnings = append(m.Warnings, LiquorWarnings(m.Parcel)...)
	return m, nil
}

func (m *Making) take(from []Given) error {
	seen := map[int64]bool{}
	for i, g := range from {
		at := fmt.Sprintf("from[%d]", i)
		p := g.Parcel
		switch {
		case seen[p.ID]:
			return fault.BadField(at+".parcel_code", "%s is named twice: add up what it gave", p.Code())
		case g.Amount.Unit != p.Item.Unit || g.Amount.N <= 0:
			return fault.BadField(at+".amount", "%s: %s is counted in %s, above zero", g.Amount, p.Code(), p.Item.Unit.Name())
		case p.Damp():
			return fault.Refuse("PARCEL_DAMP", "%s is still damp and is not booked: weigh it dry first", p.Code()).With("parcel", p.Code())
		case p.Customers():
			return NotCustomers(p, "made into another parcel")
		}
		seen[p.ID] = true
		legs := take(p, g.Amount, InMaking)
		m.Legs = append(m.Legs, legs...)
		if found := Found(legs, p.ID); found.N > 0 {
			m.Warnings = append(m.Warnings, recipe.Warning{Key: "found", Source: practice,
				Text: fmt.Sprintf("%s was booked at %s and gave %s: %s booked as found", p.Code(), p.OnHand, g.Amount, found)})
		}
		if p.Blocked != "" {
			m.Warnings = append(m.Warnings, recipe.Warning{Key: "blocked", Source: practice,
				Text: fmt.Sprintf("%s is blocked: %s", p.Code(), p.Blocked)})
		}
	}
	return nil
}

// A dry plant or a cloth takes up water from the air, and two weighings differ:
// so much more than was given is believed. Beyond it somebody slipped.
const airAndScale = quantity.Percent(100_000) // 10 %

// checkGain holds what was made against what went in where both are solids:
// they do not grow. A liquid among the parents may leave its own mass behind,
// and then nothing is said.
func checkGain(m *Making, from []Given) error {
	var grams, pieces, cloth int64
	for _, g := range from {
		switch g.Amount.Unit {
		case quantity.Volume:
			return nil
		case quantity.Mass:
			grams += g.Amount.N
		case quantity.Count:
			pieces += g.Amount.N
			cloth += quantity.MulDiv(g.Amount.N, g.Parcel.OnePiece().N, 1)
		}
	}
	switch {
	case m.Amount.Unit == quantity.Count && pieces > 0 && m.Amount.N > pieces:
		return fault.Refuse("MORE_THAN_GIVEN", "%s made of %s: pieces do not multiply", m.Amount, quantity.Pieces(pieces))
	case m.Amount.Unit != quantity.Mass || len(from) == 0:
		return nil
	}
	given := quantity.Amount{N: grams + cloth, Unit: quantity.Mass}
	switch more := m.Amount.Sub(given); {
	case more.N > given.Percent(airAndScale).N:
		return fault.Refuse("MORE_THAN_GIVEN", "%s made of %s: solids do not gain %s by being put together; the scale and damp air explain a tenth, weigh again", m.Amount, given, more).
			With("made", m.Amount.String()).With("given", given.String())
	case more.N > 0:
		m.Warnings = append(m.Warnings, recipe.Warning{Key: "more-than-given", Source: practice,
			Text: fmt.Sprintf("%s made of %s: %s more than went in, from damp air or another scale; let it dry and weigh again", m.Amount, given, more)})
	}
	return nil
}

// inheritStrength gives a blend, or a bag filled from another, the strength
// that its parents bring, by mass. It is a figure to start from.
func inheritStrength(m *Making, from []Given) error {
	it := m.Parcel.Item
	if it.Kind == Solution || it.Kind.isCloth() || len(from) == 0 {
		return nil
	}
	var acting, mass quantity.Amount
	words := ""
	for i, g := range from {
		if g.Parcel.Item.ID != it.ID || g.Amount.Unit != quantity.Mass {
			return nil
		}
		acting, mass = acting.Add(g.Parcel.ActingMass(g.Amount)), mass.Add(g.Amount)
		if i > 0 {
			words += " and "
		}
		words += fmt.Sprintf("%s of %s at %s", g.Amount, g.Parcel.Code(), g.Parcel.StrengthOr100())
	}
	if s := quantity.PercentOf(acting, mass); s != whole {
		m.Parcel.Strength, m.Basis = s, "computed by mass from "+words
	}
	if len(from) > 1 {
		m.Warnings = append(m.Warnings, recipe.Warning{Key: "sample-the-blend", Source: practice,
			Text: "a blend is sampled before a set is dyed with it: mix it well, dye a swatch, and set its strength by that"})
	}
	return nil
}

// inheritPieceMass keeps what one piece weighs where it is not the item's usual.
func inheritPieceMass(m *Making, from []Given) error {
	if m.Parcel.Item.Kind != Blank {
		return nil
	}
	var pieces, cloth int64
	for _, g := range from {
		if g.Amount.Unit == quantity.Count {
			pieces += g.Amount.N
			cloth += quantity.MulDiv(g.Amount.N, g.Parcel.OnePiece().N, 1)
		}
	}
	if pieces == 0 {
		return nil
	}
	if each := quantity.MulDiv(cloth, 1, pieces); each != m.Parcel.Item.PieceMass.N {
		m.Parcel.PieceMass = quantity.Amount{N: each, Unit: quantity.Mass}
	}
	return nil
}
