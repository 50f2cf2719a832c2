package store

import (
	"time"

	"dyelot/inventory/recall"
)

// RecallRow is one garment of a recall, or of what one would be: where it is,
// and what was done.
type RecallRow struct {
	recall.Garment
	LotID        int64
	Commission   int64
	ItemCode     string
	Style, Size  string
	Since        time.Time // where it is: sold, returned …
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
// there may be ten thousand rows.
const placed = `
	g.id, g.tag, g.lot_id, g.place, g.order_ref, coalesce(p.commission_id, 0), i.code, i.style, i.size, coalesce(w.since, 0)`

const placedJoins = `
	join parcel p on p.id = g.parcel_id join item i on i.id = p.item_id
	left join lateral (
		select CAST(extract(epoch from e.happened_at) * 1000000 AS bigint) as since
		from garment_event e where e.garment_id = g.id and (g.place <> 'sold' or e.kind = 'sold')
		order by e.id desc limit 1) w on true`

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
	st, err := t.statement(recallPreview)
	if err != nil {
		return nil, err
	}
	rows, err := st.QueryContext(t.ctx, s.args()...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []RecallRow
	for rows.Next() {
		var r RecallRow
		var since int64
		if err := rows.Scan(&r.ID, &r.Tag, &r.LotID, &r.Place, &r.OrderRef, &r.Commission, &r.ItemCode, &r.Style, &r.Size, &since); err != nil {
			return nil, err
		}
		r.Since = micro(since)
		r.FoundPlace, r.FoundOrderRef = r.Place, r.OrderRef
		all = append(all, r)
	}
	return all, rows.Err()
}

// micro reads µs since 1970; zero is no time.
func micro(us int64) time.Time {
	if us == 0 {
		return time.Time{}
	}
	return time.UnixMicro(us).UTC()
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
	       coalesce(told.how, ''), coalesce(told.by_name, ''), CAST(coalesce(extract(epoch from told.happened_at), 0) * 1000000 AS bigint),
	       coalesce(account.how, ''), coalesce(account.by_name, ''), CAST(coalesce(extract(epoch from account.happened_at), 0) * 1000000 AS bigint), coalesce(account.note, ''),
	       coalesce(let_go.by_name, ''), coalesce(let_go.reason, ''), CAST(coalesce(extract(epoch from let_go.happened_at), 0) * 1000000 AS bigint)
	from garment g` + placedJoins + `
	left join listed l on l.garment_id = g.id
	left join told on told.garment_id = g.id
	left join account on account.garment_id = g.id
	left join let_go on let_go.garment_id = g.id
	where g.id = any(array(select garment_id from found union select garment_id from listed))
	order by g.order_ref, g.place, g.id`

// RecallRows lists the garments of a recall as each was found and as it is now,
// with those that came downstream since then.
func (t *Tx) RecallRows(r Recall) ([]RecallRow, error) {
	s, err := t.startOf(r.Node)
	if err != nil {
		return nil, err
	}
	st, err := t.statement(recallRows)
	if err != nil {
		return nil, err
	}
	rows, err := st.QueryContext(t.ctx, append(s.args(), r.ID)...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []RecallRow
	for rows.Next() {
		var r RecallRow
		var since, told, accounted, letGo int64
		if err := rows.Scan(&r.ID, &r.Tag, &r.LotID, &r.Place, &r.OrderRef, &r.Commission, &r.ItemCode, &r.Style, &r.Size, &since,
			&r.Listed, &r.SinceThen, &r.FoundPlace, &r.FoundOrderRef, &r.ToldHow, &r.ToldBy, &told,
			&r.Accounted, &r.AccountedBy, &accounted, &r.Note, &r.OverrideBy, &r.OverrideWhy, &letGo); err != nil {
			return nil, err
		}
		r.Since, r.ToldAt, r.AccountedAt, r.SentAlthough = micro(since), micro(told), micro(accounted), micro(letGo)
		r.Told = told != 0
		all = append(all, r)
	}
	return all, rows.Err()
}

// OfRecall are the garments of rows alone, for the rules.
func OfRecall(rows []RecallRow) []recall.Garment {
	gs := make([]recall.Garment, len(rows))
	for i, r := range rows {
		gs[i] = r.Garment
	}
	return gs
}
