package store

import (
	"fmt"

	"github.com/lib/pq"

	"dyelot/inventory/fault"
	"dyelot/inventory/recall"
)

// downstream goes from whatever a recall starts at to every garment that has it
// in it: parcels $1, stage records $2, entries of baths' diaries $3, lots $4 and
// garments $5. It is the mirror of above: through makings, into the baths that
// something was poured into or that were fed with it, on into their later uses
// and what a brew went on into, to the lots that were in those, and to whoever
// was ever issued with those lots. Of blanks a parcel leads to its own garments
// alone. As in below, each step is a look-up by index for each row of the one
// before.
const downstream = `
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
		(select r.id as record_id
		from (select record_id from gone where record_id is not null union select unnest(CAST($2 AS bigint[]))) s
		cross join lateral (select id from stage_record r where r.id = s.record_id and` + notUndone + ` offset 0) r
		union
		select r.id
		from (select entry_id from gone where entry_id is not null union select unnest(CAST($3 AS bigint[]))) s
		cross join lateral (
			select r.id from bath_entry e join stage_record r on r.bath_id = e.bath_id and r.bath_use > e.after_use
			where e.id = s.entry_id and` + entryStands + ` and` + notUndone + ` offset 0) r)
		union
		select e.id
		from bath
		cross join lateral (
			select r.id from stage_record s join stage_record r on r.bath_id = s.bath_id and r.bath_use > s.bath_use
			where s.id = bath.record_id and` + notUndone + `
			union all
			select r.id from brew_share b join stage_record r on r.id = b.dye_id where b.brew_id = bath.record_id and` + notUndone + ` offset 0) e),
	reached as (
		select rl.lot_id, CAST(null AS bigint) as cloth_id
		from bath
		cross join lateral (select lot_id from record_lot where record_id = bath.record_id offset 0) rl
		union
		select gone.lot_id, case when i.kind = 'blank' then gone.parcel_id end
		from gone join parcel on parcel.id = gone.parcel_id join item i on i.id = parcel.item_id
		where gone.lot_id is not null
		union
		select unnest(CAST($4 AS bigint[])), null),
	found as (
		select e.garment_id
		from (select distinct lot_id from reached where cloth_id is null) r
		cross join lateral (select garment_id from garment_event where lot_id = r.lot_id and kind = 'issued' offset 0) e
		union
		select e.garment_id
		from reached r
		cross join lateral (
			select e.garment_id
			from garment_event e join garment g on g.id = e.garment_id
			where e.lot_id = r.lot_id and e.kind = 'issued' and g.parcel_id = r.cloth_id offset 0) e
		where r.cloth_id is not null
		union
		select unnest(CAST($5 AS bigint[])))`

// garmentsDownstream are their ids alone.
const garmentsDownstream = downstream + ` select garment_id from found order by garment_id`

// start is where a recall starts, as the books have it now: a supplier's lot may
// be delivered again.
type start struct{ parcels, records, entries, lots, garments []int64 }

func (s start) args() []any {
	return []any{pq.Array(s.parcels), pq.Array(s.records), pq.Array(s.entries), pq.Array(s.lots), pq.Array(s.garments)}
}

// startOf finds it.
func (t *Tx) startOf(n recall.Node) (s start, err error) {
	one := []int64{n.ID}
	switch n.Kind {
	case recall.Parcel:
		s.parcels = one
	case recall.Record:
		s.records = one
	case recall.Entry:
		s.entries = one
	case recall.Lot:
		s.lots = one
	case recall.OneGarment:
		s.garments = one
	case recall.Bath:
		err = t.list(&s.records, `select id from stage_record where bath_id = $1 and bath_use >= $2 order by id`, n.ID, n.Use)
	case recall.Run:
		err = t.list(&s.lots, `select id from lot where run_id = $1 order by id`, n.ID)
	case recall.Recipe:
		err = t.list(&s.lots, `select l.id from run join lot l on l.run_id = run.id where run.version_id = $1 order by l.id`, n.ID)
	case recall.SupplierLot:
		err = t.list(&s.parcels, suppliersLot, n.ID, n.Words, n.Supplier)
	case recall.Harvest:
		err = t.list(&s.parcels, harvestsOf, n.Day, n.Words, n.ID)
	}
	return s, err
}

const (
	suppliersLot = `
		select id from parcel where item_id = $1 and lower(supplier_lot) = lower($2) and ($3 = '' or lower(supplier) = lower($3)) order by id`
	harvestsOf = `
		select id from parcel where origin = 'harvest' and picked_on = $1 and lower(place) = lower($2) and ($3 = 0 or item_id = $3) order by id`
)

// nodeTitles say a node in words, by its kind; no row is no such thing.
var nodeTitles = map[recall.Kind]string{
	recall.Parcel: `
		select 'parcel P' || p.id || ', ' || i.name || case
			when p.origin = 'harvest' then ', harvest of ' || p.picked_on || coalesce(', ' || nullif(p.place, ''), '')
			when p.origin = 'making' then ', made here'
			else coalesce(', from ' || nullif(p.supplier, ''), '') || coalesce(', lot ' || nullif(p.supplier_lot, ''), '') end
		from parcel p join item i on i.id = p.item_id where p.id = $1`,
	recall.Record: `
		select 'stage record S' || r.id || ', ' || r.kind || coalesce(', use ' || nullif(r.bath_use, 1) || ' of bath B' || r.bath_id, '')
		       || case when exists (select from record_undone u where u.record_id = r.id) then ', undone' else '' end
		from stage_record r where r.id = $1`,
	recall.Entry: `select 'entry E' || id || ' of the diary of bath B' || bath_id || ', ' || kind from bath_entry where id = $1`,
	recall.Bath:  `select 'bath B' || id || ', ' || kind from bath where id = $1`,
	recall.Lot:   `select 'lot L' || l.id || ', ' || c.name from lot l join run on run.id = l.run_id join colourway c on c.id = run.colourway_id where l.id = $1`,
	recall.Run:   `select 'run R' || run.id || ', ' || c.name from run join colourway c on c.id = run.colourway_id where run.id = $1`,
}

// missed is what a node's kind is called where there is none.
var missed = map[recall.Kind]string{recall.Parcel: "parcel", recall.Record: "stage record", recall.Entry: "entry of a bath", recall.Bath: "bath", recall.Lot: "lot", recall.Run: "run"}

// CodedNode finds a node that has a code of one letter and a number.
// fault.NotFound.
func (t *Tx) CodedNode(letter byte, id int64, use int) (recall.Node, error) {
	n := recall.Node{Kind: recall.Letters[letter], ID: id, Use: use}
	if err := t.get(&n.Title, nodeTitles[n.Kind], id); err != nil {
		return n, missing(err, missed[n.Kind], Code(letter, id))
	}
	if use == 0 {
		return n, nil
	}
	n.Title = fmt.Sprintf("%s, use %d and after", n.Title, use)
	var uses int
	if err := t.get(&uses, `select coalesce(max(bath_use), 0) from stage_record r where bath_id = $1 and`+notUndone, id); err != nil {
		return n, err
	}
	if use > uses {
		return n, fault.BadField("bath_use", "%d: %s has been used %d times so far", use, Code(letter, id), uses)
	}
	return n, nil
}

// RecipeNode finds one version of a recipe. fault.NotFound.
func (t *Tx) RecipeNode(code string, version int32) (recall.Node, error) {
	n := recall.Node{Kind: recall.Recipe, Title: fmt.Sprintf("recipe %s version %d", code, version)}
	err := t.get(&n.ID, `select v.id from recipe r join recipe_version v on v.recipe_id = r.id where r.code = $1 and v.version = $2`, code, version)
	return n, missing(err, "recipe", fmt.Sprintf("%s version %d", code, version))
}

// KnownNode is nil where any parcel carries a supplier's lot, or was picked at a
// place on a day. fault.NotFound.
func (t *Tx) KnownNode(n recall.Node) error {
	s, err := t.startOf(n)
	switch {
	case err != nil || len(s.parcels) > 0:
		return err
	case n.Kind == recall.Harvest:
		return fault.Missing("harvest", n.Words+", "+n.Day.Format("2006-01-02"))
	}
	return fault.Missing("supplier's lot", n.Words)
}

// Downstream lists the ids of every garment downstream of a node, in order.
func (t *Tx) Downstream(n recall.Node) ([]int64, error) {
	s, err := t.startOf(n)
	if err != nil {
		return nil, err
	}
	var ids []int64
	err = t.list(&ids, garmentsDownstream, s.args()...)
	return ids, err
}
