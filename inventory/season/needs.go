package season

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	goods "dyelot/inventory/stock"
)

// Asked is one line of a collection: so many of a blank in a colourway by a
// day.
type Asked struct {
	Collection string
	Colourway  string
	Blank      goods.Item
	Pieces     int64
	// Planned are pieces of the line, spares among them, that runs of the
	// collection have taken already; they are no longer to be planned.
	Planned int64
	DueOn   time.Time
	Recipe  *recipe.Recipe
}

// Habits is what a studio plans by beside the lines themselves.
type Habits struct {
	Pots    []lot.Pot          // those that are dyed in
	Losses  Losses             // of the last lots
	Witness map[string]Witness // by the recipe's fibre
	Dosed   map[int64]Dosed    // by item, all items of all recipes
	// Kept is, by item, the share of a dose that a person says is still in a
	// kept bath at its second use. Nothing is taken for granted: an item that is
	// not named is dosed in full each time.
	Kept map[int64]quantity.Percent
}

// Losses is how many garments of the last lots did not pass.
type Losses struct{ Garments, Lost, Lots int64 }

// Witness is the cloth dyed with each lot.
type Witness struct {
	Item  goods.Item
	Each  quantity.Amount // a lot
	Basis string          // in words: where the figure is from
}

// Dosed is how an item is measured: a weighed one at the strength of its
// reference, a solution by its grams a litre.
type Dosed struct {
	Item          goods.Item
	Strength      quantity.Percent       // of the harvest in hand; zero: never measured
	Concentration quantity.Concentration // of the solution in hand, or last made; zero: not known
	From          string                 // the parcel that says so: "P7"
	// Solute is what has to be bought where no such solution was made yet, so
	// that its grams a litre are not known; nil where the shelf has none either.
	Solute *goods.Item
}

// Need is so much of an item that must be on the shelf on a day. Weighed dyes
// are at reference strength (100 %).
type Need struct {
	ItemID     int64
	Amount     quantity.Amount
	On         time.Time
	For        string // "harbour-gold: 24 tunics"
	Line       int    // the first line that it is for, as they were given; -1: none
	Collection string // empty where it is for none
	Colourway  string
	Why        string // the arithmetic, as a dyer would say it
}

// PotLoads is how many pots a batch fills, and in what week.
type PotLoads struct {
	Colourway string
	Week      time.Time // its Monday
	Loads     int
	PotDays   int // loads times the days that each stands in its pot
}

// Exploded is everything that collections need.
type Exploded struct {
	Needs  []Need // by day, then as the lines came
	Pots   []PotLoads
	Spares string   // in words: how many, and why
	Notes  []string // what could not be told, so that nothing is left out in silence
}

// Explode turns what collections still want into what must be on the shelf, and
// when: blanks with their spares, witness cloth for each lot, and every dose of
// the recipe on the fibre of all lots together, on the day its stage begins.
//
// A day is the due day less the days of that stage and of those after it
// (StageDays). 24 tunics of 108 g are 2592 g of wool: alum at 12 % WOF is
// 311.04 g, 311 g by a scale of 0.1 g.
//
// Refused (fault.Invalid): wanted[i].pieces or .planned below zero,
// wanted[i].item that is no blank with a mass, wanted[i].due_on missing,
// wanted[i].colourway without a recipe or with one for a fibre that the blank
// has none of, losses that are no share, kept shares outside 0 to 99 %.
func Explode(wanted []Asked, h Habits) (Exploded, error) {
	if err := cmp.Or(checkWanted(wanted), h.check()); err != nil {
		return Exploded{}, err
	}
	e := Exploded{}
	spares := e.addSpares(wanted, h.Losses)
	batches := batchesOf(wanted, spares)
	kept := keptBaths{}
	for _, b := range batches {
		if err := e.batch(b, h, kept); err != nil {
			return Exploded{}, err
		}
	}
	e.noteUnused(h, kept)
	slices.SortStableFunc(e.Needs, func(a, b Need) int { return a.On.Compare(b.On) })
	slices.SortStableFunc(e.Pots, func(a, b PotLoads) int {
		return cmp.Or(a.Week.Compare(b.Week), cmp.Compare(a.Colourway, b.Colourway))
	})
	return e, nil
}

func checkWanted(wanted []Asked) error {
	for i, w := range wanted {
		at := fmt.Sprintf("wanted[%d].", i)
		switch {
		case w.Pieces < 0:
			return fault.BadField(at+"pieces", "%d is below zero", w.Pieces)
		case w.Planned < 0:
			return fault.BadField(at+"planned", "%d is below zero", w.Planned)
		case w.Blank.Kind != goods.Blank || w.Blank.PieceMass.N <= 0:
			return fault.BadField(at+"item", "%q is no blank with a mass a piece", w.Blank.Code)
		case w.DueOn.IsZero():
			return fault.BadField(at+"due_on", "is needed")
		case w.Recipe == nil:
			return fault.BadField(at+"colourway", "%q has no recipe", w.Colourway)
		}
		if err := Suits(*w.Recipe, w.Blank); err != nil {
			return fault.In(strings.TrimSuffix(at, "."), err)
		}
	}
	return nil
}

// Suits refuses (fault.Invalid, field "colourway") a recipe for a fibre that the
// blank has none of: what it would take is not known.
func Suits(r recipe.Recipe, blank goods.Item) error {
	var has []string
	for _, f := range blank.Fibres {
		if f.Fibre == r.Fibre {
			return nil
		}
		has = append(has, f.Fibre)
	}
	return fault.BadField("colourway", "its recipe %s is for %s, and %s is of %s", r.Code, r.Fibre, blank.Code, strings.Join(has, " and "))
}

func (h Habits) check() error {
	l := h.Losses
	if l.Garments < 0 || l.Lost < 0 || l.Lots < 0 || l.Lost > l.Garments {
		return fault.BadField("losses", "%d of %d garments of %d lots is no share", l.Lost, l.Garments, l.Lots)
	}
	for id, share := range h.Kept {
		if share < 0 || share > quantity.WholePercent(99) {
			return fault.BadField(fmt.Sprintf("kept[%s]", h.Dosed[id].Item.Code), "%s: 0 to 99 %% of a dose can be left in a kept bath", share)
		}
	}
	return nil
}

// addSpares gives each line its share of the spares: for each collection and
// blank as many as the last lots lost of what is left to plan, raised to a whole
// piece once, and not line by line. What is in runs already has had its own.
func (e *Exploded) addSpares(wanted []Asked, l Losses) []int64 {
	spares := make([]int64, len(wanted))
	if l.Garments == 0 {
		e.Spares = "none: no history yet"
		return spares
	}
	type kind struct {
		collection string
		item       int64
	}
	lines := map[kind][]int{}
	var order []kind
	for i, w := range wanted {
		k := kind{w.Collection, w.Blank.ID}
		if lines[k] == nil {
			order = append(order, k)
		}
		lines[k] = append(lines[k], i)
	}
	all := int64(0)
	for _, k := range order {
		pieces := make([]int64, len(lines[k]))
		sum := int64(0)
		for j, i := range lines[k] {
			pieces[j] = max(0, wanted[i].Pieces-wanted[i].Planned)
			sum += pieces[j]
		}
		more := (sum*l.Lost + l.Garments - 1) / l.Garments
		all += more
		for j, n := range quantity.Share(more, pieces, 1) { // of nothing left there are no shares
			spares[lines[k][j]] = n
		}
	}
	e.Spares = fmt.Sprintf("%d of %d garments of the last %s did not pass: %d to spare", l.Lost, l.Garments, countOf(l.Lots, "lot"), all)
	return spares
}

// countOf is "1 lot", "24 lots".
func countOf(n int64, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
