package stock

import (
	"slices"
	"strings"

	"dyelot/inventory/quantity"
)

// Kind is what sort of thing an item is. It is stored and sent as text.
type Kind string

// The kinds.
const (
	Blank        Kind = "blank"         // an undyed garment, counted in pieces
	Mordant      Kind = "mordant"       // a metal salt, weighed
	Dyestuff     Kind = "dyestuff"      // a plant part, or an extract of one
	Auxiliary    Kind = "auxiliary"     // soap, soda ash, chalk, tannin, reductant
	WitnessCloth Kind = "witness-cloth" // dyed with each lot and kept
	Solution     Kind = "solution"      // a liquor of stated or unknown strength
)

// Item is one thing that the studio keeps. Its facts never change; only the
// terms of reordering do.
type Item struct {
	ID         int64
	Code       string // typed by hand: "alum"
	Name       string
	Kind       Kind
	Unit       quantity.Unit // what it is counted in
	Style      string        // blanks
	Size       string        // blanks
	Fibres     []FibrePart   // blanks and witness cloth; the parts sum to 100 %
	PieceMass  quantity.Amount
	Substance  string // name or formula of what acts; empty where there is none
	Plant      string
	Part       string
	DyeFamily  string
	Resolution quantity.Amount // doses are rounded to it
	Terms      Terms

	// Sums over its parcels; absent where they were not asked for.
	OnHand   quantity.Amount
	Promised quantity.Amount
	// Usable is what is free in parcels that may be promised today: neither
	// damp nor blocked nor past their date.
	Usable quantity.Amount
}

// FibrePart is one fibre of a cloth and its share.
type FibrePart struct {
	Fibre   string
	Percent quantity.Percent
}

// Terms is what reordering needs to know of an item.
type Terms struct {
	Minimum  quantity.Amount // kept on the shelf beyond every promise
	Pack     quantity.Amount // sold in multiples of it; zero or absent: any amount
	Supplier string
	LeadDays int // from order to shelf
}

// Free is what is on hand and nobody was promised.
func (it Item) Free() quantity.Amount { return it.OnHand.Sub(it.Promised) }

// Zero is nothing of the item, in its unit.
func (it Item) Zero() quantity.Amount { return quantity.Amount{Unit: it.Unit} }

// kindRow says what one kind is counted in, the usual unit first, and how
// finely it is measured where the item does not say: a tenth of a gram of a
// salt, a whole gram of a plant, a whole millilitre, a whole piece.
type kindRow struct {
	kind  Kind
	units []quantity.Unit
	step  quantity.Amount // of the usual mass
}

var (
	tenthOfAGram = quantity.Amount{N: 100_000, Unit: quantity.Mass}
	kinds        = []kindRow{
		{Blank, []quantity.Unit{quantity.Count}, quantity.Amount{}},
		{Mordant, []quantity.Unit{quantity.Mass}, tenthOfAGram},
		{Dyestuff, []quantity.Unit{quantity.Mass, quantity.Volume}, quantity.Grams(1)},
		{Auxiliary, []quantity.Unit{quantity.Mass, quantity.Volume}, tenthOfAGram},
		{WitnessCloth, []quantity.Unit{quantity.Mass}, tenthOfAGram},
		{Solution, []quantity.Unit{quantity.Volume}, quantity.Amount{}},
	}
)

func (r kindRow) resolution(u quantity.Unit) quantity.Amount {
	switch u {
	case quantity.Volume:
		return quantity.Millilitres(1)
	case quantity.Count:
		return quantity.Pieces(1)
	}
	return r.step
}

// Kinds lists the words for a kind.
func Kinds() []string {
	names := make([]string, len(kinds))
	for i, r := range kinds {
		names[i] = string(r.kind)
	}
	return names
}

// KindKnown is true of one of Kinds.
func KindKnown(k Kind) bool {
	return slices.ContainsFunc(kinds, func(r kindRow) bool { return r.kind == k })
}

func rowOf(k Kind) (kindRow, bool) {
	i := slices.IndexFunc(kinds, func(r kindRow) bool { return r.kind == k })
	if i < 0 {
		return kindRow{}, false
	}
	return kinds[i], true
}

// isCloth is true of what dye is put on.
func (k Kind) isCloth() bool { return k == Blank || k == WitnessCloth }

// tidy brings the spaces of a name down to single ones.
func tidy(s string) string { return strings.Join(strings.Fields(s), " ") }
