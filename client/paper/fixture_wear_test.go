package paper

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// apart is a home wash whose assessor says 4 and whose instrument says 3 (the
// first case of ISO 105-A05 that the tests hold, 3.11), with a measured strip.
func apart() *dyelotv1.FastnessTest {
	return &dyelotv1.FastnessTest{
		Code: "F7", LotCode: "L2", Scope: "lot", Method: "iso-105-c06", Variant: "A1S", Edition: "2010", Specimen: "strip 1", Assessor: "bench-1", Laboratory: "harbour laboratory",
		Instrument: "spectro-1", TestedOn: "2026-06-20", Direction: "paler", ProposedDirection: "weaker", ReportName: "report-12.pdf",
		ReportSha256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
		Grades:       []*dyelotv1.ComponentGrade{{Component: "change", Grade: "4"}, {Component: "stain-wool", Grade: "4-5", Measured: true}},
		Measured: []*dyelotv1.MeasuredGrade{
			{Component: "change", Before: &dyelotv1.Lab{L: 42, A: 55, B: 28}, After: &dyelotv1.Lab{L: 44.5, A: 51, B: 26}, Instrument: "spectro-1", Grade: "3", Formula: "ISO 105-A05", Difference: "3.11",
				Direction: "weaker", Disagreement: "change: the assessor says 4, the instrument 3: more than half a grade apart, and the assessor's counts"},
			{Component: "stain-wool", Before: &dyelotv1.Lab{L: 94, B: 2}, After: &dyelotv1.Lab{L: 92, A: 3, B: 1}, Instrument: "spectro-1", Grade: "4-5", Formula: "ISO 105-A04", Difference: "2.48", Counts: true},
		},
	}
}

func judgedApart() *dyelotv1.GetJudgementResponse {
	r := judgedB(false)
	j := r.GetJudgement()
	j.Tests = append(j.Tests, apart())
	j.Rows[2].Disagreements = []string{"change of F7: the assessor says 4, the instrument 3: more than half a grade apart, and the assessor's counts"}
	j.Rows[2].Specimens = []string{"change, 2 specimens, which is few: F3 4, F7 4; worst 4, lower median 4; 2 of 2 reach 3-4, which says at 95 % only that at least 0.22 of such cloth does"}
	j.Rows = append(j.Rows, &dyelotv1.JudgedRow{Key: "gots-light", Title: "fading in light", State: "not-tested", Asked: "3-4 of each recipe by GOTS, edition 7.0"})
	return r
}

func window(state string) *dyelotv1.Window {
	w := &dyelotv1.Window{
		Code: "X4", LotCode: "L2", Scope: "recipe", Specimen: "strip 1", Place: "shop window, behind glass", Faces: "south", Lux: 2500, HoursPerDay: 10, BlueWools: []int32{1, 2, 3, 4},
		PutOutOn: "2026-05-21", LookOn: []string{"2026-05-28", "2026-06-04", "2026-06-18", "2026-07-16"}, By: "bench-1", State: "out", NextLookOn: "2026-06-18", DaysOut: 30, MegaluxHours: 0.75,
		Source:      "CIE 157:2004 and Michalski, from memory: check it before you rely on it",
		Uncertainty: "the doses are averages over many dyes with a wide spread, and a window has its clouds and its seasons: a guide, never a promise",
		Expected: []*dyelotv1.ExpectedWool{
			{BlueWool: 1, On: "2026-05-30", ChangedOn: "2026-05-29", Text: "blue wool 1 should have shown a change by about 30 May 2026; it was found changed on 29 May 2026"},
			{BlueWool: 2, On: "2026-06-14", Text: "blue wool 2 should have shown a change by about 14 June 2026; no look has found it changed yet"},
			{BlueWool: 3, On: "2026-07-20", Text: "blue wool 3 may show a change by about 20 July 2026"},
			{BlueWool: 4, On: "2026-10-08", Text: "blue wool 4 may show a change by about 8 October 2026"},
		},
		Looks: []*dyelotv1.WindowLook{
			{LookedOn: "2026-05-29", Grade: "2", Changed: []int32{1, 2}, By: "bench-1", Note: "the wrong strip", Superseded: true},
			{LookedOn: "2026-05-29", Grade: "5", Changed: []int32{1}, By: "bench-1"},
			{LookedOn: "2026-06-05", Grade: "4-5", By: "owner", Measured: &dyelotv1.MeasuredGrade{Grade: "3-4", Formula: "ISO 105-A05", Direction: "weaker, duller",
				Disagreement: "change of the specimen: the assessor says 4-5, the instrument 3-4: more than half a grade apart, and the assessor's counts"}},
		},
		ProposedWhy: "it was not found changed yet, and blue wool 1 was: better than 1, and nobody can say how much",
	}
	if state == "late" {
		w.Late = true
	}
	return w
}

func windowIn() *dyelotv1.TakeInResponse {
	w := window("in")
	w.State, w.TakenInOn, w.TestCode, w.NextLookOn = "in", "2026-07-16", "F9", ""
	return &dyelotv1.TakeInResponse{Window: w, Warnings: []string{"the looks say 1, since it changed between the same looks as blue wool 1: more than half a grade from 2-3, and the person's word counts"},
		Test: &dyelotv1.FastnessTest{Code: "F9", LotCode: "L2", Scope: "recipe", Method: "studio-window", Specimen: "strip 1", Grades: []*dyelotv1.ComponentGrade{{Component: "light", Grade: "2-3"}},
			Direction: "weaker", Assessor: "owner", Instrument: "eye", TestedOn: "2026-07-16", Evidence: "window book p. 12", WindowCode: "X4"}}
}

func windows() *dyelotv1.ListWindowsResponse {
	in := windowIn().GetWindow()
	in.Code = "X1"
	made := window("out")
	made.Code, made.NextLookOn, made.Specimen, made.Faces = "X2", "", "", ""
	up := window("out")
	up.Code, up.State, up.NextLookOn = "X3", "given-up", ""
	late := window("late")
	late.Code = "X5"
	return &dyelotv1.ListWindowsResponse{Windows: []*dyelotv1.Window{late, window("out"), up, made, in}}
}

func studies() []*dyelotv1.Study {
	return []*dyelotv1.Study{
		{Key: "liriope2014", Citation: "J. Textiles 2014, art. 587497, table 9", Licence: "CC BY", Dye: "an anthocyanin", Substrate: "silk", Results: 168, LoadedAt: at("2026-05-14T10:00:00Z"),
			Caveats: []string{"half grades are printed as decimals; that the mordant is tin is inferred", "a published table says what to expect at most, and is never a lot's grade"}},
		{Key: "nayak2014", Citation: "L. Nayak, J. Textiles 2014, art. 593782, tables 5 and 6", Licence: "CC BY", Dye: "Rheum emodi", Substrate: "jute unions, printed",
			Caveats: []string{"the order of the wash and rub columns could not be seen", "a published table says what to expect at most, and is never a lot's grade"}},
	}
}

func studyResults() *dyelotv1.FindStudyResultsResponse {
	return &dyelotv1.FindStudyResultsResponse{Studies: studies(), Results: []*dyelotv1.StudyResult{
		{StudyKey: "liriope2014", Line: 1, Table: "9", Mordant: "none", Fibre: "silk", Conditions: "bath pH 1", Component: "wash-change", Printed: "2", Grade: "2"},
		{StudyKey: "liriope2014", Line: 43, Table: "9", Mordant: "tin", Fibre: "silk", Conditions: "bath pH 1, pre-mordanted (the metal is inferred)", Component: "light", Printed: "2.5", Grade: "2-3"},
		{StudyKey: "nayak2014", Line: 12, Table: "5", Sample: "UJC3", Mordant: "CuSO4", SaltName: "copper sulfate 5-hydrate", Fibre: "jute/cotton", Conditions: "thickener guar gum", Component: "light", Printed: "7", Grade: "7"},
		{StudyKey: "cassia2017", Line: 14, Table: "3", Mordant: "aloe vera", Fibre: "leather", Conditions: "pre", Component: "ks", Printed: "7.28", Note: "printed R and K/S disagree"},
	}}
}

// wearSheets have their golden files beside those of sheets.
var wearSheets = map[string]func(*Sheet){
	"judged-apart": func(s *Sheet) { s.Judged(judgedApart()) },
	"test-shown":   func(s *Sheet) { s.Test(&dyelotv1.GetFastnessTestResponse{Test: apart()}) },
	"report-is":    func(s *Sheet) { s.ReportIs(apart(), "post-12.pdf") },
	"window-out": func(s *Sheet) {
		s.WindowOut(&dyelotv1.PutOutResponse{Window: window("out"), Warnings: []string{"no blue wool lies beside it, so no light grade can be read off: put some beside it and begin anew"}})
	},
	"window-looked": func(s *Sheet) { s.WindowLooked(&dyelotv1.LookResponse{Window: window("out")}) },
	"window-in":     func(s *Sheet) { s.WindowIn(windowIn()) },
	"window-given-up": func(s *Sheet) {
		s.WindowIn(&dyelotv1.TakeInResponse{Window: &dyelotv1.Window{Code: "X4", TakenInOn: "2026-06-18", GivenUp: "the strip fell behind the radiator"}})
	},
	"window-late":  func(s *Sheet) { s.Window(&dyelotv1.GetWindowResponse{Window: window("late")}) },
	"windows":      func(s *Sheet) { s.Windows(windows()) },
	"windows-none": func(s *Sheet) { s.Windows(&dyelotv1.ListWindowsResponse{}) },
	"fade": func(s *Sheet) {
		s.Fade(&dyelotv1.AdviseFadeResponse{LotCode: "L2", Tested: true, TestCode: "F9", Text: "light 2-3: between 150 and 375 days at 400 lux for 10 hours a day, ultraviolet not filtered out, before a just noticeable fade", Source: window("").GetSource(), Uncertainty: "the grade itself is sure to half a grade at best, which is between 150 and 375 days; " + window("").GetUncertainty()})
	},
	"fade-not-tested": func(s *Sheet) {
		s.Fade(&dyelotv1.AdviseFadeResponse{LotCode: "L1", Text: "not tested: lot L1 has no light grade of its own on the blue wools, and another lot's says nothing of it"})
	},
	"studies":          func(s *Sheet) { s.Studies(&dyelotv1.ListStudiesResponse{Studies: studies()}) },
	"studies-loaded":   func(s *Sheet) { s.StudiesLoaded(&dyelotv1.LoadStudiesResponse{Studies: studies()[:1], Loaded: 1}) },
	"study-find":       func(s *Sheet) { s.StudyResults(studyResults()) },
	"study-find-none":  func(s *Sheet) { s.StudyResults(&dyelotv1.FindStudyResultsResponse{}) },
	"methods-cautions": func(s *Sheet) { s.Methods(cautioned()) },
}

func cautioned() *dyelotv1.ListMethodsResponse {
	r := methods()
	r.GetMethods()[0].Caution = "hot liquor scalds; tongs, gloves, and let the pot cool before it is opened"
	return r
}

// One list for all the laws of a page: these join it.
func init() {
	for name, write := range wearSheets {
		sheets[name] = write
	}
}

// What is loud in colour is loud in words too: a disagreement is named as one
// wherever the test is printed.
func TestADisagreementIsNamed(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"judged-apart", "test-shown", "window-late"} {
		text, err := os.ReadFile(filepath.Join("testdata", name+".txt"))
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(text), "DISAGREE") {
			t.Errorf("%s does not name it:\n%s", name, text)
		}
	}
}
