package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

type liquorRow struct {
	ID       int64         `db:"id"`
	Kind     string        `db:"kind"`
	Fibre    string        `db:"fibre"`
	OpenedAt time.Time     `db:"opened_at"`
	UseAt    pq.Int64Array `db:"use_at"` // µs since 1970
	Lots     pq.Int64Array `db:"lots"`
	LastUse  *time.Time    `db:"last_use"`
	Measured int64         `db:"measured"`
	Use      int           `db:"use"`
	vesselPart
}

const liquorColumns = `
	select b.id, b.kind, b.fibre, b.opened_at, u.use_at, u.last_use, w.lots, coalesce(m.bath_ul, 0) as measured, coalesce(m.bath_use, 0) as use,
	       coalesce(v.id, 0) as vessel_id, coalesce(v.code, '') as vessel_code, coalesce(v.volume_ul, 0) as volume_ul,
	       coalesce(v.fill_percent, 0) as fill_percent, coalesce(v.uses, '{}') as uses
	from bath b left join vessel v on v.id = b.vessel_id
	cross join lateral (
		select array_agg(CAST(extract(epoch from r.happened_at) * 1000000 AS bigint) order by r.bath_use) filter (where r.addition_to is null) as use_at,
		       max(r.happened_at) as last_use
		from stage_record r where r.bath_id = b.id and` + notUndone + `) u
	cross join lateral (
		select array_agg(distinct rl.lot_id) as lots
		from stage_record r join record_lot rl on rl.record_id = r.id where r.bath_id = b.id and` + notUndone + `) w
	left join lateral (
		select r.bath_ul, r.bath_use
		from stage_record r where r.bath_id = b.id and r.bath_ul > 0 and r.addition_to is null and` + notUndone + `
		order by r.bath_use desc limit 1) m on true`

func (r liquorRow) liquor() (lot.Liquor, error) {
	kind, err := lot.KindOf(r.Kind)
	b := lot.Liquor{ID: r.ID, Code: Code('B', r.ID), Kind: kind, Fibre: r.Fibre, OpenedAt: r.OpenedAt, Lots: r.Lots, LastUse: orZero(r.LastUse), Use: r.Use}
	for _, us := range r.UseAt {
		b.UseAt = append(b.UseAt, time.UnixMicro(us).UTC())
	}
	if r.Measured > 0 {
		b.Measured = quantity.Amount{N: r.Measured, Unit: quantity.Volume}
	}
	if r.VesselID != 0 {
		b.Vessel = r.pot()
	}
	return b, err
}

func (t *Tx) liquors(query string, args ...any) ([]lot.Liquor, error) {
	var rows []liquorRow
	if err := t.list(&rows, query, args...); err != nil || len(rows) == 0 {
		return nil, err
	}
	bs, ids := make([]lot.Liquor, len(rows)), make([]int64, len(rows))
	for i, r := range rows {
		var err error
		if bs[i], err = r.liquor(); err != nil {
			return nil, err
		}
		ids[i] = r.ID
	}
	entries, err := t.entries(entryColumns+` where e.bath_id = any($1) order by e.happened_at, e.id`, pq.Array(ids))
	for i := range bs {
		for _, e := range entries {
			if e.BathID == bs[i].ID {
				bs[i].Entries = append(bs[i].Entries, e)
			}
		}
	}
	return bs, err
}

// LockLiquor locks a bath, after the lots and before any balance, and loads it
// with its diary. fault.NotFound.
func (t *Tx) LockLiquor(id int64) (lot.Liquor, error) {
	var locked int64
	if err := t.get(&locked, `select id from bath where id = $1 for no key update`, id); err != nil {
		return lot.Liquor{}, missing(err, "bath", Code('B', id))
	}
	return t.Liquor(id) // as it is now that nobody else is at it
}

// Liquor finds a bath with its diary. fault.NotFound.
func (t *Tx) Liquor(id int64) (lot.Liquor, error) {
	bs, err := t.liquors(liquorColumns+` where b.id = $1`, id)
	if err != nil || len(bs) == 0 {
		return lot.Liquor{}, missing(orNoRows(err), "bath", Code('B', id))
	}
	return bs[0], nil
}

// Liquors lists baths after an id: those that are kept, or all.
func (t *Tx) Liquors(after int64, limit int, all bool) ([]lot.Liquor, error) {
	return t.liquors(liquorColumns+`
		where b.id > $1 and ($3 or (
			select e.kind from bath_entry e
			where e.bath_id = b.id and e.kind in ('set', 'kept', 'spent') and`+entryStands+`
			order by e.happened_at desc, e.id desc limit 1) in ('set', 'kept'))
		order by b.id limit $2`, after, limit, all)
}

// RecordsOfBath lists every record of a bath, in the order in which they
// happened.
func (t *Tx) RecordsOfBath(bathID int64) ([]lot.Standing, error) {
	return t.records(recordColumns+` where r.bath_id = $1 order by r.happened_at, r.id`, bathID)
}

// LaterThan names what stands on a record: an addition to it, a later use of its
// bath; empty where nothing does.
func (t *Tx) LaterThan(r lot.Standing) (string, error) {
	var ids []int64
	err := t.list(&ids, `
		select r.id from stage_record r
		where (r.addition_to = $1 or $3 = 0 and r.bath_id = $2 and r.bath_use > $4) and`+notUndone+` order by r.id desc limit 1`,
		r.ID, r.BathID, r.AdditionTo, r.BathUse)
	if err != nil || len(ids) == 0 {
		return "", err
	}
	return Code('S', ids[0]), nil
}

// AddVat writes a bath that no lot has been in yet.
func (t *Tx) AddVat(kind lot.Kind, vessel int64, fibre string, at time.Time) (id int64, err error) {
	err = t.get(&id, `insert into bath (vessel_id, kind, opened_at, fibre) values ($1, $2, $3, $4) returning id`, vessel, kind.Key, at, fibre)
	return id, err
}

// AddEntry writes an entry of a bath's diary; its movement is posted apart.
func (t *Tx) AddEntry(e lot.Entry) (id int64, err error) {
	var litres *int64
	if e.Litres.Unit != 0 {
		litres = &e.Litres.N
	}
	err = t.get(&id, `
		insert into bath_entry (bath_id, kind, after_use, happened_at, recorded_at, recorded_by, by_name, litres_ul, ph, celsius, route, note)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12) returning id`,
		e.BathID, string(e.Kind), e.AfterUse, e.HappenedAt, t.Now, t.By.ID, e.By, litres, e.PH, e.Celsius, e.Route, e.Note)
	return id, err
}

// UndoEntry marks an entry as taken back.
func (t *Tx) UndoEntry(id int64, reason string) error {
	return t.exec(`insert into bath_entry_undone (entry_id, at, undone_by, reason) values ($1, $2, $3, $4)`, id, t.Now, t.By.ID, reason)
}

// Entry finds one. fault.NotFound.
func (t *Tx) Entry(id int64) (lot.Entry, error) {
	es, err := t.entries(entryColumns+` where e.id = $1`, id)
	if err != nil || len(es) == 0 {
		return lot.Entry{}, missing(orNoRows(err), "entry of a bath", Code('E', id))
	}
	return es[0], nil
}

// entryStands is true of an entry e that nobody took back.
const entryStands = ` not exists (select from bath_entry_undone x where x.entry_id = e.id)`

const entryColumns = `
	select e.id, e.bath_id, e.kind, e.after_use, e.happened_at, e.recorded_at, e.by_name, e.litres_ul, e.ph, e.celsius, e.route, e.note,
	       x.entry_id is not null as undone, coalesce(x.reason, '') as undone_why
	from bath_entry e left join bath_entry_undone x on x.entry_id = e.id`

func (t *Tx) entries(query string, args ...any) ([]lot.Entry, error) {
	var rows []struct {
		ID         int64     `db:"id"`
		BathID     int64     `db:"bath_id"`
		Kind       string    `db:"kind"`
		AfterUse   int       `db:"after_use"`
		HappenedAt time.Time `db:"happened_at"`
		RecordedAt time.Time `db:"recorded_at"`
		By         string    `db:"by_name"`
		Litres     *int64    `db:"litres_ul"`
		PH         *int      `db:"ph"`
		Celsius    int       `db:"celsius"`
		Route      string    `db:"route"`
		Note       string    `db:"note"`
		Undone     bool      `db:"undone"`
		UndoneWhy  string    `db:"undone_why"`
	}
	if err := t.list(&rows, query, args...); err != nil || len(rows) == 0 {
		return nil, err
	}
	es, at, ids := make([]lot.Entry, len(rows)), map[int64]*lot.Entry{}, make([]int64, len(rows))
	for i, r := range rows {
		es[i] = lot.Entry{ID: r.ID, BathID: r.BathID, Kind: lot.EntryKind(r.Kind), AfterUse: r.AfterUse, HappenedAt: r.HappenedAt, RecordedAt: r.RecordedAt, By: r.By,
			PH: r.PH, Celsius: r.Celsius, Route: r.Route, Note: r.Note, Undone: r.Undone, UndoneWhy: r.UndoneWhy}
		if r.Litres != nil {
			es[i].Litres = quantity.Amount{N: *r.Litres, Unit: quantity.Volume}
		}
		at[r.ID], ids[i] = &es[i], r.ID
	}
	return es, t.loadFed(at, ids)
}

// loadFed reads what each entry took from the ledger itself (law 3).
func (t *Tx) loadFed(at map[int64]*lot.Entry, ids []int64) error {
	var rows []struct {
		Entry  int64  `db:"entry_id"`
		Parcel int64  `db:"parcel_id"`
		Unit   string `db:"unit"`
		Taken  int64  `db:"taken"`
		Found  int64  `db:"found"`
	}
	err := t.list(&rows, `
		select m.entry_id, p.parcel_id, i.unit,
		       coalesce(sum(p.amount) filter (where p.to_place = 'process'), 0) as taken,
		       coalesce(sum(p.amount) filter (where p.from_place = 'difference'), 0) as found
		from movement m join posting p on p.movement_id = m.id
		join parcel on parcel.id = p.parcel_id join item i on i.id = parcel.item_id
		where m.entry_id = any($1) group by m.entry_id, p.parcel_id, i.unit order by m.entry_id, min(p.line)`, pq.Array(ids))
	for _, r := range rows {
		at[r.Entry].Used = append(at[r.Entry].Used, lot.Taken{ParcelID: r.Parcel, Amount: amountOf(r.Taken, r.Unit), Found: amountOf(r.Found, r.Unit)})
	}
	return err
}
