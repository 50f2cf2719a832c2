package store

import (
	"github.com/lib/pq"

	"dyelot/inventory/recipe"
)

// WriteRecipeVersion writes the next version of a recipe that Check has read,
// or its first, and returns its id. The number is taken before the recipe is
// locked: of two who write at once, the one who comes second is told that the
// recipe moved on (fault.Conflict), since they have not seen what the other
// changed.
func (t *Tx) WriteRecipeVersion(r recipe.Recipe) (int64, error) {
	var last int
	if err := t.get(&last, `
		select coalesce(max(v.version), 0) from recipe_version v join recipe r on r.id = v.recipe_id where r.code = $1`, r.Code); err != nil {
		return 0, err
	}
	var recipeID, id int64
	if err := t.exec(`insert into recipe (code) values ($1) on conflict on constraint recipe_code_key do nothing`, r.Code); err != nil {
		return 0, err
	}
	if err := t.get(&recipeID, `select id from recipe where code = $1 for update`, r.Code); err != nil {
		return 0, err
	}
	if err := t.get(&id, `
		insert into recipe_version (recipe_id, version, name, fibre, liquor_ratio, note, written_by, written_at)
		values ($1, $2, $3, $4, $5, $6, $7, $8) returning id`,
		recipeID, last+1, r.Name, r.Fibre, int64(r.Ratio), r.Note, t.By.ID, t.Now); err != nil {
		return 0, err
	}
	if err := t.writeStages(id, r.Stages); err != nil {
		return 0, err
	}
	return id, t.writeDoses(id, r.Stages)
}

func (t *Tx) writeStages(versionID int64, stages []recipe.Stage) error {
	var kinds, notes []string
	var shared []bool
	var positions, celsius, minutes, ratios []int64
	var low, high []*int64
	for _, s := range stages {
		positions, kinds, shared = append(positions, int64(s.Position)), append(kinds, s.Kind), append(shared, s.Shared)
		celsius, minutes, ratios = append(celsius, int64(s.Celsius)), append(minutes, int64(s.Minutes)), append(ratios, int64(s.Ratio))
		low, high, notes = append(low, phSteps(s.PHLow)), append(high, phSteps(s.PHHigh)), append(notes, s.Note)
	}
	return t.exec(`
		insert into recipe_stage (version_id, position, kind, shared, celsius, minutes, liquor_ratio, ph_low, ph_high, note)
		select $1, position, kind, shared, celsius, minutes, ratio, low, high, note
		from unnest(CAST($2 AS integer[]), CAST($3 AS text[]), CAST($4 AS boolean[]), CAST($5 AS integer[]), CAST($6 AS integer[]), CAST($7 AS bigint[]),
		            CAST($8 AS integer[]), CAST($9 AS integer[]), CAST($10 AS text[])) as u (position, kind, shared, celsius, minutes, ratio, low, high, note)`,
		versionID, pq.Array(positions), pq.Array(kinds), pq.Array(shared), pq.Array(celsius), pq.Array(minutes), pq.Array(ratios), pq.Array(low), pq.Array(high), pq.Array(notes))
}

func phSteps(p *recipe.PH) *int64 {
	if p == nil {
		return nil
	}
	return new(int64(*p))
}

func (t *Tx) writeDoses(versionID int64, stages []recipe.Stage) error {
	var positions, lines, items, values []int64
	var bases []string
	for _, s := range stages {
		for i, d := range s.Doses {
			positions, lines = append(positions, int64(s.Position)), append(lines, int64(i+1))
			items, bases, values = append(items, d.ItemID), append(bases, string(d.Ask.Basis)), append(values, d.Ask.Steps())
		}
	}
	return t.exec(`
		insert into recipe_dose (version_id, position, line, item_id, basis, value)
		select $1, position, line, item, basis, value
		from unnest(CAST($2 AS integer[]), CAST($3 AS smallint[]), CAST($4 AS bigint[]), CAST($5 AS text[]), CAST($6 AS bigint[])) as u (position, line, item, basis, value)`,
		versionID, pq.Array(positions), pq.Array(lines), pq.Array(items), pq.Array(bases), pq.Array(values))
}
