package api

import (
	"slices"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/days"
	"dyelot/server/store"
)

// encode shows the days from first on.
func (w *week) encode(first time.Time, span int) *dyelotv1.GetWeekPlanResponse {
	resp := &dyelotv1.GetWeekPlanResponse{From: showDay(first), Days: int32(span), TimeZone: w.zone.String(), Hours: encodeHours(w.hours, w.usual),
		Optimal: w.result.Optimal, Minutes: encodeRows()}
	for _, v := range w.vessels {
		resp.VesselCodes = append(resp.VesselCodes, v.Code)
	}
	p := &w.draft.Problem
	if len(p.Tasks) == 0 {
		return resp
	}
	resp.EndsAt, resp.BoundAt, resp.BoundWhy = stamp(w.time(w.result.Makespan)), stamp(w.time(w.result.Bound.At)), w.result.Bound.Why
	from := w.minute(time.Date(first.Year(), first.Month(), first.Day(), 0, 0, 0, 0, w.zone))
	until := from + days.Minute(span)*days.Day
	why := days.Why(p, w.result)
	order := make([]int, len(p.Tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(w.result.Placed[a].Start - w.result.Placed[b].Start) })
	for _, i := range order {
		at := w.result.Placed[i]
		if f := p.Tasks[i].Fixed; f == nil || !f.Begun {
			resp.OpenStages++
		}
		if at.End >= from && at.Start < until {
			resp.Tasks = append(resp.Tasks, w.encodeTask(i, why[i]))
		}
	}
	resp.Late, resp.Clashes = w.encodeLate(), w.encodeClashes()
	return resp
}

func (w *week) encodeTask(i int, why days.Reason) *dyelotv1.WeekTask {
	t, at, o := &w.draft.Problem.Tasks[i], w.result.Placed[i], w.openOf(i)
	m := &dyelotv1.WeekTask{LotCodes: t.Lots, RunCode: store.Code('R', o.RunID), ColourwayCode: o.Colourway, Position: int32(o.Position), Kind: o.Kind, KindName: w.stages[w.draft.Stage[i]].Kind.Name,
		StartsAt: stamp(w.time(at.Start)), EndsAt: stamp(w.time(at.End)), AloneFrom: stamp(w.time(at.Start + at.Clean + t.Begin + t.Heat)), LiftAt: stamp(w.time(at.Lift)),
		People: 1, AttendedMinutes: int32(at.Clean + t.Begin + t.End), CleanMinutes: int32(at.Clean), Burner: t.Burner, Pieces: t.Rack, Note: w.note(i)}
	if at.Vessel >= 0 {
		m.VesselCode = w.draft.Problem.Vessels[at.Vessel].Code
	}
	if t.Fixed != nil {
		m.Begun, m.Pinned = t.Fixed.Begun, !t.Fixed.Begun
		if m.Begun {
			m.AttendedMinutes, m.AloneFrom = int32(t.End), m.StartsAt
		} else {
			m.PinReason = o.Pin.Reason
		}
	}
	if was := w.before[i]; t.Fixed == nil && was.End != 0 && at.Start-was.Start >= 15 {
		m.MovedFrom = stamp(w.time(was.Start))
	}
	m.Why, m.Waits = w.why(i, why), w.waits(i)
	return m
}

func (w *week) note(i int) string {
	notes := []string{w.draft.Note[i]}
	if short := w.short[w.openOf(i).ID]; len(short) > 0 && w.draft.Problem.Tasks[i].Fixed == nil {
		notes = append(notes, "short of "+strings.Join(short, " and ")+": planned as if it came in time")
	}
	return strings.Trim(strings.Join(notes, "; "), "; ")
}

// encodeLate sums up what is late by run, the latest first.
func (w *week) encodeLate() []*dyelotv1.WeekLate {
	var late []*dyelotv1.WeekLate
	of := map[int64]*dyelotv1.WeekLate{}
	for _, l := range w.result.Late {
		o, end := w.openOf(l.Task), w.time(w.result.Placed[l.Task].End)
		m := of[o.RunID]
		if m == nil {
			m = &dyelotv1.WeekLate{RunCode: store.Code('R', o.RunID), DueOn: showDay(o.Due), EndsAt: stamp(end)}
			y, mo, d := end.Date()
			m.DaysLate = int32(time.Date(y, mo, d, 0, 0, 0, 0, time.UTC).Sub(o.Due).Hours() / 24)
			of[o.RunID] = m
			late = append(late, m)
		}
		m.LotCodes = append(m.LotCodes, w.lotCodes(l.Task)...)
	}
	return late
}

func encodeRows() []*dyelotv1.StageMinutes {
	var rows []*dyelotv1.StageMinutes
	for _, r := range days.Rows() {
		m := &dyelotv1.StageMinutes{Kind: r.Key, Begin: int32(r.Begin), End: int32(r.End), Usual: int32(r.Usual), Cools: int32(r.Cools), RestBefore: int32(r.Before), Burner: r.Burner, Rack: r.Rack, Source: r.Source}
		if r.Most < days.Never {
			m.LongestWait = int32(r.Most)
		}
		rows = append(rows, m)
	}
	return rows
}
