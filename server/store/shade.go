package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/colour"
	"dyelot/inventory/lot"
)

// MeasuredLots loads the readings of some lots, each with its last bath.
func (t *Tx) MeasuredLots(lots []lot.Lot) (map[int64]lot.Measured, error) {
	ids := make([]int64, len(lots))
	for i, l := range lots {
		ids[i] = l.ID
	}
	readings, err := t.readingsOfLots(ids)
	if err != nil {
		return nil, err
	}
	baths, err := t.lastBaths(ids)
	measured := map[int64]lot.Measured{}
	for _, l := range lots {
		measured[l.ID] = lot.Measured{ID: l.ID, Code: l.Code, State: l.State, Readings: readings[l.ID], LastBath: baths[l.ID]}
	}
	return measured, err
}

const garmentsEverOf = garmentColumns + `
	where g.lot_id = any($1) or g.id = any(array(select garment_id from garment_event where lot_id = any($1) and kind = 'issued')) order by g.id`

// GarmentsEverOfLots lists the garments that are of some lots, or were issued
// with them, by id.
func (t *Tx) GarmentsEverOfLots(lotIDs []int64) ([]lot.Garment, error) {
	return t.garments(garmentsEverOf, pq.Array(lotIDs))
}

// HarvestsOf lists the parcels that some lots were dyed from, by lot and by the
// code of the dyestuff: what standing records took.
func (t *Tx) HarvestsOf(lotIDs []int64) (map[int64]map[string][]string, error) {
	var rows []struct {
		LotID    int64  `db:"lot_id"`
		Item     string `db:"code"`
		ParcelID int64  `db:"parcel_id"`
	}
	err := t.list(&rows, `
		select distinct rl.lot_id, i.code, p.parcel_id
		from record_lot rl join movement m on m.record_id = rl.record_id join posting p on p.movement_id = m.id
		join parcel on parcel.id = p.parcel_id join item i on i.id = parcel.item_id
		where rl.lot_id = any($1) and (i.kind = 'dyestuff' or i.kind = 'solution' and i.plant <> '') and m.kind = 'use' and p.to_place = 'process'
		and not exists (select from record_undone u where u.record_id = rl.record_id)
		order by rl.lot_id, i.code, p.parcel_id`, pq.Array(lotIDs))
	of := map[int64]map[string][]string{}
	for _, r := range rows {
		if of[r.LotID] == nil {
			of[r.LotID] = map[string][]string{}
		}
		of[r.LotID][r.Item] = append(of[r.LotID][r.Item], Code('P', r.ParcelID))
	}
	return of, err
}

// ShadeSort is a sort that is kept.
type ShadeSort struct {
	ID         int64
	Of         string // "R1", "W1" or "L1, L2"
	StandardID int64
	Tolerance  lot.Tolerance
	Groups     int
	Proved     bool
	By         string
	KeptAt     time.Time
	LotIDs     []int64
	Garments   []ShadedGarment
}

// ShadedGarment is a garment in its group, with its colour then.
type ShadedGarment struct {
	GarmentID int64
	LotID     int64
	Group     int
	Colour    colour.Lab
}

// AddShadeSort writes a sort and returns its id.
func (t *Tx) AddShadeSort(s ShadeSort) (int64, error) {
	var garment, of, group []int64
	var l, a, b []float64
	for _, g := range s.Garments {
		garment, of, group = append(garment, g.GarmentID), append(of, g.LotID), append(group, int64(g.Group))
		l, a, b = append(l, g.Colour.L), append(a, g.Colour.A), append(b, g.Colour.B)
	}
	var id int64
	if err := t.get(&id, `
		with fresh as (
			insert into shade_sort (sorted_of, standard_id, tolerance, groups, proved, by_name, recorded_at, recorded_by)
			values ($1, $2, $3, $4, $5, $6, $7, $8) returning id),
		covers as (insert into shade_sort_lot (sort_id, lot_id) select fresh.id, u.lot from fresh, unnest(CAST($9 AS bigint[])) as u (lot))
		select id from fresh`,
		s.Of, s.StandardID, int64(s.Tolerance), s.Groups, s.Proved, s.By, t.Now, t.By.ID, pq.Array(s.LotIDs)); err != nil {
		return 0, err
	}
	return id, t.exec(`
		insert into shade_group_garment (sort_id, garment_id, lot_id, group_no, l, a, b)
		select $1, garment, lot, group_no, l, a, b
		from unnest(CAST($2 AS bigint[]), CAST($3 AS bigint[]), CAST($4 AS bigint[]), CAST($5 AS float8[]), CAST($6 AS float8[]), CAST($7 AS float8[]))
		     as u (garment, lot, group_no, l, a, b)`,
		id, pq.Array(garment), pq.Array(of), pq.Array(group), pq.Array(l), pq.Array(a), pq.Array(b))
}

const newestShadeSort = `
	select id, sorted_of, standard_id, tolerance, groups, proved, by_name, recorded_at
	from shade_sort where id = (
		select n.sort_id from unnest(CAST($1 AS bigint[])) as u (lot)
		join lateral (select sort_id from shade_sort_lot s where s.lot_id = u.lot order by sort_id desc limit 1) n on true
		order by n.sort_id desc limit 1)`

// NewestShadeSort is the newest sort that covers any of some lots; its ID is
// zero where there is none.
func (t *Tx) NewestShadeSort(lotIDs []int64) (ShadeSort, error) {
	var heads []struct {
		ID         int64     `db:"id"`
		Of         string    `db:"sorted_of"`
		StandardID int64     `db:"standard_id"`
		Tolerance  int64     `db:"tolerance"`
		Groups     int       `db:"groups"`
		Proved     bool      `db:"proved"`
		By         string    `db:"by_name"`
		KeptAt     time.Time `db:"recorded_at"`
	}
	if err := t.list(&heads, newestShadeSort, pq.Array(lotIDs)); err != nil || len(heads) == 0 {
		return ShadeSort{}, err
	}
	h := heads[0]
	s := ShadeSort{ID: h.ID, Of: h.Of, StandardID: h.StandardID, Tolerance: lot.Tolerance(h.Tolerance), Groups: h.Groups, Proved: h.Proved, By: h.By, KeptAt: h.KeptAt}
	if err := t.list(&s.LotIDs, `select lot_id from shade_sort_lot where sort_id = $1 order by lot_id`, s.ID); err != nil {
		return s, err
	}
	var rows []struct {
		GarmentID int64   `db:"garment_id"`
		LotID     int64   `db:"lot_id"`
		Group     int     `db:"group_no"`
		L         float64 `db:"l"`
		A         float64 `db:"a"`
		B         float64 `db:"b"`
	}
	err := t.list(&rows, `select garment_id, lot_id, group_no, l, a, b from shade_group_garment where sort_id = $1 order by garment_id`, s.ID)
	for _, r := range rows {
		s.Garments = append(s.Garments, ShadedGarment{r.GarmentID, r.LotID, r.Group, colour.Lab{L: r.L, A: r.A, B: r.B}})
	}
	return s, err
}

// ShadeGroup is where a garment hangs by the sort in force.
type ShadeGroup struct {
	GarmentID int64  `db:"garment_id"`
	SortID    int64  `db:"sort_id"`
	Of        string `db:"sorted_of"`
	Tolerance int64  `db:"tolerance"`
	Number    int    `db:"group_no"`
	Groups    int    `db:"groups"`
}

const shadeGroups = `
	with of as (select distinct lot_id from garment where id = any($1)),
	force as (
		select of.lot_id, n.sort_id from of
		join lateral (select sort_id from shade_sort_lot s where s.lot_id = of.lot_id order by sort_id desc limit 1) n on true)
	select m.garment_id, s.id as sort_id, s.sorted_of, s.tolerance, m.group_no, s.groups
	from force f join shade_sort s on s.id = f.sort_id
	join shade_group_garment m on m.sort_id = f.sort_id and m.lot_id = f.lot_id and m.garment_id = any($1)
	join garment g on g.id = m.garment_id and g.lot_id = f.lot_id
	where not exists (
		select from record_lot rl join stage_record r on r.id = rl.record_id
		where rl.lot_id = f.lot_id and r.recorded_at > s.recorded_at and r.kind = any($2) and not r.skipped
		and not exists (select from record_undone u where u.record_id = r.id))`

// ShadeGroups finds the group of each of some garments, by the newest sort that
// covers the lot it is of now. A lot that was in a liquor since has none.
func (t *Tx) ShadeGroups(garmentIDs []int64) (map[int64]ShadeGroup, error) {
	var rows []ShadeGroup
	err := t.list(&rows, shadeGroups, pq.Array(garmentIDs), pq.Array(wettingKinds()))
	groups := map[int64]ShadeGroup{}
	for _, r := range rows {
		groups[r.GarmentID] = r
	}
	return groups, err
}

// wettingKinds are the stages that put a lot's cloth into a liquor.
func wettingKinds() (keys []string) {
	for _, k := range lot.Kinds() {
		if k.Bath && !k.Brews {
			keys = append(keys, k.Key)
		}
	}
	return keys
}
