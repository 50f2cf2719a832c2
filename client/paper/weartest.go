package paper

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Test shows one fastness test whole.
func (s *Sheet) Test(r *dyelotv1.GetFastnessTestResponse) {
	t := r.GetTest()
	s.test("", t)
	for _, g := range t.GetMeasured() {
		s.measured(g)
	}
	if len(t.GetMeasured()) > 0 && t.GetProposedDirection() != "" && t.GetDirection() != "" {
		s.Para(4, "the colours would say %s; the person's word stands", t.GetProposedDirection())
	}
	if t.GetReportName() != "" {
		s.hang(plain, "    report: ", t.GetReportName())
		s.hang(plain, "    SHA-256: ", t.GetReportSha256())
		s.Para(0, "whether a file is that report: dyelot test check %s FILE", t.GetCode())
	}
}

// measured is one pair of colours with what it gives.
func (s *Sheet) measured(g *dyelotv1.MeasuredGrade) {
	figure := "ΔE_F"
	if g.GetFormula() == "ISO 105-A04" {
		figure = "ΔE_GS"
	}
	s.hang(plain, "    "+g.GetComponent()+": ", fmt.Sprintf("%s to %s (%s)%s; %s %s, grade %s by %s",
		lab(g.GetBefore()), lab(g.GetAfter()), light(g.GetBefore()), prefixed(", ", g.GetInstrument()), figure, g.GetDifference(), g.GetGrade(), g.GetFormula()))
}

// ReportIs confirms that a file is the report of a test.
func (s *Sheet) ReportIs(t *dyelotv1.FastnessTest, file string) {
	s.hang(good, "", fmt.Sprintf("%s is the report of %s, kept as %s", file, t.GetCode(), t.GetReportName()))
}

// Fade says how long a lot may hang in a light, as a guide.
func (s *Sheet) Fade(r *dyelotv1.AdviseFadeResponse) {
	if !r.GetTested() {
		s.hang(mind, r.GetLotCode()+"  ", r.GetText())
		s.Para(0, "to test it: dyelot window out %s --place \"…\" --blue-wools 1-4", r.GetLotCode())
		return
	}
	s.hang(plain, r.GetLotCode()+"  ", r.GetText()+" ("+r.GetTestCode()+")")
	s.doubt(r.GetSource(), r.GetUncertainty())
}

// doubt is where figures of light are from, and how far to believe them.
func (s *Sheet) doubt(source, uncertainty string) {
	if uncertainty != "" {
		s.hang(mind, "  how sure: ", uncertainty)
	}
	if source != "" {
		s.hang(plain, "  source: ", source)
	}
}
