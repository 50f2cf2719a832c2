package store

import (
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/stock"
)

// LotTest is a test of a lot's witness cloth that stands.
type LotTest struct {
	LotID  int64     `db:"lot_id"`
	Method string    `db:"method"`
	On     time.Time `db:"tested_on"`
}

// LotTests lists them.
func (t *Tx) LotTests(lotIDs []int64) ([]LotTest, error) {
	var tests []LotTest
	err := t.list(&tests, `
		select f.lot_id, f.method, f.tested_on from fastness_test f
		where f.lot_id = any($1) and not exists (select from evidence_withdrawn w where w.test_id = f.id) order by f.id`, pq.Array(lotIDs))
	return tests, err
}

// LotGarment is a garment that a lot had at its issue, and where it is now.
type LotGarment struct {
	ID       int64
	IssuedTo int64
	// Before: it had been in a lot before this one.
	Before bool
}

// IssuedGarments lists, for lots that are issued, the garments that they ever
// had, and for planned ones those that they are to have.
func (t *Tx) IssuedGarments(lotIDs []int64) ([]LotGarment, error) {
	var rows []struct {
		ID     int64 `db:"garment_id"`
		Lot    int64 `db:"lot_id"`
		Before bool  `db:"before"`
	}
	err := t.list(&rows, `
		with had as (
			select e.garment_id, e.lot_id, min(e.id) as first from garment_event e where e.lot_id = any($1) and e.kind = 'issued' group by 1, 2)
		select h.garment_id, h.lot_id, exists (select from garment_event b where b.garment_id = h.garment_id and b.kind = 'issued' and b.id < h.first) as before from had h
		union all
		select g.id, l.id, g.lot_id <> l.id from lot l join garment g on g.lot_id = l.id or g.next_lot_id = l.id
		where l.id = any($1) and l.issued_at is null and g.place <> 'cancelled'
		order by 2, 1`, pq.Array(lotIDs))
	all := make([]LotGarment, len(rows))
	for i, r := range rows {
		all[i] = LotGarment{r.ID, r.Lot, r.Before}
	}
	return all, err
}

// Wore is the worst grade that lots of a recipe's version got in one component.
type Wore struct {
	Method    string `db:"method"`
	Component string `db:"component"`
	Grades    string `db:"grades"`
	Lots      int    `db:"lots"`
}

// WoreLike lists the grades of the lots of one version of a recipe, by method
// and component.
func (t *Tx) WoreLike(versionID int64) ([]Wore, error) {
	var rows []Wore
	err := t.list(&rows, `
		select f.method, g.component, string_agg(distinct g.grade, ',' order by g.grade) as grades, count(distinct f.lot_id) as lots
		from run join lot l on l.run_id = run.id join fastness_test f on f.lot_id = l.id join fastness_grade g on g.test_id = f.id
		where run.version_id = $1 and not exists (select from evidence_withdrawn w where w.test_id = f.id)
		group by f.method, g.component order by f.method, g.component`, versionID)
	return rows, err
}

// NewestRunOf is the newest run of a colourway that was not cancelled; zero
// where there is none.
func (t *Tx) NewestRunOf(colourwayID int64) (int64, error) {
	var id int64
	err := t.get(&id, `select coalesce(max(id), 0) from run where colourway_id = $1 and cancelled_at is null`, colourwayID)
	return id, err
}

// ItemsByCode loads those of some items that exist.
func (t *Tx) ItemsByCode(codes []string) (map[string]stock.Item, error) { return t.itemsByCode(codes) }
