package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// AddRecord writes what was done: the bath, where the stage has one, the record
// and its lots, in one statement, and its deviations. What corrects another
// record stays in that one's bath while it is in the same vessel. It returns the ids of the
// record and of its bath; the movement is posted apart.
func (t *Tx) AddRecord(r lot.Standing) (id, bathID int64, err error) {
	var lots, fibre []int64
	for _, l := range r.Lots {
		lots, fibre = append(lots, l.LotID), append(fibre, l.Fibre.N)
	}
	var row struct {
		ID   int64 `db:"id"`
		Bath int64 `db:"bath_id"`
	}
	err = t.get(&row, `
		with poured as (
			insert into bath (vessel_id, kind, opened_at) select nullif($5, 0), $3, coalesce(CAST($10 AS timestamptz), $7) where $4 returning id),
		fresh as (
			insert into stage_record (run_id, position, kind, bath_id, vessel_id, by_name, happened_at, recorded_at, recorded_by, started_at, finished_at,
			                          celsius, minutes, ph, bath_ul, note, skipped, reason, override_by, override_reason,
			                          bath_use, addition_to, look_before, look_after, corrects_id)
			values ($1, $2, $3, coalesce((select id from poured), nullif($23, 0)), nullif($5, 0), $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20,
			        $24, nullif($25, 0), $26, $27, nullif($28, 0))
			returning id, bath_id),
		served as (
			insert into record_lot (record_id, lot_id, fibre_ug)
			select fresh.id, u.lot, u.fibre from fresh, unnest(CAST($21 AS bigint[]), CAST($22 AS bigint[])) as u (lot, fibre))
		select id, coalesce(bath_id, 0) as bath_id from fresh`,
		r.RunID, r.Position, r.Kind.Key, r.Kind.Bath && !r.Skipped && r.BathID == 0, r.Vessel.ID, r.By, r.HappenedAt, t.Now, t.By.ID, orNull(r.StartedAt), orNull(r.FinishedAt),
		r.Celsius, r.Minutes, r.PH, r.Volume.N, r.Note, r.Skipped, r.Reason, r.Override.By, r.Override.Reason, pq.Array(lots), pq.Array(fibre),
		r.BathID, max(1, r.BathUse), r.AdditionTo, r.LookBefore, r.LookAfter, r.Corrects)
	if err != nil {
		return 0, 0, err
	}
	if len(r.Deviations) > 0 {
		err = t.addDeviations(row.ID, r.Deviations, r.Reason)
	}
	if err == nil && len(r.Dips) > 0 {
		err = t.addDips(row.ID, r.Dips)
	}
	if err == nil && !r.Skipped && (r.Kind.Brews || r.Kind.Dyes && r.AdditionTo == 0) {
		err = t.addBrewShares(row.ID, r)
	}
	return row.ID, row.Bath, err
}

func (t *Tx) addDeviations(recordID int64, ds []lot.Deviation, reason string) error {
	var key, planned, actual, text []string
	for _, d := range ds {
		key, planned, actual, text = append(key, d.Key), append(planned, d.Planned), append(actual, d.Actual), append(text, d.Text)
	}
	return t.exec(`
		insert into deviation (record_id, line, key, planned, actual, text, reason)
		select $1, n, key, planned, actual, text, $6
		from unnest(CAST($2 AS text[]), CAST($3 AS text[]), CAST($4 AS text[]), CAST($5 AS text[])) with ordinality as u (key, planned, actual, text, n)`,
		recordID, pq.Array(key), pq.Array(planned), pq.Array(actual), pq.Array(text), reason)
}

// UndoRecord marks a record as taken back.
func (t *Tx) UndoRecord(id int64, reason string) error {
	return t.exec(`insert into record_undone (record_id, at, undone_by, reason) values ($1, $2, $3, $4)`, id, t.Now, t.By.ID, reason)
}

type recordRow struct {
	ID             int64      `db:"id"`
	RunID          int64      `db:"run_id"`
	Position       int        `db:"position"`
	Kind           string     `db:"kind"`
	BathID         int64      `db:"bath_id"`
	By             string     `db:"by_name"`
	HappenedAt     time.Time  `db:"happened_at"`
	RecordedAt     time.Time  `db:"recorded_at"`
	StartedAt      *time.Time `db:"started_at"`
	FinishedAt     *time.Time `db:"finished_at"`
	Celsius        int        `db:"celsius"`
	Minutes        int        `db:"minutes"`
	PH             *int       `db:"ph"`
	BathUL         int64      `db:"bath_ul"`
	Note           string     `db:"note"`
	Skipped        bool       `db:"skipped"`
	Reason         string     `db:"reason"`
	OverrideBy     string     `db:"override_by"`
	OverrideReason string     `db:"override_reason"`
	Undone         bool       `db:"undone"`
	UndoneWhy      string     `db:"undone_why"`
	BathUse        int        `db:"bath_use"`
	AdditionTo     int64      `db:"addition_to"`
	LookBefore     string     `db:"look_before"`
	LookAfter      string     `db:"look_after"`
	Corrects       int64      `db:"corrects"`
	Corrected      int64      `db:"corrected"`
	vesselPart
}

const recordColumns = `
	select r.id, r.run_id, r.position, r.kind, coalesce(r.bath_id, 0) as bath_id, r.by_name, r.happened_at, r.recorded_at, r.started_at, r.finished_at,
	       r.celsius, r.minutes, r.ph, r.bath_ul, r.note, r.skipped, r.reason, r.override_by, r.override_reason,
	       u.record_id is not null as undone, coalesce(u.reason, '') as undone_why,
	       r.bath_use, coalesce(r.addition_to, 0) as addition_to, r.look_before, r.look_after,
	       coalesce(r.corrects_id, 0) as corrects, coalesce((select c.id from stage_record c where c.corrects_id = r.id), 0) as corrected,
	       coalesce(v.id, 0) as vessel_id, coalesce(v.code, '') as vessel_code, coalesce(v.volume_ul, 0) as volume_ul,
	       coalesce(v.fill_percent, 0) as fill_percent, coalesce(v.uses, '{}') as uses
	from stage_record r
	left join record_undone u on u.record_id = r.id
	left join vessel v on v.id = r.vessel_id`

func (r recordRow) standing() (lot.Standing, error) {
	kind, err := lot.KindOf(r.Kind)
	s := lot.Standing{ID: r.ID, RunID: r.RunID, Position: r.Position, Kind: kind, BathID: r.BathID, By: r.By, HappenedAt: r.HappenedAt, RecordedAt: r.RecordedAt,
		StartedAt: orZero(r.StartedAt), FinishedAt: orZero(r.FinishedAt), Celsius: r.Celsius, Minutes: r.Minutes, PH: r.PH,
		Volume: quantity.Amount{N: r.BathUL, Unit: quantity.Volume}, Note: r.Note, Skipped: r.Skipped, Reason: r.Reason,
		Override: lot.Override{By: r.OverrideBy, Reason: r.OverrideReason}, Undone: r.Undone, UndoneWhy: r.UndoneWhy,
		BathUse: r.BathUse, AdditionTo: r.AdditionTo, LookBefore: r.LookBefore, LookAfter: r.LookAfter, Corrects: r.Corrects, Corrected: r.Corrected}
	if r.VesselID != 0 {
		s.Vessel = r.pot()
	}
	return s, err
}

// Record finds one, whole.
func (t *Tx) Record(id int64) (lot.Standing, error) {
	rs, err := t.records(recordColumns+` where r.id = $1`, id)
	if err != nil || len(rs) == 0 {
		return lot.Standing{}, missing(orNoRows(err), "stage record", Code('S', id))
	}
	return rs[0], nil
}

// RecordsOfLots lists every record that covers any of these lots, taken back or
// not, in the order in which they happened.
func (t *Tx) RecordsOfLots(lotIDs ...int64) ([]lot.Standing, error) {
	return t.records(recordColumns+`
		where r.id in (select record_id from record_lot where lot_id = any($1)) order by r.happened_at, r.id`, pq.Array(lotIDs))
}

// RecordsOfRun lists every record of a run, in the order in which they happened.
func (t *Tx) RecordsOfRun(runID int64) ([]lot.Standing, error) {
	return t.records(recordColumns+` where r.run_id = $1 order by r.happened_at, r.id`, runID)
}

func (t *Tx) records(query string, args ...any) ([]lot.Standing, error) {
	var rows []recordRow
	if err := t.list(&rows, query, args...); err != nil || len(rows) == 0 {
		return nil, err
	}
	rs := make([]lot.Standing, len(rows))
	at := map[int64]*lot.Standing{}
	ids := make([]int64, len(rows))
	for i, row := range rows {
		s, err := row.standing()
		if err != nil {
			return nil, err
		}
		rs[i], at[row.ID], ids[i] = s, &rs[i], row.ID
	}
	for _, load := range []func(map[int64]*lot.Standing, []int64) error{t.loadRecordLots, t.loadDeviations, t.loadTaken, t.loadDips, t.loadLiquor, t.loadLeft} {
		if err := load(at, ids); err != nil {
			return nil, err
		}
	}
	return rs, nil
}

func (t *Tx) loadRecordLots(at map[int64]*lot.Standing, ids []int64) error {
	var rows []struct {
		Record int64 `db:"record_id"`
		Lot    int64 `db:"lot_id"`
		Fibre  int64 `db:"fibre_ug"`
	}
	err := t.list(&rows, `select record_id, lot_id, fibre_ug from record_lot where record_id = any($1) order by record_id, lot_id`, pq.Array(ids))
	for _, r := range rows {
		at[r.Record].Lots = append(at[r.Record].Lots, lot.BathLot{LotID: r.Lot, Fibre: quantity.Amount{N: r.Fibre, Unit: quantity.Mass}})
	}
	return err
}

func (t *Tx) loadDeviations(at map[int64]*lot.Standing, ids []int64) error {
	var rows []struct {
		Record  int64  `db:"record_id"`
		Key     string `db:"key"`
		Planned string `db:"planned"`
		Actual  string `db:"actual"`
		Text    string `db:"text"`
	}
	err := t.list(&rows, `select record_id, key, planned, actual, text from deviation where record_id = any($1) order by record_id, line`, pq.Array(ids))
	for _, r := range rows {
		at[r.Record].Deviations = append(at[r.Record].Deviations, lot.Deviation{Key: r.Key, Planned: r.Planned, Actual: r.Actual, Text: r.Text})
	}
	return err
}

// loadTaken reads what each record took from the ledger itself, so that the
// two cannot differ (law 3).
func (t *Tx) loadTaken(at map[int64]*lot.Standing, ids []int64) error {
	var rows []struct {
		Record int64  `db:"record_id"`
		Parcel int64  `db:"parcel_id"`
		Unit   string `db:"unit"`
		Taken  int64  `db:"taken"`
		Found  int64  `db:"found"`
	}
	err := t.list(&rows, `
		select m.record_id, p.parcel_id, i.unit,
		       coalesce(sum(p.amount) filter (where p.to_place = 'process'), 0) as taken,
		       coalesce(sum(p.amount) filter (where p.from_place = 'difference'), 0) as found
		from movement m join posting p on p.movement_id = m.id
		join parcel on parcel.id = p.parcel_id join item i on i.id = parcel.item_id
		where m.record_id = any($1) group by m.record_id, p.parcel_id, i.unit order by m.record_id, min(p.line)`, pq.Array(ids))
	for _, r := range rows {
		at[r.Record].Used = append(at[r.Record].Used, lot.Taken{ParcelID: r.Parcel, Amount: amountOf(r.Taken, r.Unit), Found: amountOf(r.Found, r.Unit)})
	}
	return err
}
