package store

import (
	"time"

	"dyelot/inventory/stock"
)

// openBlanks are the blanks and the witness cloth of lots that were not issued
// yet, each with what is promised for it; it goes on from openDoses.
const openBlanks = openDoses + `,
	open_lot as (
		select l.id, l.run_id, l.witness_ug, l.witness_parcel_id
		from lot l join run on run.id = l.run_id
		where l.state = 'planned' and l.issued_at is null and run.cancelled_at is null),
	cloth as (
		select o.id as lot_id, o.run_id, p.item_id, count(*) as amount
		from open_lot o join garment g on g.lot_id = o.id join parcel p on p.id = g.parcel_id
		where g.place = 'planned' and p.commission_id is null group by o.id, o.run_id, p.item_id
		union all
		select o.id, o.run_id, p.item_id, o.witness_ug
		from open_lot o join parcel p on p.id = o.witness_parcel_id where o.witness_ug > 0),
	open_cloth as (
		select c.run_id, c.item_id,
		       c.amount - coalesce((select sum(e.delta) from promise r join parcel p on p.id = r.parcel_id join promise_entry e on e.promise_id = r.id
		                            where r.lot_id = c.lot_id and p.item_id = c.item_id and p.commission_id is null and e.why in ('made', 'eaten', 'released')), 0) as short
		from cloth c)`

// OpenNeeds lists what open runs still lack, by item and run: planned doses of
// stages that no standing record covers, and cloth of lots that were not
// issued, less what is promised for them.
func (t *Tx) OpenNeeds() ([]stock.Need, error) {
	var rows []struct {
		Item  int64      `db:"item_id"`
		Run   int64      `db:"run_id"`
		Unit  string     `db:"unit"`
		Short int64      `db:"short"`
		Due   *time.Time `db:"due_on"`
	}
	err := t.list(&rows, openBlanks+`
		select n.item_id, n.run_id, i.unit, sum(n.short) as short, run.due_on
		from (select item_id, run_id, short from open_dose union all select item_id, run_id, short from open_cloth) n
		join item i on i.id = n.item_id join run on run.id = n.run_id
		where n.short > 0 group by n.item_id, n.run_id, i.unit, run.due_on order by n.item_id, n.run_id`)
	needs := make([]stock.Need, len(rows))
	for i, r := range rows {
		needs[i] = stock.Need{ItemID: r.Item, RunID: r.Run, DueOn: orZero(r.Due), Short: amountOf(r.Short, r.Unit)}
	}
	return needs, err
}
