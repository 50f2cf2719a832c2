package store

import (
	"fmt"
	"time"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// Task is one thing that wants doing.
type Task struct {
	Key     string
	Subject string
	Text    string
	Due     time.Time // zero when any day will do
}

// Tasks lists what wants doing, the most pressing kind first: open recalls, what is short,
// what comes next at the pot, what waits for a test or a verdict, what the
// shelf did not agree with.
func (t *Tx) Tasks() ([]Task, error) {
	var tasks []Task
	for _, part := range []func() ([]Task, error){t.recallTasks, t.shortTasks, t.stageTasks, t.judgeTasks, t.foundTasks, t.minimumTasks, t.logTasks, t.arrivalTasks, t.keptTasks, t.againTasks, t.commissionTasks, t.windowTasks, t.actionTasks, t.purchaseTasks} {
		more, err := part()
		if err != nil {
			return nil, err
		}
		tasks = append(tasks, more...)
	}
	return tasks, nil
}

// openDoses are the planned doses of runs that go on, each with what is
// promised for it, whose stage no standing record covers for every lot.
const openDoses = `
	with recorded as (
		select r.run_id, r.position, rl.lot_id
		from stage_record r join record_lot rl on rl.record_id = r.id
		where not exists (select from record_undone u where u.record_id = r.id)),
	open_stage as (
		select s.id, s.run_id, s.position, s.kind
		from planned_stage s join run on run.id = s.run_id
		where run.cancelled_at is null and exists (
			select from planned_stage_lot sl join lot l on l.id = sl.lot_id
			where sl.stage_id = s.id and l.state in ('planned', 'in-work')
			and not exists (select from recorded r where r.run_id = s.run_id and r.position = s.position and r.lot_id = sl.lot_id))),
	open_dose as (
		select d.id, d.item_id, s.run_id, s.position, s.kind, d.amount,
		       d.amount - coalesce((select sum(e.delta) from promise p join promise_entry e on e.promise_id = p.id
		                            where p.dose_id = d.id and e.why in ('made', 'eaten', 'released')), 0) as short
		from planned_dose d join open_stage s on s.id = d.stage_id)`

func (t *Tx) shortTasks() ([]Task, error) {
	var rows []struct {
		Run   int64      `db:"run_id"`
		Item  string     `db:"name"`
		Unit  string     `db:"unit"`
		Short int64      `db:"short"`
		Due   *time.Time `db:"due_on"`
	}
	err := t.list(&rows, openDoses+`
		select o.run_id, i.name, i.unit, sum(o.short) as short, run.due_on
		from open_dose o join item i on i.id = o.item_id join run on run.id = o.run_id
		where o.short > 0 group by o.run_id, i.name, i.unit, run.due_on order by o.run_id, i.name`)
	var tasks []Task
	for _, r := range rows {
		tasks = append(tasks, Task{"short", Code('R', r.Run),
			fmt.Sprintf("%s of %s is promised from no parcel: get it, then pick the run", amountOf(r.Short, r.Unit), r.Item), orZero(r.Due)})
	}
	return tasks, err
}

func (t *Tx) judgeTasks() ([]Task, error) {
	var rows []struct {
		Lot      int64      `db:"id"`
		State    string     `db:"state"`
		Readings int        `db:"readings"`
		Tests    int        `db:"tests"`
		Due      *time.Time `db:"due_on"`
	}
	err := t.list(&rows, `
		select l.id, l.state, run.due_on,
		       (select count(*) from reading r where r.lot_id = l.id and not exists (select from evidence_withdrawn w where w.reading_id = r.id)) as readings,
		       (select count(*) from fastness_test f where f.lot_id = l.id and not exists (select from evidence_withdrawn w where w.test_id = f.id)) as tests
		from lot l join run on run.id = l.run_id
		where l.state in ('waiting-for-tests', 'held') order by l.id`)
	var tasks []Task
	for _, r := range rows {
		code := Code('L', r.Lot)
		switch {
		case r.State == string(lot.Held):
			tasks = append(tasks, Task{"verdict-open", code, "held: test it again, override by name, re-dye it or sell it as imperfect", orZero(r.Due)})
		case r.Readings == 0 || r.Tests == 0:
			tasks = append(tasks, Task{"test-open", code, fmt.Sprintf("dyed, and waiting to be judged: %d readings and %d fastness tests so far", r.Readings, r.Tests), orZero(r.Due)})
		default:
			tasks = append(tasks, Task{"verdict-open", code, "read and tested: give a verdict", orZero(r.Due)})
		}
	}
	return tasks, err
}

// foundTasks are parcels whose book a weighing contradicted, until they are counted.
func (t *Tx) foundTasks() ([]Task, error) {
	var rows []struct {
		Parcel int64  `db:"parcel_id"`
		Item   string `db:"name"`
		Unit   string `db:"unit"`
		Amount int64  `db:"amount"`
	}
	err := t.list(&rows, `
		select p.parcel_id, i.name, i.unit, sum(p.amount) as amount
		from posting p join movement m on m.id = p.movement_id
		join parcel on parcel.id = p.parcel_id join item i on i.id = parcel.item_id
		where p.from_place = 'difference' and p.kind in ('use', 'making')
		and not exists (select from movement b where b.reverses_id = m.id)
		and not exists (select from posting c join movement cm on cm.id = c.movement_id
		                where c.parcel_id = p.parcel_id and c.kind = 'count' and cm.recorded_at > m.recorded_at)
		and m.recorded_at > $1
		group by p.parcel_id, i.name, i.unit order by p.parcel_id`, t.Now.Add(-foundFor))
	var tasks []Task
	for _, r := range rows {
		code := Code('P', r.Parcel)
		tasks = append(tasks, Task{"found", code, fmt.Sprintf("%s: %s more was in it than the book said: count what is left", r.Item, amountOf(r.Amount, r.Unit)), time.Time{}})
	}
	return tasks, err
}

// foundFor: after a month a surprise is old news.
const foundFor = 31 * 24 * time.Hour

func (t *Tx) minimumTasks() ([]Task, error) {
	var rows []struct {
		Code    string `db:"code"`
		Name    string `db:"name"`
		Unit    string `db:"unit"`
		Free    int64  `db:"free"`
		Minimum int64  `db:"minimum"`
	}
	err := t.list(&rows, belowMinimum)
	var tasks []Task
	for _, r := range rows {
		tasks = append(tasks, Task{"reorder", r.Code, fmt.Sprintf("%s: %s free, and %s is the least to keep: see the reorder list", r.Name, amountOf(r.Free, r.Unit), amountOf(r.Minimum, r.Unit)), time.Time{}})
	}
	return tasks, err
}

const belowMinimum = `
	select i.code, i.name, i.unit, i.minimum, coalesce(sum(b.on_hand - b.reserved), 0) as free
	from item i left join parcel p on p.item_id = i.id and p.commission_id is null left join balance b on b.parcel_id = p.id
	where i.minimum > 0 group by i.id having coalesce(sum(b.on_hand - b.reserved), 0) < i.minimum order by i.code`

// Gauges are the studio's own figures for the metrics.
type Gauges struct {
	Lots         map[string]int64 // by state
	BelowMinimum int64
}

// Gauges counts them.
func (t *Tx) Gauges() (Gauges, error) {
	g := Gauges{Lots: map[string]int64{}}
	for _, s := range lot.States() {
		g.Lots[string(s)] = 0
	}
	var rows []struct {
		State string `db:"state"`
		N     int64  `db:"n"`
	}
	if err := t.list(&rows, `select state, count(*) as n from lot group by state`); err != nil {
		return g, err
	}
	for _, r := range rows {
		g.Lots[r.State] = r.N
	}
	err := t.get(&g.BelowMinimum, `select count(*) from (`+belowMinimum+`) below`)
	return g, err
}

func kindName(key string) string {
	if k, err := lot.KindOf(key); err == nil {
		return k.Name
	}
	return key
}

// units is item.unit in the database, by its word.
var units = map[string]quantity.Unit{"g": quantity.Mass, "mL": quantity.Volume, "pc": quantity.Count}

func amountOf(n int64, unit string) quantity.Amount { return quantity.Amount{N: n, Unit: units[unit]} }

func orZero(d *time.Time) time.Time {
	if d == nil {
		return time.Time{}
	}
	return *d
}
