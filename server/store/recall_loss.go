package store

import (
	"github.com/lib/pq"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recall"
)

// ScrappedOfLot lists the ids of a lot's scrapped garments.
func (t *Tx) ScrappedOfLot(lotID int64) (ids []int64, err error) {
	err = t.list(&ids, `select id from garment where lot_id = $1 and place = 'scrapped' order by id`, lotID)
	return ids, err
}

const scrapped = `
	select g.id, g.parcel_id, g.dry_ug, l.lots
	from garment g
	cross join lateral (select array_agg(distinct lot_id) as lots from garment_event where garment_id = g.id and kind = 'issued') l
	where g.id = any($1) order by g.id`

// Scrapped loads what was scrapped, with every lot that each was ever in.
func (t *Tx) Scrapped(ids []int64) ([]recall.Gone, error) {
	var rows []struct {
		ID     int64         `db:"id"`
		Parcel int64         `db:"parcel_id"`
		Dry    int64         `db:"dry_ug"`
		Lots   pq.Int64Array `db:"lots"`
	}
	err := t.list(&rows, scrapped, pq.Array(ids))
	gone := make([]recall.Gone, len(rows))
	for i, r := range rows {
		gone[i] = recall.Gone{Lots: r.Lots, Parcel: r.Parcel, Dry: quantity.Amount{N: r.Dry, Unit: quantity.Mass}}
	}
	return gone, err
}

// LotMasses is what all the garments weigh that each lot ever had, µg by lot.
func (t *Tx) LotMasses(lotIDs []int64) (map[int64]int64, error) {
	var rows []struct {
		Lot int64 `db:"lot_id"`
		Dry int64 `db:"dry_ug"`
	}
	err := t.list(&rows, `
		select lot_id, sum(dry_ug) as dry_ug
		from (select distinct e.lot_id, g.id, g.dry_ug from garment_event e join garment g on g.id = e.garment_id
		      where e.kind = 'issued' and e.lot_id = any($1)) m
		group by lot_id`, pq.Array(lotIDs))
	masses := map[int64]int64{}
	for _, r := range rows {
		masses[r.Lot] = r.Dry
	}
	return masses, err
}

// PaidFor is what was paid for some parcels, and for how much; those with no
// cost are not in it.
func (t *Tx) PaidFor(parcelIDs []int64) (map[int64]recall.Paid, error) {
	var rows []struct {
		Parcel   int64  `db:"id"`
		Micro    int64  `db:"cost_micro"`
		Currency string `db:"currency"`
		Unit     string `db:"unit"`
		Received int64  `db:"received"`
	}
	err := t.list(&rows, `
		select p.id, p.cost_micro, p.currency, i.unit, r.received
		from parcel p join item i on i.id = p.item_id
		cross join lateral (
			select coalesce(sum(o.amount), 0) as received
			from posting o join movement m on m.id = o.movement_id and m.kind in ('delivery', 'harvest') and`+stands+`
			where o.parcel_id = p.id and o.to_place = 'shelf') r
		where p.id = any($1) and p.cost_micro is not null order by p.id`, pq.Array(parcelIDs))
	paid := map[int64]recall.Paid{}
	for _, r := range rows {
		paid[r.Parcel] = recall.Paid{Cost: quantity.Money{Micro: r.Micro, Currency: r.Currency}, Received: amountOf(r.Received, r.Unit)}
	}
	return paid, err
}
