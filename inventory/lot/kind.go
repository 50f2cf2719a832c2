package lot

import (
	"slices"

	"dyelot/inventory/fault"
)

// Kind is one kind of stage: a row of the table below. A new kind is a new row
// here, and nothing else has to learn of it.
type Kind struct {
	Key  string // as the contract and the books write it
	Name string // as the bench reads it
	What string // what is done, in a sentence
	// Bath: the stage has a liquor, so a volume is planned for it.
	Bath bool
	// Doses: something may be weighed into it.
	Doses bool
	// Brews: its liquor goes on into the next dye stage, divided by fibre mass.
	Brews bool
	// Dyes: this is the lot's own pot, so its vessel is the lot's.
	Dyes bool
	// Keeps: what it did stays in cloth that waits on the shelf for its plant.
	Keeps bool
	// Lays: what was weighed into it stays in the cloth, so how much it was counts.
	Lays bool
	// Shades: the cloth is of another colour after it.
	Shades bool
	// Uses: what a vessel for it is kept for (see the vessel's uses).
	Uses string
}

// kinds stand in the order of a usual day.
var kinds = []Kind{
	{Key: "scour", Name: "scour", What: "wash off wax, oil and finish", Bath: true, Doses: true, Keeps: true, Uses: "rinse"},
	{Key: "tannin", Name: "tannin", What: "lay tannin into cellulose for the mordant to hold on to", Bath: true, Doses: true, Keeps: true, Lays: true, Uses: "mordant"},
	{Key: "mordant", Name: "mordant", What: "lay a metal salt into the fibre for the dye to hold on to", Bath: true, Doses: true, Keeps: true, Lays: true, Uses: "mordant"},
	{Key: "chalk-bath", Name: "chalk bath", What: "fix loose mordant on cellulose", Bath: true, Doses: true, Keeps: true, Uses: "mordant"},
	{Key: "wet-out", Name: "wet out", What: "soak until no dry spot is left", Bath: true, Uses: "rinse"},
	{Key: "brew", Name: "brew", What: "draw the dye out of the plant, then strain it", Bath: true, Doses: true, Brews: true, Uses: "brew"},
	{Key: "dye", Name: "dye", What: "the cloth takes its colour", Bath: true, Doses: true, Dyes: true, Shades: true, Uses: "dye"},
	{Key: "vat-dip", Name: "vat dip", What: "dip and air, each counted", Bath: true, Doses: true, Dyes: true, Shades: true, Uses: "vat"},
	{Key: "after-dip", Name: "after-dip", What: "a short bath that shifts the colour; with iron: sadden", Bath: true, Doses: true, Shades: true, Uses: "iron"},
	{Key: "neutralise", Name: "neutralise", What: "bring the cloth back to neutral", Bath: true, Doses: true, Uses: "rinse"},
	{Key: "rinse", Name: "rinse", What: "rinse at the cloth's own temperature until the water is clear", Bath: true, Doses: true, Uses: "rinse"},
	{Key: "dry", Name: "dry", What: "dry in the shade"},
	{Key: "cure", Name: "cure", What: "rest in the dark before the first wash"},
	{Key: "press", Name: "press", What: "press through a cloth"},
	{Key: "look-over", Name: "look over", What: "look at every garment, dry and rested, in one light"},
}

// Kinds lists every kind, in the order of a usual day.
func Kinds() []Kind { return slices.Clone(kinds) }

// KindOf finds a kind by its key; fault.Invalid with the list of known ones.
func KindOf(key string) (Kind, error) {
	if i := slices.IndexFunc(kinds, func(k Kind) bool { return k.Key == key }); i >= 0 {
		return kinds[i], nil
	}
	known := ""
	for i, k := range kinds {
		if i > 0 {
			known += ", "
		}
		known += k.Key
	}
	return Kind{}, fault.BadField("kind", "%.40q is not a stage: use one of %s", key, known)
}

// VatKind is the kind of stage that is done in a vat.
func VatKind() (Kind, error) { return KindOf("vat-dip") }
