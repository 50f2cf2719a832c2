package client

import (
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/testing/protocmp"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// choirsPot is the mordant of stories.md's choir, shared by two lots, and the
// iron of lot B that asks for a name. It keeps track of what was recorded.
type choirsPot struct {
	mu      sync.Mutex
	done    int32
	planned bool // not issued yet
}

func (c *choirsPot) answer(a asked) (proto.Message, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	grams := func(value, unit string) *dyelotv1.Amount { return &dyelotv1.Amount{Value: value, Unit: unit} }
	switch q := a.request.(type) {
	case *dyelotv1.GetStudioRequest:
		return &dyelotv1.GetStudioResponse{Studio: &dyelotv1.Studio{TimeZone: "Europe/Oslo"}, Principal: "dyer-1"}, nil
	case *dyelotv1.ListVesselsRequest:
		return &dyelotv1.ListVesselsResponse{Vessels: []*dyelotv1.Vessel{{Code: "pot-30"}, {Code: "tub-60"}}}, nil
	case *dyelotv1.IssueLotRequest:
		c.planned = false
		return &dyelotv1.IssueLotResponse{Lot: &dyelotv1.Lot{Code: q.GetLotCode(), FibreMass: grams("1080", "g")}}, nil
	case *dyelotv1.ListLotsRequest:
		if q.GetState() == "planned" {
			return &dyelotv1.ListLotsResponse{}, nil
		}
		return &dyelotv1.ListLotsResponse{Lots: []*dyelotv1.Lot{{Code: "L1", State: "in-work", ColourwayCode: "olive", VesselCode: "pot-40"}, {Code: "L2", State: "in-work", ColourwayCode: "olive", VesselCode: "pot-30"}}}, nil
	case *dyelotv1.GetBenchCardRequest:
		next := map[int32]int32{0: 1, 1: 2, 2: 0}[c.done]
		state := map[bool]string{true: "planned", false: "in-work"}[c.planned]
		return &dyelotv1.GetBenchCardResponse{Lot: &dyelotv1.Lot{Code: q.GetLotCode(), State: state}, ColourwayName: "harbour olive", NextPosition: next,
			Run: &dyelotv1.Run{Lots: []*dyelotv1.Lot{{Code: "L1"}, {Code: "L2"}}},
			Stages: []*dyelotv1.CardStage{
				{Stage: &dyelotv1.PlannedStage{Position: 1, Kind: "mordant", KindName: "mordant", LotCodes: []string{"L1", "L2"}, Shared: true, BathVolume: grams("43200", "mL"), FibreMass: grams("1080", "g"), Celsius: 55, Minutes: 60,
					Doses: []*dyelotv1.PlannedDose{{ItemName: "potassium alum", Amount: grams("162", "g"), Picks: []*dyelotv1.Taken{{ParcelCode: "P9", Amount: grams("162", "g")}}}}},
					Cautions: []*dyelotv1.Caution{{Text: "Dissolve the salt fully before the cloth goes in."}}},
				{Stage: &dyelotv1.PlannedStage{Position: 2, Kind: "after-dip", KindName: "after-dip", LotCodes: []string{"L2"}, BathVolume: grams("21560", "mL"), FibreMass: grams("539", "g"),
					Doses: []*dyelotv1.PlannedDose{{ItemName: "iron liquor", Amount: grams("27", "mL"), Picks: []*dyelotv1.Taken{{ParcelCode: "P10", Amount: grams("27", "mL")}}}}}},
			}}, nil
	case *dyelotv1.RecordStageRequest:
		if len(q.GetUsed()) > 0 && q.GetUsed()[0].GetParcelCode() == "P99" {
			return nil, status.Error(codes.NotFound, `there is no parcel "P99"`)
		}
		if q.GetPosition() == 2 && q.GetOverrideBy() == "" {
			st, err := status.New(codes.FailedPrecondition, "silk has been offered 2.2 % of iron").WithDetails(&errdetails.ErrorInfo{Reason: "OVERRIDE_NEEDED", Domain: "dyelot"})
			if err != nil {
				return nil, err
			}
			return nil, st.Err()
		}
		c.done = q.GetPosition()
		return &dyelotv1.RecordStageResponse{Record: &dyelotv1.StageRecord{Code: "S" + string('0'+rune(q.GetPosition())), Kind: "mordant", Position: q.GetPosition(), LotCodes: q.GetLotCodes()}, Next: "stage 2, after-dip, 27 mL of iron liquor"}, nil
	case *dyelotv1.UndoStageRequest:
		c.done--
		return &dyelotv1.UndoStageResponse{Record: &dyelotv1.StageRecord{Code: q.GetRecordCode(), UndoneReason: q.GetReason()}}, nil
	}
	return nil, nil
}

// recorded are the entries that reached the service.
func recordsOf(c *counter) []proto.Message {
	var all []proto.Message
	for _, a := range c.seen() {
		switch a.request.(type) {
		case *dyelotv1.RecordStageRequest, *dyelotv1.UndoStageRequest:
			all = append(all, a.request)
		}
	}
	return all
}

// A sitting at the pot: the shared mordant by enter, undone, again in ounces;
// then the iron, which somebody takes on by name.
func TestASittingAtThePot(t *testing.T) {
	t.Parallel()
	service := open(t, (&choirsPot{}).answer)
	typed := strings.Join([]string{
		"l2", "", "5 mL", "", "tub-60", "", "", // which lot, for which lots, a slip, as planned, vessel, who, go on
	}, "\n") + "\n" + strings.Join([]string{
		"", "30", "", "bench-1", "the jug slipped", "owner", "told the choir", "u", "that was lot 1",
	}, "\n") + "\n\x04"
	screen, code := atTerminal(t, at(service), typed, "pot")
	if code != 2 || !strings.Contains(screen, "stopped: nothing of this stage was recorded") {
		t.Fatalf("exit code %d\n%s", code, screen)
	}
	taken := func(parcel, value, unit string) []*dyelotv1.Taken {
		return []*dyelotv1.Taken{{ParcelCode: parcel, Amount: &dyelotv1.Amount{Value: value, Unit: unit}}}
	}
	want := []proto.Message{
		&dyelotv1.RecordStageRequest{LotCodes: []string{"L1", "L2"}, Position: 1, Used: taken("P9", "162", "g"), VesselCode: "tub-60", By: "dyer-1"},
		&dyelotv1.RecordStageRequest{LotCodes: []string{"L2"}, Position: 2, Used: taken("P10", "30", "mL"), VesselCode: "tub-60", By: "bench-1", Reason: "the jug slipped"},
		&dyelotv1.RecordStageRequest{LotCodes: []string{"L2"}, Position: 2, Used: taken("P10", "30", "mL"), VesselCode: "tub-60", By: "bench-1", Reason: "the jug slipped", OverrideBy: "owner", OverrideReason: "told the choir"},
		&dyelotv1.UndoStageRequest{RecordCode: "S2", Reason: "that was lot 1"},
	}
	if diff := cmp.Diff(want, recordsOf(service), protocmp.Transform(), protocmp.IgnoreFields(&dyelotv1.RecordStageRequest{}, "request_id"), protocmp.IgnoreFields(&dyelotv1.UndoStageRequest{}, "request_id")); diff != "" {
		t.Errorf("%s\n%s", diff, screen)
	}
	for _, shown := range []string{"M O R D A N T", "43.2 L, 1080 g air-dry, 55 °C, 60 min", "Dissolve the salt fully", "potassium alum from P9 [162 g]: ", "5 mL is a volume: give it in g",
		"who [dyer-1]: ", "next: stage 2", "vessel [tub-60]: ", "STOP  silk has been offered 2.2 % of iron", "S2 is taken back: that was lot 1"} {
		if !strings.Contains(screen, shown) {
			t.Errorf("%q is not on the screen:\n%s", shown, screen)
		}
	}
}

func TestASlipIsAskedAnewAndNothingIsLost(t *testing.T) {
	t.Parallel()
	service := open(t, (&choirsPot{}).answer)
	screen, code := atTerminal(t, at(service), "L1\nP99=162g\ntub-61\n\nTub-60\nnobody\n\n"+"L1\nP12=5.7oz\ntub-60\n\n\nq\n", "pot", "L1")
	records := recordsOf(service)
	if code != 0 || len(records) != 2 || !strings.Contains(screen, "not recorded: ") {
		t.Fatalf("exit code %d, %v\n%s", code, records, screen)
	}
	for _, shown := range []string{`there is no vessel "tub-61", only pot-30, tub-60`, "which vessel was it: pot-30, tub-60", "who [dyer-1]: "} {
		if !strings.Contains(screen, shown) || strings.Contains(screen, "who [nobody]") {
			t.Errorf("%q is not on the screen, or a slip is offered again:\n%s", shown, screen)
		}
	}
	got := records[1].(*dyelotv1.RecordStageRequest)
	if got.GetUsed()[0].GetParcelCode() != "P12" || got.GetUsed()[0].GetAmount().GetValue() != "5.7" || got.GetUsed()[0].GetAmount().GetUnit() != "oz" || len(got.GetLotCodes()) != 1 {
		t.Errorf("%v", got)
	}
}

// A lot that was only planned is issued first, before anything else is asked;
// whoever leaves instead has issued nothing.
func TestThePotIssuesALotFirst(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]int{"\n\x04": 1, "q\n": 0} {
		service := open(t, (&choirsPot{planned: true}).answer)
		screen, code := atTerminal(t, at(service), typed, "pot", "L1")
		issued := 0
		for _, a := range service.seen() {
			if _, is := a.request.(*dyelotv1.IssueLotRequest); is {
				issued++
			}
		}
		if issued != want || !strings.Contains(screen, "L1 is not issued yet") || strings.Contains(screen, "M O R D A N T") != (want == 1) || len(recordsOf(service)) > 0 {
			t.Errorf("%q: exit code %d, issued %d times\n%s", typed, code, issued, screen)
		}
	}
}

// Without a terminal nobody is asked: what to type instead is said.
func TestThePotNeedsATerminal(t *testing.T) {
	t.Parallel()
	service := open(t, nil)
	got := at(service).run(t, "pot", "L1")
	if got.code != 2 || !strings.Contains(got.err, "dyelot stage record LOTS STAGE --as-planned") || len(service.seen()) > 0 {
		t.Errorf("exit code %d: %s", got.code, got.err)
	}
	if screen, code := atTerminal(t, at(service), "", "pot", "--json"); code != 2 || !strings.Contains(screen, "TERMINAL_NEEDED") {
		t.Errorf("exit code %d: %s", code, screen)
	}
}
