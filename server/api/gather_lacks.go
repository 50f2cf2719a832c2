package api

import (
	"math"
	"time"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
	"dyelot/server/store"
)

// plantsOf is what the books say of everything that grows, and what open runs and
// collections lack of it.
func plantsOf(tx *store.Tx, widen int) (store.Plants, error) {
	p, err := tx.Plants(widen)
	if err != nil {
		return p, err
	}
	collections, err := tx.Collections("", math.MaxInt32)
	if err != nil || len(collections) == 0 {
		return p, err
	}
	plan, err := planSeason(tx, collections, seasonAsk{})
	if err != nil {
		return p, err
	}
	recipes, err := recipesByCode(tx)
	if err != nil {
		return p, err
	}
	of := map[string]*recipe.Recipe{}
	for _, n := range plan.lines {
		of[n.ColourwayCode] = recipes[n.RecipeCode]
	}
	for id, lacks := range lacksOfCollections(plan.exploded.Needs, p.Stands) {
		for _, l := range lacks {
			l.Fibre = fibreFor(of[l.Colourway], id, l.Dry)
			p.Lacks[id] = append(p.Lacks[id], l)
		}
	}
	return p, nil
}

// lacksOfCollections are what collections need of plants, by item: once for each
// collection, colourway and day. What runs have planned already is the runs'.
func lacksOfCollections(needs []season.Need, plants map[int64]season.Stand) map[int64][]season.Lack {
	type key struct {
		item                  int64
		collection, colourway string
		on                    time.Time
	}
	of, at := map[int64][]season.Lack{}, map[key]int{}
	for _, n := range needs {
		if _, grows := plants[n.ItemID]; !grows || n.Collection == "" || n.Amount.N == 0 {
			continue
		}
		k := key{n.ItemID, n.Collection, n.Colourway, n.On}
		i, seen := at[k]
		if !seen {
			i = len(of[n.ItemID])
			at[k] = i
			of[n.ItemID] = append(of[n.ItemID], season.Lack{Dry: quantity.Amount{Unit: n.Amount.Unit}, On: n.On, For: "collection " + n.Collection, Colourway: n.Colourway})
		}
		of[n.ItemID][i].Dry = of[n.ItemID][i].Dry.Add(n.Amount)
	}
	return of
}

// fibreFor is the fibre that so much of an item dyes by a recipe, to the gram;
// absent where the recipe asks for it in another way than % WOF.
func fibreFor(r *recipe.Recipe, item int64, dry quantity.Amount) quantity.Amount {
	if r == nil {
		return quantity.Amount{}
	}
	wof := int64(0)
	for _, s := range r.Stages {
		for _, d := range s.Doses {
			if d.ItemID == item && d.Ask.Basis == recipe.OnFibre {
				wof += int64(d.Ask.Percent)
			}
		}
	}
	if wof == 0 {
		return quantity.Amount{}
	}
	return quantity.Amount{N: quantity.MulDiv(dry.N, int64(quantity.WholePercent(100)), wof), Unit: quantity.Mass}.Round(1_000_000)
}
