package api_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// The choir's season from the project's worked story, through the service: each
// lot passes its colour and the set does not; light 3 passes and 2-3 is refused
// with exit code 4's status; the owner overrides, and every later view says so.
func TestTheChoirIsJudged(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().onlyLight()
	c.readAsInTheStory()
	c.light(c.a, "3")
	bad := c.light(c.b, "2-3")

	a, b := c.row(c.a, "colour"), c.row(c.b, "colour")
	if a.GetFound() != "0.63" || b.GetFound() != "1.23" || a.GetState() != "passed" || b.GetState() != "passed" || a.GetAsked() != "1.5" {
		t.Errorf("%v\n%v", a, b)
	}
	j := c.judged(c.a)
	if p := j.GetPairs(); len(p) != 1 || p[0].GetDifference() != "1.78" || p[0].GetWithin() || p[0].GetLotCode() != c.a || p[0].GetOtherLotCode() != c.b {
		t.Errorf("%v", p)
	}
	if !j.GetMatchedSet() || !j.GetMayPass() || j.GetSet().GetState() != "failed" || j.GetSet().GetText() != "set 1.78 (CIEDE2000, D65/10°, L1 to L2), asked 1: failed 1.78" {
		t.Errorf("%v", j)
	}
	if passed := fine(c.verdict(c.a, "passed", ""))(c.House); passed.GetState() != "passed" {
		t.Errorf("%v", passed)
	}

	before := c.judged(c.b)
	_, err := c.verdict(c.b, "passed", "it will do")
	numbers := saysNo(t, err, codes.FailedPrecondition, "", "lot L2 does not pass: light 2-3, asked 3: failed 2-3")
	if numbers["own-light"] != "failed 2-3" || numbers["blocking"] != "own-light" || numbers["lot"] != "L2" {
		t.Errorf("%v", numbers)
	}
	if diff := cmp.Diff(before.String(), c.judged(c.b).String()); diff != "" {
		t.Errorf("a refused verdict changed something: %s", diff)
	}
	held := fine(c.verdict(c.b, "held", "light 2-3"))(c.House)
	if held.GetState() != "held" || !cmp.Equal(held.GetBlocking(), []string{"own-light"}) || held.GetMayPass() {
		t.Errorf("%v", held)
	}

	fine(c.override(c.b, "light", "the choir was told and agreed"))(c.House)
	fine(c.override(c.b, "set", "they stand in two rows"))(c.House)
	fine(c.verdict(c.b, "passed", ""))(c.House)
	for _, lot := range []string{c.a, c.b} { // the set is one, whichever lot is asked
		if set := c.judged(lot).GetSet(); set.GetState() != "overridden" || set.GetOverrideBy() != "owner" || set.GetOverrideReason() != "they stand in two rows" {
			t.Errorf("%s: %v", lot, set)
		}
	}
	row := c.row(c.b, "own-light")
	want := &pb.JudgedRow{
		Key: "own-light", Title: "fading in light", State: "overridden", Asked: "3", Found: "2-3", OverrideBy: "owner", OverrideReason: "the choir was told and agreed",
		OverriddenAt: row.GetOverriddenAt(), Evidence: "test " + bad.GetCode() + " of lot L2",
		Text:  "light 2-3, asked 3: failed 2-3, overridden by owner: the choir was told and agreed",
		Scope: "lot", Source: "the studio's own",
	}
	if row.GetOverriddenAt() == nil || row.String() != want.String() {
		t.Errorf("got  %v\nwant %v", row, want)
	}
	after := c.judged(c.b)
	if after.GetState() != "passed" || len(after.GetVerdicts()) != 2 || after.GetVerdicts()[0].GetOutcome() != "held" || len(after.GetReadings()) != 1 || len(after.GetTests()) != 1 {
		t.Errorf("%v", after)
	}
	if got := c.places(c.b); got["shelf"] != 5 {
		t.Errorf("%v", got)
	}
}

// Law 5 through the service: what is asked in no row lets nothing through, and
// the whole house is asked of each lot.
func TestLaw5ALotPassesOnlyWithEveryRowOfTheHouse(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	_, err := c.verdict(c.a, "passed", "")
	numbers := saysNo(t, err, codes.FailedPrecondition, "", "lot L1 does not pass")
	if numbers["blocking"] != "colour, own-wash-change, own-wash-staining, own-rubbing-dry, own-rubbing-wet, own-light" || numbers["colour"] != "not yet tested" {
		t.Errorf("%v", numbers)
	}
	c.readAsInTheStory()
	grades := []*pb.ComponentGrade{{Component: "change", Grade: "4"}, {Component: "wool", Grade: "4-5"}, {Component: "stain-cotton", Grade: "3–4"}}
	wash := fine(c.test(&pb.FastnessTest{LotCode: c.a, Method: "iso-105-c06", Edition: "2010", Variant: "A1S", Grades: grades, Direction: "weaker, a little yellower", Assessor: "lab-1", Evidence: "report 12", TestedOn: "2024-07-02", Note: "two people"}))(c.House)
	if diff := cmp.Diff("change 4, stain-cotton 3-4, stain-wool 4-5", spelled(wash)); diff != "" || wash.GetDirection() != "weaker, a little yellower" || wash.GetScope() != "lot" || wash.GetTestedOn() != "2024-07-02" {
		t.Errorf("%s%v", diff, wash)
	}
	fine(c.test(&pb.FastnessTest{LotCode: c.a, Method: "iso-105-x12", Edition: "2016", Grades: []*pb.ComponentGrade{{Component: "dry", Grade: "4"}, {Component: "wet", Grade: "3"}}}))(c.House)
	_, err = c.verdict(c.a, "passed", "")
	saysNo(t, err, codes.FailedPrecondition, "", "light, asked 3: not yet tested, still open: lot L1")
	c.light(c.a, "3")
	fine(c.verdict(c.a, "passed", ""))(c.House)

	// Another lot's grade is not this one's, in whatever scope the row asks.
	if r := c.row(c.b, "own-light"); r.GetState() != "not-tested" || r.GetFound() != "" {
		t.Errorf("%v", r)
	}
	tests := c.judged(c.a).GetTests()
	if len(tests) != 3 || spelled(tests[0]) != spelled(wash) || tests[0].GetAssessor() != "lab-1" || tests[1].GetAssessor() != "owner" || tests[0].GetEvidence() != "report 12" {
		t.Errorf("%v", tests)
	}
}

func spelled(f *pb.FastnessTest) string {
	var all []string
	for _, g := range f.GetGrades() {
		all = append(all, g.GetComponent()+" "+g.GetGrade())
	}
	return strings.Join(all, ", ")
}

// Evidence for a harvest counts for lots with the same dyestuff parcels, for a
// recipe for lots of the same version; both only where the row asks for that,
// and both labelled.
func TestLaw5EvidenceCarriesItsScope(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().onlyLight()
	harvest := fine(c.test(&pb.FastnessTest{LotCode: c.a, Scope: "harvest", Method: "studio-window", Grades: []*pb.ComponentGrade{{Component: "light", Grade: "4"}}}))(c.House)
	recipe := fine(c.test(&pb.FastnessTest{LotCode: c.a, Scope: "recipe", Method: "studio-window", Grades: []*pb.ComponentGrade{{Component: "light", Grade: "5"}}}))(c.House)
	set := func(scope string) {
		t.Helper()
		fine(c.Judge.SetHouseRow(c.Ctx, &pb.SetHouseRowRequest{RequestId: c.ID(), Key: "light", Scope: scope, Active: true}))(c.House)
	}
	for scope, want := range map[string]*pb.JudgedRow{
		"lot":     {State: "not-tested"},
		"harvest": {State: "passed", Found: "4 (harvest " + c.weld + ", not this lot)", Evidence: "test " + harvest.GetCode() + " of harvest " + c.weld + ", on cloth of lot L1"},
		"recipe":  {State: "passed", Found: "5 (recipe weld-olive 1, not this lot)", Evidence: "test " + recipe.GetCode() + " of recipe weld-olive 1, on cloth of lot L1"},
	} {
		set(scope)
		for _, lot := range []string{c.a, c.b} { // of lot A itself too: the test says what it is evidence for
			r := c.row(lot, "own-light")
			if r.GetState() != want.GetState() || r.GetFound() != want.GetFound() || r.GetEvidence() != want.GetEvidence() {
				t.Errorf("%s, lot %s: %v", scope, lot, r)
			}
		}
	}
	if tests := c.judged(c.b).GetTests(); len(tests) != 2 || tests[0].GetScope() != "harvest" || tests[0].GetLotCode() != c.a {
		t.Errorf("%v", tests)
	}

	// A later harvest of weld, by the same recipe.
	blocked := fine(c.Stock.BlockParcel(c.Ctx, &pb.BlockParcelRequest{RequestId: c.ID(), ParcelCode: c.weld, Reason: "kept for the choir"}))(c.House)
	if blocked.GetParcel().GetCode() != c.weld {
		t.Fatalf("%v", blocked)
	}
	c.Receive("weld-dry", "2000g")
	_, other, _ := c.plan(false)
	set("recipe")
	if r := c.row(other, "own-light"); r.GetState() != "passed" || !strings.HasPrefix(r.GetFound(), "5 (recipe") {
		t.Errorf("same recipe: %v", r)
	}
	set("harvest")
	if r := c.row(other, "own-light"); r.GetState() != "not-tested" {
		t.Errorf("another harvest: %v", r)
	}
	if j := c.judged(other); j.GetMatchedSet() || j.GetSet() != nil || len(j.GetPairs()) != 0 {
		t.Errorf("lots that are no set are matched: %v", j)
	}
}

func TestReadingsAreKeptAndOnlyFinishedRestedDryOnesCount(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	tag := c.tags[c.a][0]
	early := c.read(c.a, 30, 0, 0) // at the pot: the bath below is recorded after it
	if early.GetCode() != "C1" || early.GetToStandard() == "" || early.GetBy() != "owner" || early.GetColour().GetIlluminant() != "D65" {
		t.Errorf("%v", early)
	}
	record := fine(c.Runs.UndoStage(c.Ctx, &pb.UndoStageRequest{RequestId: c.ID(), RecordCode: "S3", Reason: "once more"}))(c.House)
	if !record.GetRecord().GetUndone() {
		t.Fatalf("%v", record)
	}
	c.stage(3, c.a)
	c.dry()
	fine(c.reading(&pb.Reading{LotCode: c.a, Colour: &pb.Lab{L: 30}, Condition: "wet"}))(c.House)
	fine(c.reading(&pb.Reading{LotCode: c.a, Colour: &pb.Lab{L: 30}, Condition: "dry"}))(c.House)
	lamp := fine(c.reading(&pb.Reading{LotCode: c.a, Colour: &pb.Lab{L: 30, Illuminant: "A", Observer: 2}, Condition: "dry", Rested: true}))(c.House)
	if lamp.GetToStandard() != "" {
		t.Errorf("two lights are compared: %v", lamp)
	}
	if r := c.row(c.a, "colour"); r.GetState() != "not-tested" || !strings.Contains(r.GetText(), "no dry, rested reading") {
		t.Errorf("%v", r)
	}
	c.read(c.a, 62, -2, 38)
	by := fine(c.reading(&pb.Reading{Tag: strings.ToLower(tag), Colour: &pb.Lab{L: 64, A: -2, B: 38}, Condition: "dry", Rested: true, By: "bench-1", Instrument: "eye", HappenedAt: ago(0)}))(c.House)
	if by.GetTag() != tag || by.GetLotCode() != c.a || by.GetBy() != "bench-1" || by.GetInstrument() != "eye" {
		t.Errorf("%v", by)
	}
	// The mean of L* 62 and 64 is 63, one step of L* from the standard: 0.85 by
	// CIEDE2000, whose weight of L* is 1 + 0.015·12.5²/√(20 + 12.5²) = 1.1765.
	if r := c.row(c.a, "colour"); r.GetFound() != "0.85" || !strings.HasPrefix(r.GetEvidence(), "mean of readings C5, C6, the farthest C6 at 1.") {
		t.Errorf("%v", r)
	}
	fine(c.verdict(c.a, "scrapped", "torn", tag))(c.House)
	if r := c.row(c.a, "colour"); r.GetFound() != "0.00" || r.GetEvidence() != "reading C5" {
		t.Errorf("a garment that is gone still counts: %v", r)
	}
	if all := c.judged(c.a).GetReadings(); len(all) != 6 || all[0].GetCode() != "C1" {
		t.Errorf("a reading is lost: %v", all)
	}

	for name, r := range map[string]struct {
		r           *pb.Reading
		code        codes.Code
		field, says string
	}{
		"nothing":       {&pb.Reading{LotCode: c.a, Condition: "dry"}, codes.InvalidArgument, "reading.colour", "is needed"},
		"no colour":     {&pb.Reading{LotCode: c.a, Colour: &pb.Lab{L: 120}, Condition: "dry"}, codes.InvalidArgument, "reading.colour.l", "0 to 100"},
		"b of 299":      {&pb.Reading{LotCode: c.a, Colour: &pb.Lab{L: 50, B: 300.1}, Condition: "dry"}, codes.InvalidArgument, "reading.colour.b", "300"},
		"damp":          {&pb.Reading{LotCode: c.a, Colour: &pb.Lab{L: 50}, Condition: "damp"}, codes.InvalidArgument, "reading.condition", "neither dry nor wet"},
		"wet, rested":   {&pb.Reading{LotCode: c.a, Colour: &pb.Lab{L: 50}, Condition: "wet", Rested: true}, codes.InvalidArgument, "reading.rested", "wet cloth"},
		"of nothing":    {&pb.Reading{Colour: &pb.Lab{L: 50}, Condition: "dry"}, codes.InvalidArgument, "reading.lot_code", "or the garment's tag"},
		"no lot's code": {&pb.Reading{LotCode: "12", Colour: &pb.Lab{L: 50}, Condition: "dry"}, codes.InvalidArgument, "reading.lot_code", "L7"},
		"unknown lot":   {&pb.Reading{LotCode: "L99", Colour: &pb.Lab{L: 50}, Condition: "dry"}, codes.NotFound, "reading.lot", "L99"},
		"mistyped tag":  {&pb.Reading{Tag: "16JX", Colour: &pb.Lab{L: 50}, Condition: "dry"}, codes.InvalidArgument, "reading.tag", ""},
		"unknown tag":   {&pb.Reading{Tag: "16JD", Colour: &pb.Lab{L: 50}, Condition: "dry"}, codes.NotFound, "reading.tag", "16JD"},
		"another's tag": {&pb.Reading{LotCode: c.b, Tag: tag, Colour: &pb.Lab{L: 50}, Condition: "dry"}, codes.InvalidArgument, "reading.tag", "is of lot L1, not of L2"},
		"tomorrow":      {&pb.Reading{LotCode: c.a, Colour: &pb.Lab{L: 50}, Condition: "dry", HappenedAt: ago(-time.Hour)}, codes.InvalidArgument, "reading.happened_at", "in the future"},
	} {
		_, err := c.reading(r.r)
		t.Log(name)
		saysNo(t, err, r.code, r.field, r.says)
	}
}

func TestFastnessTestsThatAreRefused(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	tomorrow := time.Now().Add(48 * time.Hour).UTC().Format(time.DateOnly)
	one := func(component, grade string) []*pb.ComponentGrade {
		return []*pb.ComponentGrade{{Component: component, Grade: grade}}
	}
	for name, f := range map[string]struct {
		f           *pb.FastnessTest
		code        codes.Code
		field, says string
	}{
		"method":      {&pb.FastnessTest{LotCode: c.a, Method: "moonlight", Grades: one("light", "3")}, codes.InvalidArgument, "test.method", "the methods are iso-105-c06"},
		"component":   {&pb.FastnessTest{LotCode: c.a, Method: "studio-window", Grades: one("wash", "3")}, codes.InvalidArgument, "test.grades[0].component", "it grades light"},
		"grade":       {&pb.FastnessTest{LotCode: c.a, Method: "studio-window", Grades: one("light", "3.5")}, codes.InvalidArgument, "test.grades[0].grade", "never as a decimal"},
		"off scale":   {&pb.FastnessTest{LotCode: c.a, Method: "studio-home-wash", Grades: one("change", "6")}, codes.InvalidArgument, "test.grades[0].grade", "grades run from 1"},
		"twice":       {&pb.FastnessTest{LotCode: c.a, Method: "studio-home-wash", Grades: append(one("wool", "3"), one("stain-wool", "4")...)}, codes.InvalidArgument, "test.grades[1].component", "graded twice"},
		"no grade":    {&pb.FastnessTest{LotCode: c.a, Method: "studio-window"}, codes.InvalidArgument, "test.grades", "at least one"},
		"scope":       {&pb.FastnessTest{LotCode: c.a, Scope: "swatch", Method: "studio-window", Grades: one("light", "3")}, codes.InvalidArgument, "test.scope", "a lot, a harvest or a recipe"},
		"edition":     {&pb.FastnessTest{LotCode: c.a, Method: "iso-105-x12", Grades: one("dry", "3")}, codes.InvalidArgument, "test.edition", "ISO 105-X12"},
		"variant":     {&pb.FastnessTest{LotCode: c.a, Method: "iso-105-b02", Edition: "2014", Variant: "9", Grades: one("light", "3")}, codes.InvalidArgument, "test.variant", "they are 1, 2"},
		"future":      {&pb.FastnessTest{LotCode: c.a, Method: "studio-window", TestedOn: tomorrow, Grades: one("light", "3")}, codes.InvalidArgument, "test.tested_on", "in the future"},
		"lot":         {&pb.FastnessTest{LotCode: "A", Method: "studio-window", Grades: one("light", "3")}, codes.InvalidArgument, "test.lot_code", "L7"},
		"unknown lot": {&pb.FastnessTest{LotCode: "L99", Method: "studio-window", Grades: one("light", "3")}, codes.NotFound, "test.lot", "L99"},
	} {
		_, err := c.test(f.f)
		t.Log(name)
		saysNo(t, err, f.code, f.field, f.says)
	}
	bench := c.As("bench-1", "bench")
	_, err := c.Judge.RecordFastnessTest(bench, &pb.RecordFastnessTestRequest{RequestId: c.ID(), Test: &pb.FastnessTest{LotCode: c.a}})
	c.Refused(err, codes.PermissionDenied)

	blanks := c.Receive("tunic", "1pc")
	planned := fine(c.Runs.PlanRun(c.Ctx, &pb.PlanRunRequest{RequestId: c.ID(), ColourwayCode: "olive-silk", PotCodes: []string{"pot-40"}, Blanks: []*pb.Blanks{{ParcelCode: blanks, Count: 1}}}))(c.House)
	undyed := planned.GetRun().GetLots()[0].GetCode()
	_, err = c.test(&pb.FastnessTest{LotCode: undyed, Method: "studio-window", Grades: one("light", "3")})
	saysNo(t, err, codes.FailedPrecondition, "", "no dyed cloth")
	_, err = c.reading(&pb.Reading{LotCode: undyed, Colour: &pb.Lab{L: 50}, Condition: "dry"})
	saysNo(t, err, codes.FailedPrecondition, "", "no dyed cloth")
	fine(c.Runs.IssueLot(c.Ctx, &pb.IssueLotRequest{RequestId: c.ID(), LotCode: undyed}))(c.House)
	_, err = c.test(&pb.FastnessTest{LotCode: undyed, Scope: "harvest", Method: "studio-window", Grades: one("light", "3")})
	saysNo(t, err, codes.FailedPrecondition, "test.scope", "no dyestuff on record")
}

func TestEveryMethodIsListed(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	listed := fine(h.Judge.ListMethods(h.Ctx, &pb.ListMethodsRequest{}))(h)
	for _, m := range listed.GetMethods() {
		if m.GetKey() == "" || m.GetTitle() == "" || len(m.GetComponents()) == 0 || m.GetOwn() != strings.HasPrefix(m.GetKey(), "studio-") {
			t.Errorf("%v", m)
		}
	}
	if m := listed.GetMethods()[0]; m.GetKey() != "iso-105-c06" || !strings.HasPrefix(m.GetTitle(), "ISO 105-C06: ") || len(m.GetVariants()) != 16 {
		t.Errorf("%v", m)
	}
}

func at(t *testing.T, s string) *timestamppb.Timestamp {
	t.Helper()
	when, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return timestamppb.New(when)
}
