package swatch

import (
	"cmp"
	"slices"

	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
)

// Like is what two dyeings must share for one to say what to expect of the
// other: the fibre, a plant, and exactly the metals.
type Like struct {
	Fibre  string
	Plants []string
	Metals []string // symbols, sorted; none: no metal was added
}

// LikeRecipe reads it off a recipe.
func LikeRecipe(r recipe.Recipe) Like {
	like := Like{Fibre: r.Fibre}
	for _, s := range r.Stages {
		for _, d := range s.Doses {
			if d.ItemKind == recipe.Dyestuff {
				plant, _ := season.PlantOf(cmp.Or(d.Plant, d.ItemName), d.Part)
				like.Plants = append(like.Plants, plant)
				continue
			}
			if salt, err := recipe.Lookup(cmp.Or(d.Substance, d.ItemName)); err == nil && salt.Metal != "" {
				like.Metals = append(like.Metals, salt.Metal)
			}
		}
	}
	slices.Sort(like.Plants)
	slices.Sort(like.Metals)
	like.Plants, like.Metals = slices.Compact(like.Plants), slices.Compact(like.Metals)
	return like
}
