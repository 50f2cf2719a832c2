package paper

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// StudiesLoaded confirms what came into the books.
func (s *Sheet) StudiesLoaded(r *dyelotv1.LoadStudiesResponse) {
	s.Para(0, "%d %s loaded, %d there before", r.GetLoaded(), many(int(r.GetLoaded()), "study", "studies"), len(r.GetStudies())-int(r.GetLoaded()))
	for _, k := range r.GetStudies() {
		s.hang(plain, "  "+k.GetKey()+"  ", fmt.Sprintf("%s; licence %s; %d cells", k.GetCitation(), k.GetLicence(), k.GetResults()))
	}
	s.Para(0, "They say what to expect at most, and are never a lot's grade. What is wrong with each: dyelot study list")
	s.Para(0, "to look something up: dyelot study find --mordant alum --fibre wool")
}

// Studies lists what is in the books and what could be loaded.
func (s *Sheet) Studies(r *dyelotv1.ListStudiesResponse) {
	s.studies(r.GetStudies())
	for _, k := range r.GetStudies() {
		if k.GetLoadedAt() == nil {
			s.Para(0, "What is not loaded comes in with: dyelot study load")
			return
		}
	}
}

func (s *Sheet) studies(studies []*dyelotv1.Study) {
	for _, k := range studies {
		state := "not loaded"
		if k.GetLoadedAt() != nil {
			state = fmt.Sprintf("%d cells, loaded on %s", k.GetResults(), s.day(k.GetLoadedAt()))
		}
		s.Title("%s (study)", k.GetKey())
		s.Para(2, "%s on %s; %s", or(k.GetDye()), or(k.GetSubstrate()), state)
		s.cited(k)
	}
}

// cited is whose the numbers are, and what is wrong with them.
func (s *Sheet) cited(k *dyelotv1.Study) {
	s.hang(plain, "  ", k.GetCitation()+"; licence "+k.GetLicence())
	for _, c := range k.GetCaveats() {
		s.hang(mind, "  Mind: ", c)
	}
}

// StudyResults lists printed cells: what to expect, and never a lot's grade.
func (s *Sheet) StudyResults(r *dyelotv1.FindStudyResultsResponse) {
	if len(r.GetResults()) == 0 {
		s.Para(0, "No printed cell fits. What there is: dyelot study list")
		return
	}
	s.Title("EXPECT ONLY: printed in studies, never a lot's grade")
	for _, c := range r.GetResults() {
		value := c.GetPrinted()
		if c.GetGrade() != "" && c.GetGrade() != c.GetPrinted() {
			value = fmt.Sprintf("%s (printed %s)", c.GetGrade(), c.GetPrinted())
		}
		mordant := "mordant " + c.GetMordant()
		switch {
		case c.GetMordant() == "none":
			mordant = "no mordant"
		case c.GetSaltName() != "" && c.GetSaltName() != c.GetMordant():
			mordant += " (" + c.GetSaltName() + ")"
		}
		s.hang(plain, fmt.Sprintf("  %-12s ", c.GetComponent()), joined("; ", value, c.GetFibre(), mordant, c.GetConditions(), prefixed("sample ", c.GetSample()), c.GetNote(),
			fmt.Sprintf("%s table %s", c.GetStudyKey(), c.GetTable())))
	}
	for _, k := range r.GetStudies() {
		s.Title("%s", k.GetKey())
		s.cited(k)
	}
}

func many(n int, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}
