package api_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

func (c *choir) shelve(lot, shade string) (*pb.Cloth, error) {
	resp, err := pb.NewClothServiceClient(c.Conn).ShelveLot(c.Ctx, &pb.ShelveLotRequest{RequestId: c.ID(), LotCode: lot, Shade: shade, By: "dyer-1"})
	return resp.GetCloth(), err
}

func (c *choir) stacks(gone bool) []*pb.Cloth {
	c.t.Helper()
	return fine(pb.NewClothServiceClient(c.Conn).ListCloth(c.Ctx, &pb.ListClothRequest{IncludeGone: gone}))(c.House).GetCloth()
}

// mordanted plans two tunics of 104 g into pot-30, issues them and gives them
// their alum: 15 % of 208 g is 31.2 g.
func (c *choir) mordanted(way string) (lot, blanks string) {
	c.t.Helper()
	blanks = c.Receive("tunic", "2pc")
	lot = fine(c.again(way, []*pb.Blanks{{ParcelCode: blanks, Count: 2}}))(c.House).GetLots()[0].GetCode()
	c.issued(lot)
	c.stage(1, lot)
	return lot, blanks
}

func (c *choir) promised(parcel string) string {
	c.t.Helper()
	return fine(c.Stock.GetParcel(c.Ctx, &pb.GetParcelRequest{Code: parcel}))(c.House).GetParcel().GetPromised().GetValue()
}

// Alum'd tunics wait on the shelf for their weld, are listed with date, mordant
// and the shade meant, and go into a later run which does not mordant them again.
// Traced, they lead back to the alum of their first lot.
func TestPartDoneClothIsPickedIntoALaterRun(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	first, blanks := c.mordanted("olive-silk")
	if got := c.promised(c.weld); got != "125" { // 60 % of 208 g is 124.8 g, by whole grams
		t.Errorf("weld promised: %s", got)
	}
	stack := fine(c.shelve(first, "olives"))(c.House)
	if got := c.promised(c.weld); got != "0" {
		t.Errorf("weld is promised still: %s", got)
	}
	listed := c.stacks(false)
	if len(listed) != 1 || listed[0].GetShade() != "olives" || listed[0].GetBy() != "dyer-1" || len(listed[0].GetGarments()) != 2 || listed[0].GetDryMass().GetValue() != "208" ||
		len(listed[0].GetEarlier()) != 1 || !strings.HasSuffix(listed[0].GetEarlier()[0].GetText(), ": 31.2 g of alum, 15 % WOF") || listed[0].GetHappenedAt() == nil {
		t.Errorf("%v", listed)
	}
	tags := tagsIn(stack.GetGarments())
	if l := c.looked(first); l.GetState() != "part-done" || l.GetShade() != "olives" || l.GetGarments()[0].GetPlace() != "part-done" {
		t.Errorf("%v", l)
	}
	for _, r := range []struct {
		err  error
		says string
	}{
		{second(c.shelve(first, "olives")), "lot " + first + " is part done: its cloth cannot"},
		{second(c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: []string{first}, Position: 3, VesselCode: "pot-30"})), "no stage can be recorded"},
		{second(c.verdict(first, "passed", "")), "part done: it cannot pass"},
		{second(c.Garment.DispatchGarments(c.Ctx, &pb.DispatchGarmentsRequest{RequestId: c.ID(), Tags: tags, OrderRef: "o-1"})), "is part done, not passed"},
	} {
		saysNo(t, r.err, codes.FailedPrecondition, "", r.says)
	}

	run := fine(c.Runs.PlanRun(c.Ctx, &pb.PlanRunRequest{RequestId: c.ID(), ColourwayCode: "olive-silk", LotCodes: []string{first}, PotCodes: []string{"pot-30"}, SharedVessels: map[int32]string{2: "tub-60"}}))(c.House)
	lot := run.GetRun().GetLots()[0]
	if len(run.GetRun().GetStages()) != 3 || run.GetRun().GetStages()[0].GetKind() != "brew" {
		t.Errorf("%v", run.GetRun().GetStages())
	}
	if x := lot.GetLeftOut(); len(x) != 1 || x[0].GetPosition() != 1 || !strings.Contains(x[0].GetReason(), "31.2 g of alum, 15 % WOF") {
		t.Errorf("%v", x)
	}
	if w := run.GetRun().GetWarnings(); !slices.ContainsFunc(w, func(w *pb.Warning) bool {
		return w.GetKey() == "left-out" && strings.Contains(w.GetText(), "lot "+lot.GetCode()+" leaves stage 1, mordant, out")
	}) {
		t.Errorf("%v", w)
	}
	if s := c.stacks(false); len(s) != 1 || s[0].GetGarments()[0].GetNextLotCode() != lot.GetCode() {
		t.Errorf("%v", s)
	}
	c.issued(lot.GetCode())
	if s := c.stacks(false); len(s) != 0 {
		t.Errorf("%v", s)
	}
	if s := c.stacks(true); len(s) != 1 || len(s[0].GetGarments()) != 0 {
		t.Errorf("%v", s)
	}
	for _, position := range []int32{2, 3, 4} {
		c.stage(position, lot.GetCode())
	}
	if l := c.looked(lot.GetCode()); l.GetState() != "waiting-for-tests" {
		t.Errorf("%v", l)
	}
	tr := c.tracedTo(tags[0])
	if diff := cmp.Diff([]string{first, lot.GetCode()}, tr.GetLotCodes()); diff != "" || len(tr.GetRecords()) != 4 {
		t.Errorf("%s %v", diff, tr.GetRecords())
	}
	above := map[string]string{}
	for _, p := range tr.GetParcels() {
		above[p.GetParcel().GetItemCode()] = p.GetShare().GetValue() + p.GetShare().GetUnit()
		down := fine(c.Garment.TraceParcel(c.Ctx, &pb.TraceParcelRequest{ParcelCode: p.GetParcel().GetCode()}))(c.House)
		if !slices.Contains(tagsIn(down.GetGarments()), tags[0]) {
			t.Errorf("%s is above it and it is not below", p.GetParcel().GetCode())
		}
	}
	if diff := cmp.Diff(map[string]string{"alum": "31.2g", "weld-dry": "125g", "tunic": "2pc"}, above); diff != "" {
		t.Errorf("%s (blanks %s)", diff, blanks)
	}
}

// second is the error of an answer.
func second[R any](_ R, err error) error { return err }

// A recipe that asks another mordant does it, and says why; --again does a stage
// once more; a lot with fresh blanks beside is mordanted whole.
func TestWhatPartDoneClothDoesNotLeaveOut(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry()
	strong := weldOlive()
	strong.Code, strong.Stages = "strong", strong.Stages[:3]
	strong.Stages[0].Doses[0].Value = "20"
	fine(write(c.House, strong))(c.House)
	fine(c.Recipes.CreateColourway(c.Ctx, &pb.CreateColourwayRequest{RequestId: c.ID(), Colourway: &pb.Colourway{Code: "strong", StandardCode: "choir-olive", RecipeCode: "strong"}}))(c.House)
	first, _ := c.mordanted("olive-silk")
	tags := tagsIn(fine(c.shelve(first, "olives"))(c.House).GetGarments())
	fresh := c.Receive("tunic", "1pc")
	for _, r := range []struct {
		what string
		req  *pb.PlanRunRequest
		says string
	}{
		{"20 % of alum", &pb.PlanRunRequest{ColourwayCode: "strong", Tags: tags, PotCodes: []string{"pot-30"}}, "15 % WOF, and the recipe asks 20 % WOF of alum"},
		{"once more", &pb.PlanRunRequest{ColourwayCode: "olive-silk", Tags: tags, PotCodes: []string{"pot-30"}, Again: []int32{1}}, ""},
		{"beside a fresh one", &pb.PlanRunRequest{ColourwayCode: "olive-silk", Blanks: []*pb.Blanks{{ParcelCode: fresh, Count: 1}}, Tags: tags, PotCodes: []string{"pot-30"}}, ""},
	} {
		r.req.RequestId, r.req.DryRun = c.ID(), true
		run := fine(c.Runs.PlanRun(c.Ctx, r.req))(c.House).GetRun()
		if run.GetStages()[0].GetKind() != "mordant" || len(run.GetLots()[0].GetLeftOut()) != 0 {
			t.Errorf("%s: %v", r.what, run)
		}
		if r.says != "" && !slices.ContainsFunc(run.GetWarnings(), func(w *pb.Warning) bool { return strings.Contains(w.GetText(), r.says) }) {
			t.Errorf("%s: %v", r.what, run.GetWarnings())
		}
	}
}

func TestShelvingIsRefusedByField(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	service := pb.NewClothServiceClient(c.Conn)
	planned := fine(c.again("olive-silk", []*pb.Blanks{{ParcelCode: c.Receive("tunic", "2pc"), Count: 2}}))(c.House).GetLots()[0].GetCode()
	for _, r := range []struct {
		req         *pb.ShelveLotRequest
		code        codes.Code
		field, says string
	}{
		{&pb.ShelveLotRequest{LotCode: c.a}, codes.InvalidArgument, "shade", "is needed"},
		{&pb.ShelveLotRequest{LotCode: "a", Shade: "reds"}, codes.InvalidArgument, "lot_code", ""},
		{&pb.ShelveLotRequest{LotCode: "L99", Shade: "reds"}, codes.NotFound, "lot", "L99"},
		{&pb.ShelveLotRequest{LotCode: c.a, Shade: "reds"}, codes.FailedPrecondition, "", "had its brew (S2)"},
		{&pb.ShelveLotRequest{LotCode: planned, Shade: "reds"}, codes.FailedPrecondition, "", "is planned: its cloth cannot"},
		{&pb.ShelveLotRequest{LotCode: c.a, Shade: "reds", HappenedAt: ago(-time.Hour)}, codes.InvalidArgument, "happened_at", "in the future"},
	} {
		r.req.RequestId = c.ID()
		_, err := service.ShelveLot(c.Ctx, r.req)
		saysNo(t, err, r.code, r.field, r.says)
	}
	c.issued(planned)
	_, err := c.shelve(planned, "reds")
	saysNo(t, err, codes.FailedPrecondition, "", "is neither scoured, tannined nor mordanted")
	c.stage(1, planned)
	_, err = service.ShelveLot(c.Ctx, &pb.ShelveLotRequest{RequestId: c.ID(), LotCode: planned, Shade: "reds", HappenedAt: ago(time.Hour)})
	saysNo(t, err, codes.InvalidArgument, "happened_at", "is before its mordant")
	_, err = service.ListCloth(c.Ctx, &pb.ListClothRequest{PageSize: -1})
	saysNo(t, err, codes.InvalidArgument, "page_size", "negative")

	// Whatever waits is a task of today.
	fine(c.shelve(planned, "reds"))(c.House)
	var told []string
	for _, task := range fine(c.Studio.GetToday(c.Ctx, &pb.GetTodayRequest{}))(c.House).GetTasks() {
		if task.GetSubject() == planned {
			told = append(told, task.GetKey()+": "+task.GetText())
		}
	}
	if diff := cmp.Diff([]string{"part-done: 2 garments part-done on the shelf, waiting for a plant"}, told); diff != "" {
		t.Error(diff)
	}
}
