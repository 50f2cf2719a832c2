package api_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "dyelot/proto/dyelot/v1"
)

func (s *sickBag) cause(q *pb.FindCauseRequest) *pb.FindCauseResponse {
	s.t.Helper()
	return fine(s.Cause.FindCause(s.Ctx, q))(s.House)
}

func namesOfFactors(fs []*pb.CauseFactor) []string {
	var names []string
	for _, f := range fs {
		names = append(names, f.GetKind()+" "+f.GetCode())
	}
	return names
}

// The demo's case: two garments dyed over, one bath used three times, one bad bag
// of alum among four, nine returns. The bag comes out on top, is blocked, and can
// be picked and promised no more.
func TestTheBadBagComesOutOnTop(t *testing.T) {
	t.Parallel()
	s := seasonOfBags(t)
	bad := s.bags[badBag]
	r := s.cause(&pb.FindCauseRequest{})
	if r.GetGarments() != 48 || r.GetReturned() != 9 || len(r.GetReturnedTags()) != 9 || !strings.Contains(r.GetPopulation(), "all 48 garments that left the studio since ") {
		t.Fatalf("%v", r)
	}
	top := r.GetSuspects()[0]
	// C(14,k)·C(34,9−k)/C(48,9) from 7 is 0.00121009, in whole numbers by another program.
	if got := namesOfFactors(top.GetFactors()); got[0] != "parcel "+bad || top.GetExposed() != 14 || top.GetExposedReturned() != 7 || !(top.GetPValue() > 0.0012100 && top.GetPValue() < 0.0012102) {
		t.Errorf("%v", top)
	}
	if want := "7 of 9 returns came from the 14 garments that had alum " + bad + " (Northern Salts, lot NS-140) in them; 2.6 expected of 48"; top.GetText() != want {
		t.Errorf("%q\nwant %q", top.GetText(), want)
	}
	if !top.GetWorthALook() || strings.Contains(strings.Join(append(r.GetNotes(), r.GetMethod()), " "), "proved") {
		t.Errorf("%v %v", top, r.GetNotes())
	}
	s.everyUseOfTheBath(r)

	tomorrow := time.Now().AddDate(0, 0, 1).UTC().Format(time.DateOnly)
	ask := &pb.RecordActionRequest{RequestId: s.ID(), SupplierLot: "ns-140", Because: "bag " + bad + ": 7 of 9 returns", Tags: top.GetTags(), DueOn: tomorrow, By: "dyer-1"}
	a := fine(s.Cause.RecordAction(s.Ctx, ask))(s.House).GetAction()
	if a.GetCode() != "A1" || a.GetKind() != "block" || a.GetState() != "open" || !slices.Equal(a.GetParcelCodes(), []string{bad}) || len(a.GetTags()) != 7 {
		t.Errorf("%v", a)
	}
	if again := fine(s.Cause.RecordAction(s.Ctx, ask))(s.House).GetAction(); !proto.Equal(a, again) { // law 7
		t.Errorf("%v", again)
	}
	s.blockedEverywhere(bad)
	s.shownWhereItConcerns(bad, top.GetTags()[0])
}

// everyUseOfTheBath: each use of a liquor is a suspect of its own, and what went
// in at the first is in the third.
func (s *sickBag) everyUseOfTheBath(r *pb.FindCauseResponse) {
	s.t.Helper()
	all := s.cause(&pb.FindCauseRequest{Limit: 1000})
	byName := map[string]*pb.CauseSuspect{}
	for _, x := range all.GetSuspects() {
		for _, f := range x.GetFactors() {
			byName[f.GetKind()+" "+f.GetName()] = x
		}
	}
	third, known := "", 0
	for name := range byName {
		if strings.HasPrefix(name, "bath-use dye ") && strings.Contains(name, ", use 3 of B") {
			third, known = name, known+1
		}
	}
	if known != 1 || byName[third].GetExposed() != 6 || byName[third].GetExposedReturned() != 2 {
		s.t.Errorf("the third use: %d %v", known, byName[third])
	}
	for name, x := range byName {
		// The whole bath: lot 1's four that stayed, the two dyed over, lot 3 and lot 5.
		if strings.HasPrefix(name, "bath B") && x.GetExposed() != 18 {
			s.t.Errorf("%s: %v", name, x)
		}
	}
	if len(all.GetSuspects()) != int(all.GetSuspectCount()) || len(r.GetSuspects()) > 20 {
		s.t.Errorf("%d of %d", len(all.GetSuspects()), all.GetSuspectCount())
	}
	if got := namesOfFactors(all.GetEverywhere()); !slices.Contains(got, "recipe weld-olive version 1") || !slices.Contains(got, "iron none") {
		s.t.Errorf("%v", got)
	}
}

func (s *sickBag) blockedEverywhere(bad string) {
	s.t.Helper()
	_, err := s.Stock.PromiseParcel(s.Ctx, &pb.PromiseParcelRequest{RequestId: s.ID(), ParcelCode: bad, Amount: s.Amount("10g"), Purpose: "swatches"})
	saysNo(s.t.(*testing.T), err, codes.FailedPrecondition, "", bad+" is blocked: A1: bag "+bad)
	_, err = s.Runs.PlanRun(s.Ctx, &pb.PlanRunRequest{RequestId: s.ID(), ColourwayCode: "olive-silk", SharedVessels: map[int32]string{1: "tub-60"}, Parcels: map[string]string{"alum": bad},
		Loads: []*pb.Load{{VesselCode: "pot-40", Blanks: []*pb.Blanks{{ParcelCode: s.tunics, Count: 1}}}}})
	saysNo(s.t.(*testing.T), err, codes.FailedPrecondition, "", bad+" is blocked: A1: ")
	run := fine(s.Runs.PlanRun(s.Ctx, &pb.PlanRunRequest{RequestId: s.ID(), ColourwayCode: "olive-silk", SharedVessels: map[int32]string{1: "tub-60"},
		Loads: []*pb.Load{{VesselCode: "pot-40", Blanks: []*pb.Blanks{{ParcelCode: s.tunics, Count: 1}}}}}))(s.House).GetRun()
	_, err = s.Runs.PickRun(s.Ctx, &pb.PickRunRequest{RequestId: s.ID(), RunCode: run.GetCode(), Parcels: map[string]string{"alum": bad}})
	saysNo(s.t.(*testing.T), err, codes.FailedPrecondition, "", bad+" is blocked: A1: ")
	if p := fine(s.Stock.GetParcel(s.Ctx, &pb.GetParcelRequest{Code: bad}))(s.House).GetParcel(); p.GetPromised().GetValue() != "0" {
		s.t.Errorf("promised %v", p.GetPromised())
	}
}

func (s *sickBag) shownWhereItConcerns(bad, tag string) {
	s.t.Helper()
	codesOf := func(as []*pb.Action) string {
		var all []string
		for _, a := range as {
			all = append(all, a.GetCode()+" "+a.GetState())
		}
		return strings.Join(all, ", ")
	}
	for what, got := range map[string]string{
		"the returned garment": codesOf(s.tracedTo(tag).GetActions()),
		"its sister":           codesOf(s.tracedTo(s.tags[s.lots[4]][5]).GetActions()),
		"the lot":              codesOf(fine(s.Runs.GetLot(s.Ctx, &pb.GetLotRequest{Code: s.lots[5]}))(s.House).GetActions()),
		"the bag":              codesOf(fine(s.Garment.TraceParcel(s.Ctx, &pb.TraceParcelRequest{ParcelCode: bad}))(s.House).GetActions()),
		"the list":             codesOf(fine(s.Cause.ListActions(s.Ctx, &pb.ListActionsRequest{}))(s.House).GetActions()),
	} {
		if got != "A1 open" {
			s.t.Errorf("%s: %q", what, got)
		}
	}
	if got := codesOf(s.tracedTo(s.tags[s.lots[3]][0]).GetActions()); got != "" {
		s.t.Errorf("a garment of another bag: %q", got)
	}
	var told []string
	for _, task := range fine(s.Studio.GetToday(s.Ctx, &pb.GetTodayRequest{}))(s.House).GetTasks() {
		if task.GetKey() == "action" {
			told = append(told, task.GetSubject()+" "+task.GetText())
		}
	}
	if len(told) != 1 || !strings.HasPrefix(told[0], "A1 block supplier's lot ns-140 ("+bad+"), by dyer-1, because: ") {
		s.t.Errorf("%q", told)
	}
	// More of that lot comes: it is not blocked, and somebody is told.
	more := fine(s.Stock.ReceiveDelivery(s.Ctx, &pb.ReceiveDeliveryRequest{RequestId: s.ID(), ItemCode: "alum", Amount: s.Amount("100g"), SupplierLot: "NS-140"}))(s.House).GetParcel().GetCode()
	tasks := fine(s.Studio.GetToday(s.Ctx, &pb.GetTodayRequest{}))(s.House).GetTasks()
	if !slices.ContainsFunc(tasks, func(x *pb.Task) bool { return x.GetKey() == "action-lot" && x.GetSubject() == more }) {
		s.t.Errorf("%v", tasks)
	}
	done := fine(s.Cause.CompleteAction(s.Ctx, &pb.CompleteActionRequest{RequestId: s.ID(), Code: "a1", Found: "the bag held soda", By: "owner"}))(s.House).GetAction()
	if done.GetState() != "done" || done.GetFound() != "the bag held soda" || done.GetDoneBy() != "owner" {
		s.t.Errorf("%v", done)
	}
	_, err := s.Cause.CompleteAction(s.Ctx, &pb.CompleteActionRequest{RequestId: s.ID(), Code: "A1", Found: "again"})
	saysNo(s.t.(*testing.T), err, codes.FailedPrecondition, "", "A1 was done on ")
	if got := codesOf(fine(s.Cause.ListActions(s.Ctx, &pb.ListActionsRequest{}))(s.House).GetActions()); got != "" {
		s.t.Errorf("open still: %q", got)
	}
	if got := codesOf(fine(s.Cause.ListActions(s.Ctx, &pb.ListActionsRequest{All: true}))(s.House).GetActions()); got != "A1 done" {
		s.t.Errorf("%q", got)
	}
}

// A bag that went into one tub and nowhere else cannot be told from the tub by
// counting. Of lots that were never sold, one had another bag in that tub's
// second use, and its kept witness cloth would tell.
func TestTwoSuspectsThatAlwaysOccurTogether(t *testing.T) {
	t.Parallel()
	s := sickBagStudio(t)
	s.plan(0, nil, 4)
	s.dye("", s.lots[0])
	s.plan(badBag, nil, 4, 3)
	tub := s.stage(1, s.lots[1], s.lots[2]).GetBathCode()
	for _, l := range s.lots[1:3] {
		s.stage(2, l)
		s.stage(3, l)
		s.read(l, 62, -2, 38)
	}
	sold := s.lots
	s.sellAll()
	for _, tag := range append(slices.Clone(s.tags[sold[1]][:2]), s.tags[sold[2]][0]) {
		fine(s.Garment.TakeBackGarment(s.Ctx, &pb.TakeBackGarmentRequest{RequestId: s.ID(), Tag: tag, Complaint: "spots"}))(s.House)
	}
	r := s.cause(&pb.FindCauseRequest{Complaint: "SPOTS"})
	names := namesOfFactors(r.GetSuspects()[0].GetFactors())
	if len(names) != 2 || names[0] != "parcel "+s.bags[badBag] || !strings.HasPrefix(names[1], "bath-use S") {
		t.Fatalf("%v", names)
	}
	if len(r.GetNotes()) == 0 || !strings.HasPrefix(r.GetNotes()[0], "three returns are few") {
		t.Errorf("%v", r.GetNotes())
	}
	p := r.GetPartings()[0]
	if !p.GetInseparable() || len(p.GetOnlyALotCodes())+len(p.GetOnlyBLotCodes()) != 0 || !strings.HasPrefix(p.GetText()[1], "no witness cloth was kept") {
		t.Errorf("%v", p)
	}
	// The same bag in a tub of its own, dyed and not sold yet.
	s.plan(badBag, nil, 2)
	s.dye("", s.lots[3])
	_ = tub
	p = s.cause(&pb.FindCauseRequest{}).GetPartings()[0]
	if diff := cmp.Diff([]string{s.lots[3]}, p.GetOnlyALotCodes()); diff != "" {
		t.Errorf("%s%v", diff, p)
	}
	if want := "test the kept witness cloth of " + s.lots[3] + " (18 g of " + s.strip + "): it had alum " + s.bags[badBag]; !strings.HasPrefix(p.GetText()[1], want) {
		t.Errorf("%q", p.GetText())
	}
}

// What happened to a garment after it came back did not make it come back.
func TestWhatCameAfterTheReturnIsNoCause(t *testing.T) {
	t.Parallel()
	s := sickBagStudio(t)
	s.plan(0, nil, 6)
	s.dye("", s.lots[0])
	s.sellAll()
	back := s.tags[s.lots[0]][0]
	fine(s.Garment.TakeBackGarment(s.Ctx, &pb.TakeBackGarmentRequest{RequestId: s.ID(), Tag: back, Complaint: "too pale"}))(s.House)
	s.plan(badBag, []string{back}, 2)
	s.dye("", s.lots[1])
	r := s.cause(&pb.FindCauseRequest{Tags: []string{strings.ToLower(back)}, Limit: 1000})
	if r.GetGarments() != 6 || len(r.GetSuspects()) != 0 {
		t.Errorf("%v", r.GetSuspects())
	}
	if got := namesOfFactors(r.GetEverywhere()); !slices.Contains(got, "parcel "+s.bags[0]) || slices.Contains(got, "parcel "+s.bags[badBag]) {
		t.Errorf("%v", got)
	}
}

func TestWhatCannotBeAskedOfReturns(t *testing.T) {
	t.Parallel()
	s := sickBagStudio(t)
	s.plan(0, nil, 2)
	s.dye("", s.lots[0])
	s.sellAll()
	tag := s.tags[s.lots[0]][0]
	ask := func(q *pb.FindCauseRequest) error { _, err := s.Cause.FindCause(s.Ctx, q); return err }
	saysNo(t, ask(&pb.FindCauseRequest{}), codes.FailedPrecondition, "", "nothing came back since")
	saysNo(t, ask(&pb.FindCauseRequest{Tags: []string{tag}}), codes.InvalidArgument, "tags[0]", "has not come back")
	saysNo(t, ask(&pb.FindCauseRequest{Tags: []string{"XXXXX"}}), codes.InvalidArgument, "tags[0]", "")
	fine(s.Garment.TakeBackGarment(s.Ctx, &pb.TakeBackGarmentRequest{RequestId: s.ID(), Tag: tag, Complaint: "spots"}))(s.House)
	saysNo(t, ask(&pb.FindCauseRequest{Tags: []string{tag, tag}}), codes.InvalidArgument, "tags[1]", "named twice")
	saysNo(t, ask(&pb.FindCauseRequest{Tags: []string{tag}, Since: "2026-01-01"}), codes.InvalidArgument, "since", "not both")
	saysNo(t, ask(&pb.FindCauseRequest{Complaint: "torn"}), codes.FailedPrecondition, "", `with "torn" in its complaint`)
	saysNo(t, ask(&pb.FindCauseRequest{From: "2026-02-01", Until: "2026-01-01"}), codes.InvalidArgument, "until", "lies before")
	saysNo(t, ask(&pb.FindCauseRequest{Until: "2020-01-01", From: "2019-01-01"}), codes.FailedPrecondition, "", "nobody to compare with")
	saysNo(t, ask(&pb.FindCauseRequest{Limit: -1}), codes.InvalidArgument, "limit", "negative")
	saysNo(t, ask(&pb.FindCauseRequest{ColourwayCodes: []string{"none"}}), codes.NotFound, "colourway_codes[0]", "")

	due := time.Now().AddDate(0, 1, 0).Format(time.DateOnly)
	record := func(q *pb.RecordActionRequest) error {
		q.RequestId = s.ID()
		_, err := s.Cause.RecordAction(s.Ctx, q)
		return err
	}
	saysNo(t, record(&pb.RecordActionRequest{Because: "spots", DueOn: due}), codes.InvalidArgument, "change", "say what is changed")
	saysNo(t, record(&pb.RecordActionRequest{Method: "stir", SupplierLot: "NS-118", Because: "spots", DueOn: due}), codes.InvalidArgument, "change", "one thing")
	saysNo(t, record(&pb.RecordActionRequest{Method: "stir", DueOn: due}), codes.InvalidArgument, "because", "is needed")
	saysNo(t, record(&pb.RecordActionRequest{Method: "stir", Because: "spots"}), codes.InvalidArgument, "due_on", "is needed")
	saysNo(t, record(&pb.RecordActionRequest{Method: "stir", Because: "spots", DueOn: "2020-01-01"}), codes.InvalidArgument, "due_on", "is over")
	saysNo(t, record(&pb.RecordActionRequest{SupplierLot: "NS-999", Because: "spots", DueOn: due}), codes.NotFound, "supplier_lot", "NS-999")
	saysNo(t, record(&pb.RecordActionRequest{ParcelCodes: []string{s.bags[0], strings.ToLower(s.bags[0])}, Because: "spots", DueOn: due}), codes.InvalidArgument, "parcel_codes[1]", "named twice")
	saysNo(t, record(&pb.RecordActionRequest{RecipeCode: "weld-olive", RecipeVersion: 7, Because: "spots", DueOn: due}), codes.NotFound, "recipe", "")
	saysNo(t, record(&pb.RecordActionRequest{Method: "stir", Because: "spots", DueOn: due, Tags: []string{s.tags[s.lots[0]][1]}}), codes.InvalidArgument, "tags[0]", "has not come back")
	// Both bags on which NS-118 is printed are blocked, and what was promised of
	// one is said to be.
	fine(s.Stock.PromiseParcel(s.Ctx, &pb.PromiseParcelRequest{RequestId: s.ID(), ParcelCode: s.bags[3], Amount: s.Amount("10g"), Purpose: "swatches"}))(s.House)
	resp := fine(s.Cause.RecordAction(s.Ctx, &pb.RecordActionRequest{RequestId: s.ID(), Supplier: "northern salts", SupplierLot: "NS-118", Because: "spots", DueOn: due}))(s.House)
	if !slices.Equal(resp.GetAction().GetParcelCodes(), []string{s.bags[0], s.bags[3]}) || len(resp.GetWarnings()) != 1 || !strings.Contains(resp.GetWarnings()[0].GetText(), "10 g of "+s.bags[3]+" is still promised for swatches") {
		t.Errorf("%v", resp)
	}
	// A recipe's next version concerns the lots of the one before.
	fine(write(s.House, &pb.Recipe{Code: "weld-olive", Fibre: "silk", LiquorRatio: "30", Stages: []*pb.RecipeStage{{Position: 1, Kind: "dry"}}}))(s.House)
	a := fine(s.Cause.RecordAction(s.Ctx, &pb.RecordActionRequest{RequestId: s.ID(), RecipeCode: "weld-olive", Because: "spots", DueOn: due}))(s.House).GetAction()
	if a.GetRecipeVersion() != 2 || a.GetChange() != "recipe weld-olive version 2" || len(s.tracedTo(tag).GetActions()) != 2 {
		t.Errorf("%v", a)
	}
	viewer := s.As("looker", "viewer")
	_, err := s.Cause.RecordAction(viewer, &pb.RecordActionRequest{RequestId: s.ID(), Method: "stir", Because: "spots", DueOn: due})
	s.Refused(err, codes.PermissionDenied)
}
