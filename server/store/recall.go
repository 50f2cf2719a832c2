package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
	"dyelot/inventory/recall"
)

// Recall is one that was opened.
type Recall struct {
	ID          int64
	Node        recall.Node
	Reason      string
	By          string
	OpenedAt    time.Time
	ClosedAt    time.Time // zero while it is open
	ClosedBy    string
	CloseReason string
}

// Code is "K2".
func (r Recall) Code() string { return Code('K', r.ID) }

type recallRow struct {
	ID          int64      `db:"id"`
	Kind        string     `db:"kind"`
	NodeID      int64      `db:"node_id"`
	Use         int        `db:"bath_use"`
	Supplier    string     `db:"supplier"`
	Words       string     `db:"words"`
	Day         *time.Time `db:"picked_on"`
	Title       string     `db:"title"`
	Reason      string     `db:"reason"`
	By          string     `db:"by_name"`
	At          time.Time  `db:"happened_at"`
	ClosedAt    *time.Time `db:"closed_at"`
	ClosedBy    string     `db:"closed_by"`
	CloseReason string     `db:"close_reason"`
}

func (r recallRow) recall() Recall {
	n := recall.Node{Kind: recall.Kind(r.Kind), ID: r.NodeID, Use: r.Use, Supplier: r.Supplier, Words: r.Words, Day: orZero(r.Day), Title: r.Title}
	return Recall{ID: r.ID, Node: n, Reason: r.Reason, By: r.By, OpenedAt: r.At, ClosedAt: orZero(r.ClosedAt), ClosedBy: r.ClosedBy, CloseReason: r.CloseReason}
}

const recallColumns = `
	select r.id, r.kind, r.node_id, r.bath_use, r.supplier, r.words, r.picked_on, r.title, r.reason, r.by_name, r.happened_at,
	       e.happened_at as closed_at, coalesce(e.by_name, '') as closed_by, coalesce(e.reason, '') as close_reason
	from recall r left join recall_end e on e.recall_id = r.id`

func (t *Tx) recalls(query string, args ...any) ([]Recall, error) {
	var rows []recallRow
	err := t.list(&rows, query, args...)
	all := make([]Recall, len(rows))
	for i, r := range rows {
		all[i] = r.recall()
	}
	return all, err
}

// Recall finds one. fault.NotFound.
func (t *Tx) Recall(id int64) (Recall, error) {
	rs, err := t.recalls(recallColumns+` where r.id = $1`, id)
	if err != nil || len(rs) == 0 {
		return Recall{}, missing(orNoRows(err), "recall", Code('K', id))
	}
	return rs[0], nil
}

// LockRecall locks one, before any lot, and loads it. fault.NotFound.
func (t *Tx) LockRecall(id int64) (Recall, error) {
	var locked int64
	if err := t.get(&locked, `select id from recall where id = $1 for no key update`, id); err != nil {
		return Recall{}, missing(err, "recall", Code('K', id))
	}
	return t.Recall(id)
}

// OpenRecall writes a recall and the list as it was found.
func (t *Tx) OpenRecall(r Recall, rows []RecallRow) (id int64, err error) {
	var day *time.Time
	if !r.Node.Day.IsZero() {
		day = &r.Node.Day
	}
	n := r.Node
	if err := t.get(&id, `
		insert into recall (kind, node_id, bath_use, supplier, words, picked_on, title, reason, by_name, happened_at, recorded_at, recorded_by)
		values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12) returning id`,
		string(n.Kind), n.ID, n.Use, n.Supplier, n.Words, day, n.Title, r.Reason, r.By, r.OpenedAt, t.Now, t.By.ID); err != nil {
		return 0, err
	}
	return id, t.enlist(id, rows, false)
}

// enlist writes rows on the list of a recall.
func (t *Tx) enlist(id int64, rows []RecallRow, sinceThen bool) error {
	var ids []int64
	var places, orders []string
	for _, r := range rows {
		ids, places, orders = append(ids, r.ID), append(places, string(r.FoundPlace)), append(orders, r.FoundOrderRef)
	}
	if len(ids) == 0 {
		return nil
	}
	return t.exec(`
		insert into recall_garment (recall_id, garment_id, since_then, place, order_ref, found_at)
		select $1, u.garment, $2, u.place, u.order_ref, $3
		from unnest(CAST($4 AS bigint[]), CAST($5 AS text[]), CAST($6 AS text[])) as u (garment, place, order_ref) order by u.garment`,
		id, sinceThen, t.Now, pq.Array(ids), pq.Array(places), pq.Array(orders))
}

// Mark is what was told of some garments, or became of them.
type Mark struct {
	Recall int64
	Rows   []RecallRow
	Moved  map[int64]bool // by garment: taken back or scrapped in this act
	How    string
	Note   string
	By     string
	At     time.Time
}

// joinList puts what came downstream since then on the list, where a mark is to
// stand beside it.
func (t *Tx) joinList(m Mark) (ids []int64, err error) {
	var fresh []RecallRow
	for _, r := range m.Rows {
		ids = append(ids, r.ID)
		if !r.Listed {
			fresh = append(fresh, r)
		}
	}
	return ids, t.enlist(m.Recall, fresh, true)
}

// AddTold writes that somebody was told of some garments.
func (t *Tx) AddTold(m Mark) error {
	ids, err := t.joinList(m)
	if err != nil {
		return err
	}
	return t.exec(`
		insert into recall_told (recall_id, garment_id, how, by_name, happened_at, recorded_at, recorded_by)
		select $1, id, $3, $4, $5, $6, $7 from unnest(CAST($2 AS bigint[])) as u (id) order by id`,
		m.Recall, pq.Array(ids), m.How, m.By, m.At, t.Now, t.By.ID)
}

// AddAccount writes what became of some garments. Only what recall.Account has
// let be.
func (t *Tx) AddAccount(m Mark) error {
	ids, err := t.joinList(m)
	if err != nil {
		return err
	}
	moved := make([]bool, len(ids))
	for i, id := range ids {
		moved[i] = m.Moved[id]
	}
	return t.exec(`
		insert into recall_account (recall_id, garment_id, how, moved, note, by_name, happened_at, recorded_at, recorded_by)
		select $1, id, $4, moved, $5, $6, $7, $8, $9 from unnest(CAST($2 AS bigint[]), CAST($3 AS boolean[])) as u (id, moved) order by id`,
		m.Recall, pq.Array(ids), pq.Array(moved), m.How, m.Note, m.By, m.At, t.Now, t.By.ID)
}

// CloseRecall writes that it is over.
func (t *Tx) CloseRecall(id int64, reason, by string, at time.Time) error {
	return t.exec(`insert into recall_end (recall_id, reason, by_name, happened_at, recorded_at, recorded_by) values ($1, $2, $3, $4, $5, $6)`,
		id, reason, by, at, t.Now, t.By.ID)
}

// Recalls lists them, the newest first, before an id.
func (t *Tx) Recalls(before int64, limit int, closed bool) ([]Recall, error) {
	return t.recalls(recallColumns+` where r.id < $1 and ($3 or e.recall_id is null) order by r.id desc limit $2`, before, limit, closed)
}

const recallCounts = `
	select l.recall_id, l.garment_id as id, g.tag, g.place, g.order_ref, l.place as found_place, l.order_ref as found_order_ref, l.since_then, t.at as told_at,
	       coalesce(a.how, '') as accounted, a.at as accounted_at
	from recall_garment l join garment g on g.id = l.garment_id
	left join (select recall_id, garment_id, max(happened_at) as at from recall_told where recall_id = any($1) group by recall_id, garment_id) t
	       on t.recall_id = l.recall_id and t.garment_id = l.garment_id
	left join (select distinct on (recall_id, garment_id) recall_id, garment_id, how, happened_at as at from recall_account where recall_id = any($1)
	           order by recall_id, garment_id, id desc) a
	       on a.recall_id = l.recall_id and a.garment_id = l.garment_id
	where l.recall_id = any($1) order by l.recall_id, l.garment_id`

// ListedRows are the garments on the kept lists of some recalls, by recall: as
// each was found and how it stands, without what came downstream since then.
func (t *Tx) ListedRows(ids []int64) (map[int64][]RecallRow, error) {
	var rows []struct {
		Recall      int64      `db:"recall_id"`
		ID          int64      `db:"id"`
		Tag         string     `db:"tag"`
		Place       string     `db:"place"`
		Order       string     `db:"order_ref"`
		FoundPlace  string     `db:"found_place"`
		FoundOrder  string     `db:"found_order_ref"`
		SinceThen   bool       `db:"since_then"`
		ToldAt      *time.Time `db:"told_at"`
		Accounted   string     `db:"accounted"`
		AccountedAt *time.Time `db:"accounted_at"`
	}
	err := t.list(&rows, recallCounts, pq.Array(ids))
	all := map[int64][]RecallRow{}
	for _, r := range rows {
		all[r.Recall] = append(all[r.Recall], RecallRow{Marks: &Marks{ToldAt: orZero(r.ToldAt), AccountedAt: orZero(r.AccountedAt)}, Garment: recall.Garment{
			ID: r.ID, Tag: r.Tag, Place: lot.Place(r.Place), OrderRef: r.Order, FoundPlace: lot.Place(r.FoundPlace), FoundOrderRef: r.FoundOrder,
			SinceThen: r.SinceThen, Listed: true, Told: r.ToldAt != nil, Accounted: recall.How(r.Accounted)}})
	}
	return all, err
}
