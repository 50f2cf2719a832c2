package store

import (
	"slices"
	"strings"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/swatch"
)

// swatchLock makes those who write pages wait for each other until they have
// committed, so that a page with a lower id never appears after one with a
// higher: the nearest-colour search keeps up by the newest id it has seen. It
// locks no table and no row.
const swatchLock = `select pg_advisory_xact_lock(hashtext('dyelot swatch pages'))`

// AddSwatches writes pages with their baths and returns their ids in the same
// order: two statements, however many there are.
func (t *Tx) AddSwatches(pages []Swatch) ([]int64, error) {
	if len(pages) == 0 {
		return nil, nil
	}
	if err := t.exec(swatchLock); err != nil {
		return nil, err
	}
	c := swatchLists(pages)
	var ids []int64
	if err := t.list(&ids, insertSwatches, append(c.args(), t.Now, t.By.ID)...); err != nil {
		return nil, err
	}
	slices.Sort(ids) // they were given in the order of the select
	return ids, t.addSwatchBaths(ids, pages)
}

const insertSwatches = `
	insert into swatch (name, fibre, plant, part, dye_family, place, picked_on, parcel_id, version_id, lot_id, recipe_words, percent_wof, dyed_on, page,
	                    l, a, b, illuminant, observer, first_nm, step_nm, reflectance, ground, specular, instrument, file_name, file_sha256, read_on,
	                    by_name, note, also, recorded_at, recorded_by)
	select name, fibre, plant, part, family, place, CAST(nullif(picked, '') AS date), nullif(parcel, 0), nullif(version, 0), nullif(lot, 0), recipe, nullif(wof, 0),
	       CAST(dyed AS date), page, case when light <> '' then l end, case when light <> '' then a end, case when light <> '' then b end, nullif(light, ''),
	       nullif(eye, 0), nullif(first_nm, 0), nullif(step_nm, 0), CAST(nullif(curve, '') AS float8[]), CAST(nullif(ground, '') AS float8[]), specular,
	       instrument, file, nullif(sha, ''), CAST(nullif(read_on, '') AS date), by_name, note, also, $32, $33
	from unnest(CAST($1 AS text[]), CAST($2 AS text[]), CAST($3 AS text[]), CAST($4 AS text[]), CAST($5 AS text[]), CAST($6 AS text[]), CAST($7 AS text[]),
	            CAST($8 AS bigint[]), CAST($9 AS bigint[]), CAST($10 AS bigint[]), CAST($11 AS text[]), CAST($12 AS bigint[]), CAST($13 AS text[]), CAST($14 AS text[]),
	            CAST($15 AS float8[]), CAST($16 AS float8[]), CAST($17 AS float8[]), CAST($18 AS text[]), CAST($19 AS smallint[]), CAST($20 AS smallint[]),
	            CAST($21 AS smallint[]), CAST($22 AS text[]), CAST($23 AS text[]), CAST($24 AS text[]), CAST($25 AS text[]), CAST($26 AS text[]), CAST($27 AS bytea[]),
	            CAST($28 AS text[]), CAST($29 AS text[]), CAST($30 AS text[]), CAST($31 AS text[])) with ordinality
	     as u (name, fibre, plant, part, family, place, picked, parcel, version, lot, recipe, wof, dyed, page, l, a, b, light, eye, first_nm, step_nm, curve, ground,
	           specular, instrument, file, sha, read_on, by_name, note, also, n)
	order by n returning id`

// swatchTable is the pages column by column, in the order of insertSwatches.
type swatchTable struct {
	name, fibre, plant, part, family, place, picked, recipe, dyed, page, light, curve, ground, specular, instrument, file, readOn, by, note, also []string
	parcel, version, lot, wof, eye, first, step                                                                                                   []int64
	l, a, b                                                                                                                                       []float64
	sha                                                                                                                                           [][]byte
}

func swatchLists(pages []Swatch) (c swatchTable) {
	for _, s := range pages {
		c.name, c.fibre, c.plant, c.part = append(c.name, s.Name), append(c.fibre, s.Fibre), append(c.plant, s.Plant), append(c.part, s.Part)
		c.family, c.place, c.picked = append(c.family, s.Family), append(c.place, s.Place), append(c.picked, dayText(s.Picked))
		c.parcel, c.version, c.lot = append(c.parcel, s.ParcelID), append(c.version, s.VersionID), append(c.lot, s.LotID)
		c.recipe, c.wof, c.dyed, c.page = append(c.recipe, s.Recipe), append(c.wof, int64(s.WOF)), append(c.dyed, dayText(s.Dyed)), append(c.page, s.Where)
		c.by, c.note, c.also = append(c.by, s.By), append(c.note, s.Note), append(c.also, strings.TrimSpace(s.Also()+" "+s.RecipeCode))
		c.measured(s.Measured)
	}
	return c
}

func (c *swatchTable) measured(of *swatch.Measured) {
	var m swatch.Measured
	light, eye := "", int64(0)
	if of != nil {
		m, light, eye = *of, of.View.Illuminant.String(), int64(of.View.Observer.Degrees())
	}
	var curve, ground colour.Curve
	if m.Spectrum != nil {
		curve = *m.Spectrum
	}
	if m.Ground != nil {
		ground = *m.Ground
	}
	c.l, c.a, c.b = append(c.l, m.Lab.L), append(c.a, m.Lab.A), append(c.b, m.Lab.B)
	c.light, c.eye = append(c.light, light), append(c.eye, eye)
	c.first, c.step = append(c.first, int64(curve.FirstNM)), append(c.step, int64(curve.StepNM))
	c.curve, c.ground = append(c.curve, arrayText(curve.Reflectance)), append(c.ground, arrayText(ground.Reflectance))
	c.specular, c.instrument, c.file = append(c.specular, m.Specular), append(c.instrument, m.Instrument), append(c.file, m.FileName)
	c.sha, c.readOn = append(c.sha, m.FileSHA256), append(c.readOn, dayText(m.Read))
}

func (c swatchTable) args() []any {
	return []any{pq.Array(c.name), pq.Array(c.fibre), pq.Array(c.plant), pq.Array(c.part), pq.Array(c.family), pq.Array(c.place), pq.Array(c.picked),
		pq.Array(c.parcel), pq.Array(c.version), pq.Array(c.lot), pq.Array(c.recipe), pq.Array(c.wof), pq.Array(c.dyed), pq.Array(c.page),
		pq.Array(c.l), pq.Array(c.a), pq.Array(c.b), pq.Array(c.light), pq.Array(c.eye), pq.Array(c.first), pq.Array(c.step), pq.Array(c.curve), pq.Array(c.ground),
		pq.Array(c.specular), pq.Array(c.instrument), pq.Array(c.file), pq.Array(c.sha), pq.Array(c.readOn), pq.Array(c.by), pq.Array(c.note), pq.Array(c.also)}
}

func (t *Tx) addSwatchBaths(ids []int64, pages []Swatch) error {
	var of, line, wof []int64
	var kind, substance, metal []string
	for i, s := range pages {
		for j, b := range s.Baths {
			of, line, wof = append(of, ids[i]), append(line, int64(j+1)), append(wof, int64(b.WOF))
			kind, substance, metal = append(kind, b.Kind), append(substance, b.Substance), append(metal, b.Metal)
		}
	}
	if len(of) == 0 {
		return nil
	}
	return t.exec(`
		insert into swatch_bath (swatch_id, line, kind, substance, metal, percent_wof)
		select swatch, line, kind, substance, metal, nullif(wof, 0)
		from unnest(CAST($1 AS bigint[]), CAST($2 AS smallint[]), CAST($3 AS text[]), CAST($4 AS text[]), CAST($5 AS text[]), CAST($6 AS bigint[]))
		     as u (swatch, line, kind, substance, metal, wof)`,
		pq.Array(of), pq.Array(line), pq.Array(kind), pq.Array(substance), pq.Array(metal), pq.Array(wof))
}

// AddGradesOf writes the grades that some pages carry, in one statement.
func (t *Tx) AddGradesOf(pages []Swatch) error {
	var of, half []int64
	var method, edition, variant, component, grade, kind, scale, assessor, evidence, tested []string
	for _, p := range pages {
		for _, g := range p.Grades {
			of, half = append(of, p.ID), append(half, int64(g.Grade))
			method, edition, variant = append(method, g.Method), append(edition, g.Edition), append(variant, g.Variant)
			component, grade, kind, scale = append(component, g.Component), append(grade, g.Text()), append(kind, g.Kind), append(scale, string(g.Scale))
			assessor, evidence, tested = append(assessor, g.Assessor), append(evidence, g.Evidence), append(tested, dayText(g.Tested))
		}
	}
	if len(of) == 0 {
		return nil
	}
	return t.exec(`
		insert into swatch_grade (swatch_id, method, edition, variant, component, grade, kind, scale, half_grades, assessor, evidence, tested_on, recorded_at, recorded_by)
		select swatch, method, edition, variant, component, grade, kind, scale, half, assessor, evidence, CAST(tested AS date), $13, $14
		from unnest(CAST($1 AS bigint[]), CAST($2 AS text[]), CAST($3 AS text[]), CAST($4 AS text[]), CAST($5 AS text[]), CAST($6 AS text[]), CAST($7 AS text[]),
		            CAST($8 AS text[]), CAST($9 AS smallint[]), CAST($10 AS text[]), CAST($11 AS text[]), CAST($12 AS text[])) with ordinality
		     as u (swatch, method, edition, variant, component, grade, kind, scale, half, assessor, evidence, tested, n) order by n`,
		pq.Array(of), pq.Array(method), pq.Array(edition), pq.Array(variant), pq.Array(component), pq.Array(grade), pq.Array(kind), pq.Array(scale),
		pq.Array(half), pq.Array(assessor), pq.Array(evidence), pq.Array(tested), t.Now, t.By.ID)
}

// StrikeSwatch takes a page out of every search; it stays to be read. A second
// time is fault.Refused.
func (t *Tx) StrikeSwatch(id int64, by, reason string) error {
	return t.exec(`insert into swatch_struck (swatch_id, reason, by_name, at, recorded_by) values ($1, $2, $3, $4, $5)`, id, reason, by, t.Now, t.By.ID)
}

// Unstruck refuses what is done to a page that is struck.
func (s Swatch) Unstruck() error {
	if s.Struck.At.IsZero() {
		return nil
	}
	return fault.Refuse("STRUCK", "%s was struck out by %s: %s", s.Code(), s.Struck.By, s.Struck.Reason).With("swatch", s.Code())
}
