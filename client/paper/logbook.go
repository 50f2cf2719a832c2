package paper

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Logged confirms a line; of a mishap, whom to ask comes before all else.
func (s *Sheet) Logged(r *dyelotv1.AddLogEntryResponse) {
	for _, c := range r.GetCautions() {
		s.hang(loud, "! ", c.GetText()+notUsual(c.GetSource()))
	}
	if len(r.GetCautions()) > 0 {
		s.hang(loud, "  poison centre: ", otherwise(r.GetPoisonCentre(), "NOT SET, the owner sets it with: dyelot studio set --poison-centre NUMBER"))
		s.Para(2, "Where no source stands behind a caution, it is common practice.")
		s.Gap()
	}
	s.logLine(r.GetEntry())
	s.warn(0, r.GetWarnings())
	if r.GetNextDue() != "" {
		s.Line("next check by %s", r.GetNextDue())
	}
	s.Line("to take it back: dyelot log withdraw %s --reason \"…\"", r.GetEntry().GetCode())
}

// notUsual names where a caution is from, unless it is common practice.
func notUsual(from string) string {
	if from = source(from); from == "" || from == usual {
		return ""
	}
	return " (" + from + ")"
}

func (s *Sheet) logLine(e *dyelotv1.LogEntry) {
	text := fmt.Sprintf("%s, %s by %s: %s", joined(" ", e.GetBook(), e.GetSubject()), s.when(e.GetHappenedAt()), or(e.GetBy()), e.GetText()) + prefixed("; ", e.GetNote())
	w := e.GetWithdrawal()
	s.hang(plain, fmt.Sprintf("%-4s  ", e.GetCode()), text+withdrawn(w.GetBy(), w.GetReason(), s.day(w.GetAt())))
}

// Log lists the small books.
func (s *Sheet) Log(r *dyelotv1.ListLogEntriesResponse) {
	if len(r.GetEntries()) == 0 {
		s.Line("Nothing is written there yet. Begin with: dyelot log water, scale, buffer")
	}
	for _, e := range r.GetEntries() {
		s.logLine(e)
	}
}

// Due lists what is checked again and again.
func (s *Sheet) Due(r *dyelotv1.ListDueResponse) {
	if len(r.GetDue()) == 0 {
		s.Line("Nothing is asked for yet. Begin with: dyelot log every scale kitchen-scale 30d")
		return
	}
	for _, d := range r.GetDue() {
		s.due(d)
	}
}

// IntervalSet confirms how often.
func (s *Sheet) IntervalSet(r *dyelotv1.SetLogIntervalResponse) {
	d := r.GetDue()
	switch {
	case d.GetSubject() != "":
		s.due(d)
	case d.GetEveryDays() == 0:
		s.Para(0, "%s: asked for no longer, but for those with an interval of their own", d.GetBook())
	default:
		s.Para(0, "%s: every %d %s, but for those with an interval of their own", d.GetBook(), d.GetEveryDays(), plural(int(d.GetEveryDays()), "day"))
	}
}

func (s *Sheet) due(d *dyelotv1.Due) {
	lead, st := "[x] ", plain
	switch {
	case d.GetOverdue():
		lead, st = "[ ] OVERDUE  ", loud
	case d.GetEveryDays() == 0:
		lead = " -  "
	}
	s.hang(st, lead, joined(" ", d.GetBook(), d.GetSubject())+": "+d.GetText()+prefixed("; next by ", d.GetNextOn()))
}
