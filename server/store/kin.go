package store

import (
	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// KinOf asks for the garments of other lots that are kin.
type KinOf struct {
	Lot     int64   // whose garments are sisters, not kin
	Parcels []int64 // whoever has any of one of these is kin
	Records []int64 // whoever was in one of these baths is kin
	Limit   int
}

// Kin is one of them and the lot that makes it kin: the one it shares most by.
type Kin struct {
	Garment lot.Garment
	Lot     int64
}

// nearest lists kin, those first that were in most of the same baths, and then
// those with most parcels in common.
const nearest = below + `,
	met as (
		select lot_id, record_id, parcel_id, case when blank then parcel_id end as cloth_id from reached
		union all
		select lot_id, record_id, null, null from record_lot where record_id = any($2)),
	near as (
		select lot_id, cloth_id, count(distinct record_id) filter (where record_id = any($2)) as baths, count(distinct parcel_id) as parcels
		from met group by lot_id, cloth_id),
	kin as (
		select distinct on (g.id) g.id, n.lot_id, n.baths, n.parcels
		from near n
		cross join lateral (
			select g.id
			from garment_event e join garment g on g.id = e.garment_id
			where e.lot_id = n.lot_id and e.kind = 'issued' and g.lot_id <> $3 and (n.cloth_id is null or g.parcel_id = n.cloth_id) offset 0) g
		order by g.id, n.baths desc, n.parcels desc, n.lot_id)
	select id, lot_id, count(*) over () as total from kin order by baths desc, parcels desc, lot_id, id limit $4`

// Kin lists the nearest kin, and counts them all.
func (t *Tx) Kin(of KinOf) (kin []Kin, total int, err error) {
	var rows []struct {
		ID    int64 `db:"id"`
		Lot   int64 `db:"lot_id"`
		Total int   `db:"total"`
	}
	err = t.list(&rows, nearest, pq.Array(of.Parcels), pq.Array(of.Records), of.Lot, of.Limit)
	if err != nil || len(rows) == 0 {
		return nil, 0, err
	}
	ids := make([]int64, len(rows))
	for i, r := range rows {
		ids[i] = r.ID
	}
	gs, err := t.garments(garmentColumns+` where g.id = any($1)`, pq.Array(ids))
	byID := map[int64]lot.Garment{}
	for _, g := range gs {
		byID[g.ID] = g
	}
	for _, r := range rows {
		kin = append(kin, Kin{byID[r.ID], r.Lot})
	}
	return kin, rows[0].Total, err
}

// Touch is one bath that a lot was in, and where it went another way than
// planned.
type Touch struct {
	Lot      int64          `db:"lot_id"`
	Record   int64          `db:"id"`
	Position int            `db:"position"`
	Kind     string         `db:"kind"`
	Unusual  pq.StringArray `db:"unusual"`
}

// Touches lists the standing records of some lots, by lot and position; what
// was skipped touched nothing.
func (t *Tx) Touches(lotIDs []int64) ([]Touch, error) {
	var ts []Touch
	err := t.list(&ts, `
		select rl.lot_id, r.id, r.position, r.kind, array_remove(array_agg(d.text order by d.line), null) as unusual
		from record_lot rl join stage_record r on r.id = rl.record_id left join deviation d on d.record_id = r.id
		where rl.lot_id = any($1) and not r.skipped and not exists (select from record_undone u where u.record_id = r.id)
		group by rl.lot_id, r.id order by rl.lot_id, r.position, r.id`, pq.Array(lotIDs))
	return ts, err
}

// LotsByID lists some lots, by id.
func (t *Tx) LotsByID(ids []int64) ([]lot.Lot, error) {
	return t.lots(lotColumns+` where l.id = any($1) order by l.id`, pq.Array(ids))
}
