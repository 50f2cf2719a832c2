package paper

import (
	"fmt"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// neverTheLots stands below whatever tells grades of swatches.
const neverTheLots = "What a swatch had is what to expect, and never a lot's own grade."

// Swatch shows a page whole.
func (s *Sheet) Swatch(r *dyelotv1.GetSwatchResponse) {
	s.swatchPage(r.GetSwatch(), "")
	if len(r.GetSwatch().GetGrades()) > 0 {
		s.Para(0, neverTheLots)
	}
}

// SwatchAdded confirms a page.
func (s *Sheet) SwatchAdded(r *dyelotv1.AddSwatchResponse) {
	s.Title("%s: write this beside the cloth", r.GetSwatch().GetCode())
	s.swatchPage(r.GetSwatch(), "")
	s.warn(0, r.GetWarnings())
	s.Line("if it is wrong: dyelot swatch strike %s --reason \"…\"", r.GetSwatch().GetCode())
}

// SwatchGraded shows a page with its new grades.
func (s *Sheet) SwatchGraded(r *dyelotv1.AddSwatchGradeResponse) {
	s.swatchPage(r.GetSwatch(), "")
	s.Para(0, neverTheLots)
}

// SwatchStruck shows a page that is struck out.
func (s *Sheet) SwatchStruck(r *dyelotv1.StrikeSwatchResponse) { s.swatchPage(r.GetSwatch(), "") }

// Swatches lists pages.
func (s *Sheet) Swatches(r *dyelotv1.ListSwatchesResponse) {
	if r.GetUnknown() != "" {
		s.hang(mind, "Mind: ", r.GetUnknown())
	}
	if len(r.GetSwatches()) == 0 {
		s.Para(0, "No page of the book is all of that. To write one: dyelot swatch add")
	}
	for i, w := range r.GetSwatches() {
		if i > 0 {
			s.Gap()
		}
		s.swatchPage(w, "")
	}
	s.swatchFoot(r.GetSwatches())
}

// Nearest lists pages by their difference.
func (s *Sheet) Nearest(r *dyelotv1.NearestSwatchesResponse) {
	s.swatchColour("nearest to ", r.GetColour(), "")
	if r.GetUnknown() != "" {
		s.hang(mind, "Mind: ", r.GetUnknown())
	}
	if len(r.GetNearest()) == 0 {
		s.Para(0, "No page with a colour is all of that. To write one: dyelot swatch add")
	}
	var all []*dyelotv1.Swatch
	for _, n := range r.GetNearest() {
		s.Gap()
		s.swatchPage(n.GetSwatch(), n.GetDifference()+" away")
		if light(n.GetSwatch().GetColour()) != light(r.GetColour()) {
			s.swatchColour("      computed anew: ", n.GetColour(), "")
		}
		all = append(all, n.GetSwatch())
	}
	s.Gap()
	text := fmt.Sprintf("Differences are CIEDE2000 for %s; %s compared", light(r.GetColour()), counted(int32(r.GetCompared()), "page was", "pages were"))
	if n := r.GetLeftOut(); n > 0 {
		text += fmt.Sprintf("; %s left out: read in another light or by another eye, without a spectrum", counted(int32(n), "page was", "pages were"))
	}
	s.Para(0, "%s.", text)
	s.swatchFoot(all)
}

func (s *Sheet) swatchFoot(all []*dyelotv1.Swatch) {
	for _, w := range all {
		if len(w.GetGrades()) > 0 {
			s.Para(0, "%% WOF is on air-dry fibre. %s", neverTheLots)
			return
		}
	}
	if len(all) > 0 {
		s.Para(0, "%% WOF is on air-dry fibre.")
	}
}

// swatchPage is one page in words.
func (s *Sheet) swatchPage(w *dyelotv1.Swatch, away string) {
	lead := fmt.Sprintf("%-4s  ", w.GetCode())
	under := strings.Repeat(" ", len(lead))
	head := joined(", ", away, w.GetName(), "dyed "+w.GetDyedOn()+" by "+or(w.GetBy()), prefixed("kept in ", w.GetPage()))
	st := bold
	if w.GetStruckAt() != nil {
		st = loud
		head = fmt.Sprintf("STRUCK OUT by %s on %s: %s; ", w.GetStruckBy(), s.day(w.GetStruckAt()), w.GetStruckReason()) + head
	}
	s.hang(st, lead, head)
	s.hang(plain, under, w.GetText())
	if w.GetColour() != nil {
		s.swatchColour(under, w.GetColour(), prefixed(", by ", w.GetInstrument())+prefixed(" on ", w.GetReadOn()))
	}
	if from := s.swatchFrom(w); from != "" {
		s.hang(plain, under, from)
	}
	for _, g := range swatchTests(w.GetGrades()) {
		s.hang(plain, under, g)
	}
	if w.GetNote() != "" {
		s.hang(plain, under+"note: ", w.GetNote())
	}
}

// swatchColour is the one place where a swatch's colour is printed: behind a
// lead, as a block where the terminal can show it, in numbers and in words.
func (s *Sheet) swatchColour(lead string, c *dyelotv1.Lab, rest string) {
	s.hang(plain, lead, fmt.Sprintf("%s (%s)%s", s.shade(c), light(c), rest))
}

// swatchFrom is where the cloth and its plant come from.
func (s *Sheet) swatchFrom(w *dyelotv1.Swatch) string {
	recipe := w.GetRecipeCode()
	if recipe != "" {
		recipe = fmt.Sprintf("recipe %s version %d", recipe, w.GetRecipeVersion())
	}
	food := ""
	if w.GetFoodPlant() {
		food = "a food plant"
	}
	season := w.GetSeason()
	if w.GetSeasonKnown() && !strings.HasPrefix(season, "bought") {
		season = "gathered " + season
	}
	return joined("; ", joined(", ", prefixed("from lot ", w.GetLotCode()), prefixed("from ", w.GetParcelCode()), w.GetPlace(), prefixed("picked ", w.GetPickedOn())), recipe, season, food)
}

// swatchTests tells the grades test by test: "studio-window: light 4; judged by
// owner on 2026-08-02".
func swatchTests(grades []*dyelotv1.SwatchGrade) (tests []string) {
	for i := 0; i < len(grades); {
		g := grades[i]
		var each []string
		for ; i < len(grades) && sameTest(g, grades[i]); i++ {
			each = append(each, grades[i].GetComponent()+" "+grades[i].GetGrade())
		}
		method := joined(" ", g.GetMethod(), prefixed("variant ", g.GetVariant()), prefixed("edition ", g.GetEdition()))
		tests = append(tests, joined("; ", method+": "+strings.Join(each, ", "), "judged by "+or(g.GetAssessor())+" on "+or(g.GetTestedOn()), g.GetEvidence()))
	}
	return tests
}

func sameTest(a, b *dyelotv1.SwatchGrade) bool {
	return a.GetMethod() == b.GetMethod() && a.GetVariant() == b.GetVariant() && a.GetEdition() == b.GetEdition() &&
		a.GetAssessor() == b.GetAssessor() && a.GetTestedOn() == b.GetTestedOn() && a.GetEvidence() == b.GetEvidence()
}

var metalWords = map[string]string{"Al": "aluminium", "Fe": "iron", "Cu": "copper", "Sn": "tin", "Cr": "chrome"}

// Expected tells what like swatches had.
func (s *Sheet) Expected(r *dyelotv1.ExpectForResponse) {
	var metals []string
	for _, m := range r.GetMetals() {
		metals = append(metals, otherwise(metalWords[m], m))
	}
	s.Title("%s on %s with %s: %s", or(strings.Join(r.GetPlants(), " or ")), or(r.GetFibre()), otherwise(strings.Join(metals, " and "), "no added metal"), counted(r.GetSwatches(), "like swatch", "like swatches"))
	for _, e := range r.GetExpected() {
		s.hang(plain, "  "+e.GetTitle()+": ", e.GetText())
	}
	if len(r.GetExpected()) == 0 {
		s.Para(0, "None of them was ever graded. Begin with: dyelot swatch grade")
		return
	}
	s.Para(0, neverTheLots)
}

// ExpectOpen tells, below a judgement, what like swatches had in the tests that
// the lot has not had.
func (s *Sheet) ExpectOpen(j *dyelotv1.Judgement, r *dyelotv1.ExpectForResponse) {
	told := false
	for _, row := range j.GetRows() {
		for _, e := range r.GetExpected() {
			if row.GetState() != "not-tested" || !slices.Contains(e.GetHouseRows(), row.GetKey()) {
				continue
			}
			s.hang(plain, "  expect      ", otherwise(row.GetTitle(), row.GetKey())+": "+e.GetText())
			told = true
		}
	}
	if told {
		s.Para(0, neverTheLots)
	}
}

// SwatchesImported shows what old cards came in, or would.
func (s *Sheet) SwatchesImported(r *dyelotv1.AddSwatchesResponse) {
	switch {
	case r.GetFindingCount() > 0:
		s.hang(loud, "", fmt.Sprintf("Would be refused: %s off. Nothing is recorded.", counted(r.GetFindingCount(), "thing is", "things are")))
		s.Gap()
		s.OpeningNotes(r.GetFindings())
	case r.GetDryRun():
		s.hang(good, "", fmt.Sprintf("Dry run: nothing is recorded. It would bring in %s:", counted(int32(len(r.GetSwatches())), "page", "pages")))
	default:
		s.hang(good, "", fmt.Sprintf("Brought in %s:", counted(int32(len(r.GetSwatches())), "page", "pages")))
	}
	for i, w := range r.GetSwatches() {
		if i == shownCodes {
			s.Para(0, "and %d more", len(r.GetSwatches())-i)
			break
		}
		s.hang(plain, fmt.Sprintf("  line %d: ", w.GetLine()), joined("  ", w.GetCode(), w.GetText()))
	}
	for _, w := range r.GetWarnings() {
		s.hang(mind, "Mind: ", joined(": ", place(w), w.GetText()))
	}
}

// SwatchColumns lists what a file of cards may have.
func (s *Sheet) SwatchColumns(r *dyelotv1.ListSwatchColumnsResponse) {
	for _, c := range r.GetColumns() {
		needed := ""
		if c.GetNeeded() {
			needed = " (needed)"
		}
		s.hang(plain, c.GetName()+needed+"  ", c.GetWhat()+prefixed("; such as ", c.GetExample()))
	}
}
