package store

import (
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// RecipeVersion is one version of a recipe, whole, with who wrote it.
type RecipeVersion struct {
	recipe.Recipe
	RecipeID  int64
	WrittenAt time.Time
	WrittenBy string
	Used      bool // some run was planned from it
}

type versionRow struct {
	ID        int64     `db:"id"`
	RecipeID  int64     `db:"recipe_id"`
	Code      string    `db:"code"`
	Version   int       `db:"version"`
	Name      string    `db:"name"`
	Fibre     string    `db:"fibre"`
	Ratio     int64     `db:"liquor_ratio"`
	Note      string    `db:"note"`
	WrittenAt time.Time `db:"written_at"`
	WrittenBy string    `db:"written_by"`
	Used      bool      `db:"used"`
}

const versionColumns = `
	select v.id, v.recipe_id, r.code, v.version, v.name, v.fibre, v.liquor_ratio, v.note, v.written_at, p.name as written_by,
	       exists (select from run where run.version_id = v.id) as used
	from recipe_version v join recipe r on r.id = v.recipe_id join principal p on p.id = v.written_by`

// RecipeVersion finds a version by the recipe's code, the newest where version
// is zero. fault.NotFound.
func (t *Tx) RecipeVersion(code string, version int) (RecipeVersion, error) {
	vs, err := t.versions(versionColumns+`
		where r.code = $1 and ($2 = 0 or v.version = $2) order by v.version desc limit 1`, code, version)
	switch {
	case err != nil:
		return RecipeVersion{}, err
	case len(vs) == 0 && version != 0:
		return RecipeVersion{}, fault.Missing("recipe", fmt.Sprintf("%s version %d", code, version))
	case len(vs) == 0:
		return RecipeVersion{}, fault.Missing("recipe", code)
	}
	return vs[0], nil
}

// RecipeVersionByID is one that a run points at.
func (t *Tx) RecipeVersionByID(id int64) (RecipeVersion, error) {
	vs, err := t.versions(versionColumns+` where v.id = $1`, id)
	if err != nil || len(vs) == 0 {
		return RecipeVersion{}, orNoRows(err)
	}
	return vs[0], nil
}

// NewestVersions lists the newest version of each recipe, by code.
func (t *Tx) NewestVersions() ([]RecipeVersion, error) {
	return t.versions(versionColumns + `
		where v.version = (select max(version) from recipe_version n where n.recipe_id = v.recipe_id) order by r.code`)
}

// versions loads versions whole, in three statements however many there are.
func (t *Tx) versions(query string, args ...any) ([]RecipeVersion, error) {
	var rows []versionRow
	if err := t.list(&rows, query, args...); err != nil || len(rows) == 0 {
		return nil, err
	}
	ids := make([]int64, len(rows))
	for i, r := range rows {
		ids[i] = r.ID
	}
	stages, err := t.recipeStages(ids)
	if err != nil {
		return nil, err
	}
	vs := make([]RecipeVersion, len(rows))
	for i, r := range rows {
		vs[i] = RecipeVersion{RecipeID: r.RecipeID, WrittenAt: r.WrittenAt, WrittenBy: r.WrittenBy, Used: r.Used, Recipe: recipe.Recipe{
			ID: r.ID, Code: r.Code, Name: r.Name, Version: r.Version, Fibre: r.Fibre, Ratio: quantity.Ratio(r.Ratio), Stages: stages[r.ID], Note: r.Note,
		}}
	}
	return vs, nil
}

type recipeStageRow struct {
	VersionID int64  `db:"version_id"`
	Position  int    `db:"position"`
	Kind      string `db:"kind"`
	Shared    bool   `db:"shared"`
	Celsius   int    `db:"celsius"`
	Minutes   int    `db:"minutes"`
	Ratio     int64  `db:"liquor_ratio"`
	PHLow     *int64 `db:"ph_low"`
	PHHigh    *int64 `db:"ph_high"`
	Note      string `db:"note"`
}

type recipeDoseRow struct {
	VersionID int64  `db:"version_id"`
	Position  int    `db:"position"`
	Basis     string `db:"basis"`
	Value     int64  `db:"value"`
	doseItemRow
}

// doseItemRow is what a recipe must know of an item.
type doseItemRow struct {
	ItemID    int64  `db:"item_id"`
	Code      string `db:"code"`
	Name      string `db:"name"`
	Kind      string `db:"kind"`
	Unit      string `db:"unit"`
	Substance string `db:"substance"`
	Plant     string `db:"plant"`
	Part      string `db:"part"`
	Family    string `db:"dye_family"`
}

const doseItemColumns = `i.id as item_id, i.code, i.name, i.kind, i.unit, i.substance, i.plant, i.part, i.dye_family`

func (r doseItemRow) line() recipe.Line {
	return recipe.Line{ItemID: r.ItemID, ItemCode: r.Code, ItemName: r.Name, ItemKind: recipe.Kind(r.Kind), Unit: units[r.Unit],
		Substance: r.Substance, Plant: r.Plant, Part: r.Part, Family: r.Family}
}

func (t *Tx) recipeStages(versionIDs []int64) (map[int64][]recipe.Stage, error) {
	var rows []recipeStageRow
	if err := t.list(&rows, `
		select version_id, position, kind, shared, celsius, minutes, liquor_ratio, ph_low, ph_high, note
		from recipe_stage where version_id = any($1) order by version_id, position`, pq.Array(versionIDs)); err != nil {
		return nil, err
	}
	var doses []recipeDoseRow
	if err := t.list(&doses, `
		select d.version_id, d.position, d.basis, d.value, `+doseItemColumns+`
		from recipe_dose d join item i on i.id = d.item_id
		where d.version_id = any($1) order by d.version_id, d.position, d.line`, pq.Array(versionIDs)); err != nil {
		return nil, err
	}
	stages := map[int64][]recipe.Stage{}
	for _, r := range rows {
		s := recipe.Stage{Position: r.Position, Kind: r.Kind, Shared: r.Shared, Celsius: r.Celsius, Minutes: r.Minutes, Ratio: quantity.Ratio(r.Ratio),
			PHLow: phOf(r.PHLow), PHHigh: phOf(r.PHHigh), Note: r.Note}
		for len(doses) > 0 && doses[0].VersionID == r.VersionID && doses[0].Position == r.Position {
			line := doses[0].line()
			line.Ask = recipe.AskFrom(recipe.Basis(doses[0].Basis), doses[0].Value)
			s.Doses, doses = append(s.Doses, line), doses[1:]
		}
		stages[r.VersionID] = append(stages[r.VersionID], s)
	}
	return stages, nil
}

func phOf(n *int64) *recipe.PH {
	if n == nil {
		return nil
	}
	return new(recipe.PH(*n))
}

// RecipeLines are empty lines for items, by code, to write doses on. An item
// that does not exist is not in the map.
func (t *Tx) RecipeLines(codes []string) (map[string]recipe.Line, error) {
	var rows []doseItemRow
	err := t.list(&rows, `select `+doseItemColumns+` from item i where i.code = any($1)`, pq.Array(codes))
	lines := make(map[string]recipe.Line, len(rows))
	for _, r := range rows {
		lines[r.Code] = r.line()
	}
	return lines, err
}
