package store

import (
	"fmt"

	"github.com/lib/pq"

	"dyelot/inventory/lot"
)

// Progress is where a lot stands in its plan, seen from one position of it.
type Progress struct {
	LotID    int64     `db:"lot_id"`
	State    lot.State `db:"state"`
	Open     int       `db:"open"`     // planned stages without a standing record
	Next     int       `db:"next"`     // first open position other than this one; zero: none
	RecordID int64     `db:"recorded"` // the standing record of this position; zero: none
}

// ProgressOfRun tells it of every lot of a run.
func (t *Tx) ProgressOfRun(runID int64, position int) (map[int64]Progress, error) {
	var rows []Progress
	err := t.list(&rows, `
		select sl.lot_id, l.state, count(*) filter (where r.id is null) as open,
		       coalesce(min(s.position) filter (where r.id is null and s.position <> $2), 0) as next,
		       coalesce(max(r.id) filter (where s.position = $2), 0) as recorded
		from planned_stage s join planned_stage_lot sl on sl.stage_id = s.id join lot l on l.id = sl.lot_id
		left join (
			select r.position, rl.lot_id, max(r.id) as id
			from stage_record r join record_lot rl on rl.record_id = r.id
			where r.run_id = $1 and r.addition_to is null
			and not exists (select from record_undone u where u.record_id = r.id)
			group by r.position, rl.lot_id) r on r.position = s.position and r.lot_id = sl.lot_id
		where s.run_id = $1 group by sl.lot_id, l.state`, runID, position)
	by := make(map[int64]Progress, len(rows))
	for _, r := range rows {
		by[r.LotID] = r
	}
	return by, err
}

// StageInWords is a lot's planned stage in one line: "stage 4, after-dip, 27 mL
// of iron liquor, 45 °C, 15 min"; empty where there is none at that position.
func (t *Tx) StageInWords(lotID int64, position int) (string, error) {
	if position == 0 {
		return "", nil
	}
	var rows []struct {
		Kind    string         `db:"kind"`
		Celsius int            `db:"celsius"`
		Minutes int            `db:"minutes"`
		Amounts pq.Int64Array  `db:"amounts"`
		Units   pq.StringArray `db:"units"`
		Names   pq.StringArray `db:"names"`
	}
	err := t.list(&rows, `
		select s.kind, s.celsius, s.minutes, coalesce(array_agg(d.amount order by d.line) filter (where d.id is not null), '{}') as amounts,
		       coalesce(array_agg(i.unit order by d.line) filter (where d.id is not null), '{}') as units,
		       coalesce(array_agg(i.name order by d.line) filter (where d.id is not null), '{}') as names
		from planned_stage s join planned_stage_lot sl on sl.stage_id = s.id
		left join planned_dose d on d.stage_id = s.id left join item i on i.id = d.item_id
		where sl.lot_id = $1 and s.position = $2 group by s.id`, lotID, position)
	if err != nil || len(rows) == 0 {
		return "", err
	}
	r := rows[0]
	words := fmt.Sprintf("stage %d, %s", position, kindName(r.Kind))
	for i, n := range r.Amounts {
		words += fmt.Sprintf(", %s of %s", amountOf(n, r.Units[i]), r.Names[i])
	}
	if r.Celsius > 0 {
		words += fmt.Sprintf(", %d °C", r.Celsius)
	}
	if r.Minutes > 0 {
		words += fmt.Sprintf(", %d min", r.Minutes)
	}
	return words, nil
}
