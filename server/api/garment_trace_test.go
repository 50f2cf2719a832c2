package api_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

// through is one line of a trace's parcels.
func through(p *pb.TracedParcel) string {
	return fmt.Sprintf("%d %s %s%s %v", p.GetDepth(), p.GetParcel().GetItemCode(), p.GetShare().GetValue(), p.GetShare().GetUnit(), p.GetThrough())
}

// Two days in the studio, worked by hand by two people: a 103 g tunic of lot B
// comes back, its shoulders faded.
func TestTheChoirsReturnedTunicIsTraced(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed().held().passed()
	fine(s.send("choir-7", append(slices.Clone(s.tags[s.a]), s.tags[s.b]...)...))(s.House)
	tag := s.tags[s.b][4]
	fine(s.takeBack(tag, "shoulders faded"))(s.House)
	r := s.trace(strings.ToLower(tag[:2]) + "-" + tag[2:])

	if g := r.GetGarment(); g.GetTag() != tag || g.GetDryMass().GetValue() != "103" || g.GetPlace() != "returned" || g.GetOrderRef() != "" || r.GetLot().GetCode() != s.b || r.GetColourwayName() != "harbour olive" {
		t.Errorf("%v of lot %s, %s", g, r.GetLot().GetCode(), r.GetColourwayName())
	}
	var events []string
	for _, e := range r.GetEvents() {
		events = append(events, strings.TrimSpace(fmt.Sprintln(e.GetKind(), e.GetLotCode(), e.GetOrderRef(), e.GetText())))
	}
	if d := cmp.Diff([]string{"planned L2", "issued L2", "held L2  light 2-3", "passed L2", "sold L2 choir-7", "returned L2 choir-7 shoulders faded"}, events); d != "" {
		t.Error(d)
	}
	var parcels []string
	for _, p := range r.GetParcels() {
		parcels = append(parcels, through(p))
	}
	want := []string{
		"0 alum 80.8g [S1]",       // 162 g by 541 : 539, to 0.1 g
		"0 weld-dry 359g [S2]",    // 720 g: 361 + 359
		"0 iron-liquor 30mL [S6]", // and not 27
		"0 tunic 5pc [L2]", "0 silk-strip 18g [L2]",
		"1 copperas 6g [S6]", // 30 mL of 200 g/L
	}
	if d := cmp.Diff(want, parcels); d != "" {
		t.Error(d)
	}
	if n := len(r.GetSisters()); n != 4 {
		t.Errorf("%d sisters", n)
	}
	for _, x := range r.GetSisters() {
		if x.GetGarment().GetPlace() != "sold" || x.GetGarment().GetOrderRef() != "choir-7" || x.GetApart() != nil {
			t.Errorf("sister %v", x)
		}
	}
	if len(r.GetCousins()) != 5 || r.GetCousinCount() != 5 {
		t.Errorf("%d cousins, %d counted", len(r.GetCousins()), r.GetCousinCount())
	}
	for _, x := range r.GetCousins() {
		if d := cmp.Diff([]string{"mordant bath S1", "brew S2", "alum " + s.alum, "weld " + s.weld, "iron-liquor " + s.liquor, "blanks " + s.tunics}, lower(x.GetShared())); d != "" {
			t.Error(d)
		}
		if d := cmp.Diff([]string{"pot pot-30/pot-40", "dye bath S4/S3", "after-dip S6/S5", "S6: iron-liquor: 30 mL instead of 27 mL (+3 mL)"}, lower(x.GetApart())); d != "" {
			t.Error(d)
		}
	}
	if j := fmt.Sprint(r.GetJudgement()); !strings.Contains(j, "failed 2-3, overridden by owner") || !strings.Contains(j, "seen together by the choir") {
		t.Errorf("the judgement does not say what was overridden: %s", j)
	}
}

// lower puts the names of items as the recipe has them beside their parcels;
// only the codes of items are fixed in these tests.
func lower(words []string) []string {
	for i, w := range words {
		words[i] = strings.NewReplacer("weld-dry ", "weld ", "iron liquor", "iron-liquor").Replace(w)
	}
	return words
}

func TestWhatBecameOfEachParcel(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed()
	r := s.traceParcel(strings.ToLower(s.copperas))
	if len(r.GetGarments()) != 10 || !cmp.Equal(r.GetLotCodes(), []string{s.a, s.b}) || len(r.GetDescendants()) != 1 || r.GetDescendants()[0].GetCode() != s.liquor ||
		r.GetDescendants()[0].GetMadeFrom()[0].GetParcelCode() != s.copperas {
		t.Errorf("copperas: %v", r)
	}
	if got, want := s.traceParcel(s.liquor).GetAccount().GetText(), "received 500 mL + found 0 mL = used 57 mL + lost 0 mL + sent back 0 mL + on hand 443 mL"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if a := r.GetAccount(); a.GetReceived().GetValue() != "250" || a.GetUsed().GetValue() != "100" || a.GetOnHand().GetValue() != "150" || a.GetLost().GetValue() != "0" {
		t.Errorf("copperas: %v", a)
	}
	if r := s.traceParcel(s.Receive("alum", "5g")); len(r.GetGarments())+len(r.GetLotCodes())+len(r.GetDescendants()) != 0 {
		t.Errorf("a bag that nobody opened: %v", r)
	}
	_, err := s.Garment.TraceParcel(s.Ctx, &pb.TraceParcelRequest{ParcelCode: "P99"})
	saysNo(t, err, codes.NotFound, "parcel", `there is no parcel "P99"`)
	_, err = s.Garment.TraceParcel(s.Ctx, &pb.TraceParcelRequest{ParcelCode: "16JD"})
	saysNo(t, err, codes.InvalidArgument, "parcel_code", "is not a parcel code such as P7")
}

// Law 4, through the calls: a garment is in a parcel's trace exactly when the
// parcel is in the garment's. Of two deliveries of blanks in one lot, each leads
// to its own garments alone.
func TestLaw4TraceIsDualThroughTheCalls(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t)
	second := s.Receive("tunic", "3pc")
	mixed := s.load("pot-40", s.tunics, "104", "105")
	mixed.Blanks = append(mixed.Blanks, s.load("", second, "106").Blanks...)
	run := s.planned("tub-60", false, mixed, s.load("pot-30", s.tunics, "104"))
	a, b := run.GetLots()[0].GetCode(), run.GetLots()[1].GetCode()
	s.issue(a)
	fine(s.Runs.RecordStage(s.Ctx, &pb.RecordStageRequest{RequestId: s.ID(), LotCodes: []string{a}, Position: 1, Used: []*pb.Taken{{ParcelCode: s.alum, Amount: s.Amount("49g")}}}))(s.House)
	s.stage(2, a, b) // a brew is drawn for both before the other is issued
	s.stage(3, a)
	s.sadden(a, "10mL")
	up := map[string][]string{}
	var tags []string
	for _, l := range []string{a, b} {
		for _, tag := range s.tags[l] {
			tags = append(tags, tag)
			for _, p := range s.trace(tag).GetParcels() {
				up[p.GetParcel().GetCode()] = append(up[p.GetParcel().GetCode()], tag)
			}
		}
	}
	for _, p := range fine(s.Stock.ListParcels(s.Ctx, &pb.ListParcelsRequest{IncludeEmpty: true}))(s.House).GetParcels() {
		var down []string
		for _, g := range s.traceParcel(p.GetCode()).GetGarments() {
			down = append(down, g.GetTag())
		}
		if !slices.Equal(up[p.GetCode()], down) {
			t.Errorf("%s is in %v, and its trace leads to %v", p.GetCode(), up[p.GetCode()], down)
		}
	}
	if got := up[second]; !slices.Equal(got, tags[2:3]) {
		t.Errorf("the second delivery is in %v, want %v", got, tags[2:3])
	}
	if got := up[s.weld]; !slices.Equal(got, tags[:3]) {
		t.Errorf("the weld is in %v: the garment of lot %s has not been issued", got, b)
	}
	if lots := s.traceParcel(s.weld).GetLotCodes(); !slices.Equal(lots, []string{a, b}) {
		t.Errorf("the brew was drawn for %v", lots)
	}
	r := s.trace(s.tags[a][0])
	if x := r.GetSisters()[1]; !slices.Equal(x.GetApart(), []string{"blanks " + s.tunics + "/" + second}) {
		t.Errorf("a sister of the second delivery: %v", x)
	}
}

// What was undone is shown and brings nothing.
func TestAnUndoneBathIsShownAndTracedNowhere(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed()
	r := s.trace(s.tags[s.a][0])
	var dip string
	for _, rec := range r.GetRecords() {
		if rec.GetKind() == "after-dip" {
			dip = rec.GetCode()
		}
	}
	fine(s.Runs.UndoStage(s.Ctx, &pb.UndoStageRequest{RequestId: s.ID(), RecordCode: dip, Reason: "the wrong lot"}))(s.House)
	r = s.trace(s.tags[s.a][0])
	shown := false
	for _, rec := range r.GetRecords() {
		shown = shown || rec.GetCode() == dip && rec.GetUndone() && rec.GetUndoneReason() == "the wrong lot" && rec.GetUsed()[0].GetParcelCode() == s.liquor
	}
	for _, p := range r.GetParcels() {
		if c := p.GetParcel().GetCode(); c == s.liquor || c == s.copperas {
			t.Errorf("the trace still has %s", through(p))
		}
	}
	if !shown {
		t.Errorf("the undone record is gone: %v", r.GetRecords())
	}
	if n := len(s.traceParcel(s.copperas).GetGarments()); n != 5 {
		t.Errorf("copperas is in %d garments", n)
	}
}

// One linen shirt: over-dyed, it is in two lots, and its trace reaches the baths
// of both. The move is written as the books have it.
func TestAnOverDyedGarmentIsTracedThroughBothLots(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed()
	run := s.planned("tub-60", false, s.load("pot-40", s.tunics, "104"))
	over, moved := run.GetLots()[0].GetCode(), s.tags[s.b][0]
	s.issue(over)
	s.sql(t, `with g as (update garment set lot_id = 3 where tag = $1 returning id)
	          insert into garment_event (garment_id, kind, lot_id, happened_at, recorded_at, recorded_by, by_name) select id, 'issued', 3, now(), now(), 1, 'owner' from g`, moved)
	s.stage(1, over)
	s.sadden(over, "3mL")
	r := s.trace(moved)
	if !slices.Equal(r.GetLotCodes(), []string{s.b, over}) || r.GetLot().GetCode() != over {
		t.Errorf("lots %v, now in %s", r.GetLotCodes(), r.GetLot().GetCode())
	}
	for _, p := range r.GetParcels() {
		if p.GetParcel().GetCode() == s.liquor && through(p) != "0 iron-liquor 33mL [S6 S10]" {
			t.Errorf("iron of both lots: %s", through(p))
		}
	}
	if n := len(r.GetRecords()); n != 7 { // mordant, brew, dye, after-dip, dry; mordant, after-dip
		t.Errorf("%d records", n)
	}
	var sisters, cousins int
	for _, x := range r.GetCousins() {
		switch {
		case slices.Equal(x.GetShared(), []string{"lot " + s.b, "blanks " + s.tunics}) && slices.Equal(x.GetApart(), []string{"lot " + over + "/" + s.b}):
			sisters++
		case x.GetGarment().GetLotCode() == s.a:
			cousins++
		}
	}
	if sisters != 4 || cousins != 5 || len(r.GetSisters()) != 1 {
		t.Errorf("%d sisters of once, %d cousins, %d sisters now: %v", sisters, cousins, len(r.GetSisters()), r.GetCousins())
	}
	for _, x := range s.trace(s.tags[s.b][1]).GetCousins() { // and back: a sister of once sees where it went
		if x.GetGarment().GetTag() == moved && !slices.Equal(x.GetApart(), []string{"lot " + s.b + "/" + over}) {
			t.Errorf("the moved one: %v", x)
		}
	}
}

func TestCousinsAreCountedAndTheNearestListed(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).dyed()
	large := &pb.Load{VesselCode: "basin", Blanks: []*pb.Blanks{{ParcelCode: s.tunics, Count: 210}}}
	run := s.planned("basin", false, large)
	l := run.GetLots()[0].GetCode()
	s.issue(l)
	fine(s.Runs.RecordStage(s.Ctx, &pb.RecordStageRequest{RequestId: s.ID(), LotCodes: []string{l}, Position: 1, Used: []*pb.Taken{{ParcelCode: s.alum, Amount: s.Amount("3000g")}}}))(s.House)
	r := s.trace(s.tags[s.b][0])
	if len(r.GetCousins()) != 200 || r.GetCousinCount() != 215 {
		t.Fatalf("%d listed of %d", len(r.GetCousins()), r.GetCousinCount())
	}
	for i, x := range r.GetCousins() {
		if near := x.GetGarment().GetLotCode() == s.a; near != (i < 5) {
			t.Fatalf("cousin %d is of lot %s", i, x.GetGarment().GetLotCode())
		}
	}
	far := r.GetCousins()[199]
	if !slices.Equal(far.GetShared(), []string{"alum " + s.alum, "blanks " + s.tunics}) || !slices.Contains(far.GetApart(), "run R1/R2") || !slices.Contains(far.GetApart(), "pot pot-30/basin") {
		t.Errorf("far cousin: %v", far)
	}
}

// A garment that was never issued has nothing in it, and one of a cancelled run
// never will.
func TestAGarmentThatWasNotIssuedHasNothingInIt(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t)
	run := s.planned("tub-60", false, s.load("pot-40", s.tunics, "104", "105"))
	tag := s.tags[run.GetLots()[0].GetCode()][0]
	r := s.trace(tag)
	if len(r.GetParcels())+len(r.GetRecords())+len(r.GetCousins())+len(r.GetLotCodes()) != 0 || len(r.GetSisters()) != 1 || r.GetGarment().GetPlace() != "planned" {
		t.Errorf("%v", r)
	}
	fine(s.Runs.CancelRun(s.Ctx, &pb.CancelRunRequest{RequestId: s.ID(), RunCode: run.GetCode(), Reason: "no order"}))(s.House)
	if got := s.list(&pb.ListGarmentsRequest{}); len(got) != 0 {
		t.Errorf("listed: %v", got)
	}
	if n := len(s.traceParcel(s.tunics).GetGarments()); n != 0 {
		t.Errorf("%d garments", n)
	}
}
