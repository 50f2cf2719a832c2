package store

import (
	"time"

	"dyelot/inventory/stock"
)

// YearOfParcel is what became of one parcel in a period, and its last count
// until the period's end.
type YearOfParcel struct {
	ParcelID int64
	ItemCode string
	ItemName string
	ItemKind string
	stock.Year
	Last *ShelfCount
}

// year sums the postings of each parcel by kind and way, in one look over the
// ledger, with the parcel's item and its last count beside each sum.
const year = `
	with flow as (
		select p.parcel_id, coalesce(m.reverses_kind, m.kind) as kind, p.from_place, p.to_place, m.kind = 'reversal' as reversal,
		       ` + effective + ` < $1 as before, bool_or(m.recorded_at >= $2) as late, sum(p.amount) as amount
		from posting p join movement m on m.id = p.movement_id left join movement o on o.id = m.reverses_id
		where ` + effective + ` < $2
		group by 1, 2, 3, 4, 5, 6),
	last as (
		select distinct on (c.parcel_id) c.parcel_id, c.counted, c.book, coalesce(c.movement_id, 0) as movement_id, c.reason, c.by_name, c.happened_at
		from shelf_count c where c.happened_at < $2 and` + countStands + `
		order by c.parcel_id, c.happened_at desc, c.id desc)
	select f.kind, f.from_place, f.to_place, f.reversal, f.before, f.late, f.amount,
	       i.code, i.name, i.kind as item_kind, i.unit, f.parcel_id,
	       l.parcel_id is not null as was_counted, coalesce(l.counted, 0) as counted, coalesce(l.book, 0) as book, coalesce(l.movement_id, 0) as movement_id,
	       coalesce(l.reason, '') as reason, coalesce(l.by_name, '') as by_name, coalesce(l.happened_at, $1) as happened_at
	from flow f join parcel p on p.id = f.parcel_id join item i on i.id = p.item_id left join last l on l.parcel_id = f.parcel_id
	where $3 = '' or i.code = $3
	order by i.code, f.parcel_id`

// Year lists what became of every parcel from one moment up to another, by item
// and parcel. What held nothing and did not move is left out.
func (t *Tx) Year(from, until time.Time, itemCode string) ([]YearOfParcel, error) {
	var rows []struct {
		Kind       string `db:"kind"`
		From       string `db:"from_place"`
		To         string `db:"to_place"`
		Reversal   bool   `db:"reversal"`
		Before     bool   `db:"before"`
		Late       bool   `db:"late"`
		Amount     int64  `db:"amount"`
		Code       string `db:"code"`
		Name       string `db:"name"`
		ItemKind   string `db:"item_kind"`
		WasCounted bool   `db:"was_counted"`
		countRow
	}
	if err := t.list(&rows, year, from, until, itemCode); err != nil {
		return nil, err
	}
	var parcels []YearOfParcel
	for i := 0; i < len(rows); {
		r := rows[i]
		y := YearOfParcel{ParcelID: r.ParcelID, ItemCode: r.Code, ItemName: r.Name, ItemKind: r.ItemKind}
		var flows []stock.Flow
		for ; i < len(rows) && rows[i].ParcelID == r.ParcelID; i++ {
			f := rows[i]
			flows = append(flows, stock.Flow{Kind: stock.Act(f.Kind), From: stock.Place(f.From), To: stock.Place(f.To), Reversal: f.Reversal, Before: f.Before,
				Amount: amountOf(f.Amount, f.Unit), Late: f.Late})
		}
		y.Year = stock.YearOf(units[r.Unit], flows)
		if r.WasCounted {
			last := r.count()
			y.Last = &last
		}
		if !y.Still() {
			parcels = append(parcels, y)
		}
	}
	return parcels, nil
}
