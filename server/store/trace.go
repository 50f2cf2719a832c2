package store

import (
	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/trace"
)

// What stands: a movement that no other one takes back. Whatever is traced
// below is traced through these alone.
const (
	stands = ` not exists (select from movement back where back.reverses_id = m.id)`
	// makings are the parents p of a made parcel, and the movement m that made it.
	makings = ` join movement m on m.id = p.movement_id and m.kind = 'making' and p.to_place = 'making' and` + stands
)

// above goes from lots up to every parcel that is in them: what was poured into
// their baths, what they were issued, and from each parcel to its parents. A
// bath that was used before passes on what went in then.
const above = `
	with recursive bath as (
		select rl.lot_id, r.id as record_id, r.id as own_id, r.bath_id, r.bath_use
		from record_lot rl join stage_record r on r.id = rl.record_id
		where rl.lot_id = any($1) and not exists (select from record_undone u where u.record_id = r.id)
		union
		select b.lot_id, r.id, b.own_id, r.bath_id, r.bath_use
		from bath b join stage_record r on r.bath_id = b.bath_id and r.bath_use < b.bath_use
		where b.bath_use > 1 and not exists (select from record_undone u where u.record_id = r.id)),
	given as (
		select b.lot_id, b.record_id, b.own_id, p.parcel_id, sum(p.amount) as amount
		from bath b join movement m on m.record_id = b.record_id and` + stands + `
		join posting p on p.movement_id = m.id and p.to_place = 'process'
		group by b.lot_id, b.record_id, b.own_id, p.parcel_id
		union all
		select m.lot_id, 0, 0, p.parcel_id, sum(p.amount)
		from movement m join posting p on p.movement_id = m.id and p.to_place = 'process'
		where m.lot_id = any($1) and` + stands + `
		group by m.lot_id, p.parcel_id),
	up as (
		select parcel_id from given
		union
		select p.parcel_id
		from up join movement m on m.made_parcel_id = up.parcel_id and` + stands + `
		join posting p on p.movement_id = m.id and p.to_place = 'making')
	select g.lot_id, g.record_id, g.own_id, g.parcel_id, 0 as child_id, g.amount, 0 as made,
	       i.unit, '' as child_unit, i.kind = 'blank' as blank, i.resolution, w.lots, w.fibre
	from given g join parcel on parcel.id = g.parcel_id join item i on i.id = parcel.item_id
	left join lateral (
		select array_agg(rl.lot_id order by rl.lot_id) as lots, array_agg(rl.fibre_ug order by rl.lot_id) as fibre
		from record_lot rl where rl.record_id = g.record_id) w on true
	union all
	select 0, 0, 0, p.parcel_id, m.made_parcel_id, p.amount,
	       (select coalesce(sum(c.amount), 0) from posting c join movement m on m.id = c.movement_id
	        where c.parcel_id = up.parcel_id and c.from_place in ('making', 'difference') and m.kind <> 'reversal' and` + stands + `),
	       i.unit, j.unit, false, i.resolution, null, null
	from up join movement m on m.made_parcel_id = up.parcel_id and` + stands + `
	join posting p on p.movement_id = m.id and p.to_place = 'making'
	join parcel a on a.id = p.parcel_id join item i on i.id = a.item_id
	join parcel c on c.id = m.made_parcel_id join item j on j.id = c.item_id
	order by 1, 2, 4, 5`

type aboveRow struct {
	Lot        int64         `db:"lot_id"`
	Record     int64         `db:"record_id"`
	Own        int64         `db:"own_id"`
	Parcel     int64         `db:"parcel_id"`
	Child      int64         `db:"child_id"`
	Amount     int64         `db:"amount"`
	Made       int64         `db:"made"`
	Unit       string        `db:"unit"`
	ChildUnit  string        `db:"child_unit"`
	Blank      bool          `db:"blank"`
	Resolution int64         `db:"resolution"`
	Lots       pq.Int64Array `db:"lots"`
	Fibre      pq.Int64Array `db:"fibre"`
}

// Above is the history of some lots: every parcel that is in them, at any depth,
// in one statement. Whose garments they are is not in it (Members is empty).
func (t *Tx) Above(lotIDs ...int64) (trace.History, error) {
	var rows []aboveRow
	err := t.list(&rows, above, pq.Array(lotIDs))
	var h trace.History
	for _, r := range rows {
		switch {
		case r.Child != 0:
			h.Makings = append(h.Makings, trace.Making{Parent: r.Parcel, Child: r.Child, Amount: amountOf(r.Amount, r.Unit), Made: amountOf(r.Made, r.ChildUnit)})
		case r.Record == 0:
			h.Given = append(h.Given, trace.Given{Lot: r.Lot, Through: trace.LotNode(r.Lot), Parcel: r.Parcel, Blanks: r.Blank, Share: amountOf(r.Amount, r.Unit)})
		default:
			h.Given = append(h.Given, r.given())
		}
	}
	return h, err
}

// given is this lot's share of a bath; of an earlier use of the same liquor
// nobody can say what was left in it.
func (r aboveRow) given() trace.Given {
	if r.Record == r.Own {
		b := trace.Bath{Record: r.Record, Poured: []trace.Poured{{Parcel: r.Parcel, Amount: amountOf(r.Amount, r.Unit), Step: amountOf(r.Resolution, r.Unit)}}}
		for i, id := range r.Lots {
			b.Lots = append(b.Lots, lot.BathLot{LotID: id, Fibre: quantity.Amount{N: r.Fibre[i], Unit: quantity.Mass}})
		}
		for _, g := range b.Given() {
			if g.Lot == r.Lot {
				return g
			}
		}
	}
	return trace.Given{Lot: r.Lot, Through: trace.RecordNode(r.Record), Parcel: r.Parcel}
}

// below goes from parcels down: to what was made of them, to the lots whose
// baths that was in or that were issued it. Cloth that became garments leads to
// no lot as a whole; of each lot that was issued it, blanks says which parcel.
const below = `
	with recursive down as (
		select id as parcel_id from unnest(CAST($1 AS bigint[])) as start (id)
		union
		select m.made_parcel_id from down join posting p on p.parcel_id = down.parcel_id` + makings + `),
	gone as (
		select p.parcel_id, m.record_id, m.lot_id
		from down join posting p on p.parcel_id = down.parcel_id and p.to_place = 'process'
		join movement m on m.id = p.movement_id and m.kind = 'use' and` + stands + `),
	bath as (
		select gone.parcel_id, r.id as record_id, r.bath_id, r.bath_use
		from gone join stage_record r on r.id = gone.record_id
		where not exists (select from record_undone u where u.record_id = r.id)
		union
		select b.parcel_id, r.id, r.bath_id, r.bath_use
		from bath b join stage_record r on r.bath_id = b.bath_id and r.bath_use > b.bath_use
		where not exists (select from record_undone u where u.record_id = r.id)),
	reached as (
		select b.parcel_id, rl.lot_id, b.record_id, false as blank
		from bath b join record_lot rl on rl.record_id = b.record_id
		union all
		select gone.parcel_id, gone.lot_id, CAST(null AS bigint), i.kind = 'blank'
		from gone join parcel on parcel.id = gone.parcel_id join item i on i.id = parcel.item_id
		where gone.lot_id is not null)`

// Below lists the parcels that were made of a parcel, at any depth, by id, and
// the lots that have any of it in them.
func (t *Tx) Below(parcelID int64) (made, lots []int64, err error) {
	var rows []struct {
		Parcel int64 `db:"parcel_id"`
		Lot    int64 `db:"lot_id"`
	}
	err = t.list(&rows, below+`
		select parcel_id, 0 as lot_id from down where parcel_id <> $2
		union
		select 0, lot_id from reached
		order by 1, 2`, pq.Array([]int64{parcelID}), parcelID)
	for _, r := range rows {
		if r.Lot != 0 {
			lots = append(lots, r.Lot)
		} else {
			made = append(made, r.Parcel)
		}
	}
	return made, lots, err
}

// touched are the garments that a parcel is in: of the lots reached, those that
// were issued with them, ever; of blanks, those that they became.
const touched = below + `
	select distinct e.garment_id
	from (select distinct lot_id from reached where not blank) r
	join garment_event e on e.lot_id = r.lot_id and e.kind = 'issued'
	union
	select e.garment_id
	from reached r join garment_event e on e.lot_id = r.lot_id and e.kind = 'issued'
	join garment g on g.id = e.garment_id and g.parcel_id = r.parcel_id
	where r.blank`

// GarmentsBelow lists every garment that has any of a parcel in it, by id.
func (t *Tx) GarmentsBelow(parcelID int64) ([]lot.Garment, error) {
	return t.garments(garmentColumns+` where g.id in (`+touched+`) order by g.id`, pq.Array([]int64{parcelID}))
}

// LotsOfGarment lists the lots that a garment was issued with, in order. Over-
// dyed, it has been in several.
func (t *Tx) LotsOfGarment(garmentID int64) ([]int64, error) {
	var ids []int64
	err := t.list(&ids, `select lot_id from garment_event where garment_id = $1 and kind = 'issued' group by lot_id order by min(id)`, garmentID)
	return ids, err
}
