package api_test

import (
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// always are hours without nights or weekends but for a minute, so that a test
// says the same at any time of any day.
func always(h *apitest.House, change func(*pb.SetHoursRequest)) *pb.Hours {
	h.T.Helper()
	q := &pb.SetHoursRequest{RequestId: h.ID(), Weekdays: []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"}, From: "00:00", To: "23:59", People: proto.Int32(2), Burners: proto.Int32(3)}
	if change != nil {
		change(q)
	}
	return fine(h.Days.SetHours(h.Ctx, q))(h).GetHours()
}

func weekOf(h *apitest.House) *pb.GetWeekPlanResponse {
	h.T.Helper()
	return fine(h.Days.GetWeekPlan(h.Ctx, &pb.GetWeekPlanRequest{Days: 14}))(h)
}

// of is the task of a kind for a lot.
func of(t *testing.T, w *pb.GetWeekPlanResponse, kind, lot string) *pb.WeekTask {
	t.Helper()
	for _, task := range w.GetTasks() {
		if task.GetKind() == kind && strings.Contains(strings.Join(task.GetLotCodes(), " ")+" ", lot+" ") {
			return task
		}
	}
	t.Fatalf("no %s of %s among %v", kind, lot, w.GetTasks())
	return nil
}

func before(t *testing.T, a, b *pb.WeekTask, rest time.Duration) {
	t.Helper()
	if wait := b.GetStartsAt().AsTime().Sub(a.GetEndsAt().AsTime()); wait < rest {
		t.Errorf("%s of %v begins %v after %s", b.GetKind(), b.GetLotCodes(), wait, a.GetKind())
	}
}

func TestHoursAreKeptAndSaid(t *testing.T) {
	t.Parallel()
	h := apitest.New(t)
	if w := weekOf(h); !w.GetHours().GetUsual() || w.GetHours().GetPeople() != 1 || w.GetHours().GetTo() != "17:00" || w.GetEndsAt() != nil || len(w.GetMinutes()) != 15 {
		t.Errorf("nobody has set any, and nothing is open: %v", w)
	}
	off := time.Now().AddDate(0, 0, 40).Format(time.DateOnly)
	fine(h.Days.SetHours(h.Ctx, &pb.SetHoursRequest{RequestId: h.ID(), Weekdays: []string{"tue", "mon"}, From: "09:30", People: proto.Int32(3), DaysOff: []string{off}, RackPieces: proto.Int32(40)}))(h)
	got := fine(h.Days.SetHours(h.Ctx, &pb.SetHoursRequest{RequestId: h.ID(), Burners: proto.Int32(0)}))(h).GetHours()
	if strings.Join(got.GetWeekdays(), " ") != "mon tue" || got.GetFrom() != "09:30" || got.GetTo() != "17:00" || got.GetPeople() != 3 || got.GetBurners() != 0 || got.GetRackPieces() != 40 || len(got.GetDaysOff()) != 1 || got.GetUsual() {
		t.Errorf("what is not given stays: %v", got)
	}
	if got = fine(h.Days.SetHours(h.Ctx, &pb.SetHoursRequest{RequestId: h.ID(), ClearDaysOff: true}))(h).GetHours(); len(got.GetDaysOff()) != 0 {
		t.Errorf("%v", got)
	}
	for _, c := range []struct {
		q           *pb.SetHoursRequest
		field, says string
	}{
		{&pb.SetHoursRequest{People: proto.Int32(-1)}, "people", "-1 people"},
		{&pb.SetHoursRequest{People: proto.Int32(0)}, "people", "0 people"},
		{&pb.SetHoursRequest{From: "17:00", To: "08:00"}, "to", "before they begin"},
		{&pb.SetHoursRequest{From: "eight"}, "from", "no time of the day"},
		{&pb.SetHoursRequest{Weekdays: []string{"someday"}}, "weekdays", "no day of the week"},
		{&pb.SetHoursRequest{Burners: proto.Int32(-2)}, "burners", "-2 burners"},
		{&pb.SetHoursRequest{RackPieces: proto.Int32(-2)}, "rack_pieces", "-2 pieces"},
		{&pb.SetHoursRequest{DaysOff: []string{"2020-01-01"}}, "days_off[0]", "has passed"},
		{&pb.SetHoursRequest{DaysOff: []string{"Christmas"}}, "days_off[0]", "not a day"},
	} {
		c.q.RequestId = h.ID()
		_, err := h.Days.SetHours(h.Ctx, c.q)
		saysNo(t, err, codes.InvalidArgument, c.field, c.says)
	}
	for _, c := range []struct {
		q     *pb.GetWeekPlanRequest
		field string
	}{{&pb.GetWeekPlanRequest{Days: -1}, "days"}, {&pb.GetWeekPlanRequest{Days: 32}, "days"}, {&pb.GetWeekPlanRequest{From: "2020-01-01"}, "from"}, {&pb.GetWeekPlanRequest{From: "2199-01-01"}, "from"}, {&pb.GetWeekPlanRequest{From: "soon"}, "from"}} {
		_, err := h.Days.GetWeekPlan(h.Ctx, c.q)
		saysNo(t, err, codes.InvalidArgument, c.field, "")
	}
	_, err := h.Days.SetHours(h.As("bench-1", "bench"), &pb.SetHoursRequest{RequestId: h.ID(), People: proto.Int32(2)})
	h.Refused(err, codes.PermissionDenied)
}

// Two lots of one run: mordant and brew are shared, each lot has its pot, iron is
// in a vessel of its own, and what was recorded late moves what follows.
func TestAWeekIsPlannedAndMovesWhenAStageRunsLate(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	always(c.House, nil)
	a, b := c.lots[0], c.lots[1]
	w := weekOf(c.House)
	mordant, brew := of(t, w, "mordant", a), of(t, w, "brew", a)
	if len(mordant.GetLotCodes()) != 2 || mordant.GetVesselCode() != "tub-60" || brew.GetVesselCode() != "tub-60" || !brew.GetBurner() {
		t.Errorf("%v\n%v", mordant, brew)
	}
	for _, lot := range c.lots {
		dye, iron, dry := of(t, w, "dye", lot), of(t, w, "after-dip", lot), of(t, w, "dry", lot)
		before(t, mordant, dye, 0)
		before(t, brew, dye, 0)
		before(t, dye, iron, 0)
		before(t, iron, dry, 0)
		if dye.GetEndsAt().AsTime().Sub(dye.GetAloneFrom().AsTime()) < 12*time.Hour || !strings.Contains(dye.GetWaits(), "cools until") || iron.GetVesselCode() != "iron-15" || dry.GetPieces() != 5 {
			t.Errorf("%v\n%v\n%v", dye, iron, dry)
		}
		if sit := iron.GetStartsAt().AsTime().Sub(dye.GetEndsAt().AsTime()); sit > 4*time.Hour {
			t.Errorf("it sits in a heap for %v", sit)
		}
	}
	if of(t, w, "dye", a).GetVesselCode() != "pot-40" || of(t, w, "dye", b).GetVesselCode() != "pot-30" {
		t.Errorf("each lot has its own pot")
	}
	if w.GetBoundAt().AsTime().After(w.GetEndsAt().AsTime()) || len(w.GetLate()) != 0 || len(w.GetClashes()) != 0 || w.GetOpenStages() != 8 {
		t.Errorf("%v", w)
	}
	// Lot A is dyed, and cools; lot B was not.
	fine(c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: c.lots, Position: 1, AsPlanned: true, VesselCode: "tub-60"}))(c.House)
	fine(c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: c.lots, Position: 2, AsPlanned: true, VesselCode: "tub-60"}))(c.House)
	fine(c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: []string{a}, Position: 3, VesselCode: "pot-40"}))(c.House)
	after := weekOf(c.House)
	cooling, next := of(t, after, "dye", a), of(t, after, "dye", b)
	if !cooling.GetBegun() || cooling.GetVesselCode() != "pot-40" || !strings.Contains(cooling.GetWaits(), "cools until") {
		t.Errorf("it cools in its pot: %v", cooling)
	}
	before(t, cooling, of(t, after, "after-dip", a), 0)
	if next.GetBegun() || next.GetStartsAt().AsTime().Before(time.Now().Add(-2*time.Minute)) {
		t.Errorf("nothing is planned for a time that has passed: %v", next)
	}
	waits := map[string]string{}
	for _, task := range fine(c.Studio.GetToday(c.Ctx, &pb.GetTodayRequest{}))(c.House).GetTasks() {
		if strings.HasPrefix(task.GetKey(), "stage-") {
			waits[task.GetSubject()] = task.GetKey() + ": " + task.GetText()
		}
	}
	if !strings.HasPrefix(waits[a], "stage-waits: cools until ") || !strings.HasSuffix(waits[a], "then stage 4, after-dip") || waits[b] != "stage-next: stage 3, dye" {
		t.Errorf("%v", waits)
	}
	if after.GetOpenStages() != 5 {
		t.Errorf("%d", after.GetOpenStages())
	}
}

// A run that was planned the day before yesterday and is not begun has lost this
// morning, and says from when it moved; due tomorrow it is late: 12 hours of
// cooling and 24 of drying are before it.
func TestWhatWasNotBegunMovesAndWhatIsLateIsSaid(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	always(c.House, nil)
	tomorrow := time.Now().UTC().AddDate(0, 0, 1)
	run := fine(c.Runs.PlanRun(c.Ctx, &pb.PlanRunRequest{RequestId: c.ID(), ColourwayCode: "gold", HappenedAt: ago(48 * time.Hour), DueOn: tomorrow.Format(time.DateOnly),
		Blanks: []*pb.Blanks{{ParcelCode: c.Receive("tunic", "4pc"), Count: 4}}, PotCodes: []string{"pot-30"}}))(c.House).GetRun()
	lot := run.GetLots()[0].GetCode()
	w := weekOf(c.House)
	mordant := of(t, w, "mordant", lot)
	y, m, d := time.Now().UTC().Date()
	lost := mordant.GetStartsAt().AsTime().Sub(time.Date(y, m, d, 0, 0, 0, 0, time.UTC)) >= 15*time.Minute
	if (mordant.GetMovedFrom() != nil) != lost {
		t.Errorf("moved from %v to %v", mordant.GetMovedFrom().AsTime(), mordant.GetStartsAt().AsTime())
	}
	if len(w.GetLate()) != 1 || w.GetLate()[0].GetRunCode() != run.GetCode() || w.GetLate()[0].GetDaysLate() < 1 || w.GetLate()[0].GetLotCodes()[0] != lot {
		t.Errorf("%v", w.GetLate())
	}
	if short := mordant.GetNote(); !strings.Contains(short, "short of") == (run.GetStages()[0].GetDoses()[0].GetShort() != nil) {
		t.Errorf("%q beside %v", short, run.GetStages()[0].GetDoses())
	}
}

func TestAStageIsPinnedAndGivenBack(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	always(c.House, nil)
	lot := c.lots[1]
	at := time.Now().Add(5 * 24 * time.Hour).Truncate(time.Minute)
	pin := func(change func(*pb.PinStageRequest)) (*pb.PinStageResponse, error) {
		q := &pb.PinStageRequest{RequestId: c.ID(), LotCode: lot, Position: 3, StartsAt: timestamppb.New(at), Reason: "the choir comes to watch"}
		change(q)
		return c.Days.PinStage(c.Ctx, q)
	}
	p := fine(pin(func(q *pb.PinStageRequest) { q.VesselCode = "pot-40" }))(c.House).GetTask()
	if !p.GetPinned() || !p.GetStartsAt().AsTime().Equal(at) || p.GetVesselCode() != "pot-40" || p.GetPinReason() != "the choir comes to watch" {
		t.Errorf("%v", p)
	}
	w := weekOf(c.House)
	before(t, of(t, w, "dye", lot), of(t, w, "after-dip", lot), 0)
	early := fine(pin(func(q *pb.PinStageRequest) { q.StartsAt = timestamppb.New(time.Now().Add(2 * time.Minute)) }))(c.House).GetTask()
	if w = weekOf(c.House); !early.GetPinned() || len(w.GetClashes()) == 0 || !strings.Contains(w.GetClashes()[0], "is not done until") {
		t.Errorf("the mordant cannot be done by then, and that is said: %v", w.GetClashes())
	}
	back := fine(c.Days.UnpinStage(c.Ctx, &pb.UnpinStageRequest{RequestId: c.ID(), LotCode: lot, Position: 3}))(c.House).GetTask()
	if back.GetPinned() || back.GetVesselCode() != "pot-30" || back.GetStartsAt().AsTime().After(at) {
		t.Errorf("%v", back)
	}
	_, err := c.Days.UnpinStage(c.Ctx, &pb.UnpinStageRequest{RequestId: c.ID(), LotCode: lot, Position: 3})
	c.Refused(err, codes.FailedPrecondition)
	for _, r := range []struct {
		change      func(*pb.PinStageRequest)
		code        codes.Code
		field, says string
	}{
		{func(q *pb.PinStageRequest) { q.LotCode = "R1" }, codes.InvalidArgument, "lot_code", "not a lot code"},
		{func(q *pb.PinStageRequest) { q.LotCode = "L99" }, codes.NotFound, "lot", "L99"},
		{func(q *pb.PinStageRequest) { q.Position = 9 }, codes.InvalidArgument, "position", "no stage 9"},
		{func(q *pb.PinStageRequest) { q.StartsAt = nil }, codes.InvalidArgument, "starts_at", "needed"},
		{func(q *pb.PinStageRequest) { q.StartsAt = ago(48 * time.Hour) }, codes.InvalidArgument, "starts_at", "has passed"},
		{func(q *pb.PinStageRequest) { q.Reason = " " }, codes.InvalidArgument, "reason", "needed"},
		{func(q *pb.PinStageRequest) { q.VesselCode = "iron-15" }, codes.InvalidArgument, "vessel_code", "kept for iron"},
		{func(q *pb.PinStageRequest) { q.VesselCode = "pot-99" }, codes.NotFound, "vessel", "pot-99"},
	} {
		_, err := pin(r.change)
		saysNo(t, err, r.code, r.field, r.says)
	}
	fine(c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: c.lots, Position: 1, AsPlanned: true, VesselCode: "tub-60"}))(c.House)
	_, err = pin(func(q *pb.PinStageRequest) { q.Position = 1 })
	c.Refused(err, codes.FailedPrecondition)
}

// Out of the pot at 12 hours, it is to follow within 4: after two days it is late.
func TestWhatSitsInAHeapIsLateToday(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	for position, vessel := range []string{1: "tub-60", 2: "tub-60"} {
		if vessel != "" {
			fine(c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: c.lots, Position: int32(position), AsPlanned: true, VesselCode: vessel, HappenedAt: ago(50 * time.Hour)}))(c.House)
		}
	}
	fine(c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: c.lots[:1], Position: 3, HappenedAt: ago(48 * time.Hour)}))(c.House)
	for _, task := range fine(c.Studio.GetToday(c.Ctx, &pb.GetTodayRequest{}))(c.House).GetTasks() {
		if task.GetSubject() == c.lots[0] && (task.GetKey() != "stage-late" || !strings.Contains(task.GetText(), "stage 4, after-dip: was to follow dye by ")) {
			t.Errorf("%v", task)
		}
	}
}

// The choir's tunics, by hand: at 1 : 40 a 40 L pot filled to 0.8 takes 800 g,
// a 30 L pot 600 g; 1044 g fit neither (stories: a choir's ten silk tunics).
func TestLoadsAreLaidAndWhatFitsNoPotIsSaid(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	lay := func(pots []string, sets ...*pb.LoadSet) (*pb.PlanLoadsResponse, error) {
		return c.Days.PlanLoads(c.Ctx, &pb.PlanLoadsRequest{ColourwayCode: "gold", Sets: sets, PotCodes: pots})
	}
	set := func(name, mass string) *pb.LoadSet { return &pb.LoadSet{Name: name, Fibre: c.Amount(mass)} }
	r := fine(lay(nil, set("choir", "1044g"), set("left", "541g"), set("right", "539g"), set("caps", "250g")))(c.House)
	if len(r.GetUnfit()) != 1 || !strings.Contains(r.GetUnfit()[0], "choir fits no pot: 1044 g at 1 : 40 needs 41.76 L") || !r.GetOptimal() || len(r.GetLoads()) != 2 || r.GetFewest() != 2 {
		t.Errorf("%v", r)
	}
	for _, q := range []struct {
		resp  *pb.PlanLoadsRequest
		field string
	}{
		{&pb.PlanLoadsRequest{ColourwayCode: "gold"}, "sets"},
		{&pb.PlanLoadsRequest{ColourwayCode: "gold", Sets: []*pb.LoadSet{set("a", "1g"), set("a", "2g")}}, "sets[1].name"},
		{&pb.PlanLoadsRequest{ColourwayCode: "gold", Sets: []*pb.LoadSet{{Name: "a"}}}, "sets[0].fibre"},
		{&pb.PlanLoadsRequest{ColourwayCode: "gold", Sets: []*pb.LoadSet{{Fibre: c.Amount("1g")}}}, "sets[0].name"},
	} {
		_, err := c.Days.PlanLoads(c.Ctx, q.resp)
		saysNo(t, err, codes.InvalidArgument, q.field, "")
	}
	_, err := lay([]string{"pot-99"}, set("a", "1g"))
	c.Refused(err, codes.NotFound)
}
