package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// topSuspects are shown unless one asks for more: a person follows up no more
// than these.
const topSuspects = 5

// Cause is what returns have in common: plain counts first. With why, also every
// suspect's test, what all of the population had, and the method.
func (s *Sheet) Cause(r *dyelotv1.FindCauseResponse, why bool) {
	s.Title("%d of %d came back; what they share", r.GetReturned(), r.GetGarments())
	for _, n := range r.GetNotes() {
		s.hang(mind, "MIND  ", n)
	}
	shown := r.GetSuspects()
	if !why {
		shown = topSuspectsOf(shown)
	}
	for _, x := range shown {
		s.suspect(x, why)
	}
	if more := int(r.GetSuspectCount()) - len(shown); more > 0 {
		s.Para(0, "%d more %s that returns share %s no further from chance; --why shows more, and the tests.", more, plural(more, "thing"), isOrAre(more))
	}
	s.Para(0, "Compared: %s. Returned: %s.", r.GetPopulation(), or(fewOf(r.GetReturnedTags())))
	if out := r.GetLeftOutTags(); len(out) > 0 {
		s.Para(0, "Came back too, and not of these: %s.", fewOf(out))
	}
	s.partings(r.GetPartings())
	if !why {
		return
	}
	s.Title("Had by every garment compared: explains nothing here")
	s.Para(2, "%s", otherwise(factorNames(r.GetEverywhere()), "nothing"))
	s.Title("How it was tested")
	s.Para(2, "%s.", r.GetMethod())
}

func isOrAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

// topSuspectsOf are the first few, and every one that is worth a look.
func topSuspectsOf(all []*dyelotv1.CauseSuspect) []*dyelotv1.CauseSuspect {
	n := min(topSuspects, len(all))
	for n < len(all) && all[n].GetWorthALook() {
		n++
	}
	return all[:n]
}

func (s *Sheet) suspect(x *dyelotv1.CauseSuspect, why bool) {
	text, st := x.GetText(), plain
	if x.GetWorthALook() {
		text, st = "WORTH A LOOK: "+text, loud
	}
	s.hang(st, fmt.Sprintf("%2d  ", x.GetRank()), text)
	if why {
		s.Para(6, "p %s; %s after correction; %s; expected %s", probability(x.GetPValue()), probability(x.GetCorrected()), otherwise(fewOf(x.GetTags()), "none"), fmt.Sprintf("%.2f", x.GetExpected()))
	}
	if why || x.GetWorthALook() {
		for _, rel := range x.GetRelations() {
			s.hang(plain, "      ", rel)
		}
	}
}

// probability in two figures.
func probability(p float64) string { return fmt.Sprintf("%.2g", p) }

func factorNames(fs []*dyelotv1.CauseFactor) string {
	var names []string
	for _, f := range fs {
		names = append(names, f.GetName())
	}
	return strings.Join(names, "; ")
}

// partings say what would tell suspects apart.
func (s *Sheet) partings(ps []*dyelotv1.CauseParting) {
	if len(ps) == 0 {
		return
	}
	s.Title("What would tell them apart")
	for _, p := range ps {
		for i, text := range p.GetText() {
			lead := "    "
			if i == 0 {
				lead = "  - "
			}
			s.hang(plain, lead, text)
		}
	}
}

// ActionRecorded confirms what is changed.
func (s *Sheet) ActionRecorded(r *dyelotv1.RecordActionResponse) {
	s.action(r.GetAction())
	if r.GetAction().GetKind() == "block" {
		s.Para(2, "None of it can be picked or promised any more.")
	}
	s.warn(2, r.GetWarnings())
}

// ActionDone confirms that an action was done.
func (s *Sheet) ActionDone(r *dyelotv1.CompleteActionResponse) {
	s.action(r.GetAction())
	if r.GetAction().GetKind() == "block" {
		s.Para(2, "The block stays until it is lifted: dyelot stock unblock PARCEL")
	}
}

// Actions lists actions, the soonest due first.
func (s *Sheet) Actions(r *dyelotv1.ListActionsResponse) {
	if len(r.GetActions()) == 0 {
		s.Line("No action is open.")
		return
	}
	for _, a := range r.GetActions() {
		s.action(a)
	}
}

// concerned are the actions about a garment, a lot or a parcel.
func (s *Sheet) concerned(as []*dyelotv1.Action) {
	if len(as) == 0 {
		return
	}
	s.Title("Changed because of it")
	for _, a := range as {
		s.action(a)
	}
}

func (s *Sheet) action(a *dyelotv1.Action) {
	lead, st := a.GetCode()+"  ", plain
	when := "by " + a.GetDueOn()
	switch a.GetState() {
	case "late":
		lead, st = lead+"LATE  ", loud
	case "done":
		when = "done on " + a.GetDoneOn() + prefixed(" by ", a.GetDoneBy())
	}
	s.hang(st, lead, fmt.Sprintf("%s: %s, %s", a.GetChange(), a.GetBy(), when))
	s.Para(4, "because %s%s", a.GetBecause(), prefixed("; returns ", fewOf(a.GetTags())))
	if a.GetFound() != "" {
		s.Para(4, "found: %s", a.GetFound())
	}
}
