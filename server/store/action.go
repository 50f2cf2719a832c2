package store

import (
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/cause"
	"dyelot/inventory/fault"
)

// Action is one as the books keep it.
type Action struct {
	ID         int64
	VersionID  int64
	ParcelIDs  []int64
	GarmentIDs []int64
	RecordedAt time.Time
	cause.Action
}

// AddAction writes an action with its parcels and returns. The parcels are
// blocked apart, in the same transaction.
func (t *Tx) AddAction(a Action) (int64, error) {
	var id int64
	err := t.get(&id, `
		with fresh as (
			insert into action (version_id, blocks, supplier, supplier_lot, method, because, by_name, due_on, recorded_on, recorded_at, recorded_by)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11) returning id),
		blocked as (insert into action_parcel (action_id, parcel_id) select fresh.id, p from fresh, unnest(CAST($12 AS bigint[])) p),
		because as (insert into action_return (action_id, garment_id) select fresh.id, g from fresh, unnest(CAST($13 AS bigint[])) g)
		select id from fresh`,
		nullIfZero(a.VersionID), a.Blocks(), a.Supplier, a.SupplierLot, a.Method, a.Because, a.By, a.DueOn, a.RecordedOn, t.Now, t.By.ID,
		pq.Array(idList(a.ParcelIDs)), pq.Array(idList(a.GarmentIDs)))
	return id, err
}

// CompleteAction writes that it was done; a second time is fault.Refused.
func (t *Tx) CompleteAction(id int64, d cause.Done) error {
	return t.exec(`
		insert into action_done (action_id, done_on, found, by_name, recorded_at, recorded_by) values ($1, $2, $3, $4, $5, $6)`,
		id, d.On, d.Found, d.By, t.Now, t.By.ID)
}

type actionRow struct {
	ID          int64          `db:"id"`
	VersionID   int64          `db:"version_id"`
	Recipe      string         `db:"recipe"`
	Version     int            `db:"version"`
	Supplier    string         `db:"supplier"`
	SupplierLot string         `db:"supplier_lot"`
	Method      string         `db:"method"`
	Because     string         `db:"because"`
	By          string         `db:"by_name"`
	DueOn       time.Time      `db:"due_on"`
	RecordedOn  time.Time      `db:"recorded_on"`
	RecordedAt  time.Time      `db:"recorded_at"`
	DoneOn      *time.Time     `db:"done_on"`
	DoneBy      string         `db:"done_by"`
	Found       string         `db:"found"`
	Parcels     pq.Int64Array  `db:"parcels"`
	Garments    pq.Int64Array  `db:"garments"`
	Tags        pq.StringArray `db:"tags"`
}

const actionColumns = `
	select a.id, coalesce(a.version_id, 0) as version_id, coalesce(r.code, '') as recipe, coalesce(v.version, 0) as version, a.supplier, a.supplier_lot, a.method,
	       a.because, a.by_name, a.due_on, a.recorded_on, a.recorded_at, d.done_on, coalesce(d.by_name, '') as done_by, coalesce(d.found, '') as found,
	       array(select parcel_id from action_parcel where action_id = a.id order by parcel_id) as parcels,
	       array(select garment_id from action_return where action_id = a.id order by garment_id) as garments,
	       array(select g.tag from action_return x join garment g on g.id = x.garment_id where x.action_id = a.id order by g.id) as tags
	from action a left join recipe_version v on v.id = a.version_id left join recipe r on r.id = v.recipe_id left join action_done d on d.action_id = a.id`

func (t *Tx) actions(query string, args ...any) ([]Action, error) {
	var rows []actionRow
	err := t.list(&rows, query, args...)
	as := make([]Action, len(rows))
	for i, r := range rows {
		as[i] = Action{ID: r.ID, VersionID: r.VersionID, ParcelIDs: r.Parcels, GarmentIDs: r.Garments, RecordedAt: r.RecordedAt, Action: cause.Action{
			Recipe: r.Recipe, Version: r.Version, Supplier: r.Supplier, SupplierLot: r.SupplierLot, Method: r.Method, Because: r.Because, Returns: r.Tags,
			By: r.By, RecordedOn: r.RecordedOn, DueOn: r.DueOn, Done: cause.Done{On: orZero(r.DoneOn), By: r.DoneBy, Found: r.Found}}}
		for _, id := range r.Parcels {
			as[i].Parcels = append(as[i].Parcels, Code('P', id))
		}
	}
	return as, err
}

// Action finds one. fault.NotFound.
func (t *Tx) Action(id int64) (Action, error) {
	as, err := t.actions(actionColumns+` where a.id = $1`, id)
	switch {
	case err != nil:
		return Action{}, err
	case len(as) == 0:
		return Action{}, fault.Missing("action", Code('A', id))
	}
	return as[0], nil
}

// Actions lists actions, the soonest due first, after one of that day and id;
// those that are done only where all is true.
func (t *Tx) Actions(all bool, afterDue time.Time, afterID int64, limit int) ([]Action, error) {
	return t.actions(actionColumns+`
		where ($1 or d.action_id is null) and (a.due_on, a.id) > (CAST($2 AS date), CAST($3 AS bigint)) order by a.due_on, a.id limit $4`, all, afterDue, afterID, limit)
}

// ActionsAbout lists the actions that concern some garments, some parcels, or an
// earlier version of a recipe than the one that was changed to, by id.
func (t *Tx) ActionsAbout(garmentIDs, parcelIDs, lotIDs []int64) ([]Action, error) {
	return t.actions(actionColumns+`
		where a.id in (
			select action_id from action_return where garment_id = any($1)
			union select action_id from action_parcel where parcel_id = any($2)
			union select newer.id
			from lot join run on run.id = lot.run_id join recipe_version was on was.id = run.version_id
			join recipe_version now on now.recipe_id = was.recipe_id and now.version > was.version join action newer on newer.version_id = now.id
			where lot.id = any($3))
		order by a.id`, pq.Array(idList(garmentIDs)), pq.Array(idList(parcelIDs)), pq.Array(idList(lotIDs)))
}

// ParcelsOfSupplierLot lists the ids of the parcels on which a supplier printed
// a lot, in any case of letters; of any supplier where none is named.
func (t *Tx) ParcelsOfSupplierLot(supplier, supplierLot string) ([]int64, error) {
	var ids []int64
	err := t.list(&ids, `
		select id from parcel where lower(supplier_lot) = lower($1) and supplier_lot <> '' and ($2 = '' or lower(supplier) = lower($2)) order by id`, supplierLot, supplier)
	return ids, err
}

// actionSoon is how long before its day an action is shown.
const actionSoon = 7 * 24 * time.Hour

// actionTasks are open actions that are due soon or late, and parcels that came
// since of a supplier's lot that was blocked.
func (t *Tx) actionTasks() ([]Task, error) {
	today, err := t.Today()
	if err != nil {
		return nil, err
	}
	open, err := t.actions(actionColumns+` where d.action_id is null and a.due_on <= $1 order by a.due_on, a.id`, today.Add(actionSoon))
	if err != nil {
		return nil, err
	}
	var tasks []Task
	for _, a := range open {
		code := Code('A', a.ID)
		tasks = append(tasks, Task{"action", code, fmt.Sprintf("%s, by %s, because: %s; once it is done: dyelot action done %s", a.Change(), a.By, a.Because, code), a.DueOn})
	}
	var since []struct {
		Parcel int64  `db:"parcel_id"`
		Action int64  `db:"action_id"`
		Lot    string `db:"supplier_lot"`
	}
	err = t.list(&since, `
		select distinct on (p.id) p.id as parcel_id, a.id as action_id, p.supplier_lot
		from action a join parcel p on lower(p.supplier_lot) = lower(a.supplier_lot) and p.supplier_lot <> '' and (a.supplier = '' or lower(p.supplier) = lower(a.supplier))
		join balance b on b.parcel_id = p.id and b.on_hand > 0
		where a.supplier_lot <> '' and p.recorded_at > a.recorded_at and not exists (select from parcel_block k where k.parcel_id = p.id)
		order by p.id, a.id desc`)
	for _, r := range since {
		code := Code('P', r.Parcel)
		tasks = append(tasks, Task{"action-lot", code, fmt.Sprintf("it came of lot %s, which %s blocks, and may still be picked: dyelot stock block %s --reason \"…\"", r.Lot, Code('A', r.Action), code), time.Time{}})
	}
	return tasks, err
}
