package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// DyedLot is a lot and when it took its colour.
type DyedLot struct {
	lot.Lot
	DyedAt time.Time
}

const (
	lotsOfColourway = lotColumns + ` where l.run_id = any(array(select run.id from run where run.colourway_id = $1 and run.cancelled_at is null)) and l.state <> 'cancelled' order by l.id`
	lotsOfStandard  = lotColumns + ` where l.run_id = any(array(select run.id from run where run.standard_id = $1 and run.cancelled_at is null)) and l.state <> 'cancelled' order by l.id`
	dyedLots        = `
	with recorded as (
		select rl.lot_id, max(r.happened_at) as at from record_lot rl join stage_record r on r.id = rl.record_id
		where rl.lot_id = any($1) and r.kind = any($2) and not r.skipped
		and not exists (select from record_undone u where u.record_id = r.id) group by rl.lot_id),
	imported as (
		select l.id, l.issued_at from lot l join opening_lot o on o.lot_id = l.id where l.id = any($1) and l.issued_at is not null)
	select l.lot_id, l.at as dyed_at from (
		select lot_id, at from recorded
		union all select id, issued_at from imported where id not in (select lot_id from recorded)) l
	order by l.at, l.lot_id`
)

// LotsOfColourway lists the lots of a colourway's runs by id, without those
// that were cancelled.
func (t *Tx) LotsOfColourway(id int64) ([]lot.Lot, error) {
	return t.lots(lotsOfColourway, id)
}

// LotsOfStandard lists the lots that are judged by a standard, by id, without
// those that were cancelled.
func (t *Tx) LotsOfStandard(id int64) ([]lot.Lot, error) {
	return t.lots(lotsOfStandard, id)
}

// Dyed finds when each of some lots was last dyed, in that order; of equals, by
// id. A lot without a record of it, as an opening import brings them, counts
// from the day its blanks left the shelf; one that waits for its pot is left
// out.
func (t *Tx) Dyed(lots []lot.Lot) ([]DyedLot, error) {
	byID := map[int64]lot.Lot{}
	ids := make([]int64, len(lots))
	for i, l := range lots {
		byID[l.ID], ids[i] = l, l.ID
	}
	var dyes []string
	for _, k := range lot.Kinds() {
		if k.Dyes {
			dyes = append(dyes, k.Key)
		}
	}
	var rows []struct {
		LotID  int64     `db:"lot_id"`
		DyedAt time.Time `db:"dyed_at"`
	}
	err := t.list(&rows, dyedLots, pq.Array(ids), pq.Array(dyes))
	dyed := make([]DyedLot, len(rows))
	for i, r := range rows {
		dyed[i] = DyedLot{byID[r.LotID], r.DyedAt}
	}
	return dyed, err
}
