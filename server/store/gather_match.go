package store

import (
	"cmp"
	"slices"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/season"
)

// ToMatch is a colourway as a stand-in is looked for: its standard's colour, and
// the fibre of its newest recipe.
type ToMatch struct {
	Code, Standard, Fibre string
	Colour                colour.Lab
	View                  colour.View
}

const toMatch = `
	select c.code, s.code as standard_code, v.fibre, s.l, s.a, s.b, s.illuminant, s.observer
	from colourway c join shade_standard s on s.id = c.standard_id
	join lateral (select fibre from recipe_version where recipe_id = c.recipe_id order by version desc limit 1) v on true
	where c.code = any($1) order by c.code`

// ToMatch loads those of some colourways that exist, by code.
func (t *Tx) ToMatch(codes []string) ([]ToMatch, error) {
	var rows []struct {
		Code     string `db:"code"`
		Standard string `db:"standard_code"`
		Fibre    string `db:"fibre"`
		labRow
	}
	err := t.list(&rows, toMatch, pq.Array(codes))
	if err != nil {
		return nil, err
	}
	all := make([]ToMatch, len(rows))
	for i, r := range rows {
		all[i] = ToMatch{Code: r.Code, Standard: r.Standard, Fibre: r.Fibre}
		if all[i].Colour, all[i].View, err = r.colour(); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// ColourwaysOfPlant lists the colourways whose newest recipe takes a plant, or
// one part of it, by code.
func (t *Tx) ColourwaysOfPlant(plant, part string) ([]string, error) {
	var rows []struct {
		Code  string `db:"code"`
		Plant string `db:"plant"`
		Name  string `db:"name"`
		Part  string `db:"part"`
	}
	err := t.list(&rows, `
		select distinct c.code, i.plant, i.name, i.part
		from colourway c
		join lateral (select id from recipe_version where recipe_id = c.recipe_id order by version desc limit 1) v on true
		join recipe_dose d on d.version_id = v.id join item i on i.id = d.item_id
		where i.unit = 'g' and i.kind = any($1) order by c.code`, pq.Array(gathered))
	var codes []string
	for _, r := range rows {
		p, of := season.PlantOf(cmp.Or(r.Plant, r.Name), r.Part)
		if p == plant && (part == "" || of == "" || of == part) {
			codes = append(codes, r.Code)
		}
	}
	return slices.Compact(codes), err
}
