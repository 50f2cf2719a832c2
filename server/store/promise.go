package store

import (
	"slices"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/stock"
)

// MakePromises writes promises, each with its first entry of Outstanding, in
// one statement, and returns their ids in order. Lock the parcels and ask
// stock.MayPromise first; where two were asked at once all the same, the
// balance refuses the second (STOCK_SHORT). MadeAt, ID and LotIDs are not read.
func (t *Tx) MakePromises(ps []stock.Promise) ([]int64, error) {
	if len(ps) == 0 {
		return nil, nil
	}
	var parcel, dose, lots, amount []int64
	var purpose []string
	for _, p := range ps {
		parcel, dose, lots = append(parcel, p.ParcelID), append(dose, p.DoseID), append(lots, p.LotID)
		purpose, amount = append(purpose, p.Purpose), append(amount, p.Outstanding.N)
	}
	var ids []int64
	err := t.list(&ids, `
		with fresh as (
			insert into promise (parcel_id, dose_id, lot_id, purpose, made_by, made_at)
			select parcel, nullif(dose, 0), nullif(lot, 0), purpose, $1, $2
			from unnest(CAST($3 AS bigint[]), CAST($4 AS bigint[]), CAST($5 AS bigint[]), CAST($6 AS text[]))
			     with ordinality as u (parcel, dose, lot, purpose, n) order by n
			returning id),
		numbered as (select id, row_number() over (order by id) as n from fresh),
		kept as (
			insert into promise_entry (promise_id, delta, why, at)
			select numbered.id, u.amount, 'made', $2
			from numbered join unnest(CAST($7 AS bigint[])) with ordinality as u (amount, n) on u.n = numbered.n)
		select id from numbered order by id`,
		t.By.ID, t.Now, pq.Array(parcel), pq.Array(dose), pq.Array(lots), pq.Array(purpose), pq.Array(amount))
	return ids, err
}

// AddPromiseEntries writes entries in one statement, or none at all. Those that
// take away come before the movement that takes their stock (Post).
func (t *Tx) AddPromiseEntries(es []stock.PromiseEntry) error {
	if len(es) == 0 {
		return nil
	}
	var promise, delta []int64
	var why []string
	for _, e := range es {
		promise, delta, why = append(promise, e.PromiseID), append(delta, e.Delta), append(why, string(e.Why))
	}
	return t.exec(`
		insert into promise_entry (promise_id, delta, why, at)
		select promise, delta, why, $1 from unnest(CAST($2 AS bigint[]), CAST($3 AS bigint[]), CAST($4 AS text[])) as u (promise, delta, why)`,
		t.Now, pq.Array(promise), pq.Array(delta), pq.Array(why))
}

type promiseRow struct {
	ID          int64         `db:"id"`
	ParcelID    int64         `db:"parcel_id"`
	DoseID      int64         `db:"dose_id"`
	LotID       int64         `db:"lot_id"`
	LotIDs      pq.Int64Array `db:"lot_ids"`
	Purpose     string        `db:"purpose"`
	Outstanding int64         `db:"outstanding"`
	Unit        string        `db:"unit"`
	MadeAt      time.Time     `db:"made_at"`
}

const promiseColumns = `
	select r.id, r.parcel_id, coalesce(r.dose_id, 0) as dose_id, coalesce(r.lot_id, 0) as lot_id, r.purpose, r.outstanding, i.unit, r.made_at,
	       case when r.lot_id is not null then array[r.lot_id]
	            else array(select sl.lot_id from planned_dose d join planned_stage_lot sl on sl.stage_id = d.stage_id where d.id = r.dose_id order by sl.lot_id)
	       end as lot_ids
	from promise r join parcel p on p.id = r.parcel_id join item i on i.id = p.item_id`

func (t *Tx) promises(query string, args ...any) ([]stock.Promise, error) {
	var rows []promiseRow
	err := t.list(&rows, query, args...)
	ps := make([]stock.Promise, len(rows))
	for i, r := range rows {
		ps[i] = stock.Promise{ID: r.ID, ParcelID: r.ParcelID, DoseID: r.DoseID, LotID: r.LotID, LotIDs: slices.Clone([]int64(r.LotIDs)),
			Purpose: r.Purpose, Outstanding: amountOf(r.Outstanding, r.Unit), MadeAt: r.MadeAt}
	}
	return ps, err
}

// OutstandingPromises lists what is still kept aside of some parcels, by id.
// Lock the parcels first, or it may have changed by the time it is used.
func (t *Tx) OutstandingPromises(parcelIDs []int64) ([]stock.Promise, error) {
	return t.promises(promiseColumns+` where r.parcel_id = any($1) and r.outstanding > 0 order by r.id`, pq.Array(parcelIDs))
}

// PromisesOfLots lists the promises for the blanks and witness cloth of some
// lots, spent ones too, by id.
func (t *Tx) PromisesOfLots(lotIDs []int64) ([]stock.Promise, error) {
	return t.promises(promiseColumns+` where r.lot_id = any($1) order by r.id`, pq.Array(lotIDs))
}

// Promise finds one. fault.NotFound.
func (t *Tx) Promise(id int64) (stock.Promise, error) {
	ps, err := t.promises(promiseColumns+` where r.id = $1`, id)
	if err != nil || len(ps) == 0 {
		return stock.Promise{}, missing(orNoRows(err), "promise", Code('H', id))
	}
	return ps[0], nil
}
