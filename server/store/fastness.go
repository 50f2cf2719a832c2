package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fastness"
	"dyelot/inventory/lot"
)

// FastnessTest is one test with what the books keep beside its grades.
type FastnessTest struct {
	ID        int64
	LotID     int64 // whose witness cloth was tested
	Direction string
	Assessor  string
	Evidence  string
	Note      string
	TakenBack lot.Withdrawal
	fastness.Test
	Specimen   string // which of several
	Laboratory string
	Instrument string
	Report     Report
	WindowID   int64 // the window test that it is the result of; 0: none
	Pairs      []MeasuredPair
}

// Report is the file of a laboratory's report; zero where there is none.
type Report struct {
	Name   string
	SHA256 []byte
}

// AddFastnessTest writes a test with its grades and returns its id.
func (t *Tx) AddFastnessTest(f FastnessTest) (int64, error) {
	method, err := fastness.MethodOf(f.Method)
	if err != nil {
		return 0, err
	}
	var components, grades []string
	for _, c := range method.Components {
		if g, graded := f.Grades[c.Key]; graded {
			components, grades = append(components, c.Key), append(grades, c.Scale.Text(g))
		}
	}
	var id int64
	err = t.get(&id, `
		with fresh as (
			insert into fastness_test (lot_id, scope, method, edition, variant, direction, assessor, evidence, tested_on, note, recorded_at, recorded_by,
			                           specimen, laboratory, instrument, report_name, report_sha256, window_id)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $15, $16, $17, $18, $19, $20) returning id),
		graded as (
			insert into fastness_grade (test_id, component, grade)
			select fresh.id, u.component, u.grade from fresh, unnest(CAST($13 AS text[]), CAST($14 AS text[])) as u (component, grade))
		select id from fresh`,
		f.LotID, string(f.Subject.Scope), f.Method, f.Edition, f.Variant, f.Direction, f.Assessor, f.Evidence, f.Date, f.Note, t.Now, t.By.ID,
		pq.Array(components), pq.Array(grades), f.Specimen, f.Laboratory, f.Instrument, f.Report.Name, f.Report.SHA256, nullIfZero(f.WindowID))
	if err != nil {
		return 0, err
	}
	return id, t.addMeasured(measuredOf{TestID: id}, f.Pairs)
}

type testRow struct {
	ID         int64     `db:"id"`
	LotID      int64     `db:"lot_id"`
	Scope      string    `db:"scope"`
	Method     string    `db:"method"`
	Edition    string    `db:"edition"`
	Variant    string    `db:"variant"`
	Direction  string    `db:"direction"`
	Assessor   string    `db:"assessor"`
	Evidence   string    `db:"evidence"`
	TestedOn   time.Time `db:"tested_on"`
	Note       string    `db:"note"`
	RecordedAt time.Time `db:"recorded_at"`
	Recipe     string    `db:"recipe"`
	Specimen   string    `db:"specimen"`
	Laboratory string    `db:"laboratory"`
	Instrument string    `db:"instrument"`
	ReportName string    `db:"report_name"`
	ReportSum  []byte    `db:"report_sha256"`
	WindowID   int64     `db:"window_id"`
	withdrawnRow
}

const testColumns = `
	select f.id, f.lot_id, f.scope, f.method, f.edition, f.variant, f.direction, f.assessor, f.evidence, f.tested_on, f.note, f.recorded_at,
	       f.specimen, f.laboratory, f.instrument, f.report_name, f.report_sha256, coalesce(f.window_id, 0) as window_id,
	       rc.code || ' ' || v.version as recipe, ` + withdrawnColumns + `
	from fastness_test f join lot l on l.id = f.lot_id join run on run.id = l.run_id
	join recipe_version v on v.id = run.version_id join recipe rc on rc.id = v.recipe_id
	left join evidence_withdrawn w on w.test_id = f.id`

func (r testRow) test() FastnessTest {
	f := FastnessTest{ID: r.ID, LotID: r.LotID, Direction: r.Direction, Assessor: r.Assessor, Evidence: r.Evidence, Note: r.Note, TakenBack: r.withdrawal(),
		Specimen: r.Specimen, Laboratory: r.Laboratory, Instrument: r.Instrument, Report: Report{r.ReportName, r.ReportSum}, WindowID: r.WindowID,
		Test: fastness.Test{
			ID: Code('F', r.ID), Method: r.Method, Edition: r.Edition, Variant: r.Variant, Date: r.TestedOn, Recorded: r.RecordedAt,
			Subject: fastness.Subject{Scope: fastness.Scope(r.Scope), Code: Code('L', r.LotID)}, Grades: map[string]fastness.Grade{}, Withdrawn: r.WithdrawnWhy,
		}}
	if f.Subject.Scope == fastness.EachRecipe {
		f.Subject.Code = r.Recipe
	}
	return f
}

// FastnessTest finds one. fault.NotFound.
func (t *Tx) FastnessTest(id int64) (FastnessTest, error) {
	var r testRow
	if err := t.get(&r, testColumns+` where f.id = $1`, id); err != nil {
		return FastnessTest{}, missing(err, "test", Code('F', id))
	}
	tests := []FastnessTest{r.test()}
	err := t.gradesInto(tests, []int64{id})
	return tests[0], err
}

// testsFor lists the tests that may say something of a lot: its own, those that
// are evidence for a dyestuff parcel that it used, and those for its version of
// the recipe.
func (t *Tx) testsFor(lotID, versionID int64, parcels []int64) ([]FastnessTest, error) {
	var rows []testRow
	if err := t.list(&rows, testColumns+`
		where f.lot_id = $1 or (f.scope = 'recipe' and run.version_id = $2)
		or (f.scope = 'harvest' and f.lot_id in (
			select rl.lot_id from posting p join movement m on m.id = p.movement_id join record_lot rl on rl.record_id = m.record_id
			where p.parcel_id = any($3) and m.kind = 'use'))
		order by f.id`, lotID, versionID, pq.Array(parcels)); err != nil {
		return nil, err
	}
	tests := make([]FastnessTest, len(rows))
	ids := make([]int64, len(rows))
	for i, r := range rows {
		ids[i] = r.ID
		tests[i] = r.test()
	}
	return tests, t.gradesInto(tests, ids)
}

func (t *Tx) gradesInto(tests []FastnessTest, ids []int64) error {
	var rows []struct {
		TestID    int64  `db:"test_id"`
		Component string `db:"component"`
		Grade     string `db:"grade"`
	}
	if err := t.list(&rows, `select test_id, component, grade from fastness_grade where test_id = any($1)`, pq.Array(ids)); err != nil {
		return err
	}
	at := make(map[int64]int, len(ids))
	for i, id := range ids {
		at[id] = i
	}
	for _, r := range rows {
		f := tests[at[r.TestID]]
		method, err := fastness.MethodOf(f.Method)
		if err != nil {
			return err
		}
		c, _ := method.Component(r.Component)
		if f.Grades[r.Component], err = fastness.Parse(r.Grade, c.Scale); err != nil {
			return err
		}
	}
	return t.measuredInto(tests, ids)
}

// DyestuffsOf lists the dyestuff parcels that went into each of some lots, by
// standing records, in ascending order.
func (t *Tx) DyestuffsOf(lotIDs []int64) (map[int64][]int64, error) {
	var rows []struct {
		LotID    int64 `db:"lot_id"`
		ParcelID int64 `db:"parcel_id"`
	}
	err := t.list(&rows, `
		select distinct rl.lot_id, p.parcel_id
		from record_lot rl join movement m on m.record_id = rl.record_id join posting p on p.movement_id = m.id
		join parcel on parcel.id = p.parcel_id join item i on i.id = parcel.item_id
		where rl.lot_id = any($1) and i.kind = 'dyestuff' and m.kind = 'use' and p.to_place = 'process'
		and not exists (select from record_undone u where u.record_id = rl.record_id)
		order by rl.lot_id, p.parcel_id`, pq.Array(lotIDs))
	used := map[int64][]int64{}
	for _, r := range rows {
		used[r.LotID] = append(used[r.LotID], r.ParcelID)
	}
	return used, err
}

// asEvidence adds to each test what lot.Judge must know of the cloth tested.
func (t *Tx) asEvidence(tests []FastnessTest) ([]lot.Test, error) {
	var lots []int64
	for _, f := range tests {
		if f.Subject.Scope == fastness.EachHarvest {
			lots = append(lots, f.LotID)
		}
	}
	used, err := t.DyestuffsOf(lots)
	evidence := make([]lot.Test, len(tests))
	for i, f := range tests {
		evidence[i] = lot.Test{Test: f.Test, Lot: Code('L', f.LotID), Harvests: codes('P', used[f.LotID])}
	}
	return evidence, err
}

func codes(letter byte, ids []int64) []string {
	all := make([]string, len(ids))
	for i, id := range ids {
		all[i] = Code(letter, id)
	}
	return all
}
