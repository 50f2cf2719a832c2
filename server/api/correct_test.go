package api_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/testing/protocmp"

	pb "dyelot/proto/dyelot/v1"
)

func (c *choir) correct(q *pb.CorrectStageRequest) (*pb.CorrectStageResponse, error) {
	q.RequestId = c.ID()
	return c.Logbook.CorrectStage(c.Ctx, q)
}

func (c *choir) stageOf(lot string, position int32) *pb.StageRecord {
	c.t.Helper()
	for _, s := range fine(c.Runs.GetLot(c.Ctx, &pb.GetLotRequest{Code: lot}))(c.House).GetStages() {
		if s.GetPosition() == position {
			return s.GetRecord()
		}
	}
	return nil
}

func (c *choir) onHand(parcel string) string {
	c.t.Helper()
	return fine(c.Stock.GetParcel(c.Ctx, &pb.GetParcelRequest{Code: parcel}))(c.House).GetParcel().GetOnHand().GetValue()
}

// The choir's mordant was 162 g of 500 g of alum by the record and 160 g in the
// tub: the wrong record is taken back and the right one stands beside it, in one
// act, with the time, the lots, the vessel and the bath of the first.
func TestARecordIsCorrectedByOneBesideIt(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	was := c.stageOf(c.a, 1)
	alum := was.GetUsed()[0].GetParcelCode()
	if c.onHand(alum) != "338" {
		t.Fatalf("500 - 162 is 338, not %s", c.onHand(alum))
	}
	q := &pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "read 160 as 162", Used: []*pb.Taken{{ParcelCode: alum, Amount: c.Amount("160g")}}, Ph: "5.5"}
	r := fine(c.correct(q))(c.House)
	right, wrong := r.GetRecord(), r.GetCorrected()
	if right.GetCorrects() != was.GetCode() || wrong.GetCorrectedBy() != right.GetCode() || !wrong.GetUndone() || wrong.GetUndoneReason() != "read 160 as 162" {
		t.Errorf("%v beside %v", right, wrong)
	}
	if c.onHand(alum) != "340" || r.GetReversal().GetLegs()[0].GetAmount().GetValue() != "162" || right.GetUsed()[0].GetAmount().GetValue() != "160" {
		t.Errorf("%s g left; %v", c.onHand(alum), r)
	}
	type kept struct{ Vessel, By, Bath string }
	if diff := cmp.Diff(kept{was.GetVesselCode(), was.GetBy(), was.GetBathCode()}, kept{right.GetVesselCode(), right.GetBy(), right.GetBathCode()}); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(was.GetHappenedAt(), right.GetHappenedAt(), protocmp.Transform()); diff != "" || right.GetPh() != "5.5" || len(right.GetLotCodes()) != 2 {
		t.Errorf("%s %v", diff, right)
	}
	if now := c.stageOf(c.b, 1); now.GetCode() != right.GetCode() || now.GetCorrects() != was.GetCode() {
		t.Errorf("lot B shows %v", now)
	}
	both := map[string]string{}
	for _, rec := range fine(c.Garment.TraceGarment(c.Ctx, &pb.TraceGarmentRequest{Tag: c.tags[c.a][0]}))(c.House).GetRecords() {
		both[rec.GetCode()] = rec.GetCorrects() + rec.GetCorrectedBy()
	}
	if both[was.GetCode()] != right.GetCode() || both[right.GetCode()] != was.GetCode() {
		t.Errorf("the trace shows %v", both)
	}
	again := fine(c.Logbook.CorrectStage(c.Ctx, q))(c.House) // law 7
	if again.GetRecord().GetCode() != right.GetCode() || c.onHand(alum) != "340" {
		t.Errorf("sent twice: %v, %s", again.GetRecord(), c.onHand(alum))
	}
	_, err := c.correct(&pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "once more"})
	saysNo(t, err, codes.FailedPrecondition, "", "undone already")
	second := fine(c.correct(&pb.CorrectStageRequest{RecordCode: right.GetCode(), Reason: "another bag", NotUsed: []string{alum},
		Used: []*pb.Taken{{ParcelCode: c.Receive("alum", "200g"), Amount: c.Amount("160g")}}}))(c.House)
	if second.GetRecord().GetCorrects() != right.GetCode() || c.onHand(alum) != "500" || len(second.GetRecord().GetUsed()) != 1 {
		t.Errorf("%v, %s g in the first bag", second.GetRecord(), c.onHand(alum))
	}
}

// Where the right record cannot be written, the wrong one stands: both, or
// neither.
func TestACorrectionThatIsRefusedChangesNothing(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	was := c.stageOf(c.a, 1)
	alum := was.GetUsed()[0].GetParcelCode()
	for _, bad := range []struct {
		q           *pb.CorrectStageRequest
		code        codes.Code
		field, says string
	}{
		{&pb.CorrectStageRequest{RecordCode: was.GetCode()}, codes.InvalidArgument, "reason", "needed"},
		{&pb.CorrectStageRequest{RecordCode: "R1", Reason: "x"}, codes.InvalidArgument, "record_code", "S7"},
		{&pb.CorrectStageRequest{RecordCode: "S999", Reason: "x"}, codes.NotFound, "stage record", "S999"},
		{&pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "x", Ph: "15"}, codes.InvalidArgument, "ph", "0 to 14"},
		{&pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "x", Used: []*pb.Taken{{ParcelCode: alum, Amount: c.Amount("3mL")}}}, codes.InvalidArgument, "used[0].amount", "volume"},
		{&pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "x", Used: []*pb.Taken{{ParcelCode: "P999", Amount: c.Amount("3g")}}}, codes.NotFound, "parcel", "P999"},
		{&pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "x", NotUsed: []string{c.weld}}, codes.InvalidArgument, "not_used[0]", "used nothing"},
		{&pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "x", NotUsed: []string{alum}, Used: []*pb.Taken{{ParcelCode: alum, Amount: c.Amount("3g")}}}, codes.InvalidArgument, "not_used[0]", "used too"},
		{&pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "x", VesselCode: "bucket"}, codes.NotFound, "vessel_code.vessel", "bucket"},
	} {
		_, err := c.correct(bad.q)
		saysNo(t, err, bad.code, bad.field, bad.says)
	}
	if now := c.stageOf(c.a, 1); now.GetCode() != was.GetCode() || now.GetUndone() || c.onHand(alum) != "338" {
		t.Errorf("%v, %s g", now, c.onHand(alum))
	}
}

// A correction of what happened before a count warns, and the lots stand where
// they stood.
func TestACorrectionKeepsTheLotsWhereTheyAre(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	was := c.stageOf(c.a, 3)
	fine(c.correct(&pb.CorrectStageRequest{RecordCode: was.GetCode(), Reason: "it was hotter", Celsius: 62, Minutes: 70}))(c.House)
	lot := fine(c.Runs.GetLot(c.Ctx, &pb.GetLotRequest{Code: c.a}))(c.House).GetLot()
	if lot.GetState() != "waiting-for-tests" {
		t.Errorf("lot A is %s", lot.GetState())
	}
	if now := c.stageOf(c.a, 3); now.GetCelsius() != 62 || now.GetMinutes() != 70 {
		t.Errorf("%v", now)
	}
	mordant := c.stageOf(c.a, 1)
	alum := mordant.GetUsed()[0].GetParcelCode()
	fine(count(c.House, alum, "338g", nil))(c.House)
	r := fine(c.correct(&pb.CorrectStageRequest{RecordCode: mordant.GetCode(), Reason: "read 160 as 162", Used: []*pb.Taken{{ParcelCode: alum, Amount: c.Amount("160g")}}}))(c.House)
	if keysOf(r.GetWarnings()) != "before-count" {
		t.Errorf("%v", r.GetWarnings())
	}
	undone := fine(c.Runs.UndoStage(c.Ctx, &pb.UndoStageRequest{RequestId: c.ID(), RecordCode: r.GetRecord().GetCode(), Reason: "not at all"}))(c.House)
	if keysOf(undone.GetWarnings()) != "before-count" || c.stageOf(c.a, 1) != nil {
		t.Errorf("%v", undone)
	}
}

// Of two who correct one record at once, one does it and the other is told.
func TestTwoCorrectionsAtOnce(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	was := c.stageOf(c.a, 1)
	answers := make(chan error)
	for _, grams := range []string{"160g", "161g"} {
		q := &pb.CorrectStageRequest{RequestId: c.ID(), RecordCode: was.GetCode(), Reason: "read wrongly", Used: []*pb.Taken{{ParcelCode: was.GetUsed()[0].GetParcelCode(), Amount: c.Amount(grams)}}}
		go func() {
			_, err := c.Logbook.CorrectStage(c.Ctx, q)
			answers <- err
		}()
	}
	first, second := <-answers, <-answers
	if first == nil {
		first, second = second, first
	}
	if second != nil {
		t.Fatalf("both were refused: %v, %v", first, second)
	}
	saysNo(t, first, codes.FailedPrecondition, "", "undone already")
}
