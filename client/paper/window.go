package paper

import (
	"fmt"
	"strconv"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// WindowOut confirms that a strip hangs in a window.
func (s *Sheet) WindowOut(r *dyelotv1.PutOutResponse) {
	s.Title("%s: write this on the strip", r.GetWindow().GetCode())
	s.window(r.GetWindow())
	s.said(r.GetWarnings())
	s.Para(0, "what you see: dyelot window look %s --grade 5 --changed 1", r.GetWindow().GetCode())
}

// WindowLooked confirms a look.
func (s *Sheet) WindowLooked(r *dyelotv1.LookResponse) {
	w := r.GetWindow()
	s.Title("%s, %s", w.GetCode(), s.strip(w))
	for _, l := range w.GetLooks() {
		s.look(l)
	}
	s.place(w)
	s.nextAtWindow(w)
}

// WindowIn confirms that a strip was taken in, with the test it gave.
func (s *Sheet) WindowIn(r *dyelotv1.TakeInResponse) {
	w := r.GetWindow()
	if r.GetTest() == nil {
		s.Title("%s given up on %s: %s", w.GetCode(), or(w.GetTakenInOn()), or(w.GetGivenUp()))
		s.Para(0, "No test was recorded.")
		return
	}
	s.Title("%s taken in on %s", w.GetCode(), or(w.GetTakenInOn()))
	s.test("", r.GetTest())
	s.said(r.GetWarnings())
	s.Para(0, "where the lot stands: dyelot verdict show %s", w.GetLotCode())
}

// Windows lists window tests.
func (s *Sheet) Windows(r *dyelotv1.ListWindowsResponse) {
	if len(r.GetWindows()) == 0 {
		s.Para(0, "Nothing hangs in a window. Put a strip out with: dyelot window out LOT")
		return
	}
	for _, w := range r.GetWindows() {
		lead, st := w.GetCode()+"  ", plain
		state := w.GetState()
		switch {
		case w.GetLate():
			lead, st = lead+"LATE  ", loud
			state = "look due " + w.GetNextLookOn()
		case w.GetNextLookOn() != "":
			state = "next look " + w.GetNextLookOn()
		case state == "out":
			state = "every look is made"
		case w.GetTestCode() != "":
			state = "in, gave " + w.GetTestCode()
		}
		s.hang(st, lead, fmt.Sprintf("%s, out since %s; %s", s.strip(w), w.GetPutOutOn(), state))
	}
}

// Window shows one whole.
func (s *Sheet) Window(r *dyelotv1.GetWindowResponse) {
	s.Title("Window test %s", r.GetWindow().GetCode())
	s.window(r.GetWindow())
	s.nextAtWindow(r.GetWindow())
}

// strip is what hangs where: "L1, strip 2: shop window, faces south".
func (s *Sheet) strip(w *dyelotv1.Window) string {
	return joined(", ", w.GetLotCode(), w.GetSpecimen()) + ": " + w.GetPlace() + prefixed(", faces ", w.GetFaces())
}

func (s *Sheet) window(w *dyelotv1.Window) {
	s.Para(0, "%s", s.strip(w))
	filter := "ultraviolet not filtered out"
	if w.GetUvFiltered() {
		filter = "ultraviolet filtered out"
	}
	place := "light not measured"
	if w.GetLux() > 0 {
		place = fmt.Sprintf("%s lux for %s hours a day", figure(w.GetLux()), figure(w.GetHoursPerDay()))
	}
	s.Para(2, "%s, %s; blue wools beside it: %s", place, filter, or(wools(w.GetBlueWools())))
	s.Para(2, "evidence for its %s; put out on %s by %s%s", or(w.GetScope()), or(w.GetPutOutOn()), or(w.GetBy()), prefixed("; ", w.GetNote()))
	if w.GetState() == "out" {
		s.Para(2, "look again on %s", or(strings.Join(w.GetLookOn(), ", ")))
	} else {
		s.Para(2, "%s on %s%s%s", w.GetState(), or(w.GetTakenInOn()), prefixed(": ", w.GetGivenUp()), prefixed("; gave ", w.GetTestCode()))
	}
	for _, l := range w.GetLooks() {
		s.look(l)
	}
	s.light(w)
}

func (s *Sheet) look(l *dyelotv1.WindowLook) {
	changed := "no blue wool changed"
	if len(l.GetChanged()) > 0 {
		changed = "blue wool " + wools(l.GetChanged()) + " changed"
	}
	text := joined("; ", "grade "+or(l.GetGrade()), changed, l.GetNote(), "by "+or(l.GetBy()))
	if m := l.GetMeasured(); m != nil {
		text += fmt.Sprintf("; instrument %s by %s%s", m.GetGrade(), m.GetFormula(), prefixed(", ", m.GetDirection()))
	}
	if l.GetSuperseded() {
		text += "; NOT COUNTED, a later look of that day stands for it"
	}
	s.hang(plain, "  "+l.GetLookedOn()+"  ", text)
	if d := l.GetMeasured().GetDisagreement(); d != "" {
		s.hang(mind, "    DISAGREE: ", d)
	}
}

// light is the dose so far, which blue wools should have changed by it, and where
// the strip lies among them; with its source and its doubt.
func (s *Sheet) light(w *dyelotv1.Window) {
	if w.GetMegaluxHours() > 0 {
		s.Para(2, "%s megalux hours in %d %s", figure(w.GetMegaluxHours()), w.GetDaysOut(), plural(int(w.GetDaysOut()), "day"))
	}
	for _, e := range w.GetExpected() {
		if w.GetLux() > 0 || e.GetChangedOn() != "" {
			s.hang(plain, "    ", e.GetText())
		}
	}
	s.doubt(w.GetSource(), w.GetUncertainty())
	s.place(w)
}

// place is where the strip lies among the blue wools by the looks.
func (s *Sheet) place(w *dyelotv1.Window) {
	if w.GetProposedWhy() != "" {
		s.hang(plain, "  by the looks: ", joined(", since ", prefixed("light ", w.GetProposedGrade()), w.GetProposedWhy()))
	}
}

func (s *Sheet) nextAtWindow(w *dyelotv1.Window) {
	switch {
	case w.GetTestCode() != "":
		s.Para(0, "where the lot stands: dyelot verdict show %s", w.GetLotCode())
	case w.GetState() != "out":
	case w.GetLate():
		s.hang(loud, "LATE  ", fmt.Sprintf("a look was due on %s: dyelot window look %s", w.GetNextLookOn(), w.GetCode()))
	case w.GetNextLookOn() != "":
		s.Para(0, "next look on %s: dyelot window look %s", w.GetNextLookOn(), w.GetCode())
	default:
		s.Para(0, "every look is made: dyelot window in %s", w.GetCode())
	}
}

// said writes warnings that carry no source of their own.
func (s *Sheet) said(warnings []string) {
	for _, w := range warnings {
		s.hang(mind, "Mind: ", w)
	}
}

func wools(list []int32) string {
	words := make([]string, len(list))
	for i, n := range list {
		words[i] = strconv.Itoa(int(n))
	}
	return strings.Join(words, ", ")
}

func figure(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }
