package store

import (
	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/trace"
)

// What stands: a movement m that no other one takes back, a record r that was
// not undone. Whatever is traced below is traced through these alone.
const (
	stands    = ` not exists (select from movement back where back.reverses_id = m.id)`
	notUndone = ` not exists (select from record_undone u where u.record_id = r.id)`
)

// A trace costs what it finds, not what lies in the books: each step is a look-
// up by index for each row of the step before, and "offset 0" keeps the planner
// from reading ten years of a table once instead.

// above goes from lots up to every parcel that is in them: what was poured into
// their baths, what they were issued, and from each parcel to its parents. A
// bath that was used before passes on what went in then and what it was fed with
// in between; a brew passes on into its dye baths, and so into whatever uses
// those again. own is false of what came that way: nobody can say how much.
const above = `
	with recursive own as (
		select rl.lot_id, r.id as record_id
		from record_lot rl
		cross join lateral (select id from stage_record r where r.id = rl.record_id and` + notUndone + ` offset 0) r
		where rl.lot_id = any($1)),
	liquor as (
		select lot_id, record_id, true as own from own
		union
		select l.lot_id, e.id, false
		from liquor l
		cross join lateral (
			select r.id from stage_record s join stage_record r on r.bath_id = s.bath_id and r.bath_use < s.bath_use
			where s.id = l.record_id and s.bath_use > 1 and` + notUndone + `
			union all
			select r.id from brew_share b join stage_record r on r.id = b.brew_id where b.dye_id = l.record_id and` + notUndone + ` offset 0) e
		where not exists (select from own where own.lot_id = l.lot_id and own.record_id = e.id)),
	fed as (
		select distinct l.lot_id, e.id as entry_id
		from liquor l
		cross join lateral (
			select e.id from stage_record s join bath_entry e on e.bath_id = s.bath_id and e.after_use < s.bath_use
			where s.id = l.record_id and` + entryStands + ` offset 0) e),
	given as (
		select l.lot_id, l.record_id, 0 as entry_id, l.own, p.parcel_id, p.amount
		from liquor l
		cross join lateral (
			select p.parcel_id, sum(p.amount) as amount
			from movement m join posting p on p.movement_id = m.id and p.to_place = 'process'
			where m.record_id = l.record_id and` + stands + ` group by p.parcel_id) p
		union all
		select f.lot_id, 0, f.entry_id, false, p.parcel_id, p.amount
		from fed f
		cross join lateral (
			select p.parcel_id, sum(p.amount) as amount
			from movement m join posting p on p.movement_id = m.id and p.to_place = 'process'
			where m.entry_id = f.entry_id and` + stands + ` group by p.parcel_id) p
		union all
		select l.id, 0, 0, true, p.parcel_id, p.amount
		from unnest(CAST($1 AS bigint[])) as l (id)
		cross join lateral (
			select p.parcel_id, sum(p.amount) as amount
			from movement m join posting p on p.movement_id = m.id and p.to_place = 'process'
			where m.lot_id = l.id and` + stands + ` group by p.parcel_id) p),
	up as (
		select parcel_id, CAST(null AS bigint) as child_id, CAST(null AS numeric) as amount from given
		union
		select p.parcel_id, up.parcel_id, p.amount
		from up
		cross join lateral (
			select p.parcel_id, sum(p.amount) as amount
			from movement m join posting p on p.movement_id = m.id and p.to_place = 'making'
			where m.made_parcel_id = up.parcel_id and` + stands + ` group by p.parcel_id) p)
	select g.lot_id, g.record_id, g.entry_id, g.own, g.parcel_id, 0 as child_id, g.amount, 0 as made,
	       i.unit, '' as child_unit, i.kind = 'blank' as blank, i.resolution, w.lots, w.fibre
	from given g join parcel on parcel.id = g.parcel_id join item i on i.id = parcel.item_id
	cross join lateral (
		select array_agg(rl.lot_id order by rl.lot_id) as lots, array_agg(rl.fibre_ug order by rl.lot_id) as fibre
		from record_lot rl where rl.record_id = g.record_id) w
	union all
	select 0, 0, 0, false, up.parcel_id, up.child_id, up.amount, c.made, i.unit, j.unit, false, i.resolution, null, null
	from up
	join parcel a on a.id = up.parcel_id join item i on i.id = a.item_id
	join parcel b on b.id = up.child_id join item j on j.id = b.item_id
	cross join lateral (
		select coalesce(sum(p.amount), 0) as made
		from posting p join movement m on m.id = p.movement_id and m.kind <> 'reversal' and` + stands + `
		where p.parcel_id = up.child_id and p.from_place in ('making', 'difference')) c
	order by 1, 2, 3, 5, 6`

type aboveRow struct {
	Lot        int64         `db:"lot_id"`
	Record     int64         `db:"record_id"`
	Entry      int64         `db:"entry_id"`
	Own        bool          `db:"own"`
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
		case r.Entry != 0:
			h.Given = append(h.Given, trace.Given{Lot: r.Lot, Through: trace.EntryNode(r.Entry), Parcel: r.Parcel})
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
	if r.Own {
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
// no lot as a whole; of each lot that was issued it, blank says which parcel.
const below = `
	with recursive down as (
		select id as parcel_id from unnest(CAST($1 AS bigint[])) as start (id)
		union
		select p.made_parcel_id
		from down
		cross join lateral (
			select m.made_parcel_id
			from posting p join movement m on m.id = p.movement_id and m.kind = 'making' and` + stands + `
			where p.parcel_id = down.parcel_id and p.to_place = 'making' offset 0) p),
	gone as (
		select down.parcel_id, p.record_id, p.entry_id, p.lot_id
		from down
		cross join lateral (
			select m.record_id, m.entry_id, m.lot_id
			from posting p join movement m on m.id = p.movement_id and m.kind = 'use' and` + stands + `
			where p.parcel_id = down.parcel_id and p.to_place = 'process' offset 0) p),
	bath as (
		(select gone.parcel_id, r.id as record_id
		from gone
		cross join lateral (select id from stage_record r where r.id = gone.record_id and` + notUndone + ` offset 0) r
		union
		select gone.parcel_id, r.id
		from gone
		cross join lateral (
			select r.id from bath_entry e join stage_record r on r.bath_id = e.bath_id and r.bath_use > e.after_use
			where e.id = gone.entry_id and` + entryStands + ` and` + notUndone + ` offset 0) r)
		union
		select bath.parcel_id, e.id
		from bath
		cross join lateral (
			select r.id from stage_record s join stage_record r on r.bath_id = s.bath_id and r.bath_use > s.bath_use
			where s.id = bath.record_id and` + notUndone + `
			union all
			select r.id from brew_share b join stage_record r on r.id = b.dye_id where b.brew_id = bath.record_id and` + notUndone + ` offset 0) e),
	reached as (
		select b.parcel_id, rl.lot_id, b.record_id, false as blank
		from bath b
		cross join lateral (select lot_id from record_lot where record_id = b.record_id offset 0) rl
		union all
		select gone.parcel_id, gone.lot_id, null, i.kind = 'blank'
		from gone join parcel on parcel.id = gone.parcel_id join item i on i.id = parcel.item_id
		where gone.lot_id is not null)`

const partsBelow = below + `
	select parcel_id, 0 as lot_id from down where parcel_id <> $2
	union
	select 0, lot_id from reached
	order by 1, 2`

// Below lists the parcels that were made of a parcel, at any depth, by id, and
// the lots that have any of it in them.
func (t *Tx) Below(parcelID int64) (made, lots []int64, err error) {
	var rows []struct {
		Parcel int64 `db:"parcel_id"`
		Lot    int64 `db:"lot_id"`
	}
	err = t.list(&rows, partsBelow, pq.Array([]int64{parcelID}), parcelID)
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
	select e.garment_id
	from (select distinct lot_id from reached where not blank) r
	cross join lateral (select garment_id from garment_event where lot_id = r.lot_id and kind = 'issued' offset 0) e
	union
	select e.garment_id
	from reached r
	cross join lateral (
		select e.garment_id
		from garment_event e join garment g on g.id = e.garment_id
		where e.lot_id = r.lot_id and e.kind = 'issued' and g.parcel_id = r.parcel_id offset 0) e
	where r.blank`

const garmentsBelow = garmentColumns + ` where g.id = any(array(` + touched + `)) order by g.id`

// GarmentsBelow lists every garment that has any of a parcel in it, by id.
func (t *Tx) GarmentsBelow(parcelID int64) ([]lot.Garment, error) {
	return t.garments(garmentsBelow, pq.Array([]int64{parcelID}))
}

// LotsOfGarment lists the lots that a garment was issued with, in order. Over-
// dyed, it has been in several.
func (t *Tx) LotsOfGarment(garmentID int64) ([]int64, error) {
	var ids []int64
	err := t.list(&ids, `select lot_id from garment_event where garment_id = $1 and kind = 'issued' group by lot_id order by min(id)`, garmentID)
	return ids, err
}
