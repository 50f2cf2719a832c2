package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// GarmentsFor lists the garments of some lots and those that are planned into
// them, by id.
func (t *Tx) GarmentsFor(lotIDs ...int64) ([]lot.Garment, error) {
	return t.garments(garmentColumns+` where g.lot_id = any($1) or g.next_lot_id = any($1) order by g.id`, pq.Array(lotIDs))
}

// PlanAgain notes the lot that each garment is planned into (its Next), with an
// event of that lot. Only what lot.MayDyeAgain has let go.
func (t *Tx) PlanAgain(gs []lot.Garment, at time.Time) error {
	var ids, next []int64
	for _, g := range gs {
		ids, next = append(ids, g.ID), append(next, g.Next)
	}
	return t.exec(`
		with planned as (
			update garment g set next_lot_id = u.next
			from unnest(CAST($1 AS bigint[]), CAST($2 AS bigint[])) as u (id, next)
			where g.id = u.id returning g.id, g.lot_id, g.next_lot_id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, text)
		select id, 'planned', next_lot_id, $3, $4, $5, $6, 'again, from lot L' || lot_id from planned order by id`,
		pq.Array(ids), pq.Array(next), at, t.Now, t.By.ID, t.By.Name)
}

// GiveUpAgain lets garments go that were planned into some lots.
func (t *Tx) GiveUpAgain(lotIDs []int64, reason string) error {
	return t.exec(`
		with before as (
			select id, next_lot_id from garment where next_lot_id = any($1) for update),
		stays as (
			update garment g set next_lot_id = null from before where g.id = before.id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, text)
		select id, 'plan given up', next_lot_id, $2, $2, $3, $4, $5 from before order by id`,
		pq.Array(lotIDs), t.Now, t.By.ID, t.By.Name, reason)
}

// MoveIn moves the garments that were planned into a lot into it. Each leaves its
// old lot with an event and is issued with the new one; a verdict of its own was
// of how it was then.
func (t *Tx) MoveIn(lotID int64, at time.Time) error {
	return t.exec(`
		with before as (
			select id, lot_id, place from garment where next_lot_id = $1 for update),
		moved as (
			update garment g set lot_id = $1, next_lot_id = null, place = 'in-work', outcome = null from before where g.id = before.id)
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, text)
		select b.id, e.kind, e.lot_id, $2, $3, $4, $5, e.text
		from before b
		cross join lateral (values
			(1, case b.place when 'part-done' then 'taken from the shelf' else 'over-dyed' end, b.lot_id, 'goes into lot L' || CAST($1 AS bigint)),
			(2, 'issued', CAST($1 AS bigint), 'from lot L' || b.lot_id)) as e (n, kind, lot_id, text)
		order by b.id, e.n`,
		lotID, at, t.Now, t.By.ID, t.By.Name)
}

// LotsOfGarments lists, by garment, the lots that each was issued with, in order.
func (t *Tx) LotsOfGarments(garmentIDs []int64) (map[int64][]int64, error) {
	var rows []struct {
		Garment int64 `db:"garment_id"`
		Lot     int64 `db:"lot_id"`
	}
	err := t.list(&rows, `
		select garment_id, lot_id from garment_event where garment_id = any($1) and kind = 'issued'
		group by garment_id, lot_id order by garment_id, min(id)`, pq.Array(garmentIDs))
	of := map[int64][]int64{}
	for _, r := range rows {
		of[r.Garment] = append(of[r.Garment], r.Lot)
	}
	return of, err
}

// GarmentsEverOf lists the garments that were issued with a lot, by id, wherever
// they are of now.
func (t *Tx) GarmentsEverOf(lotID int64) ([]lot.Garment, error) {
	return t.garments(garmentColumns+`
		where g.id = any(array(select garment_id from garment_event where lot_id = $1 and kind = 'issued')) order by g.id`, lotID)
}

// LastHappened is when the last thing happened to any of some garments; zero for
// none.
func (t *Tx) LastHappened(garmentIDs []int64) (time.Time, error) {
	var last *time.Time
	err := t.get(&last, `select max(happened_at) from garment_event where garment_id = any($1)`, pq.Array(garmentIDs))
	return orZero(last), err
}

// Mended notes that a garment was mended.
func (t *Tx) Mended(g lot.Garment, at time.Time, by, text string) error {
	return t.exec(`
		insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name, text)
		values ($1, 'mended', $2, $3, $4, $5, $6, $7)`, g.ID, g.LotID, at, t.Now, t.By.ID, by, text)
}

// AddLeftOut writes which stages of their recipe some lots do not have.
func (t *Tx) AddLeftOut(lots []lot.Lot) error {
	var ids, positions []int64
	var kinds, reasons []string
	for _, l := range lots {
		for _, x := range l.LeftOut {
			ids, positions, kinds, reasons = append(ids, l.ID), append(positions, int64(x.Position)), append(kinds, x.Kind.Key), append(reasons, x.Why)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	return t.exec(`
		insert into stage_left_out (lot_id, position, kind, reason)
		select lot, position, kind, reason
		from unnest(CAST($1 AS bigint[]), CAST($2 AS int[]), CAST($3 AS text[]), CAST($4 AS text[])) as u (lot, position, kind, reason)`,
		pq.Array(ids), pq.Array(positions), pq.Array(kinds), pq.Array(reasons))
}

// LoadLeftOut fills in which stages of their recipe some lots do not have.
func (t *Tx) LoadLeftOut(lots []lot.Lot) error {
	ids, at := make([]int64, len(lots)), map[int64]*lot.Lot{}
	for i := range lots {
		ids[i], at[lots[i].ID] = lots[i].ID, &lots[i]
	}
	var rows []struct {
		Lot      int64  `db:"lot_id"`
		Position int    `db:"position"`
		Kind     string `db:"kind"`
		Reason   string `db:"reason"`
	}
	err := t.list(&rows, `select lot_id, position, kind, reason from stage_left_out where lot_id = any($1) order by lot_id, position`, pq.Array(ids))
	if err != nil {
		return err
	}
	for _, r := range rows {
		kind, err := lot.KindOf(r.Kind)
		if err != nil {
			return err
		}
		at[r.Lot].LeftOut = append(at[r.Lot].LeftOut, lot.LeftOut{Position: r.Position, Kind: kind, Why: r.Reason})
	}
	return nil
}
