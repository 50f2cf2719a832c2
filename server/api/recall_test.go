package api_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// recalledTags previews a recall and returns its garments' tags, sorted, and the
// node in words.
func recalledTags(h *apitest.House, n *pb.RecallNode) ([]string, string) {
	h.T.Helper()
	title, rows, err := previewed(h.Ctx, h, n)
	if err != nil {
		h.T.Fatal(err)
	}
	tags := []string{}
	for _, g := range rows {
		tags = append(tags, g.GetTag())
	}
	slices.Sort(tags)
	return tags, title
}

func previewed(ctx context.Context, h *apitest.House, n *pb.RecallNode) (title string, rows []*pb.RecallGarment, err error) {
	stream, err := h.Recall.PreviewRecall(ctx, &pb.PreviewRecallRequest{Node: n})
	for err == nil {
		var part *pb.PreviewRecallResponse
		if part, err = stream.Recv(); err == nil {
			title += part.GetTitle()
			rows = append(rows, part.GetGarments()...)
		}
	}
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return title, rows, err
}

func recallList(h *apitest.House, code string) map[string]*pb.RecallGarment {
	h.T.Helper()
	stream, err := h.Recall.ListRecallGarments(h.Ctx, &pb.ListRecallGarmentsRequest{Code: code})
	byTag := map[string]*pb.RecallGarment{}
	for err == nil {
		var part *pb.ListRecallGarmentsResponse
		if part, err = stream.Recv(); err == nil {
			for _, g := range part.GetGarments() {
				byTag[g.GetTag()] = g
			}
		}
	}
	if !errors.Is(err, io.EOF) {
		h.T.Fatal(err)
	}
	return byTag
}

func (c *choir) recalled(node *pb.RecallNode, reason string) *pb.Recall {
	c.t.Helper()
	return fine(c.Recall.OpenRecall(c.Ctx, &pb.OpenRecallRequest{RequestId: c.ID(), Node: node, Reason: reason, By: "owner"}))(c.House).GetRecall()
}

func (c *choir) accountFor(k, how string, tags ...string) (*pb.MarkAccountedResponse, error) {
	return c.Recall.MarkAccounted(c.Ctx, &pb.MarkAccountedRequest{RequestId: c.ID(), RecallCode: k, How: how, Tags: tags})
}

func (c *choir) toldOf(k, order string, tags ...string) (*pb.MarkToldResponse, error) {
	return c.Recall.MarkTold(c.Ctx, &pb.MarkToldRequest{RequestId: c.ID(), RecallCode: k, OrderRef: order, Tags: tags, How: "by letter", By: "shop-1"})
}

// The copperas in the choir's iron liquor turns out to be bad: ten tunics, six
// under one order, two under another, two on the shelf. From the list to its end.
func TestARecallFromItsListToItsEnd(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed().held().passed()
	all := append(slices.Clone(s.tags[s.a]), s.tags[s.b]...)
	fine(s.send("choir-7", all[:6]...))(s.House)
	fine(s.send("market-2", all[6:8]...))(s.House)

	title, rows, err := previewed(s.Ctx, s.House, &pb.RecallNode{Code: strings.ToLower(s.copperas)})
	if err != nil || len(rows) != 10 || title != "parcel "+s.copperas+", copperas, from harbour supplies" {
		t.Fatalf("%q, %d garments, %v", title, len(rows), err)
	}
	var where []string
	for _, g := range rows {
		where = append(where, strings.TrimSpace(g.GetPlace()+" "+g.GetOrderRef()))
		if g.GetSince() == nil || g.GetTag() == "" || g.GetLotCode() == "" || g.GetItemCode() != "tunic" {
			t.Errorf("%v", g)
		}
	}
	want := append(slices.Repeat([]string{"shelf"}, 2), append(slices.Repeat([]string{"sold choir-7"}, 6), "sold market-2", "sold market-2")...)
	if d := cmp.Diff(want, where); d != "" {
		t.Errorf("by order and place: %s", d)
	}

	k := s.recalled(&pb.RecallNode{Code: s.copperas}, "patches after a wash")
	if k.GetCode() != "K1" || k.GetFound() != 10 || k.GetToTell() != 8 || k.GetTold() != 0 || k.GetHeld() != 2 || k.GetStillOut() != 8 || k.GetAccountedPercent() != 0 {
		t.Errorf("%v", k)
	}
	_, err = s.send("market-3", all[8])
	if m := saysNo(t, err, codes.FailedPrecondition, "", all[8]+" is held by recall K1 (parcel "+s.copperas); m["recall"] != "K1" || m["tag"] != all[8] {
		t.Errorf("%v", m)
	}
	if tasks := fine(s.Studio.GetToday(s.Ctx, &pb.GetTodayRequest{}))(s.House).GetTasks(); tasks[0].GetSubject() != "K1" || !strings.HasSuffix(tasks[0].GetText(), "told 0 of 8, accounted for 0 of 10; 8 still out, 2 held in the house") {
		t.Errorf("%v", tasks[0])
	}

	// Told by order, and by tag; whoever has it is named nowhere.
	told := fine(s.toldOf("k1", "choir-7"))(s.House)
	if len(told.GetTags()) != 6 || told.GetRecall().GetTold() != 6 || told.GetRecall().GetToldPercent() != 75 {
		t.Errorf("%v", told)
	}
	_, err = s.toldOf("K1", "", all[9])
	saysNo(t, err, codes.FailedPrecondition, "tags[0]", "nobody to tell")
	fine(s.toldOf("K1", "", all[6]))(s.House)

	// One comes back and is scrapped, one was cut up where it is, one is checked.
	back := fine(s.accountFor("K1", "returned", all[0], all[1]))(s.House)
	if d := cmp.Diff(all[:2], back.GetTakenBack()); d != "" || back.GetRecall().GetHeld() != 4 || back.GetRecall().GetAccounted() != 2 {
		t.Errorf("%s %v", d, back)
	}
	gone := fine(s.accountFor("K1", "destroyed", all[0], all[2], all[8]))(s.House)
	if d := cmp.Diff([]string{all[0], all[8]}, gone.GetScrapped()); d != "" {
		t.Error(d)
	}
	list := recallList(s.House, "K1")
	for tag, place := range map[string]string{all[0]: "scrapped", all[1]: "returned", all[2]: "sold", all[8]: "scrapped", all[9]: "shelf"} {
		if g := list[tag]; g.GetPlace() != place || g.GetSinceThen() {
			t.Errorf("%s: %v, want %s", tag, g, place)
		}
	}
	if g := list[all[0]]; g.GetFoundPlace() != "sold" || g.GetFoundOrderRef() != "choir-7" || g.GetToldHow() != "by letter" || g.GetAccounted() != "destroyed" {
		t.Errorf("%v", g)
	}
	events := s.trace(all[0]).GetEvents()
	if last := events[len(events)-2:]; last[0].GetKind() != "returned" || last[0].GetOrderRef() != "choir-7" || last[1].GetKind() != "scrapped" || last[1].GetText() != "recall K1: patches after a wash" {
		t.Errorf("the same acts as on any other day: %v", last)
	}
	if j := s.judged(s.a).GetVerdicts(); j[len(j)-1].GetOutcome() != "scrapped" || !slices.Contains(j[len(j)-1].GetTags(), all[0]) {
		t.Errorf("%v", j)
	}
	if r := s.trace(all[2]).GetRecalls(); len(r) != 1 || r[0].GetRecallCode() != "K1" || !r[0].GetTold() || r[0].GetAccounted() != "destroyed" || r[0].GetClosed() {
		t.Errorf("%v", r)
	}

	// The end: what lies here is decided, everybody is told.
	closing := func() error {
		_, err := s.Recall.CloseRecall(s.Ctx, &pb.CloseRecallRequest{RequestId: s.ID(), RecallCode: "K1", Reason: "all answered but two"})
		return err
	}
	if m := saysNo(t, closing(), codes.FailedPrecondition, "", "K1 stays open: 2 in the house are neither checked and kept nor destroyed"); m["undecided"] != "2" {
		t.Errorf("%v", m)
	}
	fine(s.accountFor("K1", "checked-and-kept", all[1], all[9]))(s.House)
	saysNo(t, closing(), codes.FailedPrecondition, "", "of 1 that is out nobody was told: "+all[7])
	fine(s.accountFor("K1", "cannot-be-reached", all[7]))(s.House)
	if err := closing(); err != nil {
		t.Fatal(err)
	}
	fine(s.send("market-3", all[9]))(s.House)
	end := fine(s.Recall.GetRecall(s.Ctx, &pb.GetRecallRequest{Code: "K1"}))(s.House).GetRecall()
	if end.GetClosedAt() == nil || end.GetCloseReason() != "all answered but two" || end.GetAccounted() != 6 || end.GetAccountedPercent() != 60 || end.GetTold() != 7 || end.GetStillOut() != 4 || end.GetFound() != 10 {
		t.Errorf("%v", end)
	}
	saysNo(t, closing(), codes.FailedPrecondition, "", "K1 was closed by owner")
	_, err = s.accountFor("K1", "returned", all[3])
	saysNo(t, err, codes.FailedPrecondition, "", "K1 was closed")
	_, err = s.toldOf("K1", "market-2")
	saysNo(t, err, codes.FailedPrecondition, "", "K1 was closed")
	if open := fine(s.Recall.ListRecalls(s.Ctx, &pb.ListRecallsRequest{}))(s.House).GetRecalls(); len(open) != 0 {
		t.Errorf("%v", open)
	}
	if every := fine(s.Recall.ListRecalls(s.Ctx, &pb.ListRecallsRequest{IncludeClosed: true}))(s.House).GetRecalls(); len(every) != 1 || every[0].GetAccounted() != 6 {
		t.Errorf("%v", every)
	}
}

// Only an owner lets go what a recall holds, by name and with a reason; every
// later view says so.
func TestAnOwnerLetsGoWhatARecallHolds(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed().held().passed()
	tag := s.tags[s.a][0]
	s.recalled(&pb.RecallNode{Code: s.a}, "a loose seam")
	shop := s.As("shop-1", "shop")
	q := func(by, why string) *pb.DispatchGarmentsRequest {
		return &pb.DispatchGarmentsRequest{RequestId: s.ID(), Tags: []string{tag}, OrderRef: "choir-7", OverrideBy: by, OverrideReason: why}
	}
	_, err := s.Garment.DispatchGarments(s.Ctx, q("", "no name"))
	saysNo(t, err, codes.FailedPrecondition, "", "is held by recall K1")
	_, err = s.Garment.DispatchGarments(s.Ctx, q("owner", " "))
	saysNo(t, err, codes.InvalidArgument, "override_reason", "is needed")
	_, err = s.Garment.DispatchGarments(shop, q("owner", "the choir knows"))
	saysNo(t, err, codes.PermissionDenied, "", "needs owner")
	sent := fine(s.Garment.DispatchGarments(s.Ctx, q("owner", "the choir knows")))(s.House)
	if !slices.ContainsFunc(sent.GetWarnings(), func(w *pb.Warning) bool {
		return w.GetKey() == "recalled" && strings.HasSuffix(w.GetText(), "let go by owner: the choir knows")
	}) {
		t.Errorf("%v", sent.GetWarnings())
	}
	if g := recallList(s.House, "K1")[tag]; g.GetOverrideBy() != "owner" || g.GetPlace() != "sold" || g.GetFoundPlace() != "shelf" {
		t.Errorf("%v", g)
	}
	if r := s.trace(tag).GetRecalls(); len(r) != 1 || r[0].GetOverrideReason() != "the choir knows" {
		t.Errorf("%v", r)
	}
	if k := fine(s.Recall.GetRecall(s.Ctx, &pb.GetRecallRequest{Code: "K1"}))(s.House).GetRecall(); k.GetToTell() != 1 || k.GetStillOut() != 1 {
		t.Errorf("now somebody has to be told: %v", k)
	}
	fine(s.send("market-1", s.tags[s.b][0]))(s.House) // of the other lot: not held
}

// Every node of the choir's story, and what each leads to.
func TestARecallStartsFromAnyNode(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed()
	a, b := slices.Sorted(slices.Values(s.tags[s.a])), slices.Sorted(slices.Values(s.tags[s.b]))
	both := slices.Sorted(slices.Values(append(slices.Clone(a), b...)))
	mordant, dip := s.stageOf(s.a, 1), s.stageOf(s.b, 4)
	fine(s.Stock.ReceiveDelivery(s.Ctx, &pb.ReceiveDeliveryRequest{RequestId: s.ID(), ItemCode: "alum", Amount: s.Amount("10g"), Supplier: "salt works", SupplierLot: "NS-118"}))(s.House)
	day := time.Now().Add(-48 * time.Hour).UTC().Format(time.DateOnly)
	fine(s.Stock.LogHarvest(s.Ctx, &pb.LogHarvestRequest{RequestId: s.ID(), ItemCode: "weld-dry", Harvest: &pb.Harvest{Place: "the lane", PickedOn: day, FreshMass: s.Amount("900g"), DryMass: s.Amount("200g")}}))(s.House)
	for _, c := range []struct {
		node  *pb.RecallNode
		want  []string
		title string
	}{
		{&pb.RecallNode{Code: s.liquor}, both, "parcel " + s.liquor + ", iron-liquor, made here"},
		{&pb.RecallNode{Code: mordant.GetCode()}, both, "stage record S1, mordant"},
		{&pb.RecallNode{Code: dip.GetCode()}, b, "stage record " + dip.GetCode() + ", after-dip"},
		{&pb.RecallNode{Code: mordant.GetBathCode(), BathUse: 1}, both, "bath B1, mordant, use 1 and after"},
		{&pb.RecallNode{Code: dip.GetBathCode()}, b, "bath " + dip.GetBathCode() + ", after-dip"},
		{&pb.RecallNode{Code: s.a}, a, "lot " + s.a + ", harbour olive"},
		{&pb.RecallNode{Code: s.run}, both, "run R1, harbour olive"},
		{&pb.RecallNode{Tag: strings.ToLower(a[0])}, a[:1], "garment " + a[0]},
		{&pb.RecallNode{RecipeCode: "weld-olive", RecipeVersion: 1}, both, "recipe weld-olive version 1"},
		{&pb.RecallNode{SupplierLot: "ns-118", ItemCode: "alum"}, nil, "alum, supplier's lot ns-118"},
		{&pb.RecallNode{Place: "The lane", PickedOn: day, ItemCode: "weld-dry"}, nil, "harvest of weld-dry at The lane, " + day},
	} {
		got, title := recalledTags(s.House, c.node)
		if d := cmp.Diff(append([]string{}, c.want...), got); d != "" || title != c.title {
			t.Errorf("%v is %q, want %q: %s", c.node, title, c.title, d)
		}
	}
	for _, c := range []struct {
		node        *pb.RecallNode
		code        codes.Code
		field, says string
	}{
		{nil, codes.InvalidArgument, "node.code", "is needed"},
		{&pb.RecallNode{Code: "X1"}, codes.InvalidArgument, "node.code", "is no node"},
		{&pb.RecallNode{Code: "P"}, codes.InvalidArgument, "node.code", "such as P7"},
		{&pb.RecallNode{Code: "P99"}, codes.NotFound, "parcel", "P99"},
		{&pb.RecallNode{Code: "S99"}, codes.NotFound, "stage record", "S99"},
		{&pb.RecallNode{Code: "B99"}, codes.NotFound, "bath", "B99"},
		{&pb.RecallNode{Code: "E99"}, codes.NotFound, "entry of a bath", "E99"},
		{&pb.RecallNode{Code: "L99"}, codes.NotFound, "lot", "L99"},
		{&pb.RecallNode{Code: "R99"}, codes.NotFound, "run", "R99"},
		{&pb.RecallNode{Code: "B1", BathUse: 7}, codes.InvalidArgument, "node.bath_use", "used 1 times"},
		{&pb.RecallNode{Code: "L1", BathUse: 1}, codes.InvalidArgument, "node.bath_use", "goes with a bath"},
		{&pb.RecallNode{Tag: "16JX"}, codes.InvalidArgument, "node.tag", "is no tag"},
		{&pb.RecallNode{Tag: "16JD"}, codes.NotFound, "garment", "16JD"},
		{&pb.RecallNode{SupplierLot: "NS-118"}, codes.InvalidArgument, "node.item_code", "is needed"},
		{&pb.RecallNode{SupplierLot: "NS-1", ItemCode: "alum"}, codes.NotFound, "supplier's lot", "NS-1"},
		{&pb.RecallNode{SupplierLot: "NS-118", ItemCode: "alum", Supplier: "another"}, codes.NotFound, "supplier's lot", "NS-118"},
		{&pb.RecallNode{Place: "the lane", PickedOn: "June"}, codes.InvalidArgument, "node.picked_on", "is not a day"},
		{&pb.RecallNode{Place: "the wood", PickedOn: day}, codes.NotFound, "harvest", "the wood"},
		{&pb.RecallNode{RecipeCode: "weld-olive", RecipeVersion: 9}, codes.NotFound, "recipe", "version 9"},
	} {
		_, _, err := previewed(s.Ctx, s.House, c.node)
		saysNo(t, err, c.code, c.field, c.says)
	}
	_, err := s.Recall.OpenRecall(s.Ctx, &pb.OpenRecallRequest{RequestId: s.ID(), Node: &pb.RecallNode{SupplierLot: "NS-118", ItemCode: "alum"}, Reason: "lumps"})
	saysNo(t, err, codes.FailedPrecondition, "", "no garment has any of this in it")
}

// A tub that is kept: its second use is on the recall of the first, and what is
// dyed over after the recall was opened comes to the list as found since then.
// What is taken back is on none.
func TestARecallFollowsLaterUsesOverDyesAndReversals(t *testing.T) {
	t.Parallel()
	c := openTubs(t)
	more := c.Receive("alum", "100g")
	second, third := c.plan("gold"), c.plan("gold")
	tags := func(lots ...string) (all []string) {
		for _, l := range lots {
			all = append(all, c.tags[l]...)
		}
		return slices.Sorted(slices.Values(all))
	}
	first := fine(c.record(&pb.RecordStageRequest{LotCodes: c.lots, Position: 1, AsPlanned: true, VesselCode: "tub-60", BathVolume: c.Amount("43.2L")}))(c.House).GetRecord()
	tub := first.GetBathCode()
	fine(c.log(&pb.LogBathRequest{BathCode: first.GetCode(), Kind: "kept", Litres: c.Amount("40L")}))(c.House)
	fed := fine(c.log(&pb.LogBathRequest{BathCode: tub, Kind: "top-up", Litres: c.Amount("2L"), Used: c.taken(more, "20g")}))(c.House).GetEntry()
	use := fine(c.record(&pb.RecordStageRequest{LotCodes: second, Position: 1, BathCode: tub}))(c.House).GetRecord()
	holds := func(n *pb.RecallNode, want []string) {
		t.Helper()
		got, title := recalledTags(c.House, n)
		if d := cmp.Diff(append([]string{}, want...), got); d != "" {
			t.Errorf("%s: %s", title, d)
		}
	}
	everyone := tags(append(slices.Clone(c.lots), second...)...)
	holds(&pb.RecallNode{Code: c.alum}, everyone)
	holds(&pb.RecallNode{Code: tub}, everyone)
	holds(&pb.RecallNode{Code: tub, BathUse: 2}, tags(second...))
	holds(&pb.RecallNode{Code: use.GetCode()}, tags(second...))
	holds(&pb.RecallNode{Code: fed.GetCode()}, tags(second...))
	holds(&pb.RecallNode{Code: more}, tags(second...))

	ch := &choir{House: c.House, t: t}
	k := ch.recalled(&pb.RecallNode{Code: more}, "lumps in the bag")
	again := fine(c.record(&pb.RecordStageRequest{LotCodes: third, Position: 1, BathCode: tub}))(c.House).GetRecord()
	got := fine(c.Recall.GetRecall(c.Ctx, &pb.GetRecallRequest{Code: k.GetCode()}))(c.House).GetRecall()
	if got.GetFound() != int32(len(tags(second...))) || got.GetSinceThen() != int32(len(tags(third...))) {
		t.Errorf("%v", got)
	}
	late := tags(third...)[0]
	fine(ch.accountFor(k.GetCode(), "destroyed", late))(c.House)
	if g := recallList(c.House, k.GetCode())[late]; !g.GetSinceThen() || g.GetPlace() != "scrapped" || g.GetFoundPlace() != "in-work" {
		t.Errorf("%v", g)
	}
	fine(c.undo(again.GetCode()))(c.House)
	got = fine(c.Recall.GetRecall(c.Ctx, &pb.GetRecallRequest{Code: k.GetCode()}))(c.House).GetRecall()
	if got.GetSinceThen() != 1 || got.GetFound() != int32(len(tags(second...))) {
		t.Errorf("what was undone is downstream no more, what was marked stays: %v", got)
	}

	fine(c.undo(use.GetCode()))(c.House)
	holds(&pb.RecallNode{Code: more}, nil)
	holds(&pb.RecallNode{Code: c.alum}, tags(c.lots...))
	if list := recallList(c.House, k.GetCode()); len(list) != len(tags(second...))+1 {
		t.Errorf("the list stays as it was found: %d", len(list))
	}
}

// One of lot A is dyed over with a blank of its own: a recall of the new lot's
// mordant holds it, with the lot that it is of now; one of the old lot too.
func TestARecallHoldsWhatWasDyedOver(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().good()
	tag := c.tags[c.a][0]
	fine(c.verdict(c.a, "imperfect", "too pale", tag))(c.House)
	fine(c.verdict(c.a, "passed", ""))(c.House)
	over := fine(c.again("olive-silk", nil, tag))(c.House).GetLots()[0].GetCode()
	c.issued(over)
	fresh := fine(c.Stock.ReceiveDelivery(c.Ctx, &pb.ReceiveDeliveryRequest{RequestId: c.ID(), ItemCode: "alum", Amount: c.Amount("100g"), Supplier: "salt works", SupplierLot: "NS-118"}))(c.House).GetParcel().GetCode()
	day := time.Now().Add(-48 * time.Hour).UTC().Format(time.DateOnly)
	picked := fine(c.Stock.LogHarvest(c.Ctx, &pb.LogHarvestRequest{RequestId: c.ID(), ItemCode: "weld-dry", Harvest: &pb.Harvest{Place: "the lane", PickedOn: day, FreshMass: c.Amount("900g"), DryMass: c.Amount("200g")}}))(c.House).GetParcel().GetCode()
	stage := func(position int32, used, amount string) string {
		return fine(c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: []string{over}, Position: position, VesselCode: "tub-60", Used: []*pb.Taken{{ParcelCode: used, Amount: c.Amount(amount)}}}))(c.House).GetRecord().GetCode()
	}
	mordant, brew := stage(1, fresh, "15g"), stage(2, picked, "60g")
	alone := []string{tag}
	for node, want := range map[string][]string{fresh: alone, mordant: alone, brew: alone, picked: alone, over: alone, c.a: slices.Sorted(slices.Values(c.tags[c.a]))} {
		if got, title := recalledTags(c.House, &pb.RecallNode{Code: node}); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", title, got, want)
		}
	}
	for _, n := range []*pb.RecallNode{{SupplierLot: "ns-118", ItemCode: "alum", Supplier: "Salt works"}, {Place: "The lane", PickedOn: day}} {
		if got, title := recalledTags(c.House, n); !slices.Equal(got, alone) {
			t.Errorf("%s: %v, want %v", title, got, alone)
		}
	}
	_, rows, err := previewed(c.Ctx, c.House, &pb.RecallNode{Code: c.a})
	if err != nil || !slices.ContainsFunc(rows, func(g *pb.RecallGarment) bool { return g.GetTag() == tag && g.GetLotCode() == over }) {
		t.Errorf("%v, %v", rows, err)
	}
}

// A customer's own garments are recalled like any other, given back only once
// checked, and taken back by no recall.
func TestARecallOfTheCustomersOwn(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	a.Receive("weld-dry", "2000g")
	w := a.signed(a.agreed(2, "2"))
	theirs := a.brought(w, 2)
	l, tags := a.dyed(fine(a.plan(w, theirs, 2))(a.House), 62, -2, 38)
	a.pass(l)
	c := &choir{House: a.House, t: t}
	k := c.recalled(&pb.RecallNode{Code: l}, "a loose dye").GetCode()
	_, err := a.giveBack(w, tags...)
	saysNo(t, err, codes.FailedPrecondition, "", "are held by recall K1")
	fine(c.accountFor(k, "checked-and-kept", tags...))(a.House)
	fine(a.giveBack(w, tags...))(a.House)
	k = c.recalled(&pb.RecallNode{Code: l}, "a loose dye, again").GetCode()
	if g := recallList(a.House, k)[tags[0]]; g.GetPlace() != "given-back" || g.GetCustomersCommissionCode() != w {
		t.Errorf("%v", g)
	}
	_, err = c.accountFor(k, "returned", tags[0])
	saysNo(t, err, codes.FailedPrecondition, "tags[0]", "is given back")
	fine(c.toldOf(k, "", tags...))(a.House)
	fine(c.accountFor(k, "destroyed", tags[0]))(a.House)
	if g := recallList(a.House, k)[tags[0]]; g.GetPlace() != "given-back" || g.GetAccounted() != "destroyed" {
		t.Errorf("it was destroyed where it is: %v", g)
	}
	fine(a.Recall.CloseRecall(a.Ctx, &pb.CloseRecallRequest{RequestId: a.ID(), RecallCode: k, Reason: "one kept"}))(a.House)
}

// An abandoned lot: two tunics of a parcel of three for 30.00, torn in the pot,
// are 20.00 and what their lot got of alum: 31.3 g, by hand 15 % of 209 g; no
// movement is added by hand. Of a recall, one tunic of 103 g of a lot of 521 g.
func TestWhatWasLost(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed()
	blanks := fine(s.Stock.ReceiveDelivery(s.Ctx, &pb.ReceiveDeliveryRequest{RequestId: s.ID(), ItemCode: "tunic", Amount: s.Amount("3pc"), Cost: &pb.Money{Value: "30", Currency: "EUR"}}))(s.House).GetParcel().GetCode()
	run := fine(s.Runs.PlanRun(s.Ctx, &pb.PlanRunRequest{RequestId: s.ID(), ColourwayCode: "olive-silk", Loads: []*pb.Load{s.load("pot-40", blanks, "104", "105")}, SharedVessels: map[int32]string{1: "tub-60", 2: "tub-60"}}))(s.House).GetRun()
	l := run.GetLots()[0].GetCode()
	s.issue(l)
	fine(s.Runs.RecordStage(s.Ctx, &pb.RecordStageRequest{RequestId: s.ID(), LotCodes: []string{l}, Position: 1, Used: []*pb.Taken{{ParcelCode: s.alum, Amount: s.Amount("31.3g")}}}))(s.House)
	fine(s.verdict(l, "scrapped", "boiled over"))(s.House)
	loss := fine(s.Recall.GetLoss(s.Ctx, &pb.GetLossRequest{Code: strings.ToLower(l)}))(s.House)
	told := func(r *pb.GetLossResponse) (all []string) {
		for _, p := range r.GetParcels() {
			all = append(all, fmt.Sprintf("%s %s%s %s", p.GetParcelCode(), p.GetAmount().GetValue(), p.GetAmount().GetUnit(), p.GetCost().GetValue()))
		}
		return all
	}
	if d := cmp.Diff([]string{s.alum + " 31.3g ", blanks + " 2pc 20"}, told(loss)); d != "" || loss.GetPieces() != 2 || loss.GetDryMass().GetValue() != "209" || len(loss.GetCosts()) != 1 || loss.GetCosts()[0].GetValue() != "20" || !slices.Equal(loss.GetWithoutCost(), []string{s.alum}) {
		t.Errorf("%s %v", d, loss)
	}

	tag := s.tags[s.b][2] // 103 g of 521 g: 80.8 g, 359 g and 30 mL are 15.973896, 70.973129 and 5.930902 of it
	k := s.recalled(&pb.RecallNode{Tag: tag}, "a hole").GetCode()
	if none := fine(s.Recall.GetLoss(s.Ctx, &pb.GetLossRequest{Code: k}))(s.House); none.GetPieces() != 0 || len(none.GetParcels()) != 0 {
		t.Errorf("%v", none)
	}
	before := s.onHand(s.tunics)
	fine(s.accountFor(k, "destroyed", tag))(s.House)
	loss = fine(s.Recall.GetLoss(s.Ctx, &pb.GetLossRequest{Code: k}))(s.House)
	want := []string{s.alum + " 15.973896g ", s.weld + " 70.973129g ", s.liquor + " 5.931mL ", s.tunics + " 1pc ", s.strip + " 3.558541g ", s.copperas + " 1.1862g "}
	slices.Sort(want)
	got := told(loss)
	slices.Sort(got)
	if d := cmp.Diff(want, got); d != "" || loss.GetPieces() != 1 || loss.GetDryMass().GetValue() != "103" {
		t.Errorf("%s %v", d, loss)
	}
	if after := s.onHand(s.tunics); after != before {
		t.Errorf("the blank left the shelf when it was issued: %s, then %s", before, after)
	}
	for code, want := range map[string]codes.Code{"K9": codes.NotFound, "L99": codes.NotFound, "P1": codes.InvalidArgument, "": codes.InvalidArgument} {
		_, err := s.Recall.GetLoss(s.Ctx, &pb.GetLossRequest{Code: code})
		s.Refused(err, want)
	}
}

// Law 7 for each of its calls, and one winner of two who close it at once.
func TestARecallIsRecordedOnce(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed().held().passed()
	tag := s.tags[s.a][0]
	fine(s.send("choir-7", tag))(s.House)
	open := &pb.OpenRecallRequest{RequestId: s.ID(), Node: &pb.RecallNode{Tag: tag}, Reason: "a hole"}
	first, second := fine(s.Recall.OpenRecall(s.Ctx, open))(s.House), fine(s.Recall.OpenRecall(s.Ctx, open))(s.House)
	if !proto.Equal(first, second) {
		t.Errorf("%v, then %v", first, second)
	}
	back := &pb.MarkAccountedRequest{RequestId: s.ID(), RecallCode: "K1", Tags: []string{tag}, How: "returned"}
	one, two := fine(s.Recall.MarkAccounted(s.Ctx, back))(s.House), fine(s.Recall.MarkAccounted(s.Ctx, back))(s.House)
	if !proto.Equal(one, two) {
		t.Errorf("%v, then %v", one, two)
	}
	other := proto.CloneOf(back)
	other.How = "destroyed"
	_, err := s.Recall.MarkAccounted(s.Ctx, other)
	s.Refused(err, codes.AlreadyExists)
	fine(s.accountFor("K1", "destroyed", tag))(s.House)
	var wg sync.WaitGroup
	errs := make([]error, 2)
	for i := range errs {
		wg.Go(func() {
			_, errs[i] = s.Recall.CloseRecall(s.Ctx, &pb.CloseRecallRequest{RequestId: fmt.Sprintf("closing-%d", i), RecallCode: "K1", Reason: "done"})
		})
	}
	wg.Wait()
	won := slices.Index(errs, nil)
	if won < 0 {
		t.Fatal(errs)
	}
	saysNo(t, errs[1-won], codes.FailedPrecondition, "", "closed")
}

func TestWordsOfARecallThatAreOff(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed().held().passed()
	tag, other := s.tags[s.a][0], s.tags[s.b][0]
	fine(s.send("choir-7", tag))(s.House)
	s.recalled(&pb.RecallNode{Code: s.a}, "a loose dye")
	_, err := s.Recall.OpenRecall(s.Ctx, &pb.OpenRecallRequest{RequestId: s.ID(), Node: &pb.RecallNode{Code: s.a}, Reason: " "})
	saysNo(t, err, codes.InvalidArgument, "reason", "is needed")
	_, err = s.Recall.OpenRecall(s.Ctx, &pb.OpenRecallRequest{RequestId: s.ID(), Node: &pb.RecallNode{Code: s.a}, Reason: "x", HappenedAt: ago(-time.Hour)})
	saysNo(t, err, codes.InvalidArgument, "happened_at", "is in the future")
	for _, c := range []struct {
		q           *pb.MarkToldRequest
		code        codes.Code
		field, says string
	}{
		{&pb.MarkToldRequest{RecallCode: "L1"}, codes.InvalidArgument, "recall_code", "K7"},
		{&pb.MarkToldRequest{RecallCode: "K9", Tags: []string{tag}, How: "letter"}, codes.NotFound, "recall", "K9"},
		{&pb.MarkToldRequest{RecallCode: "K1", How: "letter"}, codes.InvalidArgument, "tags", "is needed"},
		{&pb.MarkToldRequest{RecallCode: "K1", OrderRef: "choir-7", Tags: []string{tag}, How: "letter"}, codes.InvalidArgument, "order_ref", "not both"},
		{&pb.MarkToldRequest{RecallCode: "K1", OrderRef: "choir-7"}, codes.InvalidArgument, "how", "is needed"},
		{&pb.MarkToldRequest{RecallCode: "K1", OrderRef: "choir-7", How: "wearer@example.org"}, codes.InvalidArgument, "how", "kept elsewhere"},
		{&pb.MarkToldRequest{RecallCode: "K1", OrderRef: "wearer@example.org", How: "letter"}, codes.InvalidArgument, "order_ref", "kept elsewhere"},
		{&pb.MarkToldRequest{RecallCode: "K1", OrderRef: "choir-8", How: "letter"}, codes.InvalidArgument, "order_ref", "nothing of K1"},
		{&pb.MarkToldRequest{RecallCode: "K1", Tags: []string{other}, How: "letter"}, codes.InvalidArgument, "tags[0]", "is not on K1"},
		{&pb.MarkToldRequest{RecallCode: "K1", Tags: []string{tag, tag}, How: "letter"}, codes.InvalidArgument, "tags[1]", "named twice"},
		{&pb.MarkToldRequest{RecallCode: "K1", Tags: []string{tag}, How: "letter", HappenedAt: ago(time.Hour)}, codes.InvalidArgument, "happened_at", "before K1 was opened"},
	} {
		c.q.RequestId = s.ID()
		_, err := s.Recall.MarkTold(s.Ctx, c.q)
		saysNo(t, err, c.code, c.field, c.says)
	}
	for _, c := range []struct {
		q           *pb.MarkAccountedRequest
		code        codes.Code
		field, says string
	}{
		{&pb.MarkAccountedRequest{RecallCode: "K1", Tags: []string{tag}, How: "burnt"}, codes.InvalidArgument, "how", "use one of returned, checked-and-kept"},
		{&pb.MarkAccountedRequest{RecallCode: "K1", How: "returned"}, codes.InvalidArgument, "tags", "is needed"},
		{&pb.MarkAccountedRequest{RecallCode: "K1", Tags: []string{other}, How: "returned"}, codes.InvalidArgument, "tags[0]", "is not on K1"},
		{&pb.MarkAccountedRequest{RecallCode: "K1", Tags: []string{"16JD"}, How: "returned"}, codes.NotFound, "garment", "16JD"},
		{&pb.MarkAccountedRequest{RecallCode: "K1", Tags: []string{tag, s.tags[s.a][1]}, How: "returned"}, codes.FailedPrecondition, "tags[1]", "was not out"},
	} {
		c.q.RequestId = s.ID()
		_, err := s.Recall.MarkAccounted(s.Ctx, c.q)
		saysNo(t, err, c.code, c.field, c.says)
	}
	if g := s.trace(tag).GetGarment(); g.GetPlace() != "sold" {
		t.Errorf("a refused act moved %v", g)
	}
	_, err = s.Recall.GetRecall(s.Ctx, &pb.GetRecallRequest{Code: "K9"})
	saysNo(t, err, codes.NotFound, "recall", "K9")
	_, err = s.Recall.GetRecall(s.Ctx, &pb.GetRecallRequest{Code: "9"})
	saysNo(t, err, codes.InvalidArgument, "code", "K7")
	_, err = s.Recall.ListRecalls(s.Ctx, &pb.ListRecallsRequest{PageSize: -1})
	saysNo(t, err, codes.InvalidArgument, "page_size", "negative")
	_, err = s.Recall.CloseRecall(s.As("dyer-9", "dyer"), &pb.CloseRecallRequest{RequestId: s.ID(), RecallCode: "K1", Reason: "x"})
	s.Refused(err, codes.PermissionDenied)
}
