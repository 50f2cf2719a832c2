package store

import (
	"time"

	"github.com/lib/pq"
)

// Collection is a season's plan.
type Collection struct {
	ID      int64  `db:"id"`
	Code    string `db:"code"`
	Name    string `db:"name"`
	Note    string `db:"note"`
	Pieces  int64  `db:"pieces"`  // of all lines in force
	Planned int64  `db:"planned"` // in runs that stand
}

// CollectionLine is one line in force.
type CollectionLine struct {
	CollectionID  int64     `db:"collection_id"`
	ColourwayID   int64     `db:"colourway_id"`
	ColourwayCode string    `db:"colourway_code"`
	RecipeCode    string    `db:"recipe_code"`
	ItemID        int64     `db:"item_id"`
	ItemCode      string    `db:"item_code"`
	Pieces        int64     `db:"pieces"`
	DueOn         time.Time `db:"due_on"`
	Planned       int64     `db:"-"` // allotted by the caller
}

// inForce are the newest rows of each colourway, blank and day.
const inForce = `
	select distinct on (n.collection_id, n.colourway_id, n.item_id, n.due_on) n.collection_id, n.colourway_id, n.item_id, n.due_on, n.pieces
	from collection_line n
	where n.collection_id = any($1)
	order by n.collection_id, n.colourway_id, n.item_id, n.due_on, n.id desc`

// filled counts the garments that runs of the collections dye or have dyed:
// neither cancelled nor judged out of the collection. A garment that is to be
// dyed once more counts where it goes.
const filled = `
	select rc.collection_id, run.colourway_id, p.item_id, count(*) as pieces
	from run_collection rc join run on run.id = rc.run_id and run.cancelled_at is null
	join lot l on l.run_id = run.id and l.state not in ('imperfect', 're-dye', 'scrapped', 'cancelled', 'part-done')
	join lateral (select g.parcel_id from garment g where g.lot_id = l.id and g.next_lot_id is null and g.place not in ('scrapped', 'cancelled', 'part-done')
	                     and coalesce(g.outcome, '') not in ('imperfect', 're-dye', 'scrapped')
	              union all select g.parcel_id from garment g where g.next_lot_id = l.id) g on true
	join parcel p on p.id = g.parcel_id
	where rc.collection_id = any($1)
	group by rc.collection_id, run.colourway_id, p.item_id`

// AddCollection writes one; its code must be new (fault.Exists).
func (t *Tx) AddCollection(c Collection) error {
	return t.exec(`insert into collection (code, name, note, recorded_at, recorded_by) values ($1, $2, $3, $4, $5)`, c.Code, c.Name, c.Note, t.Now, t.By.ID)
}

const collectionColumns = `
	select c.id, c.code, c.name, c.note, coalesce(w.pieces, 0) as pieces, coalesce(f.pieces, 0) as planned
	from collection c
	left join (select collection_id, sum(pieces) as pieces from (` + inForce + `) lines group by collection_id) w on w.collection_id = c.id
	left join (select collection_id, sum(pieces) as pieces from (` + filled + `) runs group by collection_id) f on f.collection_id = c.id
	where c.id = any($1) order by c.code`

func (t *Tx) collections(ids []int64) ([]Collection, error) {
	var cs []Collection
	err := t.list(&cs, collectionColumns, pq.Array(ids))
	return cs, err
}

// Collections lists them by code, after one.
func (t *Tx) Collections(after string, limit int) ([]Collection, error) {
	var ids []int64
	if err := t.list(&ids, `select id from collection where code > $1 order by code limit $2`, after, limit); err != nil {
		return nil, err
	}
	return t.collections(ids)
}

// CollectionByCode finds one. fault.NotFound.
func (t *Tx) CollectionByCode(code string) (Collection, error) {
	var id int64
	if err := t.get(&id, `select id from collection where code = $1`, code); err != nil {
		return Collection{}, missing(err, "collection", code)
	}
	cs, err := t.collections([]int64{id})
	if err != nil || len(cs) == 0 {
		return Collection{}, orNoRows(err)
	}
	return cs[0], nil
}

// CollectionLines lists the lines in force of some collections that ask for
// any, by day and then as a person reads them.
func (t *Tx) CollectionLines(ids []int64) ([]CollectionLine, error) {
	var lines []CollectionLine
	err := t.list(&lines, `
		select n.collection_id, n.colourway_id, w.code as colourway_code, r.code as recipe_code, n.item_id, i.code as item_code, n.pieces, n.due_on
		from (`+inForce+`) n join colourway w on w.id = n.colourway_id join recipe r on r.id = w.recipe_id join item i on i.id = n.item_id
		where n.pieces > 0 order by n.due_on, w.code, i.code, n.collection_id`, pq.Array(ids))
	return lines, err
}

// Filled is how many pieces of a blank in a colourway runs of a collection have.
type Filled struct {
	CollectionID int64 `db:"collection_id"`
	ColourwayID  int64 `db:"colourway_id"`
	ItemID       int64 `db:"item_id"`
	Pieces       int64 `db:"pieces"`
}

// FilledBy counts what runs of some collections have.
func (t *Tx) FilledBy(ids []int64) ([]Filled, error) {
	var fs []Filled
	err := t.list(&fs, filled, pq.Array(ids))
	return fs, err
}

// SetCollectionLine writes a line and returns what it was before.
func (t *Tx) SetCollectionLine(n CollectionLine) (before int64, err error) {
	// One at a time for each collection, so that the answer says what was.
	if err := t.exec(`select id from collection where id = $1 for update`, n.CollectionID); err != nil {
		return 0, err
	}
	err = t.get(&before, `
		select coalesce((select pieces from collection_line where collection_id = $1 and colourway_id = $2 and item_id = $3 and due_on = $4 order by id desc limit 1), 0)`,
		n.CollectionID, n.ColourwayID, n.ItemID, n.DueOn)
	if err != nil {
		return 0, err
	}
	return before, t.exec(`
		insert into collection_line (collection_id, colourway_id, item_id, pieces, due_on, at, recorded_by) values ($1, $2, $3, $4, $5, $6, $7)`,
		n.CollectionID, n.ColourwayID, n.ItemID, n.Pieces, n.DueOn, t.Now, t.By.ID)
}

// TieRun says which collection a run was planned for.
func (t *Tx) TieRun(runID, collectionID int64) error {
	return t.exec(`insert into run_collection (run_id, collection_id) values ($1, $2)`, runID, collectionID)
}

// RunsOfCollection are the runs of one that were not cancelled.
func (t *Tx) RunsOfCollection(id int64) ([]int64, error) {
	var ids []int64
	err := t.list(&ids, `select f.run_id from (`+tiedRuns+`) f join run on run.id = f.run_id where run.cancelled_at is null order by f.run_id`, pq.Array([]int64{id}))
	return ids, err
}

// tiedRuns are all runs that were ever planned for some collections.
const tiedRuns = `select run_id from run_collection where collection_id = any($1)`
