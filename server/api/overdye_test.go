package api_test

import (
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

// again plans garments that were in a lot before into pot-30, with blanks beside
// them where some are given.
func (c *choir) again(way string, blanks []*pb.Blanks, tags ...string) (*pb.Run, error) {
	q := &pb.PlanRunRequest{RequestId: c.ID(), ColourwayCode: way, Loads: []*pb.Load{{VesselCode: "pot-30", Blanks: blanks, Tags: tags}}}
	if way == "olive-silk" {
		q.SharedVessels = map[int32]string{1: "tub-60", 2: "tub-60"}
	}
	resp, err := c.Runs.PlanRun(c.Ctx, q)
	return resp.GetRun(), err
}

func (c *choir) issued(lot string) *pb.IssueLotResponse {
	c.t.Helper()
	return fine(c.Runs.IssueLot(c.Ctx, &pb.IssueLotRequest{RequestId: c.ID(), LotCode: lot}))(c.House)
}

func (c *choir) looked(lot string) *pb.Lot {
	c.t.Helper()
	return fine(c.Runs.GetLot(c.Ctx, &pb.GetLotRequest{Code: lot}))(c.House).GetLot()
}

func (c *choir) tracedTo(tag string) *pb.TraceGarmentResponse {
	c.t.Helper()
	return fine(c.Garment.TraceGarment(c.Ctx, &pb.TraceGarmentRequest{Tag: tag}))(c.House)
}

func tagsIn(gs []*pb.Garment) []string {
	var tags []string
	for _, g := range gs {
		tags = append(tags, g.GetTag())
	}
	return tags
}

func tagsOfKin(rs []*pb.Relative) []string {
	var tags []string
	for _, r := range rs {
		tags = append(tags, r.GetGarment().GetTag())
	}
	return tags
}

// Two of lot A are imperfect and go, with a fresh blank, into a lot of their own:
// they stay where they are until it is issued, keep their history, and are traced
// through both lots, up and down (law 4). That both lots weigh what their garments
// weigh, the check of the books after each test says.
func TestImperfectGarmentsGoIntoANewLot(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().good()
	tags := c.tags[c.a]
	fine(c.verdict(c.a, "imperfect", "a walnut spot at the hem", tags[0], tags[1]))(c.House)
	fine(c.verdict(c.a, "passed", ""))(c.House)
	fresh := c.Receive("tunic", "3pc")
	run := fine(c.again("olive-silk", []*pb.Blanks{{ParcelCode: fresh, Count: 1}}, tags[1], tags[0]))(c.House)
	next := run.GetLots()[0]
	if next.GetGarmentMass().GetValue() != "313" || len(next.GetGarments()) != 3 || len(next.GetEarlier()) != 4 { // 104 + 105 + 104; mordant, brew, dye, dry
		t.Errorf("%v", next)
	}
	if p := fine(c.Stock.GetParcel(c.Ctx, &pb.GetParcelRequest{Code: fresh}))(c.House).GetParcel(); p.GetPromised().GetValue() != "1" {
		t.Errorf("only the fresh one is promised: %v", p)
	}
	if got := c.places(c.a); got["shelf"] != 5 { // nothing has moved yet
		t.Errorf("%v", got)
	}
	_, err := c.Garment.DispatchGarments(c.Ctx, &pb.DispatchGarmentsRequest{RequestId: c.ID(), Tags: tags[:1], OrderRef: "o-1"})
	saysNo(t, err, codes.FailedPrecondition, "", "planned into lot "+next.GetCode())

	m := c.issued(next.GetCode()).GetMovement()
	if len(m.GetLegs()) != 1 || m.GetLegs()[0].GetAmount().GetValue() != "1" {
		t.Errorf("the worn ones left the shelf with their first lot: %v", m)
	}
	for _, position := range []int32{1, 2, 3, 4} {
		c.stage(position, next.GetCode())
	}
	first := c.looked(c.a)
	if diff := cmp.Diff(tags[2:], tagsIn(first.GetGarments())); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(tags[:2], tagsIn(first.GetMovedOn())); diff != "" {
		t.Error(diff)
	}

	tr := c.tracedTo(tags[0])
	if diff := cmp.Diff([]string{c.a, next.GetCode()}, tr.GetLotCodes()); diff != "" || len(tr.GetRecords()) != 8 || tr.GetLot().GetCode() != next.GetCode() {
		t.Errorf("%s %d records", diff, len(tr.GetRecords()))
	}
	if sisters := tagsOfKin(tr.GetSisters()); len(sisters) != 2 || !slices.Contains(sisters, tags[1]) {
		t.Errorf("its sisters are those of its present lot: %v", sisters)
	}
	if f := tr.GetFormerLots(); len(f) != 1 || f[0].GetLot().GetCode() != c.a || len(f[0].GetSisters()) != 4 || f[0].GetJudgement().GetLotCode() != c.a {
		t.Errorf("%v", f)
	}
	var told []string
	for _, e := range tr.GetEvents() {
		told = append(told, e.GetKind()+" "+e.GetLotCode())
	}
	want := "planned L1, issued L1, imperfect L1, planned L3, over-dyed L1, issued L3"
	if got := strings.Join(told, ", "); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	// Down from every parcel that is above it: it is there.
	for _, p := range tr.GetParcels() {
		down := fine(c.Garment.TraceParcel(c.Ctx, &pb.TraceParcelRequest{ParcelCode: p.GetParcel().GetCode()}))(c.House)
		if !slices.Contains(tagsIn(down.GetGarments()), tags[0]) && !cloth(p.GetParcel()) {
			t.Errorf("%s is above it and it is not below", p.GetParcel().GetCode())
		}
	}
	// A fresh one of the new lot has nothing of the first.
	for _, s := range tr.GetSisters() {
		if tag := s.GetGarment().GetTag(); tag != tags[1] {
			if other := c.tracedTo(tag); len(other.GetRecords()) != 4 || len(other.GetFormerLots()) != 0 {
				t.Errorf("%v", other.GetLotCodes())
			}
		}
	}
}

// cloth is blanks and witness cloth, of which each garment has only its own.
func cloth(p *pb.Parcel) bool {
	return p.GetItemKind() == "blank" || p.GetItemKind() == "witness-cloth"
}

// Of two who plan the same garment at once, one is told no; a run that is given
// up lets it go again.
func TestAGarmentIsPlannedOnce(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().good()
	fine(c.verdict(c.a, "re-dye", "too pale"))(c.House)
	tag := c.tags[c.a][0]
	errs := make([]error, 2)
	runs := make([]*pb.Run, 2)
	var wg sync.WaitGroup
	for i := range errs {
		wg.Go(func() { runs[i], errs[i] = c.again("olive-silk", nil, tag) })
	}
	wg.Wait()
	won := slices.IndexFunc(errs, func(err error) bool { return err == nil })
	if won < 0 {
		t.Fatal(errs)
	}
	saysNo(t, errs[1-won], codes.FailedPrecondition, "", "is planned into lot "+runs[won].GetLots()[0].GetCode())
	fine(c.verdict(c.a, "scrapped", "moth in the rest"))(c.House) // what is promised elsewhere is not thrown away
	if g := c.tracedTo(tag).GetGarment(); g.GetPlace() != "in-work" || g.GetNextLotCode() != runs[won].GetLots()[0].GetCode() {
		t.Errorf("%v", g)
	}
	fine(c.Runs.CancelRun(c.Ctx, &pb.CancelRunRequest{RequestId: c.ID(), RunCode: runs[won].GetCode(), Reason: "another shade"}))(c.House)
	if g := c.tracedTo(tag).GetGarment(); g.GetPlace() != "in-work" || g.GetNextLotCode() != "" || g.GetLotCode() != c.a {
		t.Errorf("%v", g)
	}
	_, err := c.again("olive-silk", nil, tag)
	saysNo(t, err, codes.FailedPrecondition, "", "scrapped: only what came back")
}

func TestPlansOfWornGarmentsAreRefusedByField(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().good()
	fine(c.verdict(c.a, "passed", ""))(c.House)
	tag, pots := c.tags[c.a][0], []string{"pot-30"}
	for _, r := range []struct {
		req         *pb.PlanRunRequest
		code        codes.Code
		field, says string
	}{
		{&pb.PlanRunRequest{Tags: []string{"16JX"}, PotCodes: pots}, codes.InvalidArgument, "tags[0]", ""},
		{&pb.PlanRunRequest{Tags: []string{tag, strings.ToLower(tag)}, PotCodes: pots}, codes.InvalidArgument, "tags[1]", "named twice"},
		{&pb.PlanRunRequest{Tags: []string{"16JD"}, PotCodes: pots}, codes.NotFound, "garment", "16JD"},
		{&pb.PlanRunRequest{Tags: []string{tag}, PotCodes: pots}, codes.FailedPrecondition, "", "is passed: only what came back"},
		{&pb.PlanRunRequest{Tags: []string{tag}}, codes.InvalidArgument, "pot_codes", "is needed"},
		{&pb.PlanRunRequest{LotCodes: []string{"lot 1"}, PotCodes: pots}, codes.InvalidArgument, "lot_codes[0]", ""},
		{&pb.PlanRunRequest{LotCodes: []string{"L99"}, PotCodes: pots}, codes.NotFound, "lot", "L99"},
		{&pb.PlanRunRequest{LotCodes: []string{c.a}, PotCodes: pots}, codes.FailedPrecondition, "", "is passed: only what came back"},
		{&pb.PlanRunRequest{LotCodes: []string{c.a}, PotCodes: pots, Again: []int32{0}}, codes.InvalidArgument, "again[0]", "from 1"},
		{&pb.PlanRunRequest{LotCodes: []string{c.a}, Loads: []*pb.Load{{VesselCode: "pot-30", Tags: []string{tag}}}}, codes.InvalidArgument, "loads", "not both"},
		{&pb.PlanRunRequest{Loads: []*pb.Load{{VesselCode: "pot-30", Tags: []string{tag, tag}}}}, codes.InvalidArgument, "loads[0].tags[1]", "named twice"},
		{&pb.PlanRunRequest{Loads: []*pb.Load{{VesselCode: "pot-30"}}}, codes.InvalidArgument, "loads[0].blanks", "at least one garment"},
		{&pb.PlanRunRequest{}, codes.InvalidArgument, "blanks", "tags or lots"},
	} {
		r.req.RequestId, r.req.ColourwayCode = c.ID(), "olive-silk"
		_, err := c.Runs.PlanRun(c.Ctx, r.req)
		saysNo(t, err, r.code, r.field, r.says)
	}
	fine(c.verdict(c.a, "re-dye", "the owner wants them darker", tag))(c.House)
	_, err := c.Runs.PlanRun(c.Ctx, &pb.PlanRunRequest{RequestId: c.ID(), ColourwayCode: "olive-silk", Tags: []string{tag}, PotCodes: pots, HappenedAt: ago(time.Hour)})
	saysNo(t, err, codes.InvalidArgument, "happened_at", "is before")
	dry := fine(c.Runs.PlanRun(c.Ctx, &pb.PlanRunRequest{RequestId: c.ID(), ColourwayCode: "olive-silk", LotCodes: []string{c.a}, PotCodes: pots, DryRun: true}))(c.House).GetRun()
	if diff := cmp.Diff([]string{tag}, tagsIn(dry.GetLots()[0].GetGarments())); diff != "" {
		t.Errorf("of the lot only what may: %s", diff)
	}
	if c.tracedTo(tag).GetGarment().GetNextLotCode() != "" {
		t.Error("a dry run keeps nothing")
	}
}

// Two tunics had 1.25 % of copperas; over-dyed beside a fresh one, 1.25 % more make
// 2.5 % for them, above silk's 2 % (common practice), and 1.25 % for the fresh one.
func TestIronIsSummedForEachGarment(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t)
	c.Item(&pb.Item{Code: "copperas", Kind: "mordant", Substance: "copperas"})
	fine(write(c.House, &pb.Recipe{Code: "dip", Fibre: "silk", LiquorRatio: "40", Stages: []*pb.RecipeStage{
		{Kind: "dye"}, {Kind: "after-dip", Doses: []*pb.Dose{{ItemCode: "copperas", Basis: "percent_wof", Value: "1.25"}}}}}))(c.House)
	fine(c.Recipes.CreateColourway(c.Ctx, &pb.CreateColourwayRequest{RequestId: c.ID(), Colourway: &pb.Colourway{Code: "dip", StandardCode: "choir-olive", RecipeCode: "dip"}}))(c.House)
	blanks, salt := c.Receive("tunic", "4pc"), c.Receive("copperas", "100g")
	one := func(n int32) []*pb.Blanks { return []*pb.Blanks{{ParcelCode: blanks, Count: n}} }
	dip := func(lot string, grams string, by string) (*pb.RecordStageResponse, error) {
		return c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: []string{lot}, Position: 2, VesselCode: "pot-40", OverrideBy: by, OverrideReason: by,
			Used: []*pb.Taken{{ParcelCode: salt, Amount: c.Amount(grams)}}})
	}
	first := fine(c.again("dip", one(2)))(c.House).GetLots()[0]
	c.issued(first.GetCode())
	c.stage(1, first.GetCode())
	if got := fine(dip(first.GetCode(), "2.6g", ""))(c.House); len(got.GetWarnings()) != 0 { // 1.25 % of 208 g
		t.Errorf("%v", got.GetWarnings())
	}
	fine(c.verdict(first.GetCode(), "imperfect", "pale"))(c.House)
	worn := tagsIn(first.GetGarments())
	run := fine(c.again("dip", one(1), worn...))(c.House)
	lot := run.GetLots()[0]
	says := "copperas offered to " + strings.Join(worn, ", ") + " so far is 2.5 % (0.502 % of iron), above 2 % on silk"
	if !slices.ContainsFunc(run.GetWarnings(), func(w *pb.Warning) bool { return strings.HasPrefix(w.GetText(), says) }) {
		t.Errorf("the plan does not warn: %v", run.GetWarnings())
	}
	card := fine(c.Runs.GetBenchCard(c.Ctx, &pb.GetBenchCardRequest{LotCode: lot.GetCode()}))(c.House)
	if w := card.GetStages()[1].GetWarnings(); len(w) != 1 || !strings.HasPrefix(w[0].GetText(), says) {
		t.Errorf("the card: %v", w)
	}
	if diff := cmp.Diff(worn, card.GetIron()[0].GetTags()); diff != "" || len(card.GetIron()) != 1 || card.GetIron()[0].GetOffered() != "1.25 %" {
		t.Errorf("%v", card.GetIron())
	}
	c.issued(lot.GetCode())
	c.stage(1, lot.GetCode())
	_, err := dip(lot.GetCode(), "3.9g", "") // 1.25 % of 312 g
	if m := saysNo(t, err, codes.FailedPrecondition, "override_by", says); m["so_far"] != "2.5 %" || m["offered"] != "1.25 %" {
		t.Errorf("%v", m)
	}
	record := fine(dip(lot.GetCode(), "3.9g", "owner"))(c.House).GetRecord()
	fresh := ""
	for _, g := range c.looked(lot.GetCode()).GetGarments() {
		if !slices.Contains(worn, g.GetTag()) {
			fresh = g.GetTag()
		}
	}
	offered := func(tag string) string { return c.tracedTo(tag).GetIron().GetOffered() }
	if a, b := offered(worn[0]), offered(fresh); a != "2.5 %" || b != "1.25 %" {
		t.Errorf("%s and %s", a, b)
	}
	fine(c.Runs.UndoStage(c.Ctx, &pb.UndoStageRequest{RequestId: c.ID(), RecordCode: record.GetCode(), Reason: "the wrong pot"}))(c.House)
	if a, b := offered(worn[0]), offered(fresh); a != "1.25 %" || b != "" {
		t.Errorf("undone: %s and %s", a, b)
	}
}

func TestMending(t *testing.T) {
	t.Parallel()
	c := dyedChoir(t).dry().good()
	fine(c.override(c.a, "set", "they stand two rows apart"))(c.House)
	fine(c.verdict(c.a, "passed", ""))(c.House)
	tag := c.tags[c.a][0]
	mend := func(tag, text string) (*pb.MendGarmentResponse, error) {
		return c.Garment.MendGarment(c.Ctx, &pb.MendGarmentRequest{RequestId: c.ID(), Tag: tag, Text: text, By: "bench-1"})
	}
	fine(c.Garment.DispatchGarments(c.Ctx, &pb.DispatchGarmentsRequest{RequestId: c.ID(), Tags: []string{tag}, OrderRef: "o-1"}))(c.House)
	_, err := mend(tag, "darned")
	saysNo(t, err, codes.FailedPrecondition, "", "is sold: what is mended has to be in the house")
	fine(c.Garment.TakeBackGarment(c.Ctx, &pb.TakeBackGarmentRequest{RequestId: c.ID(), Tag: tag, Complaint: "moth"}))(c.House)
	_, err = mend(tag, " ")
	saysNo(t, err, codes.InvalidArgument, "text", "is needed")
	_, err = mend("16JX", "darned")
	saysNo(t, err, codes.InvalidArgument, "tag", "")
	_, err = c.Garment.MendGarment(c.Ctx, &pb.MendGarmentRequest{RequestId: c.ID(), Tag: tag, Text: "darned", HappenedAt: ago(time.Hour)})
	saysNo(t, err, codes.InvalidArgument, "happened_at", "is before")
	if g := fine(mend(tag, "darned"))(c.House).GetGarment(); g.GetPlace() != "returned" {
		t.Errorf("%v", g)
	}
	events := c.tracedTo(tag).GetEvents()
	if e := events[len(events)-1]; e.GetKind() != "mended" || e.GetText() != "darned" || e.GetBy() != "bench-1" {
		t.Errorf("%v", e)
	}
	fine(c.verdict(c.a, "passed", "as good as before", tag))(c.House)
	fine(c.Garment.DispatchGarments(c.Ctx, &pb.DispatchGarmentsRequest{RequestId: c.ID(), Tags: []string{tag}, OrderRef: "o-2"}))(c.House)
}
