package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

type commissionRow struct {
	ID           int64      `db:"id"`
	Reference    string     `db:"reference"`
	ColourwayID  int64      `db:"colourway_id"`
	Colourway    string     `db:"colourway"`
	Standard     string     `db:"standard"`
	Illuminant   string     `db:"illuminant"`
	Observer     int        `db:"observer"`
	SetTolerance int64      `db:"set_tolerance"`
	DueOn        *time.Time `db:"due_on"`
	Spares       int        `db:"spares"`
	Note         string     `db:"note"`
	AgreedAt     time.Time  `db:"agreed_at"`
	AgreedBy     string     `db:"agreed_by"`
}

const commissionColumns = `
	select w.id, w.reference, w.colourway_id, c.code as colourway, s.code as standard, s.illuminant, s.observer, w.set_tolerance, w.due_on, w.spares, w.note, w.agreed_at, p.name as agreed_by
	from commission w join colourway c on c.id = w.colourway_id join shade_standard s on s.id = c.standard_id join principal p on p.id = w.recorded_by`

// AddCommission writes a commission with its pieces and returns its id. Its
// reference must be new (fault.Exists).
func (t *Tx) AddCommission(c lot.Commission) (int64, error) {
	var item, pieces []int64
	var why []string
	for _, p := range c.Pieces {
		item, pieces, why = append(item, p.ItemID), append(pieces, int64(p.Count)), append(why, p.MightNotTake)
	}
	var id int64
	err := t.get(&id, `
		with fresh as (
			insert into commission (reference, colourway_id, set_tolerance, due_on, spares, note, agreed_at, recorded_by)
			values ($1, $2, $3, $4, $5, $6, $7, $8) returning id),
		asked as (
			insert into commission_piece (commission_id, item_id, line, pieces, might_not_take)
			select fresh.id, u.item, u.n, u.pieces, u.why
			from fresh, unnest(CAST($9 AS bigint[]), CAST($10 AS bigint[]), CAST($11 AS text[])) with ordinality as u (item, pieces, why, n))
		select id from fresh`,
		c.Reference, c.ColourwayID, int64(c.SetTolerance), orNull(c.DueOn), c.Spares, c.Note, t.Now, t.By.ID, pq.Array(item), pq.Array(pieces), pq.Array(why))
	return id, err
}

func (t *Tx) commissions(query string, args ...any) ([]lot.Commission, error) {
	var rows []commissionRow
	if err := t.list(&rows, query, args...); err != nil || len(rows) == 0 {
		return nil, err
	}
	all := make([]lot.Commission, len(rows))
	at := map[int64]*lot.Commission{}
	ids := make([]int64, len(rows))
	for i, r := range rows {
		_, view, err := labRow{Illuminant: r.Illuminant, Observer: r.Observer}.colour()
		if err != nil {
			return nil, err
		}
		all[i] = lot.Commission{View: view, ID: r.ID, Reference: r.Reference, ColourwayID: r.ColourwayID, Colourway: r.Colourway, StandardCode: r.Standard,
			SetTolerance: lot.Tolerance(r.SetTolerance), DueOn: orZero(r.DueOn), Spares: r.Spares, Note: r.Note, AgreedAt: r.AgreedAt, AgreedBy: r.AgreedBy}
		at[r.ID], ids[i] = &all[i], r.ID
	}
	if err := t.loadPieces(at, ids); err != nil {
		return nil, err
	}
	return all, t.loadSignOffs(at, ids)
}

func (t *Tx) loadPieces(at map[int64]*lot.Commission, ids []int64) error {
	var rows []struct {
		Commission int64  `db:"commission_id"`
		ItemID     int64  `db:"item_id"`
		ItemCode   string `db:"code"`
		ItemName   string `db:"name"`
		Pieces     int    `db:"pieces"`
		Why        string `db:"might_not_take"`
	}
	err := t.list(&rows, `
		select p.commission_id, p.item_id, i.code, i.name, p.pieces, p.might_not_take
		from commission_piece p join item i on i.id = p.item_id where p.commission_id = any($1) order by p.commission_id, p.line`, pq.Array(ids))
	for _, r := range rows {
		c := at[r.Commission]
		c.Pieces = append(c.Pieces, lot.CommissionPieces{ItemID: r.ItemID, ItemCode: r.ItemCode, ItemName: r.ItemName, Count: r.Pieces, MightNotTake: r.Why})
	}
	return err
}

func (t *Tx) loadSignOffs(at map[int64]*lot.Commission, ids []int64) error {
	var rows []struct {
		Commission int64     `db:"commission_id"`
		Reading    int64     `db:"reading_id"`
		Lot        int64     `db:"lot_id"`
		StandardID int64     `db:"standard_id"`
		Standard   string    `db:"standard"`
		On         time.Time `db:"signed_on"`
		ByRole     string    `db:"by_role"`
		Note       string    `db:"note"`
		RecordedBy string    `db:"recorded_by"`
	}
	err := t.list(&rows, `
		select f.commission_id, coalesce(f.reading_id, 0) as reading_id, coalesce(f.lot_id, 0) as lot_id, coalesce(f.standard_id, 0) as standard_id,
		       coalesce(s.code, '') as standard, f.signed_on, f.by_role, f.note, p.name as recorded_by
		from commission_sign_off f left join shade_standard s on s.id = f.standard_id join principal p on p.id = f.recorded_by
		where f.commission_id = any($1) order by f.id`, pq.Array(ids))
	for _, r := range rows {
		c := at[r.Commission]
		c.SignOffs = append(c.SignOffs, lot.SignOff{ReadingID: r.Reading, LotID: r.Lot, StandardID: r.StandardID, Standard: r.Standard, On: r.On, ByRole: r.ByRole, Note: r.Note, RecordedBy: r.RecordedBy})
	}
	return err
}

// Commission finds one. fault.NotFound.
func (t *Tx) Commission(id int64) (lot.Commission, error) {
	cs, err := t.commissions(commissionColumns+` where w.id = $1`, id)
	if err != nil || len(cs) == 0 {
		return lot.Commission{}, missing(orNoRows(err), "commission", Code('W', id))
	}
	return cs[0], nil
}

// CommissionByCode finds one by the code or the reference that stands in a field
// of the call. fault.NotFound.
func (t *Tx) CommissionByCode(field, code string) (lot.Commission, error) {
	if id, err := ID('W', field, code); err == nil {
		return t.Commission(id)
	}
	if code == "" {
		return lot.Commission{}, fault.BadField(field, "is needed: W1, or the order's own reference")
	}
	cs, err := t.commissions(commissionColumns+` where w.reference = $1`, code)
	if err != nil || len(cs) == 0 {
		return lot.Commission{}, missing(orNoRows(err), "commission", code)
	}
	return cs[0], nil
}

// LockCommission holds off others who plan a run of it, so that two runs do not
// choose two harvests at once. It comes before every other lock.
func (t *Tx) LockCommission(id int64) error {
	var got int64
	return t.get(&got, `select id from commission where id = $1 for update`, id)
}

// Commissions lists them after an id.
func (t *Tx) Commissions(after int64, limit int) ([]lot.Commission, error) {
	return t.commissions(commissionColumns+` where w.id > $1 order by w.id limit $2`, after, limit)
}

// AddSignOff writes that the customer's side agreed to a swatch.
func (t *Tx) AddSignOff(commissionID int64, s lot.SignOff) error {
	return t.exec(`
		insert into commission_sign_off (commission_id, reading_id, lot_id, standard_id, signed_on, by_role, note, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		commissionID, nullIfZero(s.ReadingID), nullIfZero(s.LotID), nullIfZero(s.StandardID), s.On, s.ByRole, s.Note, t.Now, t.By.ID)
}

// setPieces counts the garments of commissions' lots, by lot and item, as
// lot.SetPieces has them. A closed lot counts as what it was before it closed.
const setPieces = `
	select run.commission_id, l.id, l.run_id, l.state, p.item_id, count(*) as pieces,
	       count(*) filter (where l.state in ('planned', 'in-work', 'waiting-for-tests', 'held', 'passed', 'closed')
	                        and (l.state <> 'closed' or d.outcome = 'passed')
	                        and coalesce(g.outcome, '') not in ('imperfect', 're-dye', 'scrapped')) as planned,
	       count(*) filter (where ok.yes) as passed,
	       count(*) filter (where ok.yes and g.place in ('sold', 'given-back')) as gone
	from run join lot l on l.run_id = run.id
	join garment g on g.lot_id = l.id join parcel p on p.id = g.parcel_id
	left join lateral (select outcome from verdict v where v.lot_id = l.id and v.garment_id is null and v.outcome <> 'closed' order by v.id desc limit 1) d on true
	cross join lateral (select (l.state = 'passed' or l.state = 'closed' and d.outcome = 'passed') and coalesce(g.outcome, 'passed') = 'passed'
	                           and g.place in ('shelf', 'sold', 'returned', 'given-back') as yes) ok
	where run.commission_id = any($1) and run.cancelled_at is null and l.state <> 'cancelled'
	group by run.commission_id, l.id, p.item_id order by run.commission_id, l.id, p.item_id`

// SetLots lists the lots of some commissions' runs that were not cancelled, by
// commission, each with its garments counted.
func (t *Tx) SetLots(commissionIDs ...int64) (map[int64][]lot.SetLot, error) {
	var rows []struct {
		Commission int64  `db:"commission_id"`
		ID         int64  `db:"id"`
		RunID      int64  `db:"run_id"`
		State      string `db:"state"`
		ItemID     int64  `db:"item_id"`
		Count      int    `db:"pieces"`
		Planned    int    `db:"planned"`
		Passed     int    `db:"passed"`
		Gone       int    `db:"gone"`
	}
	err := t.list(&rows, setPieces, pq.Array(commissionIDs))
	sets := map[int64][]lot.SetLot{}
	for _, r := range rows {
		set := sets[r.Commission]
		if n := len(set); n == 0 || set[n-1].ID != r.ID {
			set = append(set, lot.SetLot{ID: r.ID, Code: Code('L', r.ID), RunID: r.RunID, State: lot.State(r.State)})
		}
		last := &set[len(set)-1]
		last.Pieces = append(last.Pieces, lot.SetPieces{ItemID: r.ItemID, Count: r.Count, Planned: r.Planned, Passed: r.Passed, Gone: r.Gone})
		sets[r.Commission] = set
	}
	return sets, err
}

// WithTheirSets adds to some lots the lots of the same commissions, by id: who
// lets a piece of a set go decides about all of it.
func (t *Tx) WithTheirSets(lotIDs []int64) ([]int64, error) {
	var ids []int64
	err := t.list(&ids, `
		select l.id from lot l where l.id = any($1)
		union
		select s.id from lot l join run r on r.id = l.run_id join run o on o.commission_id = r.commission_id join lot s on s.run_id = o.id
		where l.id = any($1) and o.cancelled_at is null
		order by 1`, pq.Array(lotIDs))
	return ids, err
}

// DyestuffParcels lists, by item, the parcels that a commission's dyestuffs come
// from: what standing records took, then what is promised still; without one
// run. The first is the one that the set goes on with.
func (t *Tx) DyestuffParcels(commissionID, withoutRun int64) (map[int64][]int64, error) {
	var rows []struct {
		Item   int64 `db:"item_id"`
		Parcel int64 `db:"parcel_id"`
	}
	err := t.list(&rows, `
		with mine as (select id from run where commission_id = $1 and id <> $2 and cancelled_at is null),
		took as (
			select p.parcel_id, min(m.id) as since, 1 as sure
			from stage_record r join movement m on m.record_id = r.id join posting p on p.movement_id = m.id and p.to_place = 'process'
			where r.run_id in (select id from mine) and not exists (select from record_undone u where u.record_id = r.id)
			group by p.parcel_id
			union all
			select h.parcel_id, min(h.id), 2
			from promise h join planned_dose d on d.id = h.dose_id join planned_stage s on s.id = d.stage_id
			where s.run_id in (select id from mine) and h.outstanding > 0 group by h.parcel_id)
		select q.item_id, t.parcel_id
		from took t join parcel q on q.id = t.parcel_id join item i on i.id = q.item_id
		where i.kind = 'dyestuff' or i.kind = 'solution' and i.plant <> ''
		group by q.item_id, t.parcel_id order by q.item_id, min(t.sure), min(t.since)`, commissionID, withoutRun)
	parcels := map[int64][]int64{}
	for _, r := range rows {
		parcels[r.Item] = append(parcels[r.Item], r.Parcel)
	}
	return parcels, err
}

// LotsOfCommission lists the lots of its runs that were not cancelled, by id.
func (t *Tx) LotsOfCommission(id int64) ([]lot.Lot, error) {
	return t.lots(lotColumns+` where l.run_id = any(select run.id from run where run.commission_id = $1 and run.cancelled_at is null) order by l.id`, id)
}

// commissionTasks are commissions whose swatch nobody has signed off.
func (t *Tx) commissionTasks() ([]Task, error) {
	var rows []struct {
		ID        int64      `db:"id"`
		Reference string     `db:"reference"`
		Due       *time.Time `db:"due_on"`
	}
	err := t.list(&rows, `
		select w.id, w.reference, w.due_on from commission w
		where not exists (select from commission_sign_off f where f.commission_id = w.id) order by w.id`)
	var tasks []Task
	for _, r := range rows {
		code := Code('W', r.ID)
		tasks = append(tasks, Task{"sign-off-open", code, r.Reference + ": no swatch is signed off, and no run is planned before that: dyelot commission sign " + code, orZero(r.Due)})
	}
	return tasks, err
}
