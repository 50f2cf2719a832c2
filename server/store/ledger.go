package store

import (
	"errors"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/stock"
)

var errNoLegs = errors.New("a movement without legs moves nothing and is not booked")

// Post books a movement with its legs, in one statement, and returns its id.
// Balances follow in the same statement; it fails where a parcel would end
// below zero or promised beyond what it holds, so promises that the act
// fulfils or eats are written before it (AddPromiseEntries). ByName is the
// caller's where it is empty; RecordedAt, ID and ReversedByID are not read.
func (t *Tx) Post(m stock.Movement) (int64, error) {
	if len(m.Legs) == 0 {
		return 0, errNoLegs
	}
	var parcel, amount []int64
	var from, to []string
	for _, l := range m.Legs {
		parcel, amount = append(parcel, l.ParcelID), append(amount, l.Amount.N)
		from, to = append(from, string(l.From)), append(to, string(l.To))
	}
	by := m.ByName
	if by == "" {
		by = t.By.Name
	}
	var reversesKind *string
	if m.ReversesID != 0 {
		kind := string(m.ReversesKind)
		reversesKind = &kind
	}
	var id int64
	err := t.get(&id, `
		with act as (
			insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, reason, record_id, lot_id, made_parcel_id, reverses_id, reverses_kind, entry_id)
			values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $16) returning id, kind),
		legs as (
			insert into posting (movement_id, kind, line, parcel_id, from_place, to_place, amount)
			select act.id, act.kind, u.n, u.parcel, u.from_place, u.to_place, u.amount
			from act, unnest(CAST($12 AS bigint[]), CAST($13 AS text[]), CAST($14 AS text[]), CAST($15 AS bigint[]))
			     with ordinality as u (parcel, from_place, to_place, amount, n))
		select id from act`,
		string(m.Kind), m.HappenedAt, t.Now, t.By.ID, by, m.Reason, nullIfZero(m.RecordID), nullIfZero(m.LotID), nullIfZero(m.MadeParcelID),
		nullIfZero(m.ReversesID), reversesKind, pq.Array(parcel), pq.Array(from), pq.Array(to), pq.Array(amount), nullIfZero(m.EntryID))
	return id, err
}

type movementRow struct {
	ID           int64     `db:"id"`
	Kind         string    `db:"kind"`
	HappenedAt   time.Time `db:"happened_at"`
	RecordedAt   time.Time `db:"recorded_at"`
	ByName       string    `db:"by_name"`
	Reason       string    `db:"reason"`
	RecordID     int64     `db:"record_id"`
	LotID        int64     `db:"lot_id"`
	EntryID      int64     `db:"entry_id"`
	MadeID       int64     `db:"made_parcel_id"`
	ReversesID   int64     `db:"reverses_id"`
	ReversesKind string    `db:"reverses_kind"`
	ReversedByID int64     `db:"reversed_by"`
}

const movementColumns = `
	select m.id, m.kind, m.happened_at, m.recorded_at, m.by_name, m.reason, coalesce(m.record_id, 0) as record_id, coalesce(m.lot_id, 0) as lot_id, coalesce(m.entry_id, 0) as entry_id,
	       coalesce(m.made_parcel_id, 0) as made_parcel_id, coalesce(m.reverses_id, 0) as reverses_id, coalesce(m.reverses_kind, '') as reverses_kind,
	       coalesce(r.id, 0) as reversed_by
	from movement m left join movement r on r.reverses_id = m.id`

func (t *Tx) movements(query string, args ...any) ([]stock.Movement, error) {
	var rows []movementRow
	if err := t.list(&rows, query, args...); err != nil || len(rows) == 0 {
		return nil, err
	}
	ms := make([]stock.Movement, len(rows))
	at := map[int64]*stock.Movement{}
	ids := make([]int64, len(rows))
	for i, r := range rows {
		ms[i] = stock.Movement{ID: r.ID, Kind: stock.Act(r.Kind), HappenedAt: r.HappenedAt, RecordedAt: r.RecordedAt, ByName: r.ByName, Reason: r.Reason,
			RecordID: r.RecordID, LotID: r.LotID, EntryID: r.EntryID, MadeParcelID: r.MadeID, ReversesID: r.ReversesID, ReversesKind: stock.Act(r.ReversesKind), ReversedByID: r.ReversedByID}
		at[r.ID], ids[i] = &ms[i], r.ID
	}
	legs, err := t.legs(`p.movement_id = any($1)`, pq.Array(ids))
	for _, l := range legs {
		at[l.Movement].Legs = append(at[l.Movement].Legs, l.leg())
	}
	return ms, err
}

type legRow struct {
	Movement int64  `db:"movement_id"`
	Made     int64  `db:"made_parcel_id"`
	Parcel   int64  `db:"parcel_id"`
	From     string `db:"from_place"`
	To       string `db:"to_place"`
	Amount   int64  `db:"amount"`
	Unit     string `db:"unit"`
}

func (r legRow) leg() stock.Leg {
	return stock.Leg{ParcelID: r.Parcel, From: stock.Place(r.From), To: stock.Place(r.To), Amount: amountOf(r.Amount, r.Unit)}
}

func (t *Tx) legs(where string, args ...any) ([]legRow, error) {
	var rows []legRow
	err := t.list(&rows, `
		select p.movement_id, coalesce(m.made_parcel_id, 0) as made_parcel_id, p.parcel_id, p.from_place, p.to_place, p.amount, i.unit
		from posting p join movement m on m.id = p.movement_id
		join parcel on parcel.id = p.parcel_id join item i on i.id = parcel.item_id
		where `+where+` order by p.movement_id, p.line`, args...)
	return rows, err
}

// Movement finds one, with its legs and, where it was reversed, by what.
// fault.NotFound.
func (t *Tx) Movement(id int64) (stock.Movement, error) {
	ms, err := t.movements(movementColumns+` where m.id = $1`, id)
	if err != nil || len(ms) == 0 {
		return stock.Movement{}, missing(orNoRows(err), "movement", Code('M', id))
	}
	return ms[0], nil
}

// MovementsOfParcel lists every movement that touched a parcel, in the order in
// which they were booked, each with all its legs.
func (t *Tx) MovementsOfParcel(parcelID int64) ([]stock.Movement, error) {
	return t.movements(movementColumns+` where m.id in (select movement_id from posting where parcel_id = $1) order by m.id`, parcelID)
}

// MovementOfRecord finds what a stage record took; ok is false where it took
// nothing.
func (t *Tx) MovementOfRecord(recordID int64) (m stock.Movement, ok bool, err error) {
	ms, err := t.movements(movementColumns+` where m.record_id = $1`, recordID)
	if err != nil || len(ms) == 0 {
		return stock.Movement{}, false, err
	}
	return ms[0], true, nil
}

// MadeFrom tells what made parcels were made from, by the parcel that was made.
func (t *Tx) MadeFrom(parcelIDs []int64) (map[int64][]stock.Leg, error) {
	rows, err := t.legs(`m.made_parcel_id = any($1) and p.to_place = 'making'`, pq.Array(parcelIDs))
	from := map[int64][]stock.Leg{}
	for _, r := range rows {
		from[r.Made] = append(from[r.Made], r.leg())
	}
	return from, err
}

// MovementOfEntry finds what an entry of a bath's diary took; ok is false where
// it took nothing.
func (t *Tx) MovementOfEntry(entryID int64) (m stock.Movement, ok bool, err error) {
	ms, err := t.movements(movementColumns+` where m.entry_id = $1`, entryID)
	if err != nil || len(ms) == 0 {
		return stock.Movement{}, false, err
	}
	return ms[0], true, nil
}
