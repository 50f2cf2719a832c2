package api_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"pgregory.net/rapid"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// modelSeconds bounds the drawing of lives; the shelf's own model is beside it.
const modelSeconds = 5

// A lot's life on the real database, against a model that a dyer could keep on
// a slate: the state of each lot, which of its three stages are recorded with
// what, and what is left in the jar.
func TestALotsLifeAgainstASlate(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	until := time.Now().Add(modelSeconds * time.Second)
	s := newSlate(h)
	rapid.Check(t, func(r *rapid.T) {
		if time.Now().After(until) {
			return
		}
		s.lots, s.r = nil, r
		r.Repeat(map[string]func(*rapid.T){
			"plan": s.plan, "issue": s.issue, "record": s.record, "skip": s.skip, "undo": s.undo, "judge": s.judge, "cancel": s.cancel, "": s.check,
		})
	})
}

// doses of the three stages, in tenths of a gram: the second takes none.
var slateDoses = []int64{10, 0, 5}

type slateLot struct {
	code, run, state string
	used             [3]int64  // tenths of a gram
	record           [3]string // standing record, "" for none
}

type slate struct {
	h           *apitest.House
	r           *rapid.T
	jar, blanks string
	onHand      int64 // tenths of a gram in the jar
	lots        []*slateLot
}

func newSlate(h *apitest.House) *slate {
	s := &slate{h: h, onHand: 10_000_000}
	for _, v := range []string{"pot", "basin"} {
		apitest.Must(h, first(h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: &pb.Vessel{Code: v, Volume: h.Amount("40L"), Uses: []string{"dye", "rinse"}}})), nil)
	}
	h.Item(&pb.Item{Code: "soap", Kind: "auxiliary"})
	h.Item(&pb.Item{Code: "scarf", Kind: "blank", Fibres: []*pb.FibrePart{{Fibre: "wool", Percent: "100"}}, PieceMass: h.Amount("100g")})
	s.jar, s.blanks = h.Receive("soap", "1000kg"), h.Receive("scarf", "100000pc")
	first(h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: &pb.ShadeStandard{Code: "plain", Colour: &pb.Lab{L: 80, B: 5}, Tolerance: "2"}}))
	soap := func(percent string) []*pb.Dose {
		return []*pb.Dose{{ItemCode: "soap", Basis: "percent_wof", Value: percent}}
	}
	first(h.Recipes.CreateRecipeVersion(h.Ctx, &pb.CreateRecipeVersionRequest{RequestId: h.ID(), Recipe: &pb.Recipe{Code: "plain", Fibre: "wool", LiquorRatio: "30",
		Stages: []*pb.RecipeStage{{Kind: "scour", Doses: soap("1")}, {Kind: "dye"}, {Kind: "rinse", Doses: soap("0.5")}}}}))
	first(h.Recipes.CreateColourway(h.Ctx, &pb.CreateColourwayRequest{RequestId: h.ID(), Colourway: &pb.Colourway{Code: "plain", StandardCode: "plain", RecipeCode: "plain"}}))
	return s
}

func first[R any](r R, err error) R {
	if err != nil {
		panic(err)
	}
	return r
}

// plan: two lots at a time, or no life would ever come far.
func (s *slate) plan(*rapid.T) {
	if len(s.lots) == 2 {
		s.r.Skip()
	}
	resp, err := s.h.Runs.PlanRun(s.h.Ctx, &pb.PlanRunRequest{RequestId: s.h.ID(), ColourwayCode: "plain", Blanks: []*pb.Blanks{{ParcelCode: s.blanks, Count: 1}}, PotCodes: []string{"pot"}})
	if err != nil {
		s.r.Fatal(err)
	}
	s.lots = append(s.lots, &slateLot{code: resp.GetRun().GetLots()[0].GetCode(), run: resp.GetRun().GetCode(), state: "planned"})
}

// any draws a lot; without one the command is left out.
func (s *slate) any() *slateLot {
	if len(s.lots) == 0 {
		s.r.Skip()
	}
	return rapid.SampledFrom(s.lots).Draw(s.r, "lot")
}

// told compares what the service said with what the slate allows.
func (s *slate) told(what string, l *slateLot, err error, allowed bool) {
	s.r.Helper()
	switch {
	case allowed && err != nil:
		s.r.Fatalf("%s of %s, which is %s %v: %v", what, l.code, l.state, l.record, err)
	case !allowed && status.Code(err) != codes.FailedPrecondition:
		s.r.Fatalf("%s of %s, which is %s %v, was not refused: %v", what, l.code, l.state, l.record, err)
	}
}

func (s *slate) issue(*rapid.T) {
	l := s.any()
	_, err := s.h.Runs.IssueLot(s.h.Ctx, &pb.IssueLotRequest{RequestId: s.h.ID(), LotCode: l.code})
	allowed := l.state == "planned"
	s.told("issue", l, err, allowed)
	if allowed {
		l.state = "in-work"
	}
}

func (s *slate) record(r *rapid.T) {
	l := s.any()
	i := rapid.IntRange(0, 2).Draw(r, "stage")
	used := rapid.SampledFrom([]int64{slateDoses[i], 3, 0}).Draw(r, "tenths")
	req := &pb.RecordStageRequest{RequestId: s.h.ID(), LotCodes: []string{l.code}, Position: int32(i + 1), VesselCode: "basin"}
	if used > 0 {
		req.Used = []*pb.Taken{{ParcelCode: s.jar, Amount: &pb.Amount{Value: fmt.Sprintf("%d.%d", used/10, used%10), Unit: "g"}}}
	}
	resp, err := s.h.Runs.RecordStage(s.h.Ctx, req)
	allowed := l.state == "in-work" && l.record[i] == ""
	s.told("record", l, err, allowed)
	if !allowed {
		return
	}
	if deviates := len(resp.GetRecord().GetDeviations()) > 0; deviates != (used != slateDoses[i] || i == 1) { // the dye stage's pot is another vessel
		r.Fatalf("%d tenths for %d planned: deviations %v", used, slateDoses[i], resp.GetRecord().GetDeviations())
	}
	s.done(l, i, resp.GetRecord().GetCode(), used)
}

func (s *slate) done(l *slateLot, i int, record string, used int64) {
	l.record[i], l.used[i] = record, used
	s.onHand -= used
	if !slices.Contains(l.record[:], "") {
		l.state = "waiting-for-tests"
	}
}

func (s *slate) skip(r *rapid.T) {
	l := s.any()
	i := rapid.IntRange(0, 2).Draw(r, "stage")
	resp, err := s.h.Runs.SkipStage(s.h.Ctx, &pb.SkipStageRequest{RequestId: s.h.ID(), LotCodes: []string{l.code}, Position: int32(i + 1), Reason: "clean already"})
	allowed := l.state == "in-work" && l.record[i] == ""
	s.told("skip", l, err, allowed)
	if allowed {
		s.done(l, i, resp.GetRecord().GetCode(), 0)
	}
}

func (s *slate) undo(r *rapid.T) {
	l := s.any()
	i := rapid.IntRange(0, 2).Draw(r, "stage")
	if l.record[i] == "" {
		r.Skip()
	}
	_, err := s.h.Runs.UndoStage(s.h.Ctx, &pb.UndoStageRequest{RequestId: s.h.ID(), RecordCode: l.record[i], Reason: "of another lot"})
	allowed := l.state == "in-work" || l.state == "waiting-for-tests"
	s.told("undo", l, err, allowed)
	if allowed {
		s.onHand += l.used[i]
		l.record[i], l.used[i], l.state = "", 0, "in-work"
	}
}

func (s *slate) judge(r *rapid.T) {
	l := s.any()
	outcome := rapid.SampledFrom([]string{"held", "imperfect", "re-dye", "scrapped", "passed"}).Draw(r, "outcome")
	_, err := s.h.Judge.GiveVerdict(s.h.Ctx, &pb.GiveVerdictRequest{RequestId: s.h.ID(), LotCode: l.code, Outcome: outcome, Reason: "seen by the window"})
	judged := l.state == "waiting-for-tests" || l.state == "held"
	allowed := outcome != "passed" && judged || // nothing is read or tested here, so nothing passes
		outcome == "scrapped" && slices.Contains([]string{"in-work", "imperfect", "re-dye"}, l.state)
	s.told(outcome, l, err, allowed)
	if allowed {
		l.state = outcome
	}
}

func (s *slate) cancel(*rapid.T) {
	l := s.any()
	_, err := s.h.Runs.CancelRun(s.h.Ctx, &pb.CancelRunRequest{RequestId: s.h.ID(), RunCode: l.run, Reason: "not this year"})
	allowed := l.state == "planned"
	s.told("cancel", l, err, allowed)
	if allowed {
		l.state = "cancelled"
	}
}

// check compares every lot of this life, and the jar, with the slate.
func (s *slate) check(r *rapid.T) {
	for _, l := range s.lots {
		got, err := s.h.Runs.GetLot(s.h.Ctx, &pb.GetLotRequest{Code: l.code})
		if err != nil || got.GetLot().GetState() != l.state {
			r.Fatalf("%s is %s, and the slate says %s: %v", l.code, got.GetLot().GetState(), l.state, err)
		}
	}
	p, err := s.h.Stock.GetParcel(s.h.Ctx, &pb.GetParcelRequest{Code: s.jar})
	if want := s.onHand; err != nil || p.GetParcel().GetOnHand().GetValue() != tenths(want) {
		r.Fatalf("the jar holds %v, and the slate says %s: %v", p.GetParcel().GetOnHand(), tenths(want), err)
	}
}

func tenths(n int64) string {
	if n%10 == 0 {
		return fmt.Sprint(n / 10)
	}
	return fmt.Sprintf("%d.%d", n/10, n%10)
}
