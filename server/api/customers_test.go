package api_test

import (
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

func (a *atelier) brought(w string, pieces int32) string {
	a.t.Helper()
	return fine(a.Orders.ReceiveCustomers(a.Ctx, &pb.ReceiveCustomersRequest{RequestId: a.ID(), CommissionCode: w, ItemCode: "tunic", Pieces: pieces, MightNotTake: "rust at one cuff"}))(a.House).GetParcel().GetCode()
}

func (a *atelier) giveBack(w string, tags ...string) (*pb.GiveBackResponse, error) {
	return a.Orders.GiveBack(a.Ctx, &pb.GiveBackRequest{RequestId: a.ID(), CommissionCode: w, Tags: tags})
}

func (a *atelier) tunics() *pb.Item {
	a.t.Helper()
	for _, it := range fine(a.Stock.ListItems(a.Ctx, &pb.ListItemsRequest{Kind: "blank"}))(a.House).GetItems() {
		if it.GetCode() == "tunic" {
			return it
		}
	}
	a.t.Fatal("no tunic")
	return nil
}

// A customer's garments are held, dyed for their commission alone, and given
// back; they count in no stock and nobody sells them.
func TestTheCustomersOwnAreDyedAndGivenBackNeverSoldOrValued(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	a.Receive("weld-dry", "2000g")
	w := a.signed(a.agreed(3, "2"))
	theirs := a.brought(w, 3)
	parcel := fine(a.Stock.GetParcel(a.Ctx, &pb.GetParcelRequest{Code: theirs}))(a.House)
	if p := parcel.GetParcel(); p.GetOrigin() != "customer" || p.GetCost() != nil || p.GetCustomersCommissionCode() != w || p.GetOnHand().GetValue() != "3" || parcel.GetMovements()[0].GetKind() != "taken-in" {
		t.Errorf("%v", parcel)
	}
	if it := a.tunics(); it.GetOnHand().GetValue() != "0" || it.GetFree().GetValue() != "0" {
		t.Errorf("they count as stock: %v", it)
	}
	refuse := func(err error, says string) {
		t.Helper()
		saysNo(t, err, codes.FailedPrecondition, "", says)
	}
	_, err := a.plan("", theirs, 1)
	refuse(err, theirs+" belongs to the customer of W1: it is dyed for that commission and given back, never taken for another run")
	_, err = a.Stock.PromiseParcel(a.Ctx, &pb.PromiseParcelRequest{RequestId: a.ID(), ParcelCode: theirs, Amount: a.Amount("1pc"), Purpose: "market"})
	refuse(err, "never kept aside for anything else")
	_, err = a.Stock.MakeParcel(a.Ctx, &pb.MakeParcelRequest{RequestId: a.ID(), ItemCode: "tunic", Amount: a.Amount("1pc"), From: []*pb.Taken{{ParcelCode: theirs, Amount: a.Amount("1pc")}}})
	refuse(err, "never made into another parcel")
	_, err = a.Stock.WriteOffParcel(a.Ctx, &pb.WriteOffParcelRequest{RequestId: a.ID(), ParcelCode: theirs, Reason: "not ours", SendBack: true})
	refuse(err, "no supplier takes it back")

	run := fine(a.plan(w, theirs, 3))(a.House)
	if !slices.ContainsFunc(run.GetWarnings(), func(m *pb.Warning) bool {
		return strings.Contains(m.GetText(), theirs+" might not take: rust at one cuff")
	}) {
		t.Errorf("%v", run.GetWarnings())
	}
	_, err = a.Orders.GiveBack(a.Ctx, &pb.GiveBackRequest{RequestId: a.ID(), CommissionCode: w, Undyed: []*pb.Taken{{ParcelCode: theirs, Amount: a.Amount("1pc")}}})
	saysNo(t, err, codes.FailedPrecondition, "undyed[0]", "has 0 pieces free of 3 pieces on hand")
	lot, tags := a.dyed(run, 62, -2, 38)
	_, err = a.giveBack(w, tags[0])
	refuse(err, tags[0]+" is not given back yet: it is waiting for tests")
	a.pass(lot)
	refuse(a.send(tags[0]), tags[0]+" belongs to the customer of W1: it is given back, never sold")
	back := fine(a.giveBack(w, tags...))(a.House)
	if len(back.GetTags()) != 3 || len(back.GetWarnings()) != 0 {
		t.Errorf("%v", back)
	}
	_, err = a.giveBack(w, tags[0])
	refuse(err, "is given back already")
	got := a.shown(w)
	if own := got.GetCustomersOwn(); got.GetCommission().GetState() != "handed-over" || len(own) != 1 || own[0].GetGivenBack() != 3 || own[0].GetInLots() != 0 || own[0].GetHeld().GetValue() != "0" {
		t.Errorf("%v", got)
	}
	events := fine(a.Garment.TraceGarment(a.Ctx, &pb.TraceGarmentRequest{Tag: tags[0]}))(a.House).GetEvents()
	if last := events[len(events)-1]; last.GetKind() != "given-back" {
		t.Errorf("%v", events)
	}
}

// What they brought goes back undyed too, is taken in by mistake once, and even
// what failed is theirs.
func TestTheCustomersOwnGoesBackUndyedAndWhateverTheVerdict(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	a.Receive("weld-dry", "2000g")
	w := a.signed(a.agreed(2, "2"))
	theirs := a.brought(w, 4)
	undyed := fine(a.Orders.GiveBack(a.Ctx, &pb.GiveBackRequest{RequestId: a.ID(), CommissionCode: w, Note: "one came along", Undyed: []*pb.Taken{{ParcelCode: theirs, Amount: a.Amount("1pc")}}}))(a.House)
	if m := undyed.GetMovement(); m.GetKind() != "given-back" || m.GetLegs()[0].GetTo() != "customer" {
		t.Errorf("%v", m)
	}
	fine(a.Stock.ReverseMovement(a.Ctx, &pb.ReverseMovementRequest{RequestId: a.ID(), MovementCode: undyed.GetMovement().GetCode(), Reason: "it is still here"}))(a.House)
	if own := a.shown(w).GetCustomersOwn(); own[0].GetHeld().GetValue() != "4" || own[0].GetGivenBack() != 0 {
		t.Errorf("%v", own)
	}
	account := fine(a.Garment.TraceParcel(a.Ctx, &pb.TraceParcelRequest{ParcelCode: theirs}))(a.House).GetAccount()
	if account.GetReceived().GetValue() != "4" || account.GetSentBack().GetValue() != "0" {
		t.Errorf("%v", account)
	}
	twice := a.brought(w, 1)
	movement := fine(a.Stock.GetParcel(a.Ctx, &pb.GetParcelRequest{Code: twice}))(a.House).GetMovements()[0].GetCode()
	fine(a.Stock.ReverseMovement(a.Ctx, &pb.ReverseMovementRequest{RequestId: a.ID(), MovementCode: movement, Reason: "written down twice"}))(a.House)

	lot, tags := a.dyed(fine(a.plan(w, theirs, 2))(a.House), 40, 0, 0)
	fine(a.Judge.GiveVerdict(a.Ctx, &pb.GiveVerdictRequest{RequestId: a.ID(), LotCode: lot, Outcome: "scrapped", Reason: "it did not take"}))(a.House)
	back := fine(a.giveBack(w, tags...))(a.House)
	if len(back.GetWarnings()) != 2 || !strings.Contains(back.GetWarnings()[0].GetText(), "goes back though it is scrapped") {
		t.Errorf("%v", back)
	}
	_, err := a.giveBack(w)
	saysNo(t, err, codes.InvalidArgument, "tags", "which garments go back")
	own := a.Receive("tunic", "1pc")
	_, err = a.Orders.GiveBack(a.Ctx, &pb.GiveBackRequest{RequestId: a.ID(), CommissionCode: w, Undyed: []*pb.Taken{{ParcelCode: own, Amount: a.Amount("1pc")}}})
	saysNo(t, err, codes.FailedPrecondition, "undyed[0]", own+" does not belong to the customer of W1")
	_, err = a.Orders.ReceiveCustomers(a.Ctx, &pb.ReceiveCustomersRequest{RequestId: a.ID(), CommissionCode: w, ItemCode: "alum", Pieces: 1})
	saysNo(t, err, codes.FailedPrecondition, "", "describe it as a blank")
	_, err = a.Orders.ReceiveCustomers(a.Ctx, &pb.ReceiveCustomersRequest{RequestId: a.ID(), CommissionCode: w, ItemCode: "tunic"})
	saysNo(t, err, codes.InvalidArgument, "pieces", "0 pieces")
}

// A passed garment of the customer's goes only with its whole set.
func TestTheCustomersOwnLeavesWithItsSetToo(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	a.Receive("weld-dry", "2000g")
	w := a.signed(a.agreed(3, "2"))
	lot, tags := a.dyed(fine(a.plan(w, a.brought(w, 2), 2))(a.House), 62, -2, 38)
	a.pass(lot)
	_, err := a.giveBack(w, tags...)
	saysNo(t, err, codes.FailedPrecondition, "", "of tunic 2 of the 3 asked for have passed")
}

// Law 6 and the checks of the tables, whoever writes the statement.
func TestBlanksAreLookedAtOnArrival(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	shirts := a.Receive("tunic", "6pc")
	tasks := func(key string) (texts []string) {
		t.Helper()
		for _, task := range fine(a.Studio.GetToday(a.Ctx, &pb.GetTodayRequest{}))(a.House).GetTasks() {
			if task.GetKey() == key && task.GetSubject() == shirts {
				texts = append(texts, task.GetText())
			}
		}
		return texts
	}
	check := func(c *pb.ArrivalCheck) (*pb.Arrival, error) {
		resp, err := a.Orders.CheckArrival(a.Ctx, &pb.CheckArrivalRequest{RequestId: a.ID(), ParcelCode: shirts, Check: c})
		return resp.GetArrival(), err
	}
	if len(tasks("arrival-open")) != 1 {
		t.Error("an unchecked delivery of blanks is no task")
	}
	drop := int32(30)
	fine(check(&pb.ArrivalCheck{SizeBefore: &pb.ClothSize{LengthCm: "62", WidthCm: "48"}, DropSeconds: &drop, Thread: "polyester", Brightener: "yes", By: "bench-1"}))(a.House)
	got := fine(check(&pb.ArrivalCheck{SizeAfter: &pb.ClothSize{LengthCm: "60", WidthCm: "47"}, Buttons: "shell", CutOff: "dyed first: took even"}))(a.House)
	if got.GetShrinkageLengthPercent() != "3.2258" || got.GetShrinkageWidthPercent() != "2.0833" || got.GetNow().GetThread() != "polyester" || got.GetNow().GetDropSeconds() != 30 || len(got.GetChecks()) != 2 {
		t.Errorf("%v", got)
	}
	want := []string{"arrival-unchecked", "finish", "brightener", "polyester-thread"}
	if keys := warned(got.GetWarnings()); !slices.Equal(keys, want) {
		t.Errorf("%v", keys)
	}
	planned := warned(fine(a.plan("", shirts, 1))(a.House).GetWarnings())
	for _, key := range want {
		if !slices.Contains(planned, key) {
			t.Errorf("the plan does not say %s: %v", key, planned)
		}
	}

	rejected := fine(check(&pb.ArrivalCheck{Verdict: "reject", Note: "seams will stay white"}))(a.House)
	if !rejected.GetToSendBack() || len(tasks("send-back")) != 1 || len(tasks("arrival-open")) != 0 {
		t.Errorf("%v", rejected)
	}
	_, err := a.plan("", shirts, 1)
	saysNo(t, err, codes.FailedPrecondition, "", shirts+" is blocked: rejected on arrival, it goes back to whoever sent it: seams will stay white")
	_, err = a.Stock.BlockParcel(a.Ctx, &pb.BlockParcelRequest{RequestId: a.ID(), ParcelCode: shirts, Lift: true})
	saysNo(t, err, codes.FailedPrecondition, "", shirts+" was rejected on arrival")
	fine(check(&pb.ArrivalCheck{Verdict: "accept"}))(a.House)
	fine(a.plan("", shirts, 1))(a.House)
	fine(check(&pb.ArrivalCheck{Verdict: "reject"}))(a.House)
	fine(a.Stock.WriteOffParcel(a.Ctx, &pb.WriteOffParcelRequest{RequestId: a.ID(), ParcelCode: shirts, Reason: "polyester thread", SendBack: true}))(a.House)
	if a := fine(a.Orders.GetArrival(a.Ctx, &pb.GetArrivalRequest{ParcelCode: shirts}))(a.House).GetArrival(); a.GetToSendBack() || len(a.GetChecks()) != 5 {
		t.Errorf("%v", a)
	}
	if len(tasks("send-back")) != 0 {
		t.Error("it went back")
	}
	for field, c := range map[string]*pb.ArrivalCheck{
		"check.size_before":  {SizeBefore: &pb.ClothSize{LengthCm: "62"}},
		"check.size_after":   {SizeAfter: &pb.ClothSize{LengthCm: "x", WidthCm: "1"}},
		"check.thread":       {Thread: "gold"},
		"check":              {},
		"check.verdict":      {Verdict: "maybe"},
		"check.drop_seconds": {DropSeconds: new(int32(-1))},
	} {
		_, err := check(c)
		saysNo(t, err, codes.InvalidArgument, field, "")
	}
	_, err = a.Orders.GetArrival(a.Ctx, &pb.GetArrivalRequest{ParcelCode: a.Receive("alum", "10g")})
	saysNo(t, err, codes.FailedPrecondition, "", "only blanks are looked at on arrival")
}

// What is to be re-dyed is theirs still: no other run takes it, by tag or by
// lot, and their own does.
func TestTheCustomersOwnIsDyedAgainForTheirCommissionAlone(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	a.Receive("weld-dry", "2000g")
	w := a.signed(a.agreed(2, "2"))
	lot, tags := a.dyed(fine(a.plan(w, a.brought(w, 2), 2))(a.House), 40, 0, 0)
	fine(a.Judge.GiveVerdict(a.Ctx, &pb.GiveVerdictRequest{RequestId: a.ID(), LotCode: lot, Outcome: "re-dye", Reason: "it did not take"}))(a.House)
	again := func(commission string, lots []string, tags ...string) error {
		_, err := a.Runs.PlanRun(a.Ctx, &pb.PlanRunRequest{RequestId: a.ID(), ColourwayCode: "olive-silk", CommissionCode: commission, LotCodes: lots, Tags: tags, PotCodes: []string{"pot-40"}})
		return err
	}
	other := a.signed(fine(a.Orders.CreateCommission(a.Ctx, &pb.CreateCommissionRequest{RequestId: a.ID(), Commission: &pb.Commission{Reference: "choir-8", ColourwayCode: "olive-silk", SetTolerance: "2",
		Pieces: []*pb.CommissionPieces{{ItemCode: "tunic", Count: 1}}}}))(a.House).GetCommission().GetCode())
	for _, commission := range []string{"", other} {
		saysNo(t, again(commission, nil, tags[0]), codes.FailedPrecondition, "", tags[0]+" belongs to the customer of W1: it is dyed for that commission")
		saysNo(t, again(commission, []string{lot}), codes.FailedPrecondition, "", "never taken for another run")
	}
	if err := again(w, []string{lot}); err != nil {
		t.Error(err)
	}
}
