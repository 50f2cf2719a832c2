package store

import (
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/recall"
)

// Hold is an open recall that holds a garment.
type Hold struct {
	Garment int64
	Recall  Recall
}

const heldListed = `
	select l.recall_id, l.garment_id
	from recall_garment l
	where l.garment_id = any($1) and l.recall_id = any($2)
	and coalesce((select a.how from recall_account a where a.recall_id = l.recall_id and a.garment_id = l.garment_id order by a.id desc limit 1), '') <> 'checked-and-kept'
	order by l.recall_id, l.garment_id`

const heldSince = downstream + `
	select garment_id from found
	where garment_id = any($6) and not exists (select from recall_garment l where l.recall_id = $7 and l.garment_id = found.garment_id)
	order by garment_id`

// HeldByRecalls says which of some garments an open recall holds from sale: those
// on its list, or downstream since then, that were not checked and kept. Where
// no recall is open it costs one look.
func (t *Tx) HeldByRecalls(garmentIDs []int64) ([]Hold, error) {
	open, err := t.recalls(recallColumns + ` where e.recall_id is null order by r.id`)
	if err != nil || len(open) == 0 {
		return nil, err
	}
	ids, byID := make([]int64, len(open)), map[int64]Recall{}
	for i, r := range open {
		ids[i], byID[r.ID] = r.ID, r
	}
	var rows []struct {
		Recall  int64 `db:"recall_id"`
		Garment int64 `db:"garment_id"`
	}
	if err := t.list(&rows, heldListed, pq.Array(garmentIDs), pq.Array(ids)); err != nil {
		return nil, err
	}
	var holds []Hold
	for _, r := range rows {
		holds = append(holds, Hold{r.Garment, byID[r.Recall]})
	}
	for _, r := range open { // a studio has few open at once
		since, err := t.downstreamAmong(r, garmentIDs)
		if err != nil {
			return nil, err
		}
		for _, id := range since {
			holds = append(holds, Hold{id, r})
		}
	}
	return holds, nil
}

func (t *Tx) downstreamAmong(r Recall, garmentIDs []int64) (ids []int64, err error) {
	s, err := t.startOf(r.Node)
	if err != nil {
		return nil, err
	}
	err = t.list(&ids, heldSince, append(s.args(), pq.Array(garmentIDs), r.ID)...)
	return ids, err
}

// LetGo writes that an owner let garments go although recalls held them.
func (t *Tx) LetGo(holds []Hold, orderRef, by, reason string, at time.Time) error {
	var recalls, garments []int64
	for _, h := range holds {
		recalls, garments = append(recalls, h.Recall.ID), append(garments, h.Garment)
	}
	return t.exec(`
		insert into recall_override (recall_id, garment_id, order_ref, reason, by_name, happened_at, recorded_at, recorded_by)
		select u.recall, u.garment, $3, $4, $5, $6, $7, $8
		from unnest(CAST($1 AS bigint[]), CAST($2 AS bigint[])) as u (recall, garment) order by u.recall, u.garment`,
		pq.Array(recalls), pq.Array(garments), orderRef, reason, by, at, t.Now, t.By.ID)
}

// GarmentRecall is a recall as one garment on its list sees it.
type GarmentRecall struct {
	ID          int64  `db:"recall_id"`
	Title       string `db:"title"`
	Reason      string `db:"reason"`
	Closed      bool   `db:"closed"`
	Told        bool   `db:"told"`
	Accounted   string `db:"accounted"`
	OverrideBy  string `db:"override_by"`
	OverrideWhy string `db:"override_reason"`
}

const recallsOfGarment = `
	select r.id as recall_id, r.title, r.reason, exists (select from recall_end e where e.recall_id = r.id) as closed,
	       exists (select from recall_told t where t.recall_id = r.id and t.garment_id = $1) as told,
	       coalesce((select a.how from recall_account a where a.recall_id = r.id and a.garment_id = $1 order by a.id desc limit 1), '') as accounted,
	       coalesce(o.by_name, '') as override_by, coalesce(o.reason, '') as override_reason
	from (select recall_id from recall_garment where garment_id = $1 union select recall_id from recall_override where garment_id = $1) l
	join recall r on r.id = l.recall_id
	left join lateral (select by_name, reason from recall_override where recall_id = r.id and garment_id = $1 order by id desc limit 1) o on true
	order by r.id desc`

// RecallsOfGarment lists the recalls that a garment is on, the newest first.
func (t *Tx) RecallsOfGarment(garmentID int64) ([]GarmentRecall, error) {
	var rs []GarmentRecall
	err := t.list(&rs, recallsOfGarment, garmentID)
	return rs, err
}

// recallTasks are the open recalls, with what is still to be done for each.
func (t *Tx) recallTasks() ([]Task, error) {
	open, err := t.recalls(recallColumns + ` where e.recall_id is null order by r.id`)
	if err != nil || len(open) == 0 {
		return nil, err
	}
	ids := make([]int64, len(open))
	for i, r := range open {
		ids[i] = r.ID
	}
	rows, err := t.ListedRows(ids)
	var tasks []Task
	for _, r := range open {
		n := recall.Count(OfRecall(rows[r.ID]))
		tasks = append(tasks, Task{"recall", r.Code(), fmt.Sprintf("recall of %s: told %d of %d, accounted for %d of %d; %d still out, %d held in the house",
			r.Node.Title, n.Told, n.ToTell, n.Accounted, n.All(), n.StillOut, n.Held), time.Time{}})
	}
	return tasks, err
}
