package paper

import (
	"fmt"
	"slices"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// A chart has 12 columns for the vessel and 8 for a day.
const (
	chartName = 12
	chartDay  = 8
	chartDays = 7
)

// weekChart draws vessels by half days.
func (s *Sheet) weekChart(r *dyelotv1.GetWeekPlanResponse) {
	first, err := time.Parse(time.DateOnly, r.GetFrom())
	if err != nil || len(r.GetTasks()) == 0 {
		return
	}
	wide := min(chartDays, max(1, (s.width-chartName)/chartDay))
	for from := 0; from < int(r.GetDays()); from += wide {
		days := min(wide, int(r.GetDays())-from)
		rows := s.chartRows(r, first.AddDate(0, 0, from), days)
		if len(rows) == 0 {
			continue
		}
		s.Gap()
		head := fmt.Sprintf("%-12s", "half days")
		for d := range days {
			head += fmt.Sprintf("%-8s", first.AddDate(0, 0, from+d).Format("Mon 2"))
		}
		s.Line("%s", strings.TrimRight(head, " "))
		for _, row := range rows {
			s.Line("%s", row)
		}
	}
	s.Para(0, "Each day is morning and evening; + is one more lot or more, . stands empty.")
}

func (s *Sheet) chartRows(r *dyelotv1.GetWeekPlanResponse, first time.Time, days int) (rows []string) {
	for _, v := range append(slices.Clone(r.GetVesselCodes()), "") {
		name, used := v, false
		row := ""
		for half := range 2 * days {
			cell := s.cell(r, v, first.AddDate(0, 0, half/2), half%2)
			used = used || cell != "."
			row += fmt.Sprintf("%-4s", cell)
		}
		if v == "" {
			name = "racks"
		}
		if used {
			rows = append(rows, strings.TrimRight(fmt.Sprintf("%-11.11s %s", name, row), " "))
		}
	}
	return rows
}

// cell is the lot that is in a vessel, or on the racks where it has no code, in
// a half day.
func (s *Sheet) cell(r *dyelotv1.GetWeekPlanResponse, vessel string, day time.Time, half int) string {
	from := day.Format(time.DateOnly) + []string{" 00:00", " 12:00"}[half]
	until := day.Format(time.DateOnly) + []string{" 12:00", " 24:00"}[half]
	var lots []string
	for _, t := range r.GetTasks() {
		here := t.GetVesselCode() == vessel
		if vessel == "" {
			here = t.GetPieces() > 0
		}
		if here && s.when(t.GetStartsAt()) < until && s.when(t.GetEndsAt()) > from {
			for _, l := range t.GetLotCodes() {
				if !slices.Contains(lots, l) {
					lots = append(lots, l)
				}
			}
		}
	}
	switch {
	case len(lots) == 0:
		return "."
	case len(lots) > 1 && len(lots[0]) < 3:
		return lots[0] + "+"
	}
	if len(lots[0]) > 3 {
		return lots[0][len(lots[0])-3:]
	}
	return lots[0]
}
