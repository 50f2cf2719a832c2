package store

import (
	"time"

	"github.com/lib/pq"
)

// Left is a garment that left the house and, where it came back, the return:
// whatever was done to it before that event can be a cause, what was done after
// it cannot.
type Left struct {
	Garment int64     `db:"garment_id"`
	Event   int64     `db:"event_id"`
	At      time.Time `db:"left_at"`
}

// leaving are the events by which a garment goes to whoever will wear it.
const leaving = `('sold', 'given-back')`

// LeftFilter is a population: what left from a time up to another one.
type LeftFilter struct {
	From, Until  time.Time
	ColourwayIDs []int64 // empty: of any
	CommissionID int64   // zero: for anyone
	Limit        int
}

// Left lists the garments that left in a period, each once with the last time
// that it did, by id. Over-dyed, a garment is of each colourway that it was
// issued with.
func (t *Tx) Left(f LeftFilter) ([]Left, error) {
	var rows []Left
	err := t.list(&rows, `
		select l.garment_id, max(l.id) as event_id, max(l.happened_at) as left_at
		from garment_event l
		where l.kind in `+leaving+` and l.happened_at >= $1 and l.happened_at < $2
		and (cardinality(CAST($3 AS bigint[])) = 0 and $4 = 0 or exists (
			select from garment_event e join lot on lot.id = e.lot_id join run on run.id = lot.run_id
			where e.garment_id = l.garment_id and e.kind = 'issued' and e.id < l.id
			and (cardinality(CAST($3 AS bigint[])) = 0 or run.colourway_id = any($3)) and ($4 = 0 or run.commission_id = $4)))
		group by l.garment_id order by l.garment_id limit $5`, f.From, f.Until, pq.Array(idList(f.ColourwayIDs)), f.CommissionID, f.Limit)
	return rows, err
}

func idList(ids []int64) []int64 {
	if ids == nil {
		return []int64{} // null is no list
	}
	return ids
}

// Return is a garment that came back, by its last return, and when it had left.
type Return struct {
	Garment   int64     `db:"garment_id"`
	Event     int64     `db:"event_id"`
	LeftAt    time.Time `db:"left_at"`
	Complaint string    `db:"text"`
}

const returns = `
	select distinct on (b.garment_id) b.garment_id, b.id as event_id, b.text, l.happened_at as left_at
	from garment_event b
	cross join lateral (
		select happened_at from garment_event l where l.garment_id = b.garment_id and l.kind in ` + leaving + ` and l.id < b.id order by l.id desc limit 1) l
	where b.kind = 'returned'`

// ReturnsSince lists the garments that came back since a time, by id. Where
// words are given, only those whose complaint has each of them, in any case.
func (t *Tx) ReturnsSince(since time.Time, words []string) ([]Return, error) {
	var rows []Return
	if words == nil {
		words = []string{} // null is no list
	}
	err := t.list(&rows, returns+` and b.happened_at >= $1
		and not exists (select from unnest(CAST($2 AS text[])) w where strpos(lower(b.text), lower(w)) = 0)
		order by b.garment_id, b.id desc`, since, pq.Array(words))
	return rows, err
}

// ReturnsOf lists the last return of each of some garments; one that never came
// back is not in the answer.
func (t *Tx) ReturnsOf(garmentIDs []int64) ([]Return, error) {
	var rows []Return
	err := t.list(&rows, returns+` and b.garment_id = any($1) order by b.garment_id, b.id desc`, pq.Array(garmentIDs))
	return rows, err
}

// LotsUntil lists the lots that each of some garments was issued with before an
// event of its own, in order.
func (t *Tx) LotsUntil(garmentIDs, eventIDs []int64) (map[int64][]int64, error) {
	var rows []struct {
		Garment int64         `db:"garment_id"`
		Lots    pq.Int64Array `db:"lots"`
	}
	err := t.list(&rows, `
		select u.garment_id, e.lots
		from unnest(CAST($1 AS bigint[]), CAST($2 AS bigint[])) as u (garment_id, event_id)
		cross join lateral (
			select array_agg(e.lot_id order by e.id) as lots
			from garment_event e where e.garment_id = u.garment_id and e.kind = 'issued' and e.id < u.event_id) e
		where e.lots is not null`, pq.Array(garmentIDs), pq.Array(eventIDs))
	of := map[int64][]int64{}
	for _, r := range rows {
		of[r.Garment] = r.Lots
	}
	return of, err
}

// OverriddenRows lists, by lot, the rows of the house standard that somebody
// took on.
func (t *Tx) OverriddenRows(lotIDs []int64) (map[int64][]string, error) {
	var rows []struct {
		Lot int64          `db:"lot_id"`
		Row pq.StringArray `db:"rows"`
	}
	err := t.list(&rows, `select lot_id, array_agg(distinct row_key) as rows from row_override where lot_id = any($1) group by lot_id`, pq.Array(lotIDs))
	of := map[int64][]string{}
	for _, r := range rows {
		of[r.Lot] = r.Row
	}
	return of, err
}

// WaterReadings lists the lines of the water book that stand, the earliest
// first.
func (t *Tx) WaterReadings() ([]LogEntry, error) {
	var rows []logRow
	err := t.list(&rows, logColumns+` where e.book = 'water' and w.id is null order by e.happened_at, e.id`)
	es := make([]LogEntry, len(rows))
	for i, r := range rows {
		es[i] = r.entry()
	}
	return es, err
}

// KeptCloth is the witness cloth of a lot.
type KeptCloth struct {
	Lot    int64  `db:"lot_id"`
	Grams  int64  `db:"witness_ug"`
	Parcel int64  `db:"parcel_id"`
	Swatch int64  `db:"swatch_id"` // its page in the swatch book; 0: none
	Page   string `db:"page"`
}

// KeptCloths lists the witness cloth of lots: of some lots, of every lot that has
// any of some parcels in it, and of those that had a stage in a time; at most so
// many, the newest lots first.
func (t *Tx) KeptCloths(lotIDs, parcelIDs []int64, from, until time.Time, limit int) ([]KeptCloth, error) {
	var rows []KeptCloth
	err := t.list(&rows, below+`,
		near as (
			select lot_id as id from reached where not blank
			union select id from unnest(CAST($2 AS bigint[])) as named (id)
			union select rl.lot_id from stage_record r join record_lot rl on rl.record_id = r.id where r.happened_at between $3 and $4)
		select l.id as lot_id, l.witness_ug, coalesce(l.witness_parcel_id, 0) as parcel_id, coalesce(s.id, 0) as swatch_id, coalesce(s.page, '') as page
		from near join lot l on l.id = near.id and l.witness_ug > 0 and l.issued_at is not null and l.state <> 'cancelled'
		left join lateral (
			select s.id, s.page from swatch s where s.lot_id = l.id and not exists (select from swatch_struck k where k.swatch_id = s.id) order by s.id desc limit 1) s on true
		order by l.id desc limit $5`, pq.Array(idList(parcelIDs)), pq.Array(idList(lotIDs)), from, until, limit)
	return rows, err
}
