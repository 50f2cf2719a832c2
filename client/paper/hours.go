package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func hoursWords(h *dyelotv1.Hours) string {
	text := fmt.Sprintf("%s from %s to %s, %s", strings.Join(h.GetWeekdays(), " "), h.GetFrom(), h.GetTo(), counted(h.GetPeople(), "person", "people"))
	if n := h.GetBurners(); n > 0 {
		text += ", " + counted(n, "burner", "burners")
	}
	if n := h.GetRackPieces(); n > 0 {
		text += fmt.Sprintf(", racks for %d pieces", n)
	}
	if len(h.GetDaysOff()) > 0 {
		text += "; off on " + strings.Join(h.GetDaysOff(), ", ")
	}
	return text
}

// HoursSet shows the hours in force.
func (s *Sheet) HoursSet(r *dyelotv1.SetHoursResponse) {
	s.Para(0, "Hours: %s", hoursWords(r.GetHours()))
	s.Para(0, "to see what they make of the open runs: dyelot week")
}

// Pinned shows where a stage stands now.
func (s *Sheet) Pinned(r *dyelotv1.PinStageResponse) { s.pinned(r.GetTask()) }

// Unpinned shows where the plan puts it.
func (s *Sheet) Unpinned(r *dyelotv1.UnpinStageResponse) { s.pinned(r.GetTask()) }

func (s *Sheet) pinned(t *dyelotv1.WeekTask) {
	s.Para(0, "%s: %s to %s", weekWhat(t), s.clock(t.GetStartsAt(), dayName+" 15:04"), s.clock(t.GetEndsAt(), dayName+" 15:04"))
	s.weekNotes(t, false)
	if t.GetPinned() {
		s.Para(0, "to give it back to the plan: dyelot stage unpin %s %d", t.GetLotCodes()[0], t.GetPosition())
	}
	s.Para(0, "to see what moves for it: dyelot week")
}

// Loads shows which sets share a pot.
func (s *Sheet) Loads(r *dyelotv1.PlanLoadsResponse) {
	fewest := "no laying has fewer"
	switch {
	case !r.GetOptimal() && int(r.GetFewest()) < len(r.GetLoads()):
		fewest = fmt.Sprintf("not fewer than %d; the search ended before it was through", r.GetFewest())
	case r.GetOptimal():
		fewest = "no laying has fewer, nor as few in smaller pots"
	}
	s.Title("%s at 1 : %s; %s", numbered(len(r.GetLoads()), "load"), r.GetLiquorRatio(), fewest)
	for _, u := range r.GetUnfit() {
		s.hang(loud, "NO POT  ", u)
	}
	var rows [][]string
	for _, l := range r.GetLoads() {
		rows = append(rows, []string{l.GetPotCode(), strings.Join(l.GetSets(), ", "), amount(l.GetFibre()), litres(l.GetLiquor()), litres(l.GetRoom())})
	}
	if len(rows) > 0 {
		s.Table([]string{"pot", "sets", ">air-dry", ">liquor", ">may hold"}, rows)
	}
	s.Para(0, "Fibre is scoured and air-dry; add each load's witness cloth to a set. To plan a load: dyelot run plan COLOURWAY --load POT:P3=…")
}
