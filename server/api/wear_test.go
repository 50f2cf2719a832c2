package api_test

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

func lab(l, a, b float64) *pb.Lab { return &pb.Lab{L: l, A: a, B: b} }

func pair(component string, before, after *pb.Lab) *pb.MeasuredGrade {
	return &pb.MeasuredGrade{Component: component, Before: before, After: after}
}

func (c *choir) wear() pb.WearServiceClient { return pb.NewWearServiceClient(c.Conn) }

// Cases of ISO 105-A05 and A04 that one independent program computed; the
// formulas are from memory. They come back through the service, are kept, and
// count as measured where nobody graded by eye.
func TestMeasuredGradesAreThoseOfA05AndA04(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	for _, w := range []struct {
		component, difference, grade, formula string
		before, after                         *pb.Lab
	}{
		{"change", "3.11", "3", "ISO 105-A05", lab(42, 55, 28), lab(44.5, 51, 26)},
		{"change", "4.64", "2-3", "ISO 105-A05", lab(35, 5, -30), lab(38, 3, -24)},
		{"change", "5.78", "2-3", "ISO 105-A05", lab(75, -2, 62), lab(77, -3, 50)},
		{"change", "2.76", "3-4", "ISO 105-A05", lab(40, -30, 12), lab(41, -27, 13)},
		{"stain-wool", "2.48", "4-5", "ISO 105-A04", lab(94, 0, 2), lab(92, 3, 1)},
		{"wool", "7.66", "3", "ISO 105-A04", lab(94, 0, 2), lab(88, 8, -4)},
		{"stain-cotton", "9.04", "3", "ISO 105-A04", lab(94, 0, 2), lab(90, -2, 16)},
	} {
		f := fine(c.test(&pb.FastnessTest{LotCode: c.a, Method: "studio-home-wash", Instrument: "spectro-1", Measured: []*pb.MeasuredGrade{pair(w.component, w.before, w.after)}}))(c.House)
		kept := fine(c.wear().GetFastnessTest(c.Ctx, &pb.GetFastnessTestRequest{Code: strings.ToLower(f.GetCode())}))(c.House).GetTest()
		for _, f := range []*pb.FastnessTest{f, kept} {
			g := f.GetMeasured()[0]
			if g.GetDifference() != w.difference || g.GetGrade() != w.grade || g.GetFormula() != w.formula || !g.GetCounts() || g.GetInstrument() != "spectro-1" || g.GetDisagreement() != "" {
				t.Errorf("%v, want %+v", g, w)
			}
			if len(f.GetGrades()) != 1 || f.GetGrades()[0].GetGrade() != w.grade || !f.GetGrades()[0].GetMeasured() {
				t.Errorf("%v", f.GetGrades())
			}
		}
	}
	row := c.row(c.a, "own-wash-change")
	if row.GetState() != "failed" || row.GetFound() != "2-3 (measured)" || row.GetScope() != "lot" || row.GetSource() != "the studio's own" {
		t.Errorf("%v", row)
	}
	// Four specimens of one component are few: each is listed, never a mean.
	want := "change, 4 specimens, which is few: F2 2-3 (measured), F3 2-3 (measured), F1 3 (measured), F4 3-4 (measured); worst 2-3, lower median 2-3; 1 of 4 reaches 3-4"
	if s := row.GetSpecimens(); len(s) != 1 || s[0] != want || !strings.Contains(row.GetText(), want) {
		t.Errorf("%q\nwant %q", s, want)
	}
}

// n of n specimens passing says at 95 % that at least 0.05^(1/n) pass: for three
// 0.37 (the exact binomial bound).
func TestThreeOfThreeSaysLittle(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	for _, g := range []string{"3", "4", "3-4"} {
		c.light(c.a, g)
	}
	row := c.row(c.a, "own-light")
	want := "light, 3 specimens, which is few: F1 3, F3 3-4, F2 4; worst 3, lower median 3-4; 3 of 3 reach 3, which says at 95 % only that at least 0.37 of such cloth does"
	if s := row.GetSpecimens(); len(s) != 1 || s[0] != want || row.GetState() != "passed" {
		t.Errorf("%v", row)
	}
}

// The assessor's grade counts and the instrument's is kept; more than half a grade
// between them is said in the answer, in the judgement's row and its tests, and in
// the trace of a garment.
func TestADisagreementIsShownWhereverTheTestIs(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	grades := []*pb.ComponentGrade{{Component: "change", Grade: "4"}, {Component: "wool", Grade: "4"}}
	measured := []*pb.MeasuredGrade{pair("change", lab(42, 55, 28), lab(44.5, 51, 26)), pair("wool", lab(94, 0, 2), lab(92, 3, 1))}
	f := fine(c.test(&pb.FastnessTest{LotCode: c.a, Method: "studio-home-wash", Grades: grades, Measured: measured, Specimen: "strip 1", Instrument: "spectro-1", Direction: "paler"}))(c.House)
	const apart = "change: the assessor says 4, the instrument 3: more than half a grade apart, and the assessor's counts"
	tag := c.tags[c.a][0]
	for where, f := range map[string]*pb.FastnessTest{
		"the answer": f, "the judgement": c.judged(c.a).GetTests()[0],
		"the trace": fine(c.Garment.TraceGarment(c.Ctx, &pb.TraceGarmentRequest{Tag: tag}))(c.House).GetJudgement().GetTests()[0],
	} {
		g := f.GetMeasured()
		if len(g) != 2 || g[0].GetDisagreement() != apart || g[1].GetDisagreement() != "" || g[0].GetCounts() {
			t.Errorf("%s: %v", where, g)
		}
		if spelled(f) != "change 4, stain-wool 4" || f.GetGrades()[0].GetMeasured() || f.GetSpecimen() != "strip 1" {
			t.Errorf("%s: %v", where, f)
		}
		// Lighter by 2.5 with 4.5 less chroma is towards white, by (2.5 + 4.5)/√2 = 4.9;
		// towards black it is (4.5 − 2.5)/√2 = 1.4, too little to name beside that.
		if f.GetProposedDirection() != "weaker" || f.GetDirection() != "paler" {
			t.Errorf("%s: proposed %q, said %q", where, f.GetProposedDirection(), f.GetDirection())
		}
	}
	row := c.row(c.a, "own-wash-change")
	want := strings.Replace(apart, "change:", "change of "+f.GetCode()+":", 1)
	if row.GetState() != "passed" || row.GetFound() != "4" || len(row.GetDisagreements()) != 1 || row.GetDisagreements()[0] != want || !strings.Contains(row.GetText(), want) {
		t.Errorf("%v", row)
	}
	if r := c.row(c.a, "own-wash-staining"); len(r.GetDisagreements()) != 0 {
		t.Errorf("half a grade is said to be apart: %v", r)
	}
}

// Spectra give the same colours as their L*a*b*: a flat grey is L* alone, and a
// neutral step of ISO 105-A02 comes back as its own grade.
func TestSpectraAreGradedAsTheirColours(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	flat := func(r float64) *pb.Spectrum {
		s := &pb.Spectrum{FirstNm: 400, StepNm: 10, Specular: "included"}
		for range 31 {
			s.Reflectance = append(s.Reflectance, r)
		}
		return s
	}
	// L* of a flat reflectance Y is 116·Y^(1/3) − 16: 0.1842 is 50.0, 0.2016 is 52.0.
	g := &pb.MeasuredGrade{Component: "change", BeforeSpectrum: flat(0.18419), AfterSpectrum: flat(0.20142), Before: &pb.Lab{Illuminant: "D65", Observer: 2}}
	f := fine(c.test(&pb.FastnessTest{LotCode: c.a, Method: "studio-home-wash", Measured: []*pb.MeasuredGrade{g}}))(c.House)
	kept := fine(c.wear().GetFastnessTest(c.Ctx, &pb.GetFastnessTestRequest{Code: f.GetCode()}))(c.House).GetTest().GetMeasured()[0]
	if kept.GetGrade() != "4" || kept.GetDifference() != "2.00" || kept.GetBefore().GetObserver() != 2 || len(kept.GetAfterSpectrum().GetReflectance()) != 31 || kept.GetAfterSpectrum().GetSpecular() != "included" {
		t.Errorf("%v", kept)
	}
	short := flat(0.2)
	short.Reflectance = short.Reflectance[:30]
	for field, m := range map[string]*pb.MeasuredGrade{
		"test.measured[0].after_spectrum":              {Component: "change", BeforeSpectrum: flat(0.2), AfterSpectrum: short},
		"test.measured[0].before_spectrum":             {Component: "change", AfterSpectrum: flat(0.2)},
		"test.measured[0].before_spectrum.reflectance": {Component: "change", BeforeSpectrum: flat(1.2), AfterSpectrum: flat(0.2)},
		"test.measured[0].before.illuminant":           {Component: "change", BeforeSpectrum: flat(0.2), AfterSpectrum: flat(0.2), Before: &pb.Lab{Illuminant: "moon"}},
	} {
		_, err := c.test(&pb.FastnessTest{LotCode: c.a, Method: "studio-home-wash", Measured: []*pb.MeasuredGrade{m}})
		saysNo(t, err, codes.InvalidArgument, field, "")
	}
}

func TestMeasuredGradesThatAreRefused(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	good := pair("change", lab(50, 0, 0), lab(52, 0, 0))
	lamp := pair("change", lab(50, 0, 0), &pb.Lab{L: 52, Illuminant: "A"})
	told := []*pb.ComponentGrade{{Component: "change", Grade: "3", Measured: true}}
	sum := strings.Repeat("ab", 32)
	for field, f := range map[string]*pb.FastnessTest{
		"test.measured[0].component": {Method: "studio-home-wash", Measured: []*pb.MeasuredGrade{pair("moon", lab(1, 0, 0), lab(2, 0, 0))}},
		"test.measured[1].component": {Method: "studio-home-wash", Measured: []*pb.MeasuredGrade{good, good}},
		"test.measured[0].after":     {Method: "studio-home-wash", Measured: []*pb.MeasuredGrade{lamp}},
		"test.measured[0].before":    {Method: "studio-home-wash", Measured: []*pb.MeasuredGrade{{Component: "change", After: lab(2, 0, 0)}}},
		"test.measured[0].after.l":   {Method: "studio-home-wash", Measured: []*pb.MeasuredGrade{pair("change", lab(50, 0, 0), lab(152, 0, 0))}},
		"test.grades[0].measured":    {Method: "studio-home-wash", Grades: told},
		// Two colours say how much it changed, and never which blue wool it is.
		"test.grades":        {Method: "studio-window", Measured: []*pb.MeasuredGrade{pair("light", lab(46.3, -2.8, 24.4), lab(48.1, -2.0, 20.2))}},
		"test.report_name":   {Method: "studio-home-wash", Grades: told[:0], Measured: []*pb.MeasuredGrade{good}, ReportSha256: sum},
		"test.report_sha256": {Method: "studio-home-wash", Measured: []*pb.MeasuredGrade{good}, ReportName: "r.pdf", ReportSha256: strings.ToUpper(sum)},
		"test.window_code":   {Method: "studio-window", Grades: []*pb.ComponentGrade{{Component: "light", Grade: "3"}}, WindowCode: "X1"},
	} {
		f.LotCode = c.a
		_, err := c.test(f)
		saysNo(t, err, codes.InvalidArgument, field, "")
	}
	light := fine(c.test(&pb.FastnessTest{LotCode: c.a, Method: "studio-window", Grades: []*pb.ComponentGrade{{Component: "light", Grade: "6"}},
		Measured: []*pb.MeasuredGrade{pair("light", lab(46.3, -2.8, 24.4), lab(48.1, -2.0, 20.2))}}))(c.House)
	if m := light.GetMeasured()[0]; !m.GetOtherScale() || m.GetCounts() || m.GetDisagreement() != "" || m.GetFormula() != "ISO 105-A05" || len(light.GetGrades()) != 1 || light.GetGrades()[0].GetGrade() != "6" {
		t.Errorf("blue wool 6 is held against a grey scale: %v", light)
	}
}

// A report's hash is kept as it was sent, in lower-case hexadecimal, with the
// file's name and the laboratory's.
func TestAReportIsKeptByItsHash(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	sum := sha256.Sum256([]byte("report 12"))
	hash := hex.EncodeToString(sum[:])
	f := fine(c.test(&pb.FastnessTest{LotCode: c.a, Method: "iso-105-x12", Edition: "2016", Laboratory: "harbour laboratory", ReportName: "report-12.pdf", ReportSha256: hash,
		Grades: []*pb.ComponentGrade{{Component: "dry", Grade: "4"}}}))(c.House)
	kept := fine(c.wear().GetFastnessTest(c.Ctx, &pb.GetFastnessTestRequest{Code: f.GetCode()}))(c.House).GetTest()
	if kept.GetReportSha256() != hash || kept.GetReportName() != "report-12.pdf" || kept.GetLaboratory() != "harbour laboratory" || kept.GetAssessor() != "harbour laboratory" {
		t.Errorf("%v", kept)
	}
	_, err := c.wear().GetFastnessTest(c.Ctx, &pb.GetFastnessTestRequest{Code: "F99"})
	saysNo(t, err, codes.NotFound, "test", "F99")
}

// A row says who asks for it, in which edition, and of what.
func TestRowsSayWhoAsks(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().onlyLight()
	for _, r := range fine(c.Judge.ListHouseStandard(c.Ctx, &pb.ListHouseStandardRequest{All: true}))(c.House).GetRows() {
		if own := r.GetSource() == "the studio's own"; r.GetSource() == "" || !own && r.GetActive() {
			t.Errorf("a certificate's row is on, or nobody asks: %v", r)
		}
	}
	fine(c.Judge.SetHouseRow(c.Ctx, &pb.SetHouseRowRequest{RequestId: c.ID(), Key: "gots-light", Scope: "recipe", Active: true, Edition: "7.0"}))(c.House)
	row := c.row(c.a, "gots-light")
	if row.GetAsked() != "3-4 of each recipe by GOTS, edition 7.0" || row.GetScope() != "recipe" || row.GetSource() != "GOTS" || row.GetEdition() != "7.0" ||
		!strings.HasPrefix(row.GetText(), "light, asked 3-4 of each recipe by GOTS, edition 7.0: not yet tested") {
		t.Errorf("%v", row)
	}
}

// Blue wool 3 at 400 lux for 10 hours a day with its ultraviolet: 1.5 Mlx·h ÷
// 0.004 a day = 375 days; blue wool 2 150; for 2-3 between the two (the choir's
// story; doses after CIE 157:2004 and Michalski, from memory). Only the lot's own
// grade speaks.
func TestAdviceOnLightIsOfTheLotsOwnGrade(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	advise := func(lot string) *pb.AdviseFadeResponse {
		return fine(c.wear().AdviseFade(c.Ctx, &pb.AdviseFadeRequest{LotCode: lot, Lux: 400, HoursPerDay: 10}))(c.House)
	}
	fine(c.test(&pb.FastnessTest{LotCode: c.a, Scope: "recipe", Method: "studio-window", Grades: []*pb.ComponentGrade{{Component: "light", Grade: "5"}}}))(c.House)
	fine(c.test(&pb.FastnessTest{LotCode: c.a, Method: "aatcc-16-3", Edition: "2020", Grades: []*pb.ComponentGrade{{Component: "light", Grade: "L4"}}}))(c.House)
	if a := advise(c.a); a.GetTested() || !strings.HasPrefix(a.GetText(), "not tested: lot L1") || a.GetLaterDays() != 0 {
		t.Errorf("a recipe's grade, or one on another scale, speaks for the lot: %v", a)
	}
	c.light(c.a, "3")
	if a := advise(c.a); !a.GetTested() || a.GetSoonerDays() != 375 || a.GetLaterDays() != 375 || a.GetTestCode() != "F3" ||
		a.GetText() != "light 3: about 375 days at 400 lux for 10 hours a day, ultraviolet not filtered out, before a just noticeable fade" ||
		!strings.Contains(a.GetUncertainty(), "between 150 and 875 days") || !strings.Contains(a.GetUncertainty(), "never a promise") || !strings.HasPrefix(a.GetSource(), "CIE 157:2004") {
		t.Errorf("%v", a)
	}
	c.light(c.a, "2-3")
	if a := advise(c.a); a.GetSoonerDays() != 150 || a.GetLaterDays() != 375 || !strings.HasPrefix(a.GetText(), "light 2-3: between 150 and 375 days") {
		t.Errorf("%v", a)
	}
	if a := advise(c.b); a.GetTested() {
		t.Errorf("a sister's grade speaks for the lot: %v", a)
	}
	_, err := c.wear().AdviseFade(c.Ctx, &pb.AdviseFadeRequest{LotCode: c.b, HoursPerDay: 10})
	saysNo(t, err, codes.InvalidArgument, "lux", "above 0")
}
