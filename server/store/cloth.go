package store

import (
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// PartDone is cloth of one lot that was put on the shelf before it was dyed.
type PartDone struct {
	LotID      int64     `db:"lot_id"`
	Shade      string    `db:"shade"` // what it is meant to become
	Note       string    `db:"note"`
	By         string    `db:"by_name"`
	HappenedAt time.Time `db:"happened_at"`
}

// ShelveCloth writes that a lot was put on the shelf, and moves its garments
// there. Only what lot.ShelveCloth has let go.
func (t *Tx) ShelveCloth(p PartDone) error {
	err := t.exec(`
		insert into part_done (lot_id, shade, note, by_name, happened_at, recorded_at, recorded_by) values ($1, $2, $3, $4, $5, $6, $7)`,
		p.LotID, p.Shade, p.Note, p.By, p.HappenedAt, t.Now, t.By.ID)
	if err != nil {
		return err
	}
	if err := t.SetLotStates(map[int64]lot.State{p.LotID: lot.PartDone}); err != nil {
		return err
	}
	return t.PlaceGarments(p.LotID, []lot.Place{lot.PlaceInWork}, lot.PlacePartDone, "put on the shelf part-done", p.HappenedAt, p.By, "meant for "+p.Shade)
}

const partDoneColumns = `select lot_id, shade, note, by_name, happened_at from part_done`

// PartDoneLots lists cloth after a lot's id; what was all taken since only when
// asked for.
func (t *Tx) PartDoneLots(after int64, limit int, gone bool) ([]PartDone, error) {
	var ps []PartDone
	err := t.list(&ps, partDoneColumns+` p
		where lot_id > $1 and ($3 or exists (select from garment g where g.lot_id = p.lot_id and g.place = 'part-done'))
		order by lot_id limit $2`, after, limit, gone)
	return ps, err
}

// PartDoneOf finds the cloth of some lots, by lot.
func (t *Tx) PartDoneOf(lotIDs []int64) (map[int64]PartDone, error) {
	var rows []PartDone
	err := t.list(&rows, partDoneColumns+` where lot_id = any($1)`, pq.Array(lotIDs))
	by := map[int64]PartDone{}
	for _, r := range rows {
		by[r.LotID] = r
	}
	return by, err
}

// againTasks are garments that wait to be dyed again, to be judged, or for their
// plant.
func (t *Tx) againTasks() ([]Task, error) {
	var rows []struct {
		Lot     int64 `db:"lot_id"`
		ReDye   int   `db:"re_dye"`
		Back    int   `db:"back"`
		Waiting int   `db:"waiting"`
	}
	err := t.list(&rows, `
		select g.lot_id, count(*) filter (where g.place = 'in-work') as re_dye, count(*) filter (where g.place = 'returned') as back,
		       count(*) filter (where g.place = 'part-done') as waiting
		from garment g join lot l on l.id = g.lot_id
		where g.next_lot_id is null and g.place in ('in-work', 'part-done', 'returned')
		and (g.place <> 'in-work' or coalesce(g.outcome, l.state) = 're-dye' and l.state not in ('planned', 'in-work'))
		group by g.lot_id order by g.lot_id`)
	var tasks []Task
	for _, r := range rows {
		code := Code('L', r.Lot)
		if r.ReDye > 0 {
			tasks = append(tasks, Task{Key: "dye-again", Subject: code, Text: fmt.Sprintf("%s to be dyed again: plan a run with the lot's garments", pieces(r.ReDye))})
		}
		if r.Back > 0 {
			tasks = append(tasks, Task{Key: "came-back", Subject: code, Text: fmt.Sprintf("%s came back and no verdict was given since: mend, judge or dye again", pieces(r.Back))})
		}
		if r.Waiting > 0 {
			tasks = append(tasks, Task{Key: "part-done", Subject: code, Text: fmt.Sprintf("%s part-done on the shelf, waiting for a plant", pieces(r.Waiting))})
		}
	}
	return tasks, err
}

func pieces(n int) string {
	if n == 1 {
		return "1 garment"
	}
	return fmt.Sprintf("%d garments", n)
}
