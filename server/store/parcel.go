package store

import (
	"slices"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

type parcelRow struct {
	itemRow
	ID          int64      `db:"id"`
	Origin      string     `db:"origin"`
	Supplier    string     `db:"supplier"`
	SupplierLot string     `db:"supplier_lot"`
	CostMicro   int64      `db:"cost_micro"`
	Currency    string     `db:"currency"`
	Part        string     `db:"part"`
	Place       string     `db:"place"`
	Ripeness    string     `db:"ripeness"`
	PickedOn    *time.Time `db:"picked_on"`
	Permission  string     `db:"permission"`
	FreshUG     int64      `db:"fresh_ug"`
	DryUG       int64      `db:"dry_ug"`
	Strength    int64      `db:"strength"`
	MgPerL      int64      `db:"mg_per_l"`
	Unknown     bool       `db:"strength_unknown"`
	PieceUG     int64      `db:"piece_ug"`
	ArrivedAt   time.Time  `db:"arrived_at"`
	UsableUntil *time.Time `db:"usable_until"`
	Blocked     string     `db:"blocked"`
	Note        string     `db:"note"`
	Commission  int64      `db:"commission_id"`
	NotTake     string     `db:"might_not_take"`
	RecordedBy  string     `db:"recorded_by"`
	OnHand      int64      `db:"on_hand"`
	Reserved    int64      `db:"reserved"`
}

// parcelColumns expects parcel p, item i, and a balance b. Strength and block
// are the newest of their histories, dry is what came in from the field.
const parcelColumns = `
	select ` + itemColumns + `,
	       p.id, p.origin, p.supplier, p.supplier_lot, coalesce(p.cost_micro, 0) as cost_micro, coalesce(p.currency, '') as currency,
	       p.part, p.place, p.ripeness, p.picked_on, p.permission, coalesce(p.fresh_ug, 0) as fresh_ug, coalesce(h.dry, 0) as dry_ug,
	       coalesce(s.percent, 0) as strength, coalesce(p.mg_per_l, 0) as mg_per_l, p.strength_unknown, coalesce(p.piece_mass_ug, 0) as piece_ug,
	       p.arrived_at, p.usable_until, coalesce(k.reason, '') as blocked, p.note, coalesce(p.commission_id, 0) as commission_id, p.might_not_take, w.name as recorded_by, b.on_hand, b.reserved`

const parcelJoins = `
	join parcel p on p.id = b.parcel_id
	join item i on i.id = p.item_id
	join principal w on w.id = p.recorded_by
	left join lateral (select percent from parcel_strength where parcel_id = p.id order by measured_on desc, id desc limit 1) s on true
	left join lateral (select case when lifted then '' else reason end as reason from parcel_block where parcel_id = p.id order by id desc limit 1) k on true
	left join lateral (select sum(case when from_place = 'field' then amount else -amount end) as dry from posting
	                   where p.origin = 'harvest' and parcel_id = p.id and (from_place = 'field' or to_place = 'field')) h on true`

func (r parcelRow) parcel() stock.Parcel {
	p := stock.Parcel{
		ID: r.ID, Item: r.item(), Origin: stock.Origin(r.Origin), Supplier: r.Supplier, SupplierLot: r.SupplierLot,
		Cost: quantity.Money{Micro: r.CostMicro, Currency: r.Currency},
		Harvest: stock.Harvest{Part: r.Part, Place: r.Place, Ripeness: r.Ripeness, PickedOn: orZero(r.PickedOn), Permission: r.Permission,
			Fresh: massOrNone(r.FreshUG), Dry: massOrNone(r.DryUG)},
		Strength: quantity.Percent(r.Strength), Concentration: quantity.Concentration(r.MgPerL), StrengthUnknown: r.Unknown,
		PieceMass: massOrNone(r.PieceUG), ArrivedAt: r.ArrivedAt, UsableUntil: orZero(r.UsableUntil), Blocked: r.Blocked,
		Note: r.Note, CommissionID: r.Commission, MightNotTake: r.NotTake, RecordedBy: r.RecordedBy, OnHand: amountOf(r.OnHand, r.Unit), Promised: amountOf(r.Reserved, r.Unit),
	}
	return p
}

func (t *Tx) parcels(query string, args ...any) ([]stock.Parcel, error) {
	var rows []parcelRow
	err := t.list(&rows, query, args...)
	ps := make([]stock.Parcel, len(rows))
	for i, r := range rows {
		ps[i] = r.parcel()
	}
	return ps, err
}

// ParcelsByID loads those of some parcels that exist.
func (t *Tx) ParcelsByID(ids []int64) (map[int64]stock.Parcel, error) {
	ps, err := t.parcels(parcelColumns+` from balance b`+parcelJoins+` where b.parcel_id = any($1)`, pq.Array(ids))
	by := make(map[int64]stock.Parcel, len(ps))
	for _, p := range ps {
		by[p.ID] = p
	}
	return by, err
}

// Parcel finds one. fault.NotFound.
func (t *Tx) Parcel(id int64) (stock.Parcel, error) {
	ps, err := t.ParcelsByID([]int64{id})
	p, ok := ps[id]
	if err == nil && !ok {
		err = fault.Missing("parcel", Code('P', id))
	}
	return p, err
}

// ParcelByCode finds the one whose code stands in a field of the call.
func (t *Tx) ParcelByCode(field, code string) (stock.Parcel, error) {
	id, err := ID('P', field, code)
	if err != nil {
		return stock.Parcel{}, err
	}
	return t.Parcel(id)
}

// LockParcels locks the balances of some parcels in ascending id, so that until
// the transaction ends nobody else takes, promises or counts them, and loads
// them in that order. Lots are locked before parcels. fault.NotFound names the
// first that does not exist.
//
// Where it waited for another transaction, balances are as that one left them;
// a strength, block or harvest that the other one wrote is not seen yet. What
// decides by those loads them once more (Parcel) after locking.
func (t *Tx) LockParcels(ids []int64) ([]stock.Parcel, error) {
	ps, err := t.parcels(`
		with b as materialized (
			select parcel_id, on_hand, reserved from balance where parcel_id = any($1) order by parcel_id for update)
		`+parcelColumns+` from b`+parcelJoins+` order by b.parcel_id`, pq.Array(ids))
	if err != nil {
		return nil, err
	}
	for _, id := range ids {
		if !slices.ContainsFunc(ps, func(p stock.Parcel) bool { return p.ID == id }) {
			return nil, fault.Missing("parcel", Code('P', id))
		}
	}
	return ps, nil
}

// ParcelsOfItems loads the parcels of some items that hold something, by id.
func (t *Tx) ParcelsOfItems(itemIDs []int64) ([]stock.Parcel, error) {
	return t.parcels(parcelColumns+` from balance b`+parcelJoins+` where p.item_id = any($1) and b.on_hand > 0 order by p.id`, pq.Array(itemIDs))
}

// LockParcelsOfItems is ParcelsOfItems with the balances locked in ascending
// id, as LockParcels does.
func (t *Tx) LockParcelsOfItems(itemIDs []int64) ([]stock.Parcel, error) {
	return t.parcels(`
		with b as materialized (
			select c.parcel_id, c.on_hand, c.reserved from balance c join parcel q on q.id = c.parcel_id
			where q.item_id = any($1) and c.on_hand > 0 order by c.parcel_id for update of c)
		`+parcelColumns+` from b`+parcelJoins+` order by b.parcel_id`, pq.Array(itemIDs))
}

// ParcelFilter chooses parcels for a list.
type ParcelFilter struct {
	ItemCode string // empty: every item
	Kind     string // empty: every kind
	Empty    bool   // what holds nothing too; a damp harvest is listed unless it was blocked
}

// ListParcels lists parcels by id, after one.
func (t *Tx) ListParcels(f ParcelFilter, after int64, limit int) ([]stock.Parcel, error) {
	return t.parcels(parcelColumns+` from balance b`+parcelJoins+`
		where b.parcel_id > $1 and ($3 = '' or i.code = $3) and ($4 = '' or i.kind = $4)
		and ($5 or b.on_hand > 0 or (p.origin = 'harvest' and coalesce(h.dry, 0) = 0 and coalesce(k.reason, '') = ''))
		order by b.parcel_id limit $2`, after, limit, f.ItemCode, f.Kind, f.Empty)
}

// AddParcel writes a parcel that holds nothing yet and returns its id; a
// movement brings its stock. Strength, block and balances of p are not read:
// they have histories of their own.
func (t *Tx) AddParcel(p stock.Parcel) (int64, error) {
	var currency *string
	var cost *int64
	if p.Cost.Currency != "" {
		currency, cost = &p.Cost.Currency, &p.Cost.Micro
	}
	var id int64
	err := t.get(&id, `
		insert into parcel (item_id, origin, supplier, supplier_lot, cost_micro, currency, part, place, ripeness, picked_on, permission, fresh_ug,
		                    mg_per_l, strength_unknown, piece_mass_ug, arrived_at, usable_until, note, recorded_by, recorded_at,
		                    commission_id, might_not_take)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22) returning id`,
		p.Item.ID, string(p.Origin), p.Supplier, p.SupplierLot, cost, currency, p.Harvest.Part, p.Harvest.Place, p.Harvest.Ripeness, orNull(p.Harvest.PickedOn),
		p.Harvest.Permission, nullIfZero(p.Harvest.Fresh.N), nullIfZero(int64(p.Concentration)), p.StrengthUnknown, nullIfZero(p.PieceMass.N),
		p.ArrivedAt, orNull(p.UsableUntil), p.Note, t.By.ID, t.Now, nullIfZero(p.CommissionID), p.MightNotTake)
	return id, err
}

// SetStrength adds a finding: the newest day is in force, and of one day the
// last one written.
func (t *Tx) SetStrength(parcelID int64, s quantity.Percent, basis string, on time.Time) error {
	return t.exec(`
		insert into parcel_strength (parcel_id, percent, basis, measured_on, recorded_by, recorded_at) values ($1, $2, $3, $4, $5, $6)`,
		parcelID, int64(s), basis, on, t.By.ID, t.Now)
}

// BlockParcel blocks a parcel, or lifts the block.
func (t *Tx) BlockParcel(parcelID int64, reason string, lift bool) error {
	return t.exec(`
		insert into parcel_block (parcel_id, lifted, reason, recorded_by, recorded_at) values ($1, $2, $3, $4, $5)`,
		parcelID, lift, reason, t.By.ID, t.Now)
}
