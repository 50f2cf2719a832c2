package store

import (
	"strings"
	"testing"
)

// Each way into the swatch book goes by its index, in the plan that a prepared
// statement ends up with; so do the looks that every search takes.
func TestEachWayIntoTheSwatchBookUsesItsIndex(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	const (
		types  = `(text, text, text[], text, text, text[], text[], smallint[], text, text[])`
		values = `('silk', 'weld', null, 'Fe', 'copperas', '{light}', '{blue-wool}', '{8}', '''weld'':*', '{weld}')`
	)
	for _, c := range []struct{ query, types, values, index string }{
		{swatchWays[byWords].ids, types, values, "swatch_words_idx"},
		{swatchWays[byPlants].ids, types, values, "swatch_plant_idx"},
		{swatchWays[byMordant].ids, types, values, "swatch_bath_substance_idx"},
		{swatchWays[byMetal].ids, types, values, "swatch_bath_metal_idx"},
		{swatchWays[byGrade].ids, types, values, "swatch_grade_kind_idx"},
		{swatchWays[byFibre].ids, types, values, "swatch_fibre_idx"},
		{swatchWays[byNothing].pages, strings.TrimSuffix(types, ")") + `, bigint, bigint)`, strings.TrimSuffix(values, ")") + `, 0, 100)`, "swatch_pkey"},
		{likeSwatches, `(text[], text, text[])`, `('{weld}', 'silk', '{Al}')`, "_idx on swatch s"}, // by plant or by fibre, whichever is rarer
		{swatchColumns + ` where s.id = any($1) order by s.id`, `(bigint[])`, `('{1}')`, "swatch_pkey"},
	} {
		s.do(func(tx *Tx) error {
			for _, step := range []string{`set local enable_seqscan = off`, `set local plan_cache_mode = force_generic_plan`, `prepare asked ` + c.types + ` as ` + c.query} {
				if err := tx.exec(step); err != nil {
					t.Errorf("%s: %v", c.index, err)
					return err
				}
			}
			var plan []string
			err := tx.list(&plan, `explain execute asked `+c.values)
			if !strings.Contains(strings.Join(plan, "\n"), c.index) {
				t.Errorf("the plan does not use %s:\n%s", c.index, strings.Join(plan, "\n"))
			}
			if err == nil {
				err = tx.exec(`deallocate asked`)
			}
			return err
		})
	}
}
