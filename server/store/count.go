package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// ShelfCount is one count as it was made: also one that found the book right.
type ShelfCount struct {
	ParcelID   int64
	Counted    quantity.Amount
	Book       quantity.Amount // at that moment
	MovementID int64           // zero where the book was right
	Reason     string
	By         string
	HappenedAt time.Time
}

// AddCount writes a count; its movement is posted before it.
func (t *Tx) AddCount(c ShelfCount) error {
	return t.exec(`
		insert into shelf_count (parcel_id, counted, book, movement_id, reason, by_name, happened_at, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		c.ParcelID, c.Counted.N, c.Book.N, nullIfZero(c.MovementID), c.Reason, c.By, c.HappenedAt, t.Now, t.By.ID)
}

// countStands: a count whose movement was reversed says nothing any more.
const countStands = ` not exists (select from movement back where back.reverses_id = c.movement_id)`

// effective is when a movement m happened; a reversal o happened when what it
// takes back did, since that is as if it had not been.
const effective = `coalesce(o.happened_at, m.happened_at)`

// BookAt is what the book says of a parcel at a moment: everything that had
// happened by then, whenever it was written down. Lock the parcel first.
func (t *Tx) BookAt(p stock.Parcel, at time.Time) (stock.Moment, error) {
	var row struct {
		OnHand  int64      `db:"on_hand"`
		Came    *time.Time `db:"came"`
		Counted *time.Time `db:"counted"`
	}
	err := t.get(&row, `
		select coalesce(sum(case when p.to_place = 'shelf' then p.amount else -p.amount end) filter (where `+effective+` <= $2), 0) as on_hand,
		       min(m.happened_at) filter (where p.to_place = 'shelf' and p.from_place in ('supplier', 'field', 'making') and p.kind <> 'reversal'
		                                  and not exists (select from movement back where back.reverses_id = m.id)) as came,
		       (select min(c.happened_at) from shelf_count c where c.parcel_id = $1 and c.happened_at > $2 and`+countStands+`) as counted
		from posting p join movement m on m.id = p.movement_id left join movement o on o.id = m.reverses_id
		where p.parcel_id = $1`, p.ID, at)
	return stock.Moment{At: at, OnHand: quantity.Amount{N: row.OnHand, Unit: p.Item.Unit}, Came: orZero(row.Came), CountedSince: orZero(row.Counted)}, err
}

// LastCounts finds the last count that stands of each of some parcels.
func (t *Tx) LastCounts(parcelIDs []int64) (map[int64]ShelfCount, error) {
	var rows []countRow
	err := t.list(&rows, `
		select distinct on (c.parcel_id) c.parcel_id, c.counted, c.book, coalesce(c.movement_id, 0) as movement_id, c.reason, c.by_name, c.happened_at, i.unit
		from shelf_count c join parcel p on p.id = c.parcel_id join item i on i.id = p.item_id
		where c.parcel_id = any($1) and`+countStands+`
		order by c.parcel_id, c.happened_at desc, c.id desc`, pq.Array(parcelIDs))
	last := map[int64]ShelfCount{}
	for _, r := range rows {
		last[r.ParcelID] = r.count()
	}
	return last, err
}

type countRow struct {
	ParcelID   int64     `db:"parcel_id"`
	Counted    int64     `db:"counted"`
	Book       int64     `db:"book"`
	MovementID int64     `db:"movement_id"`
	Reason     string    `db:"reason"`
	By         string    `db:"by_name"`
	HappenedAt time.Time `db:"happened_at"`
	Unit       string    `db:"unit"`
}

func (r countRow) count() ShelfCount {
	return ShelfCount{ParcelID: r.ParcelID, Counted: amountOf(r.Counted, r.Unit), Book: amountOf(r.Book, r.Unit), MovementID: r.MovementID, Reason: r.Reason, By: r.By, HappenedAt: r.HappenedAt}
}
