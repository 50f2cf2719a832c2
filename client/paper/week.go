package paper

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// dayName is a day as it is said: "Thu 3 Dec".
const dayName = "Mon 2 Jan"

// Week shows which stage is done where and when; why adds what holds each, and
// the tables behind it.
func (s *Sheet) Week(r *dyelotv1.GetWeekPlanResponse, why bool) {
	s.weekFirst(r)
	for _, l := range r.GetLate() {
		s.hang(loud, "LATE  ", fmt.Sprintf("%s (%s) is due %s and ends %s", l.GetRunCode(), strings.Join(l.GetLotCodes(), ", "), dated(l.GetDueOn()), s.clock(l.GetEndsAt(), dayName)))
	}
	for _, c := range r.GetClashes() {
		s.hang(loud, "PINNED  ", c)
	}
	if r.GetHours().GetUsual() {
		s.Para(0, "Nobody has set the hours: planned for %s. Set them with: dyelot studio hours", hoursWords(r.GetHours()))
	}
	if why && r.GetEndsAt() != nil {
		s.Para(0, "No plan ends before %s: %s%s.", s.clock(r.GetBoundAt(), dayName+" 15:04"), r.GetBoundWhy(), map[bool]string{true: "; so none is shorter than this one"}[r.GetOptimal()])
		s.Para(0, "Hours: %s.", hoursWords(r.GetHours()))
		s.Para(0, "Method: what is due first, what has fewest pots and what has longest to go take turns at being laid first; the best of those is laid again with some lots changed; a plan of up to 14 stages is proved by trying every order.")
	}
	s.weekDays(r, why)
	s.weekChart(r)
	if why {
		s.weekMinutes(r)
	}
}

// weekFirst is the answer in a line.
func (s *Sheet) weekFirst(r *dyelotv1.GetWeekPlanResponse) {
	if r.GetEndsAt() == nil {
		s.Title("nothing to plan: no stage of any run is open")
		return
	}
	late := "nothing late"
	if n := len(r.GetLate()); n == 1 {
		late = r.GetLate()[0].GetRunCode() + " late"
		if n := r.GetLate()[0].GetDaysLate(); n > 0 {
			late += " by " + counted(n, "day", "days")
		}
	} else if n > 1 {
		late = numbered(n, "run") + " late"
	}
	s.Title("by %s, %s, %s", s.clock(r.GetEndsAt(), dayName), numbered(len(potsIn(r)), "pot"), late)
	sooner := "no plan ends before " + s.clock(r.GetBoundAt(), dayName+" 15:04")
	if r.GetOptimal() {
		sooner = "no plan ends sooner"
	}
	s.Para(0, "All is done %s; %s.", s.clock(r.GetEndsAt(), dayName+" 15:04"), sooner)
}

// potsIn are the vessels in which cloth takes its colour in these days.
func potsIn(r *dyelotv1.GetWeekPlanResponse) []string {
	var pots []string
	for _, t := range r.GetTasks() {
		if k := t.GetKind(); (k == "dye" || k == "vat-dip") && t.GetVesselCode() != "" && !slices.Contains(pots, t.GetVesselCode()) {
			pots = append(pots, t.GetVesselCode())
		}
	}
	return pots
}

var small = []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}

// numbered is "two pots".
func numbered(n int, what string) string {
	if n < len(small) {
		return small[n] + " " + what + map[bool]string{true: "s"}[n != 1]
	}
	return counted(int32(n), what, what+"s")
}

// dated is a day of the contract as it is said.
func dated(day string) string {
	d, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return or(day)
	}
	return d.Format(dayName)
}

// weekAct is something that somebody does at a time.
type weekAct struct {
	at, until *timestamppb.Timestamp
	what      string
	task      *dyelotv1.WeekTask
	lifts     bool
}

func (s *Sheet) weekDays(r *dyelotv1.GetWeekPlanResponse, why bool) {
	first, err := time.Parse(time.DateOnly, r.GetFrom())
	if err != nil {
		return
	}
	last := first.AddDate(0, 0, int(r.GetDays())-1).Format(time.DateOnly)
	acts := map[string][]weekAct{}
	for _, t := range r.GetTasks() {
		began, lifted := s.day(t.GetStartsAt()), s.day(t.GetLiftAt())
		if began < r.GetFrom() || t.GetBegun() {
			acts[""] = append(acts[""], weekAct{t.GetStartsAt(), t.GetEndsAt(), weekWhat(t), t, false})
		} else {
			acts[began] = append(acts[began], weekAct{t.GetStartsAt(), t.GetAloneFrom(), weekWhat(t), t, false})
		}
		if handsAtEnd(t) && (lifted != began || t.GetBegun()) && lifted >= r.GetFrom() && lifted <= last {
			acts[lifted] = append(acts[lifted], weekAct{t.GetLiftAt(), t.GetEndsAt(), liftWhat(t), t, true})
		}
	}
	s.weekDay("Goes on by itself", acts[""], why, "Mon 15:04")
	for d := range int(r.GetDays()) {
		day := first.AddDate(0, 0, d)
		s.weekDay(day.Format(dayName), acts[day.Format(time.DateOnly)], why, "15:04")
	}
}

func handsAtEnd(t *dyelotv1.WeekTask) bool {
	return t.GetEndsAt().AsTime().After(t.GetLiftAt().AsTime())
}

// liftWhat is "lift L1 out of pot-40 (dye)".
func liftWhat(t *dyelotv1.WeekTask) string {
	lots := strings.Join(t.GetLotCodes(), ", ")
	if t.GetVesselCode() == "" {
		return fmt.Sprintf("take %s down (%s)", lots, t.GetKindName())
	}
	return fmt.Sprintf("lift %s out of %s (%s)", lots, t.GetVesselCode(), t.GetKindName())
}

// weekWhat is "dye of L1 in pot-40".
func weekWhat(t *dyelotv1.WeekTask) string {
	return t.GetKindName() + " of " + strings.Join(t.GetLotCodes(), ", ") + prefixed(" in ", t.GetVesselCode()) + " (" + t.GetColourwayCode() + ")"
}

func (s *Sheet) weekDay(title string, acts []weekAct, why bool, layout string) {
	if len(acts) == 0 {
		return
	}
	slices.SortStableFunc(acts, func(a, b weekAct) int { return a.at.AsTime().Compare(b.at.AsTime()) })
	s.Gap()
	s.Title("%s", title)
	for _, a := range acts {
		lead := s.clock(a.at, layout) + "-" + s.clock(a.until, "15:04")
		if layout != "15:04" {
			lead = "since " + s.clock(a.at, layout)
		}
		text := a.what
		if w := a.task.GetWaits(); w != "" && !a.lifts {
			text += "; " + w
		}
		s.hang(plain, "  "+lead+"  ", text)
		if !a.lifts {
			s.weekNotes(a.task, why)
		}
	}
}

func (s *Sheet) weekNotes(t *dyelotv1.WeekTask, why bool) {
	const under = "    "
	if t.GetPinned() {
		s.hang(plain, under, "pinned: "+t.GetPinReason())
	}
	if t.GetMovedFrom() != nil {
		s.hang(mind, under, "moved from "+s.clock(t.GetMovedFrom(), "Mon 15:04"))
	}
	if t.GetNote() != "" {
		s.hang(mind, under, t.GetNote())
	}
	if why {
		s.hang(plain, under+"why: ", t.GetWhy())
		if n := t.GetCleanMinutes(); n > 0 {
			s.hang(plain, under+"     ", fmt.Sprintf("the first %d min clean the vessel; %d min of hands in all", n, t.GetAttendedMinutes()))
		}
	}
}

// weekMinutes is the table behind the plan.
func (s *Sheet) weekMinutes(r *dyelotv1.GetWeekPlanResponse) {
	planned := map[string]bool{}
	for _, t := range r.GetTasks() {
		planned[t.GetKind()] = true
	}
	var rows [][]string
	for _, m := range r.GetMinutes() {
		if planned[m.GetKind()] {
			rows = append(rows, []string{m.GetKind(), fmt.Sprint(m.GetBegin()), fmt.Sprint(m.GetEnd()), minutesOr(m.GetUsual()), minutesOr(m.GetCools()), minutesOr(m.GetRestBefore()), minutesOr(m.GetLongestWait())})
		}
	}
	if len(rows) == 0 {
		return
	}
	s.Gap()
	s.Table([]string{"stage", ">begin", ">end", ">goes on", ">cools", ">rest before", ">next within"}, rows)
	s.Para(0, "Minutes of hands to begin and to end a stage; how long it goes on where its recipe says nothing. Common practice: a starting point, not this studio's own.")
}

func minutesOr(n int32) string {
	if n == 0 {
		return nothing
	}
	return minutes(n)
}
