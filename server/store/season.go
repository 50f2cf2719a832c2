package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
)

// historyLots is how many of the last judged lots tell what share is lost: about
// a season of a small studio.
const historyLots = 20

// Losses counts the garments of the last lots that did not pass. Lots that came
// by an opening import are left out: their sheets hold what was left, not what
// was lost.
func (t *Tx) Losses() (season.Losses, error) {
	var l struct {
		Garments int64 `db:"garments"`
		Lost     int64 `db:"lost"`
		Lots     int64 `db:"lots"`
	}
	err := t.get(&l, `
		with judged as (
			select distinct on (v.lot_id) v.lot_id, v.id, v.outcome from verdict v
			where v.garment_id is null and v.outcome in ('passed', 'imperfect', 're-dye', 'scrapped')
			and not exists (select from opening_lot o where o.lot_id = v.lot_id)
			order by v.lot_id, v.id desc),
		last as (select lot_id, outcome from judged order by id desc limit $1),
		counted as (
			select l.lot_id, l.outcome, e.n as issued,
			       case when l.outcome <> 'passed' then e.n else o.n end as lost
			from last l
			cross join lateral (select count(*) as n from garment_event where lot_id = l.lot_id and kind = 'issued') e
			cross join lateral (select count(*) as n from garment where lot_id = l.lot_id and outcome in ('imperfect', 're-dye', 'scrapped')) o)
		select CAST(coalesce(sum(issued), 0) AS bigint) as garments, CAST(coalesce(sum(least(lost, issued)), 0) AS bigint) as lost, count(*) as lots from counted`, historyLots)
	return season.Losses{Garments: l.Garments, Lost: l.Lost, Lots: l.Lots}, err
}

// LastWitness is the witness cloth of the newest lot of a fibre.
type LastWitness struct {
	Fibre  string `db:"fibre"`
	LotID  int64  `db:"lot_id"`
	ItemID int64  `db:"item_id"`
	UG     int64  `db:"witness_ug"`
}

// LastWitnesses lists it for each fibre that had any.
func (t *Tx) LastWitnesses() ([]LastWitness, error) {
	var ws []LastWitness
	err := t.list(&ws, `
		select distinct on (v.fibre) v.fibre, l.id as lot_id, p.item_id, l.witness_ug
		from lot l join run on run.id = l.run_id and run.cancelled_at is null
		join recipe_version v on v.id = run.version_id join parcel p on p.id = l.witness_parcel_id
		where l.witness_ug > 0 order by v.fibre, l.id desc`)
	return ws, err
}

// LastStrength is the newest parcel of an item that tells grams a litre.
type LastStrength struct {
	ItemID        int64                  `db:"item_id"`
	ParcelID      int64                  `db:"id"`
	Concentration quantity.Concentration `db:"mg_per_l"`
}

// LastStrengths lists it for each solution that had any.
func (t *Tx) LastStrengths() ([]LastStrength, error) {
	var ls []LastStrength
	err := t.list(&ls, `
		select distinct on (p.item_id) p.item_id, p.id, p.mg_per_l from parcel p join item i on i.id = p.item_id
		where i.kind = 'solution' and p.mg_per_l is not null order by p.item_id, p.arrived_at desc, p.id desc`)
	return ls, err
}

// lastMakings are, for each solution that the studio makes and does not buy, the
// parts of its newest making that stands and is not a mere dilution of itself.
const lastMakings = `
	with newest as (
		select distinct on (made.item_id) made.item_id, m.id, m.made_parcel_id
		from movement m join parcel made on made.id = m.made_parcel_id join item i on i.id = made.item_id
		where i.kind = 'solution' and i.supplier = '' and m.kind = 'making'
		and not exists (select from movement b where b.reverses_id = m.id)
		and not exists (select from posting q join parcel o on o.id = q.parcel_id where q.movement_id = m.id and q.to_place = 'making' and o.item_id = made.item_id)
		order by made.item_id, m.happened_at desc, m.id desc)
	select n.item_id, p.item_id as part_id, i.unit, q.to_place = 'shelf' as made, CAST(sum(q.amount) AS bigint) as amount
	from newest n join posting q on q.movement_id = n.id join parcel p on p.id = q.parcel_id join item i on i.id = p.item_id
	where q.to_place = 'making' or (q.to_place = 'shelf' and q.parcel_id = n.made_parcel_id)
	group by 1, 2, 3, 4 order by 1, 2`

// LastMakings lists them by the solution's item.
func (t *Tx) LastMakings() (map[int64]season.Made, error) {
	var rows []struct {
		Item   int64  `db:"item_id"`
		Part   int64  `db:"part_id"`
		Unit   string `db:"unit"`
		Made   bool   `db:"made"`
		Amount int64  `db:"amount"`
	}
	err := t.list(&rows, lastMakings)
	makings := map[int64]season.Made{}
	for _, r := range rows {
		m := makings[r.Item]
		if r.Made {
			m.Amount = amountOf(r.Amount, r.Unit)
		} else {
			m.From = append(m.From, season.Part{ItemID: r.Part, Amount: amountOf(r.Amount, r.Unit)})
		}
		makings[r.Item] = m
	}
	return makings, err
}

// useMonths is how far back the use beside the plan is looked at: two years, so
// that a season is seen twice.
const useMonths = 24

// useBeyond sums by item and month what went into pots and was not for a run of
// a collection, from one moment up to another; what was taken back is as if it
// had not been.
const useBeyond = `
	select p.item_id, CAST(date_trunc('month', ` + effective + ` at time zone $4) AS date) as month,
	       CAST(sum(case when q.to_place = 'process' then q.amount else -q.amount end) AS bigint) as used
	from parcel p join posting q on q.parcel_id = p.id join movement m on m.id = q.movement_id left join movement o on o.id = m.reverses_id
	left join stage_record r on r.id = coalesce(o.record_id, m.record_id)
	left join lot l on l.id = coalesce(o.lot_id, m.lot_id)
	where p.item_id = any($1) and p.commission_id is null and 'process' in (q.from_place, q.to_place)
	and ` + effective + ` >= $2 and ` + effective + ` < $3
	and not exists (select from run_collection c where c.run_id = coalesce(r.run_id, l.run_id))
	group by 1, 2`

// UseBeyondPlan is the use of some items by whole months, the oldest first, in
// the items' smallest steps: from the month after an item first came, for two
// years at most, up to the last whole month.
func (t *Tx) UseBeyondPlan(itemIDs []int64) (map[int64][]float64, error) {
	zone, err := t.Zone()
	if err != nil {
		return nil, err
	}
	y, m, _ := t.Now.In(zone).Date()
	until := time.Date(y, m, 1, 0, 0, 0, 0, zone)
	from := until.AddDate(0, -useMonths, 0)
	var came []struct {
		Item  int64     `db:"item_id"`
		First time.Time `db:"first"`
	}
	if err := t.list(&came, `select item_id, min(arrived_at) as first from parcel where item_id = any($1) group by item_id`, pq.Array(itemIDs)); err != nil {
		return nil, err
	}
	use, starts := map[int64][]float64{}, map[int64]int{}
	for _, c := range came {
		fy, fm, _ := c.First.In(zone).Date()
		starts[c.Item] = max(0, useMonths-monthsBetween(fy, fm, y, m)+1)
		use[c.Item] = make([]float64, max(0, useMonths-starts[c.Item]))
	}
	var rows []struct {
		Item  int64     `db:"item_id"`
		Month time.Time `db:"month"`
		Used  int64     `db:"used"`
	}
	if err := t.list(&rows, useBeyond, pq.Array(itemIDs), from, until, zone.String()); err != nil {
		return nil, err
	}
	for _, r := range rows {
		if i := useMonths - monthsBetween(r.Month.Year(), r.Month.Month(), y, m) - starts[r.Item]; i >= 0 && i < len(use[r.Item]) {
			use[r.Item][i] = float64(max(0, r.Used))
		}
	}
	return use, nil
}

func monthsBetween(y1 int, m1 time.Month, y2 int, m2 time.Month) int {
	return (y2-y1)*12 + int(m2) - int(m1)
}
