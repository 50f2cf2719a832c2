package store

import (
	"fmt"
	"time"

	"github.com/lib/pq"

	"dyelot/inventory/days"
	"dyelot/inventory/lot"
)

// nextStage is the stage that a lot comes to next, and what its cloth had last.
type nextStage struct {
	Lot         int64      `db:"id"`
	State       string     `db:"state"`
	Position    int        `db:"position"`
	Kind        string     `db:"kind"`
	Due         *time.Time `db:"due_on"`
	Last        string     `db:"last_kind"` // empty: nothing yet
	LastCelsius int        `db:"last_celsius"`
	LastMinutes int        `db:"last_minutes"`
	Happened    *time.Time `db:"happened_at"`
	Started     *time.Time `db:"started_at"`
	Finished    *time.Time `db:"finished_at"`
	Pinned      *time.Time `db:"pinned_at"`
}

// stageTasks are the next stages: due, late, or waiting for what goes on by
// itself.
func (t *Tx) stageTasks() ([]Task, error) {
	var brews []string
	for _, k := range lot.Kinds() {
		if k.Brews {
			brews = append(brews, k.Key)
		}
	}
	var rows []nextStage
	err := t.list(&rows, openDoses+`,
		next_stage as (
			select distinct on (l.id) l.id, l.state, s.run_id, s.position, s.kind, run.due_on
			from lot l join run on run.id = l.run_id
			join planned_stage_lot sl on sl.lot_id = l.id join planned_stage s on s.id = sl.stage_id
			where l.state in ('planned', 'in-work') and run.cancelled_at is null
			and not exists (select from recorded r where r.run_id = s.run_id and r.position = s.position and r.lot_id = l.id)
			order by l.id, s.position)
		select n.id, n.state, n.position, n.kind, n.due_on, coalesce(last.kind, '') as last_kind, coalesce(last.celsius, 0) as last_celsius,
		       coalesce(last.minutes, 0) as last_minutes, last.happened_at, last.started_at, last.finished_at, pin.starts_at as pinned_at
		from next_stage n
		left join lateral (
			select s.kind, s.celsius, s.minutes, r.happened_at, r.started_at, r.finished_at
			from record_lot rl join stage_record r on r.id = rl.record_id
			join planned_stage s on s.run_id = r.run_id and s.position = r.position
			join planned_stage_lot sl on sl.stage_id = s.id and sl.lot_id = n.id
			where rl.lot_id = n.id and r.run_id = n.run_id and r.addition_to is null and not r.skipped and not r.kind = any($1)
			and not exists (select from record_undone u where u.record_id = r.id)
			order by r.happened_at desc, r.id desc limit 1) last on true
		left join lateral (
			select k.starts_at from stage_pin k where k.lot_id = n.id and k.position = n.position order by k.id desc limit 1) pin on true
		order by n.id`, pq.Array(brews))
	if err != nil || len(rows) == 0 {
		return nil, err
	}
	zone, err := t.Zone()
	if err != nil {
		return nil, err
	}
	tasks := make([]Task, len(rows))
	for i, r := range rows {
		tasks[i] = r.task(t.Now, zone)
	}
	return tasks, nil
}

// task says whether the next stage may begin, has been kept waiting too long, or
// waits itself.
func (r nextStage) task(now time.Time, zone *time.Location) Task {
	next := fmt.Sprintf("stage %d, %s", r.Position, kindName(r.Kind))
	task := Task{"stage-next", Code('L', r.Lot), next, orZero(r.Due)}
	said := func(at time.Time) string { return at.In(zone).Format("Mon 2 Jan 15:04") }
	if r.State == string(lot.Planned) {
		task.Text = "issue its blanks, then " + next
	} else if r.Last != "" {
		if wait, most, known := r.wait(); known && wait.After(now) {
			task.Key, task.Text = "stage-waits", fmt.Sprintf("%s until %s, then %s", r.verb(), said(wait), next)
		} else if known && !most.IsZero() && now.After(most) {
			task.Key, task.Text = "stage-late", fmt.Sprintf("%s: was to follow %s by %s", next, kindName(r.Last), said(most))
		}
	}
	if r.Pinned != nil && task.Key == "stage-next" {
		task.Text += ": pinned to " + said(*r.Pinned)
	}
	return task
}

// wait is until when the next stage waits, and by when it is to follow; zero
// where it may wait.
func (r nextStage) wait() (until, most time.Time, known bool) {
	last, err := days.RowOf(r.Last)
	if err != nil {
		return until, most, false
	}
	next, err := days.RowOf(r.Kind)
	if err != nil {
		return until, most, false
	}
	d := StageDone{HappenedAt: orZero(r.Happened), StartedAt: orZero(r.Started), FinishedAt: orZero(r.Finished)}
	_, over := d.Span(r.Last, r.LastCelsius, r.LastMinutes)
	least, longest := days.Rests(last, next)
	until = over.Add(time.Duration(least) * time.Minute)
	if longest < days.Never {
		most = over.Add(time.Duration(longest) * time.Minute)
	}
	if kind, err := lot.KindOf(r.Kind); err == nil && kind.Brews { // drawn beside the cloth's own way
		return time.Time{}, time.Time{}, true
	}
	return until, most, true
}

func (r nextStage) verb() string {
	row, err := days.RowOf(r.Last)
	if next, e := days.RowOf(r.Kind); e == nil && next.Before > 0 {
		return "rests"
	}
	if err != nil || row.Alone == "" {
		return "stands"
	}
	return row.Alone
}
