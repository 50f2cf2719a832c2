package api

import (
	"fmt"
	"math"
	"slices"
	"time"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// seasonAsk is how needs are to be told beyond the books.
type seasonAsk struct {
	until   time.Time // the last day that counts; zero: all
	kept    map[string]quantity.Percent
	witness quantity.Amount // absent: as in the newest lots
	bought  bool            // solutions are not asked for by what they are made of
}

// seasonPlan is what collections need, and what covers it.
type seasonPlan struct {
	today    time.Time
	lines    []store.CollectionLine
	pots     int
	items    map[int64]stock.Item
	exploded season.Exploded
	covered  []season.Covered
	makings  map[int64]season.Made
	passed   map[int64][]string // by item: parcels that do not count, and why
}

// planSeason loads what the rules need of some collections, explodes them and
// nets the needs, those of open runs among them.
func planSeason(tx *store.Tx, collections []store.Collection, ask seasonAsk) (p seasonPlan, err error) {
	if p.today, err = tx.Today(); err != nil {
		return p, err
	}
	codes, ids := map[int64]string{}, make([]int64, len(collections))
	for i, c := range collections {
		codes[c.ID], ids[i] = c.Code, c.ID
	}
	if p.lines, err = linesOf(tx, ids); err != nil {
		return p, err
	}
	if err = p.loadItems(tx); err != nil {
		return p, err
	}
	recipes, err := recipesByCode(tx)
	if err != nil {
		return p, err
	}
	if ask.bought {
		p.makings = nil
	}
	var wanted []season.Asked
	var unsuited []string
	for _, n := range p.lines {
		if err := season.Suits(*recipes[n.RecipeCode], p.items[n.ItemID]); err != nil { // the recipe has moved on since
			unsuited = append(unsuited, fmt.Sprintf("%s of %s due %s is not counted: %s", n.ItemCode, n.ColourwayCode, showDay(n.DueOn), err))
			continue
		}
		wanted = append(wanted, season.Asked{Collection: codes[n.CollectionID], Colourway: n.ColourwayCode, Blank: p.items[n.ItemID],
			Pieces: n.Pieces, Planned: n.Planned, DueOn: n.DueOn, Recipe: recipes[n.RecipeCode]})
	}
	parcels, err := tx.ParcelsOfItems(p.allItems())
	if err != nil {
		return p, err
	}
	habits, err := p.habits(tx, parcels, ask)
	if err != nil {
		return p, err
	}
	if p.exploded, err = season.Explode(wanted, habits); err != nil {
		return p, err
	}
	p.exploded.Notes = append(unsuited, p.exploded.Notes...)
	needs, err := p.withOpenRuns(tx, ask.until)
	if err != nil {
		return p, err
	}
	arriving, err := onTheWay(tx)
	if err != nil {
		return p, err
	}
	p.covered, err = season.Cover(p.today, needs, p.shelves(parcels, habits.Dosed), arriving, p.makings)
	return p, err
}

// onTheWay is what purchase orders will bring, on the day it is to be looked for.
func onTheWay(tx *store.Tx) ([]season.Arriving, error) {
	times, err := tx.Punctuality()
	if err != nil {
		return nil, err
	}
	coming, err := tx.Coming(times)
	arriving := make([]season.Arriving, len(coming))
	for i, c := range coming {
		arriving[i] = season.Arriving{ItemID: c.ItemID, Amount: c.Left, On: c.Expected}
	}
	return arriving, err
}

func (p *seasonPlan) loadItems(tx *store.Tx) error {
	items, err := tx.Items("", "", math.MaxInt32)
	if err != nil {
		return err
	}
	p.items = make(map[int64]stock.Item, len(items))
	for _, it := range items {
		p.items[it.ID] = it
	}
	p.makings, err = tx.LastMakings()
	return err
}

func (p *seasonPlan) allItems() []int64 {
	ids := make([]int64, 0, len(p.items))
	for id := range p.items {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

func recipesByCode(tx *store.Tx) (map[string]*recipe.Recipe, error) {
	versions, err := tx.NewestVersions()
	by := make(map[string]*recipe.Recipe, len(versions))
	for i := range versions {
		by[versions[i].Code] = &versions[i].Recipe
	}
	return by, err
}

// withOpenRuns adds what open runs lack, on their day or today, and leaves out
// what is needed after the last day.
func (p *seasonPlan) withOpenRuns(tx *store.Tx, until time.Time) ([]season.Need, error) {
	needs := slices.Clone(p.exploded.Needs)
	open, err := tx.OpenNeeds()
	for _, n := range open {
		on := n.DueOn
		if on.IsZero() {
			on = p.today
		}
		run := store.Code('R', n.RunID)
		needs = append(needs, season.Need{ItemID: n.ItemID, Amount: n.Short, On: on, For: run, Line: -1,
			Why: fmt.Sprintf("%s is planned and lacks %s: it is promised from no parcel", run, season.Kilos(n.Short))})
	}
	if !until.IsZero() {
		needs = slices.DeleteFunc(needs, func(n season.Need) bool { return n.On.After(until) })
	}
	return needs, err
}

// shelves sorts the parcels by item, each in the measure of the needs.
func (p *seasonPlan) shelves(parcels []stock.Parcel, dosed map[int64]season.Dosed) map[int64]season.Shelf {
	shelves := make(map[int64]season.Shelf, len(p.items))
	for id, it := range p.items {
		shelves[id] = season.Shelf{Item: it}
	}
	p.passed = map[int64][]string{}
	for _, q := range parcels {
		id := q.Item.ID
		h, why := season.HeldOf(q, dosed[id], p.today)
		if why != "" {
			p.passed[id] = append(p.passed[id], why)
			continue
		}
		s := shelves[id]
		s.Held = append(s.Held, h)
		shelves[id] = s
	}
	return shelves
}
