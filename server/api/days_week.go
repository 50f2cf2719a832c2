package api

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/days"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/server/store"
)

const (
	usualDays = 7
	mostDays  = 31
	// ahead is how far the calendar is laid out: more than a season.
	ahead = 500
	// planNodes keeps one answer to a fraction of a second of one core.
	planNodes = 60_000
)

// GetWeekPlan plans all open stages, and shows the days that are asked for.
func (s *DaysServer) GetWeekPlan(ctx context.Context, req *dyelotv1.GetWeekPlanRequest) (*dyelotv1.GetWeekPlanResponse, error) {
	span := int(req.GetDays())
	if span == 0 {
		span = usualDays
	}
	if span < 1 || span > mostDays {
		return nil, fault.BadField("days", "%d days: 1 to %d are shown", span, mostDays)
	}
	from, err := day("from", req.GetFrom())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetWeekPlanResponse, error) {
		w, err := loadWeek(tx)
		if err != nil {
			return nil, err
		}
		first := from
		if first.IsZero() {
			first = w.today
		}
		if first.Before(w.today) {
			return nil, fault.BadField("from", "%s has passed: today is %s; what was done stands in: dyelot lot show LOT", showDay(first), showDay(w.today))
		}
		if first.After(w.today.AddDate(0, 0, ahead)) {
			return nil, fault.BadField("from", "%s is more than %d days ahead", showDay(first), ahead)
		}
		if err := w.plan(); err != nil {
			return nil, err
		}
		return w.encode(first, span), nil
	})
}

// week is all that a plan is made from, and the plan.
type week struct {
	zone    *time.Location
	today   time.Time // as its date
	now     days.Minute
	hours   days.Hours
	usual   bool
	open    []store.OpenStage
	vessels []store.Vessel
	short   map[int64][]string

	stages []days.Stage
	source []int // of each stage: index in open
	draft  days.Draft
	result days.Plan
	before []days.Placed // this morning's, by task; End 0 where there was none
}

func loadWeek(tx *store.Tx) (*week, error) {
	w := &week{}
	var err error
	if w.zone, err = tx.Zone(); err != nil {
		return nil, err
	}
	if w.today, err = tx.Today(); err != nil {
		return nil, err
	}
	w.now = w.minute(tx.Now)
	if w.hours, w.usual, err = tx.Hours(); err != nil {
		return nil, err
	}
	if w.open, err = tx.OpenStages(); err != nil {
		return nil, err
	}
	if w.vessels, err = tx.Vessels(); err != nil {
		return nil, err
	}
	w.short, err = tx.ShortByStage()
	return w, err
}

// minute counts from today's midnight by the studio's clock on the wall: a day
// has 24 hours here, also when the clocks change.
func (w *week) minute(at time.Time) days.Minute {
	local := at.In(w.zone)
	y, m, d := local.Date()
	whole := time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Sub(w.today).Hours() / 24
	return days.Minute(math.Round(whole))*days.Day + days.Minute(local.Hour()*60+local.Minute())
}

func (w *week) time(m days.Minute) time.Time {
	return time.Date(w.today.Year(), w.today.Month(), w.today.Day(), 0, int(m), 0, 0, w.zone)
}

// plan lays this morning's books out, and then moves as little of that as what
// happened since asks for.
func (w *week) plan() error {
	morning, err := w.draw(0, w.time(0))
	if err != nil {
		return err
	}
	first, err := days.Make(&morning.Problem, days.Limit{Nodes: planNodes})
	placed := map[string]days.Placed{}
	if err == nil { // else there was no plan to keep
		for i, at := range first.Placed {
			if morning.Problem.Tasks[i].Fixed == nil {
				placed[w.key(morning, i)] = at
			}
		}
	}
	if w.draft, err = w.draw(w.now, time.Time{}); err != nil {
		return err
	}
	w.before = make([]days.Placed, len(w.draft.Problem.Tasks))
	for i := range w.draft.Problem.Tasks {
		w.before[i] = placed[w.key(w.draft, i)]
	}
	w.result, err = days.Replan(&w.draft.Problem, w.before, days.Limit{Nodes: planNodes})
	return err
}

// key tells a task of the problem drawn last in the one drawn before.
func (w *week) key(d days.Draft, task int) string {
	return fmt.Sprint(w.stages[d.Stage[task]].Position, d.Problem.Tasks[task].Lots)
}

// draw makes the problem as the books are now, or as they were before a time.
func (w *week) draw(now days.Minute, before time.Time) (days.Draft, error) {
	w.stages, w.source = nil, nil
	for k, o := range w.open {
		if !before.IsZero() && !o.PlannedAt.Before(before) {
			continue
		}
		if err := w.stage(k, o, before); err != nil {
			return days.Draft{}, err
		}
	}
	var kept []days.Kept
	for _, v := range w.vessels {
		kept = append(kept, days.Kept{Pot: v.Pot(), Uses: v.Uses})
	}
	return days.DraftOf(w.stages, kept, w.hours, w.hours.Calendar(w.today, ahead), now)
}

// stage reads a planned stage: the lots for which it is recorded, each record by
// itself, and those for which it is not.
func (w *week) stage(k int, o store.OpenStage, before time.Time) error {
	kind, err := lot.KindOf(o.Kind)
	if err != nil {
		return err
	}
	s := days.Stage{Run: o.RunID, Position: int64(o.Position), Kind: kind, Celsius: o.Celsius, Minutes: o.Minutes, Pot: o.VesselID, Bath: o.Bath, Light: int64(math.Round(1000 * o.Light))}
	if !o.Due.IsZero() {
		s.Due = w.minute(time.Date(o.Due.Year(), o.Due.Month(), o.Due.Day(), 0, 0, 0, 0, w.zone)) + days.Day
		s.Due = max(1, s.Due)
	}
	left := slices.Clone(o.Lots)
	for _, d := range o.Done {
		if !before.IsZero() && !d.RecordedAt.Before(before) {
			continue
		}
		one := s
		one.Done = w.done(o, d)
		for i, l := range left {
			if l.ID == d.LotID {
				one.Lots = append(one.Lots, stageLot(l))
				left = slices.Delete(left, i, i+1)
				break
			}
		}
		if len(one.Lots) > 0 {
			w.stages, w.source = append(w.stages, one), append(w.source, k)
		}
	}
	if len(left) == 0 {
		return nil
	}
	for _, l := range left {
		s.Lots = append(s.Lots, stageLot(l))
	}
	if p := o.Pin; p != nil {
		s.Pin = &days.Pin{Start: w.minute(p.StartsAt), Vessel: p.VesselID, Reason: p.Reason}
	}
	w.stages, w.source = append(w.stages, s), append(w.source, k)
	return nil
}

func stageLot(l store.OpenLot) days.StageLot {
	return days.StageLot{ID: l.ID, Code: store.Code('L', l.ID), Pot: l.Pot, Pieces: l.Pieces}
}

// done says until when a recorded stage goes on by itself.
func (w *week) done(o store.OpenStage, d store.StageDone) *days.Done {
	start, over := d.Span(o.Kind, o.Celsius, o.Minutes)
	return &days.Done{Start: w.minute(start), Over: w.minute(over), Lifted: !d.FinishedAt.IsZero(), Skipped: d.Skipped, Vessel: d.VesselID}
}

func (w *week) lotCodes(task int) []string { return w.draft.Problem.Tasks[task].Lots }

func (w *week) openOf(task int) store.OpenStage { return w.open[w.source[w.draft.Stage[task]]] }
