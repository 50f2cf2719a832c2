package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/cost"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// PouredFrom lists the baths of the brews that were poured into some dye baths.
func (t *Tx) PouredFrom(bathIDs []int64) ([]int64, error) {
	var ids []int64
	err := t.list(&ids, `
		select distinct b.bath_id from stage_record d join brew_share s on s.dye_id = d.id join stage_record b on b.id = s.brew_id
		where d.bath_id = any($1) and b.bath_id is not null
		and not exists (select from record_undone u where u.record_id in (b.id, d.id)) order by 1`, pq.Array(bathIDs))
	return ids, err
}

// BathUse is one lot's fibre in one use of a bath, by a record that stands.
type BathUse struct {
	BathID   int64 `db:"bath_id"`
	Use      int   `db:"bath_use"`
	RecordID int64 `db:"record_id"`
	LotID    int64 `db:"lot_id"`
	FibreUG  int64 `db:"fibre_ug"`
}

// Fibre is its mass, air-dry.
func (u BathUse) Fibre() quantity.Amount { return quantity.Amount{N: u.FibreUG, Unit: quantity.Mass} }

// BathUses lists the uses of some baths, in order.
func (t *Tx) BathUses(bathIDs []int64) ([]BathUse, error) {
	var uses []BathUse
	err := t.list(&uses, `
		select r.bath_id, r.bath_use, r.id as record_id, l.lot_id, l.fibre_ug
		from stage_record r join record_lot l on l.record_id = r.id
		where r.bath_id = any($1) and r.addition_to is null and not r.skipped and not exists (select from record_undone u where u.record_id = r.id)
		order by r.bath_id, r.bath_use, l.lot_id`, pq.Array(bathIDs))
	return uses, err
}

// Poured is one brew record poured into one dye record.
type Poured struct {
	BrewID int64 `db:"brew_id"`
	DyeID  int64 `db:"dye_id"`
}

// PouringsOf lists where the liquor of some baths' brews went.
func (t *Tx) PouringsOf(bathIDs []int64) ([]Poured, error) {
	var all []Poured
	err := t.list(&all, `
		select s.brew_id, s.dye_id from brew_share s join stage_record b on b.id = s.brew_id
		where b.bath_id = any($1) and not exists (select from record_undone u where u.record_id in (s.brew_id, s.dye_id)) order by 1, 2`, pq.Array(bathIDs))
	return all, err
}

// Fed is one taking from the shelf: into a bath from a use of it on, or for a
// lot's issue.
type Fed struct {
	cost.Ref
	BathID  int64
	FromUse int
	LotID   int64 // of an issue
	Parcel  int64
	N       int64
	At      time.Time
}

// FedInto lists what stands of all that went into some baths, and what was
// issued to some lots.
func (t *Tx) FedInto(bathIDs, lotIDs []int64) ([]Fed, error) {
	var rows []struct {
		Movement int64     `db:"movement_id"`
		Line     int       `db:"line"`
		Bath     int64     `db:"bath_id"`
		Use      int       `db:"from_use"`
		Lot      int64     `db:"lot_id"`
		Parcel   int64     `db:"parcel_id"`
		Amount   int64     `db:"amount"`
		At       time.Time `db:"happened_at"`
	}
	err := t.list(&rows, `
		with acts as (
			select m.id, r.bath_id, CAST(r.bath_use AS int) as from_use, 0 as lot_id, m.happened_at from stage_record r join movement m on m.record_id = r.id where r.bath_id = any($1)
			union all
			select m.id, e.bath_id, e.after_use + 1, 0, m.happened_at from bath_entry e join movement m on m.entry_id = e.id where e.bath_id = any($1)
			union all
			select m.id, 0, 0, m.lot_id, m.happened_at from movement m where m.lot_id = any($2))
		select a.id as movement_id, p.line, a.bath_id, a.from_use, a.lot_id, p.parcel_id, p.amount, a.happened_at
		from acts a join posting p on p.movement_id = a.id
		where p.to_place = 'process' and not exists (select from movement b where b.reverses_id = a.id)
		order by a.id, p.line`, pq.Array(bathIDs), pq.Array(lotIDs))
	all := make([]Fed, len(rows))
	for i, r := range rows {
		all[i] = Fed{cost.Ref{Movement: r.Movement, Line: r.Line}, r.Bath, r.Use, r.Lot, r.Parcel, r.Amount, r.At}
	}
	return all, err
}

// LatestPriced is, by item, the parcel whose price would be asked for: the
// newest that had come by then with a cost of its own, or a making or harvest;
// else the newest of all.
func (t *Tx) LatestPriced(itemIDs []int64, by time.Time) (map[int64]int64, error) {
	var rows []struct {
		Item   int64 `db:"item_id"`
		Parcel int64 `db:"id"`
	}
	err := t.list(&rows, `
		select distinct on (p.item_id) p.item_id, p.id from parcel p
		where p.item_id = any($1) and p.commission_id is null
		order by p.item_id, (p.cost_micro is not null or p.origin <> 'delivery') desc, p.arrived_at <= $2 desc, p.arrived_at desc, p.id desc`, pq.Array(itemIDs), by)
	latest := map[int64]int64{}
	for _, r := range rows {
		latest[r.Item] = r.Parcel
	}
	return latest, err
}

// CostLedger loads some parcels, all they were made of, and all parcels of the
// pooled items among them, with every posting of theirs that stands: two
// statements, and one for the items.
func (t *Tx) CostLedger(parcelIDs, pooledItems []int64) ([]cost.Paid, []cost.Posting, error) {
	var rows []struct {
		ID         int64  `db:"id"`
		Item       int64  `db:"item_id"`
		Origin     string `db:"origin"`
		Micro      int64  `db:"cost_micro"`
		Currency   string `db:"currency"`
		Commission bool   `db:"customers"`
	}
	if err := t.list(&rows, `
		with recursive wanted (id) as (
			select CAST(u.id AS bigint) from unnest(CAST($1 AS bigint[])) as u (id)
			union
			select x.id from wanted w cross join lateral (
				select p.parcel_id as id from movement m join posting p on p.movement_id = m.id
				where m.made_parcel_id = w.id and p.to_place = 'making'
				union all
				select s.id from parcel o join parcel s on s.item_id = o.item_id where o.id = w.id and o.item_id = any($2)) x)
		select p.id, p.item_id, p.origin, coalesce(p.cost_micro, 0) as cost_micro, coalesce(p.currency, '') as currency, p.commission_id is not null as customers
		from parcel p where p.id in (select id from wanted) order by p.id`, pq.Array(parcelIDs), pq.Array(pooledItems)); err != nil || len(rows) == 0 {
		return nil, nil, err
	}
	var items, ids []int64
	for _, r := range rows {
		items, ids = append(items, r.Item), append(ids, r.ID)
	}
	known, err := t.ItemsByID(items)
	if err != nil {
		return nil, nil, err
	}
	parcels := make([]cost.Paid, len(rows))
	for i, r := range rows {
		parcels[i] = cost.Paid{ID: r.ID, Item: known[r.Item], Origin: stock.Origin(r.Origin), Customers: r.Commission,
			Cost: quantity.Money{Micro: r.Micro, Currency: r.Currency}}
	}
	postings, err := t.standingPostings(ids)
	return parcels, postings, err
}

func (t *Tx) standingPostings(parcelIDs []int64) ([]cost.Posting, error) {
	var rows []struct {
		Movement int64  `db:"movement_id"`
		Line     int    `db:"line"`
		Parcel   int64  `db:"parcel_id"`
		From     string `db:"from_place"`
		To       string `db:"to_place"`
		Amount   int64  `db:"amount"`
	}
	err := t.list(&rows, `
		select p.movement_id, p.line, p.parcel_id, p.from_place, p.to_place, p.amount
		from posting p
		where p.parcel_id = any($1) and p.kind <> 'reversal' and not exists (select from movement b where b.reverses_id = p.movement_id)
		order by p.movement_id, p.from_place = 'making', p.line`, pq.Array(parcelIDs))
	all := make([]cost.Posting, len(rows))
	for i, r := range rows {
		all[i] = cost.Posting{Movement: r.Movement, Line: r.Line, ParcelID: r.Parcel, From: stock.Place(r.From), To: stock.Place(r.To), N: r.Amount}
	}
	return all, err
}

// PotUse is one lot's fibre in a vessel on a day.
type PotUse struct {
	Vessel  string
	On      time.Time
	LotID   int64
	FibreUG int64
}

// longestDays is how many days of one record are counted as days of its pot: a
// slip in a date must not fill a year.
const longestDays = 60

// PotUses lists all fibre that was in the vessels of some lots on the days on
// which these were in them: a lot counts once a vessel and day, by its largest
// mass. A record that says when the cloth went in and came out is in its vessel
// on each of those days.
func (t *Tx) PotUses(lotIDs []int64, zone *time.Location) ([]PotUse, error) {
	var rows []struct {
		Vessel string    `db:"code"`
		On     time.Time `db:"day"`
		Lot    int64     `db:"lot_id"`
		Fibre  int64     `db:"fibre"`
	}
	err := t.list(&rows, `
		with ours as (
			select distinct r.vessel_id, d.day from stage_record r join record_lot l on l.record_id = r.id cross join lateral (`+daysOfRecord+`) d
			where l.lot_id = any($1) and r.vessel_id is not null and`+notUndone+`)
		select v.code, o.day, l.lot_id, max(l.fibre_ug) as fibre
		from ours o join vessel v on v.id = o.vessel_id
		join stage_record r on r.vessel_id = o.vessel_id
			and r.happened_at >= o.day - CAST($3 + 1 AS int) and r.happened_at < o.day + CAST($3 + 1 AS int)
		join record_lot l on l.record_id = r.id
		where`+notUndone+` and o.day in (select x.day from (`+daysOfRecord+`) x)
		group by v.code, o.day, l.lot_id order by o.day, v.code, l.lot_id`, pq.Array(lotIDs), zone.String(), longestDays)
	all := make([]PotUse, len(rows))
	for i, r := range rows {
		all[i] = PotUse{r.Vessel, r.On.UTC(), r.Lot, r.Fibre}
	}
	return all, err
}

// daysOfRecord are the studio's days that record r was in its vessel.
const daysOfRecord = `
	select CAST(g AS date) as day from generate_series(
		date_trunc('day', coalesce(r.started_at, r.finished_at, r.happened_at) at time zone $2),
		least(date_trunc('day', coalesce(r.finished_at, r.happened_at) at time zone $2),
		      date_trunc('day', coalesce(r.started_at, r.finished_at, r.happened_at) at time zone $2) + ($3 - 1) * interval '1 day'),
		interval '1 day') g`
