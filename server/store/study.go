package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fastness"
	"dyelot/inventory/study"
)

// LoadedStudy is a study with when it came into the books.
type LoadedStudy struct {
	study.Study
	LoadedAt time.Time
	Results  int
}

// AddStudy writes a study with its cells, and says whether it was not there
// before: what is there stays.
func (t *Tx) AddStudy(s study.Study, results []study.Result) (fresh bool, err error) {
	var ids []int64
	if err := t.list(&ids, `
		insert into study (key, citation, licence, dye, substrate, caveats, loaded_at, loaded_by) values ($1, $2, $3, $4, $5, $6, $7, $8)
		on conflict on constraint study_key_key do nothing returning id`,
		s.Key, s.Citation, s.Licence, s.Dye, s.Substrate, pq.Array(s.Caveats), t.Now, t.By.ID); err != nil || len(ids) == 0 {
		return false, err
	}
	n := len(results)
	lines, grades := make([]int64, n), make([]int64, n)
	var text [13][]string
	for i, r := range results {
		lines[i], grades[i] = int64(r.Line), int64(r.Grade)
		for j, v := range []string{r.Table, r.Sample, r.Mordant, r.Salt, r.SaltName, r.Metal, r.Fibre, joinWords(r.Fibres), r.Conditions, r.Component, r.Printed, string(r.Scale), r.Note} {
			text[j] = append(text[j], v)
		}
	}
	return true, t.exec(`
		insert into study_result (study_id, line, half_grades, of_table, sample, mordant, salt, salt_name, metal, fibre, fibres, conditions, component, printed, scale, note)
		select $1, line, nullif(half_grades, 0), of_table, sample, mordant, salt, salt_name, metal, fibre, string_to_array(fibres, '/'), conditions, component, printed, scale, note
		from unnest(CAST($2 AS int[]), CAST($3 AS int[]), CAST($4 AS text[]), CAST($5 AS text[]), CAST($6 AS text[]), CAST($7 AS text[]), CAST($8 AS text[]), CAST($9 AS text[]),
		            CAST($10 AS text[]), CAST($11 AS text[]), CAST($12 AS text[]), CAST($13 AS text[]), CAST($14 AS text[]), CAST($15 AS text[]), CAST($16 AS text[]))
		     as u (line, half_grades, of_table, sample, mordant, salt, salt_name, metal, fibre, fibres, conditions, component, printed, scale, note)`,
		ids[0], pq.Array(lines), pq.Array(grades), pq.Array(text[0]), pq.Array(text[1]), pq.Array(text[2]), pq.Array(text[3]), pq.Array(text[4]), pq.Array(text[5]), pq.Array(text[6]),
		pq.Array(text[7]), pq.Array(text[8]), pq.Array(text[9]), pq.Array(text[10]), pq.Array(text[11]), pq.Array(text[12]))
}

// joinWords puts fibres in a row; a fibre's word holds no stroke, since strokes
// part them where they are printed.
func joinWords(words []string) string {
	row := ""
	for i, w := range words {
		if i > 0 {
			row += "/"
		}
		row += w
	}
	return row
}

// Studies lists the studies in the books by key.
func (t *Tx) Studies() ([]LoadedStudy, error) {
	var rows []struct {
		Key       string         `db:"key"`
		Citation  string         `db:"citation"`
		Licence   string         `db:"licence"`
		Dye       string         `db:"dye"`
		Substrate string         `db:"substrate"`
		Caveats   pq.StringArray `db:"caveats"`
		LoadedAt  time.Time      `db:"loaded_at"`
		Results   int            `db:"results"`
	}
	err := t.list(&rows, `
		select s.key, s.citation, s.licence, s.dye, s.substrate, s.caveats, s.loaded_at, (select count(*) from study_result r where r.study_id = s.id) as results
		from study s order by s.key`)
	all := make([]LoadedStudy, len(rows))
	for i, r := range rows {
		all[i] = LoadedStudy{study.Study{Key: r.Key, Citation: r.Citation, Licence: r.Licence, Dye: r.Dye, Substrate: r.Substrate, Caveats: r.Caveats}, r.LoadedAt, r.Results}
	}
	return all, err
}

// StudySearch is what a search asks for; an empty part is all.
type StudySearch struct {
	Mordant    *study.Mordant
	Fibre      string
	Components []string
	Least      fastness.Grade
	AfterKey   string // the page starts behind this study and line
	AfterLine  int
	Limit      int
}

// studySearch finds cells. A mordant is found by its salt, by its metal where only
// that is asked, or by the printed word.
const studySearch = `
	select s.key, r.line, r.of_table, r.sample, r.mordant, r.salt, r.salt_name, r.metal, r.fibre, r.fibres, r.conditions, r.component, r.printed,
	       coalesce(r.half_grades, 0) as half_grades, r.scale, r.note
	from study_result r join study s on s.id = r.study_id
	where ($1 = '' or r.fibres @> array[CAST($1 AS text)])
	and (not $2 or ($3 <> '' and r.salt = $3) or ($3 = '' and $4 <> '' and r.metal = $4) or ($5 <> '' and lower(r.mordant) = $5))
	and r.component = any($6) and ($7 = 0 or r.half_grades >= $7) and (s.key, r.line) > ($8, $9)
	order by s.key, r.line limit $10`

// FindStudyResults lists cells in the order of study and table.
func (t *Tx) FindStudyResults(q StudySearch) ([]study.Result, error) {
	var rows []struct {
		Key        string         `db:"key"`
		Line       int            `db:"line"`
		Table      string         `db:"of_table"`
		Sample     string         `db:"sample"`
		Mordant    string         `db:"mordant"`
		Salt       string         `db:"salt"`
		SaltName   string         `db:"salt_name"`
		Metal      string         `db:"metal"`
		Fibre      string         `db:"fibre"`
		Fibres     pq.StringArray `db:"fibres"`
		Conditions string         `db:"conditions"`
		Component  string         `db:"component"`
		Printed    string         `db:"printed"`
		HalfGrades int            `db:"half_grades"`
		Scale      string         `db:"scale"`
		Note       string         `db:"note"`
	}
	var m study.Mordant
	if q.Mordant != nil {
		m = *q.Mordant
	}
	err := t.list(&rows, studySearch, q.Fibre, q.Mordant != nil, m.Salt, m.Metal, m.Word, pq.Array(q.Components), int(q.Least), q.AfterKey, q.AfterLine, q.Limit)
	all := make([]study.Result, len(rows))
	for i, r := range rows {
		all[i] = study.Result{Study: r.Key, Line: r.Line, Table: r.Table, Sample: r.Sample, Mordant: r.Mordant, Salt: r.Salt, SaltName: r.SaltName, Metal: r.Metal,
			Fibre: r.Fibre, Fibres: r.Fibres, Conditions: r.Conditions, Component: r.Component, Printed: r.Printed, Grade: fastness.Grade(r.HalfGrades), Scale: fastness.Scale(r.Scale), Note: r.Note}
	}
	return all, err
}
