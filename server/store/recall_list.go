package store

import (
	"database/sql"
	"slices"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/recall"
)

// RecallRow is one garment of a recall, or of what one would be: where it is,
// and what was done.
type RecallRow struct {
	recall.Garment
	*Marks
	LotID int64
	Blank *Blank
	Since time.Time // where it is: sold, returned …
}

// Blank is what the garments of one parcel are; rows share it.
type Blank struct {
	ID         int64  `db:"id"`
	Commission int64  `db:"commission_id"` // whose customer they belong to; zero for the studio's own
	ItemCode   string `db:"code"`
	Style      string `db:"style"`
	Size       string `db:"size"`
}

// Marks are what was noted of a garment; those of a preview are all empty.
type Marks struct {
	ToldAt       time.Time
	ToldHow      string
	ToldBy       string
	AccountedAt  time.Time
	AccountedBy  string
	Note         string
	OverrideBy   string
	OverrideWhy  string
	SentAlthough time.Time
}

// placed are a garment's own columns, and since when it is where it is: of what
// is sold, when it was sold. µs since 1970 are cheaper to read than a time, and
// there may be ten thousand rows; a double holds them exactly until 2255.
const placed = `
	g.id, g.tag, g.lot_id, g.parcel_id, g.place, g.order_ref,
	CAST(coalesce(date_part('epoch', coalesce(sold.at, moved.at)), 0) * 1000000 AS bigint)`

const placedJoins = `
	left join lateral (
		select e.happened_at as at from garment_event e
		where e.garment_id = g.id and g.place = 'sold' and e.kind = 'sold' order by e.id desc limit 1) sold on true
	left join lateral (
		select e.happened_at as at from garment_event e
		where e.garment_id = g.id and g.place <> 'sold' order by e.id desc limit 1) moved on true`

// recallPreview lists garments downstream by order, place and tag.
const recallPreview = downstream + `
	select` + placed + `
	from garment g` + placedJoins + `
	where g.id = any(array(select garment_id from found))
	order by g.order_ref, g.place, g.id`

// PreviewRecall lists every garment downstream of a node, with where it is now,
// by order, place and tag.
func (t *Tx) PreviewRecall(n recall.Node) ([]RecallRow, error) {
	s, err := t.startOf(n)
	if err != nil {
		return nil, err
	}
	var none Marks
	return t.recalled(recallPreview, s.args(), func(rows *sql.Rows, own []any, r *RecallRow) error {
		r.Marks = &none
		err := rows.Scan(own...)
		r.FoundPlace, r.FoundOrderRef = r.Place, r.OrderRef
		return err
	})
}

// recallRows lists the garments of recall $6: the kept list, and what is
// downstream now and not on it.
const recallRows = downstream + `,
	listed as (
		select garment_id, place, order_ref, since_then from recall_garment where recall_id = $6),
	told as (
		select distinct on (garment_id) garment_id, how, by_name, happened_at from recall_told where recall_id = $6 order by garment_id, id desc),
	account as (
		select distinct on (garment_id) garment_id, how, by_name, happened_at, note from recall_account where recall_id = $6 order by garment_id, id desc),
	let_go as (
		select distinct on (garment_id) garment_id, by_name, reason, happened_at from recall_override where recall_id = $6 order by garment_id, id desc)
	select` + placed + `, l.garment_id is not null, coalesce(l.since_then, true), coalesce(l.place, g.place), coalesce(l.order_ref, g.order_ref),
	       coalesce(told.how, ''), coalesce(told.by_name, ''), CAST(coalesce(date_part('epoch', told.happened_at), 0) * 1000000 AS bigint),
	       coalesce(account.how, ''), coalesce(account.by_name, ''), CAST(coalesce(date_part('epoch', account.happened_at), 0) * 1000000 AS bigint), coalesce(account.note, ''),
	       coalesce(let_go.by_name, ''), coalesce(let_go.reason, ''), CAST(coalesce(date_part('epoch', let_go.happened_at), 0) * 1000000 AS bigint)
	from garment g` + placedJoins + `
	left join listed l on l.garment_id = g.id
	left join told on told.garment_id = g.id
	left join account on account.garment_id = g.id
	left join let_go on let_go.garment_id = g.id
	where g.id = any(array(select garment_id from found union select garment_id from listed))
	order by g.order_ref, g.place, g.id`

// RecallRows lists the garments of a recall as each was found and as it is now,
// with those that came downstream since then.
func (t *Tx) RecallRows(k Recall) ([]RecallRow, error) {
	s, err := t.startOf(k.Node)
	if err != nil {
		return nil, err
	}
	return t.recalled(recallRows, append(s.args(), k.ID), func(rows *sql.Rows, own []any, r *RecallRow) error {
		r.Marks = &Marks{}
		var told, accounted, letGo int64
		err := rows.Scan(append(own, &r.Listed, &r.SinceThen, &r.FoundPlace, &r.FoundOrderRef, &r.ToldHow, &r.ToldBy, &told,
			&r.Accounted, &r.AccountedBy, &accounted, &r.Note, &r.OverrideBy, &r.OverrideWhy, &letGo)...)
		r.ToldAt, r.AccountedAt, r.SentAlthough = micro(told), micro(accounted), micro(letGo)
		r.Told = told != 0
		return err
	})
}

// recalled reads rows whose first columns are placed, and then what their blanks
// are, once for each parcel.
func (t *Tx) recalled(query string, args []any, scan func(rows *sql.Rows, own []any, r *RecallRow) error) ([]RecallRow, error) {
	st, err := t.statement(query)
	if err != nil {
		return nil, err
	}
	rows, err := st.QueryContext(t.ctx, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var (
		all           []RecallRow
		r             RecallRow
		parcel, since int64
		blanks        = map[int64]*Blank{}
	)
	own := []any{&r.ID, &r.Tag, &r.LotID, &parcel, &r.Place, &r.OrderRef, &since}
	for rows.Next() {
		if err := scan(rows, own, &r); err != nil {
			return nil, err
		}
		if blanks[parcel] == nil {
			blanks[parcel] = &Blank{ID: parcel}
		}
		r.Blank, r.Since = blanks[parcel], micro(since)
		all = append(all, r)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	return all, t.fillBlanks(blanks)
}

func (t *Tx) fillBlanks(blanks map[int64]*Blank) error {
	if len(blanks) == 0 {
		return nil
	}
	var ids []int64
	for id := range blanks {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	var known []Blank
	err := t.list(&known, `
		select p.id, coalesce(p.commission_id, 0) as commission_id, i.code, i.style, i.size
		from parcel p join item i on i.id = p.item_id where p.id = any($1)`, pq.Array(ids))
	for _, b := range known {
		*blanks[b.ID] = b
	}
	return err
}

// micro reads µs since 1970; zero is no time.
func micro(us int64) time.Time {
	if us == 0 {
		return time.Time{}
	}
	return time.UnixMicro(us).UTC()
}

// OfRecall are the garments of rows alone, for the rules.
func OfRecall(rows []RecallRow) []recall.Garment {
	gs := make([]recall.Garment, len(rows))
	for i, r := range rows {
		gs[i] = r.Garment
	}
	return gs
}
