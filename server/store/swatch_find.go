package store

import (
	"strings"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fastness"
	"dyelot/inventory/swatch"
)

// swatchRest is the whole filter, asked of each page that an index has found; a
// part of it that was not asked lets everything through. swatch.Filter.Matches
// says the same in Go.
const swatchRest = `
	not exists (select from swatch_struck k where k.swatch_id = s.id)
	and ($1 = '' or s.fibre = $1)
	and ($2 = '' or s.plant = $2)
	and (CAST($3 AS text[]) is null or s.plant || '|' || s.part = any($3))
	and ($4 <> 'none' or not exists (select from swatch_bath b where b.swatch_id = s.id and b.metal <> ''))
	and ($4 in ('', 'none') or exists (select from swatch_bath b where b.swatch_id = s.id and b.metal = $4))
	and ($5 = '' or exists (select from swatch_bath b where b.swatch_id = s.id and b.substance = $5))
	and not exists (
		select from unnest(CAST($6 AS text[]), CAST($7 AS text[]), CAST($8 AS smallint[])) as k (kind, scale, least)
		where coalesce((select min(g.half_grades) from swatch_grade g where g.swatch_id = s.id and g.kind = k.kind and g.scale = k.scale), 0) < k.least)
	and ($9 = '' or s.words @@ to_tsquery('simple', $9))`

// The ways into the book, each by an index; the first that a filter has wins.
// Where it has none of them (no metal, say) the book is read from its newest
// page, and most pages match.
const (
	byWords   = `s.words @@ to_tsquery('simple', $9) and`
	byPlants  = `s.plant = any($10) and`
	byMordant = `s.id in (select b.swatch_id from swatch_bath b where b.substance = $5) and`
	byMetal   = `s.id in (select b.swatch_id from swatch_bath b where b.metal = $4 and b.metal <> '') and`
	byGrade   = `s.id in (select g.swatch_id from swatch_grade g where g.kind = any($6) and g.scale = any($7)
		and g.half_grades >= (select min(k) from unnest(CAST($8 AS smallint[])) as k)) and`
	byFibre   = `s.fibre = $1 and`
	byNothing = ``
)

// tenth keeps the type of $10 known where no way uses it.
const tenth = ` and (CAST($10 AS text[]) is null or true)`

type swatchQueries struct{ pages, ids, among string }

func swatchQueriesBy(way string) swatchQueries {
	where := ` where ` + way + swatchRest + tenth
	return swatchQueries{
		pages: swatchColumns + where + ` and (CAST($11 AS bigint) = 0 or s.id < $11) order by s.id desc limit $12`,
		ids:   `select s.id from swatch s` + where + ` order by s.id`,
		among: `select s.id from swatch s where s.id = any($11) and` + swatchRest + tenth + ` order by s.id`,
	}
}

var swatchWays = map[string]swatchQueries{
	byWords: swatchQueriesBy(byWords), byPlants: swatchQueriesBy(byPlants), byMordant: swatchQueriesBy(byMordant),
	byMetal: swatchQueriesBy(byMetal), byGrade: swatchQueriesBy(byGrade), byFibre: swatchQueriesBy(byFibre), byNothing: swatchQueriesBy(byNothing),
}

// swatchAsk is a filter as the queries take it.
func swatchAsk(f swatch.Filter) (way swatchQueries, args []any) {
	var plants, sources []string
	plant := ""
	if from, asked := f.Sources(); asked {
		plants, sources = []string{}, []string{}
		for _, s := range from {
			plants, sources = append(plants, s.Plant), append(sources, s.Plant+"|"+s.Part)
		}
		if f.AnyPart() {
			plant, sources = f.Plant, nil
		}
	}
	var kinds, scales []string
	var least []int64
	for _, l := range f.Least {
		kinds, scales, least = append(kinds, l.Kind), append(scales, string(l.Scale)), append(least, int64(l.Grade))
	}
	by := byNothing
	switch {
	case f.Words != "":
		by = byWords
	case plants != nil:
		by = byPlants
	case f.Mordant != "":
		by = byMordant
	case f.Metal != "" && f.Metal != swatch.None:
		by = byMetal
	case len(kinds) > 0:
		by = byGrade
	case f.Fibre != "":
		by = byFibre
	}
	return swatchWays[by], []any{f.Fibre, plant, pq.Array(sources), f.Metal, f.Mordant, pq.Array(orEmpty(kinds)), pq.Array(orEmpty(scales)), pq.Array(least),
		prefixQuery(f.Words), pq.Array(plants)}
}

func orEmpty(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

// prefixQuery asks for each word as the beginning of a word: 'onion':* &
// 'ski':*. Tokens holds letters and digits alone, so that nothing needs quoting.
func prefixQuery(words string) string {
	tokens := swatch.Tokens(words)
	for i, w := range tokens {
		tokens[i] = "'" + w + "':*"
	}
	return strings.Join(tokens, " & ")
}

// FindSwatches lists the pages that a filter looks for, whole, the newest first,
// below an id where that is not zero.
func (t *Tx) FindSwatches(f swatch.Filter, below int64, limit int) ([]Swatch, error) {
	way, args := swatchAsk(f)
	return t.swatches(way.pages, append(args, below, limit)...)
}

// MatchingSwatches lists the ids of all pages that a filter looks for, rising.
func (t *Tx) MatchingSwatches(f swatch.Filter) ([]int64, error) {
	way, args := swatchAsk(f)
	var ids []int64
	return ids, t.list(&ids, way.ids, args...)
}

// MatchingAmong lists those of some pages that a filter looks for.
func (t *Tx) MatchingAmong(f swatch.Filter, among []int64) ([]int64, error) {
	way, args := swatchAsk(f)
	var ids []int64
	return ids, t.list(&ids, way.among, append(args, pq.Array(among))...)
}

type swatchGrade struct {
	id int64
	swatch.Grade
}

func (t *Tx) swatchGrades(where string, args ...any) ([]swatchGrade, error) {
	var rows []struct {
		Swatch    int64     `db:"swatch_id"`
		Method    string    `db:"method"`
		Edition   string    `db:"edition"`
		Variant   string    `db:"variant"`
		Component string    `db:"component"`
		Kind      string    `db:"kind"`
		Scale     string    `db:"scale"`
		Half      int       `db:"half_grades"`
		Assessor  string    `db:"assessor"`
		Evidence  string    `db:"evidence"`
		TestedOn  time.Time `db:"tested_on"`
	}
	err := t.list(&rows, `
		select swatch_id, method, edition, variant, component, kind, scale, half_grades, assessor, evidence, tested_on from swatch_grade`+where, args...)
	all := make([]swatchGrade, len(rows))
	for i, r := range rows {
		all[i] = swatchGrade{r.Swatch, swatch.Grade{Page: Code('T', r.Swatch), Method: r.Method, Edition: r.Edition, Variant: r.Variant, Component: r.Component,
			Kind: r.Kind, Scale: fastness.Scale(r.Scale), Grade: fastness.Grade(r.Half), Assessor: r.Assessor, Evidence: r.Evidence, Tested: r.TestedOn}}
	}
	return all, err
}

// likeSwatches expects unnested plants and the metals in their order.
const likeSwatches = `
	select s.id from swatch s
	where s.plant = any($1) and s.fibre = $2
	and not exists (select from swatch_struck k where k.swatch_id = s.id)
	and coalesce((select array_agg(distinct b.metal order by b.metal) from swatch_bath b where b.swatch_id = s.id and b.metal <> ''), CAST('{}' AS text[])) = CAST($3 AS text[])
	order by s.id`

// GradesOfLike lists how swatches of the same fibre, one of these plants and
// exactly these metals (sorted) wore, and counts those swatches, graded or not.
func (t *Tx) GradesOfLike(fibre string, plants, metals []string) (grades []swatch.Grade, count int, err error) {
	var ids []int64
	if err := t.list(&ids, likeSwatches, pq.Array(plants), fibre, pq.Array(orEmpty(metals))); err != nil || len(ids) == 0 {
		return nil, 0, err
	}
	rows, err := t.swatchGrades(` where swatch_id = any($1) order by id`, pq.Array(ids))
	for _, r := range rows {
		grades = append(grades, r.Grade)
	}
	return grades, len(ids), err
}
