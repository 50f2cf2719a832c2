package api_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// inDays is a day of the studio, which is in UTC.
func inDays(n int) string { return time.Now().UTC().AddDate(0, 0, n).Format(time.DateOnly) }

// seasonHouse is an invented studio with a colourway on wool, two pots, 500 g of
// alum, and copperas of which a liquor of 200 g/L was made.
func seasonHouse(t *testing.T) *apitest.House {
	t.Helper()
	h := apitest.New(t)
	for _, v := range []*pb.Vessel{{Code: "pot-40", Volume: h.Amount("40L"), Uses: []string{"dye"}}, {Code: "tub-60", Volume: h.Amount("60L"), Uses: []string{"mordant"}}} {
		fine(h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: v}))(h)
	}
	wool := []*pb.FibrePart{{Fibre: "wool", Percent: "100"}}
	h.Item(&pb.Item{Code: "tunic", Kind: "blank", PieceMass: h.Amount("108g"), Fibres: wool})
	h.Item(&pb.Item{Code: "shirt", Kind: "blank", PieceMass: h.Amount("240g"), Fibres: []*pb.FibrePart{{Fibre: "cotton", Percent: "100"}}})
	h.Item(&pb.Item{Code: "wool-swatch", Kind: "witness-cloth", Fibres: wool})
	h.Item(&pb.Item{Code: "alum", Kind: "mordant", Substance: "potassium alum"})
	h.Item(&pb.Item{Code: "weld", Kind: "dyestuff", Plant: "weld"})
	h.Item(&pb.Item{Code: "copperas", Kind: "mordant", Substance: "copperas"})
	h.Item(&pb.Item{Code: "iron-liquor", Kind: "solution", Substance: "copperas"})
	fine(h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: olive()}))(h)
	fine(write(h, &pb.Recipe{Code: "gold", Fibre: "wool", LiquorRatio: "30", Stages: []*pb.RecipeStage{
		{Kind: "mordant", Shared: true, Minutes: 60, Doses: []*pb.Dose{{ItemCode: "alum", Basis: "percent_wof", Value: "12"}}},
		{Kind: "dye", Minutes: 60, Doses: []*pb.Dose{{ItemCode: "weld", Basis: "percent_wof", Value: "60"}}},
		{Kind: "after-dip", Minutes: 15, Doses: []*pb.Dose{{ItemCode: "iron-liquor", Basis: "percent_wof", Value: "1"}}},
		{Kind: "dry"},
	}}))(h)
	fine(h.Recipes.CreateColourway(h.Ctx, &pb.CreateColourwayRequest{RequestId: h.ID(), Colourway: &pb.Colourway{Code: "harbour-gold", StandardCode: "choir-olive", RecipeCode: "gold"}}))(h)
	h.Receive("alum", "500g")
	iron := h.Receive("copperas", "100g")
	fine(h.Stock.MakeParcel(h.Ctx, &pb.MakeParcelRequest{RequestId: h.ID(), ItemCode: "iron-liquor", Amount: h.Amount("200mL"), From: []*pb.Taken{{ParcelCode: iron, Amount: h.Amount("40g")}}}))(h)
	fine(h.Season.CreateCollection(h.Ctx, &pb.CreateCollectionRequest{RequestId: h.ID(), Collection: &pb.Collection{Code: "spring-27", Name: "Spring"}}))(h)
	return h
}

func setLine(h *apitest.House, item string, pieces int32, due string) (*pb.SetCollectionLineResponse, error) {
	return h.Season.SetCollectionLine(h.Ctx, &pb.SetCollectionLineRequest{RequestId: h.ID(), CollectionCode: "spring-27",
		Line: &pb.CollectionLine{ColourwayCode: "harbour-gold", ItemCode: item, Pieces: pieces, DueOn: due}})
}

func needsOf(h *apitest.House, q *pb.PlanNeedsRequest) (*pb.PlanNeedsResponse, map[string]*pb.ItemNeeds) {
	h.T.Helper()
	resp := fine(h.Season.PlanNeeds(h.Ctx, q))(h)
	by := map[string]*pb.ItemNeeds{}
	for _, i := range resp.GetItems() {
		by[i.GetItemCode()] = i
	}
	return resp, by
}

func told(a *pb.Amount) string { return a.GetValue() + " " + a.GetUnit() }

// By hand: 50 tunics of 108 g in a 40 L pot at 0.8 and 1:30 (1066.6 g, 20 g of it
// witness cloth) are nine a load, six loads, so 5400 + 120 = 5520 g. Alum 12 %
// is 662.4 g, of which 500 are there; weld 60 % 3312 g; copperas 1 % 55.2 g, 276 mL of
// 200 g/L, of which 200 are there: 76 mL are short, 15.2 g of copperas, and 60 g
// of that are there. Back from the due day: dry 1, dye and after-dip 1, mordant 1.
func TestACollectionsNeedsByHand(t *testing.T) {
	t.Parallel()
	h := seasonHouse(t)
	fine(setLine(h, "tunic", 50, inDays(60)))(h)
	resp, by := needsOf(h, &pb.PlanNeedsRequest{CollectionCodes: []string{"spring-27"}})
	for item, want := range map[string][4]string{
		"tunic": {"50 pc", "0 pc", "50 pc", inDays(57)}, "wool-swatch": {"120 g", "0 g", "120 g", inDays(57)}, "alum": {"662.4 g", "500 g", "162.4 g", inDays(57)},
		"weld": {"3312 g", "0 g", "3312 g", inDays(58)}, "iron-liquor": {"276 mL", "200 mL", "76 mL", inDays(59)}, "copperas": {"15.2 g", "60 g", "0 g", ""},
	} {
		i := by[item]
		if got := [4]string{told(i.GetNeeded()), told(i.GetFree()), told(i.GetShort()), i.GetShortBy()}; got != want {
			t.Errorf("%s: %v, want %v", item, got, want)
		}
	}
	if resp.GetPieces() != 50 || resp.GetPlanned() != 0 || !strings.Contains(resp.GetSpares(), "no history yet") || len(resp.GetPots()) != 1 || resp.GetPots()[0].GetPotDays() != 6 || len(by) != 6 || len(resp.GetNotes()) != 0 {
		t.Errorf("%v", resp)
	}
	_, why := needsOf(h, &pb.PlanNeedsRequest{ItemCode: "alum"})
	if w := why["alum"].GetWhy(); len(why) != 1 || len(w) != 1 || w[0].GetText() != "harbour-gold: 50 × tunic of 108 g = 5.4 kg, with 120 g of witness cloth 5.52 kg; alum 12 % WOF = 662.4 g" {
		t.Errorf("%v", why)
	}
	if b := why["alum"].GetBeyond(); b.GetMethod() != "none" || b.GetLow() != nil || !strings.Contains(b.GetText(), "under 8 nothing") {
		t.Errorf("%v", b)
	}
	if _, by := needsOf(h, &pb.PlanNeedsRequest{WitnessEach: h.Amount("5g")}); told(by["wool-swatch"].GetNeeded()) != "30 g" {
		t.Errorf("%v", by["wool-swatch"])
	}
	if _, by := needsOf(h, &pb.PlanNeedsRequest{ToWeek: inDays(20)}); len(by) != 0 {
		t.Errorf("after the last week: %v", by)
	}
	list := fine(h.Stock.GetReorderList(h.Ctx, &pb.GetReorderListRequest{}))(h)
	found := map[string]string{}
	for _, l := range list.GetLines() {
		found[l.GetItemCode()] = told(l.GetOrder()) + " by " + l.GetOrderBy()
	}
	if found["alum"] != "162.4 g by "+inDays(57) || found["tunic"] != "50 pc by "+inDays(57) || found["iron-liquor"] != "" || found["copperas"] != "" || !strings.Contains(list.GetLines()[0].GetWhy(), "plans lack") {
		t.Errorf("%v", list)
	}
}

// What is planned for a collection counts against it: ten of fifty are in R1,
// forty are left; a scrapped garment counts no more, nor does a cancelled run.
func TestARunCountsAgainstItsCollection(t *testing.T) {
	t.Parallel()
	h := seasonHouse(t)
	fine(setLine(h, "tunic", 8, inDays(50)))(h)
	fine(setLine(h, "tunic", 42, inDays(60)))(h)
	blanks := h.Receive("tunic", "30pc")
	plan := func(q *pb.PlanRunRequest) (*pb.PlanRunResponse, error) {
		q.RequestId, q.ColourwayCode, q.PotCodes = h.ID(), "harbour-gold", []string{"pot-40"}
		q.Blanks = []*pb.Blanks{{ParcelCode: blanks, Count: 9}}
		return h.Runs.PlanRun(h.Ctx, q)
	}
	_, err := plan(&pb.PlanRunRequest{CollectionCode: "winter"})
	saysNo(t, err, codes.NotFound, "collection_code", "no collection")
	run := fine(plan(&pb.PlanRunRequest{CollectionCode: "spring-27"}))(h).GetRun()
	if run.GetCollectionCode() != "spring-27" {
		t.Errorf("%v", run)
	}
	c := fine(h.Season.GetCollection(h.Ctx, &pb.GetCollectionRequest{Code: "spring-27"}))(h).GetCollection()
	if c.GetPieces() != 50 || c.GetPlanned() != 9 || len(c.GetLines()) != 2 || c.GetLines()[0].GetPlanned() != 8 || c.GetLines()[1].GetPlanned() != 1 || fmt.Sprint(c.GetRunCodes()) != "["+run.GetCode()+"]" {
		t.Errorf("%v", c)
	}
	// 41 to plan; the run keeps its nine of thirty, so 21 are free. Its weld is not
	// picked, so 9 × 108 g at 60 % is needed too.
	resp, by := needsOf(h, &pb.PlanNeedsRequest{})
	if tunics := by["tunic"]; told(tunics.GetNeeded()) != "41 pc" || told(tunics.GetFree()) != "21 pc" || resp.GetPlanned() != 9 {
		t.Errorf("%v", tunics)
	}
	_, why := needsOf(h, &pb.PlanNeedsRequest{ItemCode: "weld"})
	if w := why["weld"].GetWhy(); len(w) != 2 || w[0].GetFor() != run.GetCode() || told(w[0].GetAmount()) != "583 g" {
		t.Errorf("%v", w)
	}
	fine(h.Runs.CancelRun(h.Ctx, &pb.CancelRunRequest{RequestId: h.ID(), RunCode: run.GetCode(), Reason: "another green"}))(h)
	c = fine(h.Season.GetCollection(h.Ctx, &pb.GetCollectionRequest{Code: "spring-27"}))(h).GetCollection()
	if c.GetPlanned() != 0 || len(c.GetRunCodes()) != 0 {
		t.Errorf("%v", c)
	}
}

// A line is set, set again and taken out; its earlier words stay.
func TestALineIsSetAndTakenOut(t *testing.T) {
	t.Parallel()
	h := seasonHouse(t)
	due := inDays(60)
	if r := fine(setLine(h, "tunic", 24, due))(h); r.GetPiecesBefore() != 0 || r.GetCollection().GetPieces() != 24 {
		t.Errorf("%v", r)
	}
	if r := fine(setLine(h, "tunic", 30, due))(h); r.GetPiecesBefore() != 24 || r.GetCollection().GetPieces() != 30 || r.GetLine().GetPieces() != 30 {
		t.Errorf("%v", r)
	}
	if r := fine(setLine(h, "TUNIC", 0, due))(h); r.GetPiecesBefore() != 30 || r.GetCollection().GetPieces() != 0 {
		t.Errorf("%v", r)
	}
	_, err := setLine(h, "tunic", 0, due)
	saysNo(t, err, codes.InvalidArgument, "line.pieces", "has none")
	if _, by := needsOf(h, &pb.PlanNeedsRequest{}); len(by) != 0 {
		t.Errorf("%v", by)
	}
	fine(h.Season.CreateCollection(h.Ctx, &pb.CreateCollectionRequest{RequestId: h.ID(), Collection: &pb.Collection{Code: "autumn-27"}}))(h)
	first := fine(h.Season.ListCollections(h.Ctx, &pb.ListCollectionsRequest{PageSize: 1}))(h)
	rest := fine(h.Season.ListCollections(h.Ctx, &pb.ListCollectionsRequest{PageToken: first.GetNextPageToken()}))(h)
	if len(first.GetCollections()) != 1 || first.GetCollections()[0].GetCode() != "autumn-27" || len(rest.GetCollections()) != 1 || rest.GetCollections()[0].GetName() != "Spring" {
		t.Errorf("%v %v", first, rest)
	}
}

func TestNonsenseOfASeasonIsRefused(t *testing.T) {
	t.Parallel()
	h := seasonHouse(t)
	for _, c := range []struct {
		line        *pb.CollectionLine
		code        codes.Code
		field, says string
	}{
		{&pb.CollectionLine{ColourwayCode: "harbour-gold", ItemCode: "tunic", Pieces: -1, DueOn: inDays(9)}, codes.InvalidArgument, "line.pieces", "-1"},
		{&pb.CollectionLine{ColourwayCode: "harbour-gold", ItemCode: "tunic", Pieces: 200_000, DueOn: inDays(9)}, codes.InvalidArgument, "line.pieces", "believed"},
		{&pb.CollectionLine{ColourwayCode: "harbour-gold", ItemCode: "tunic", Pieces: 3, DueOn: inDays(-1)}, codes.InvalidArgument, "line.due_on", "is past"},
		{&pb.CollectionLine{ColourwayCode: "harbour-gold", ItemCode: "tunic", Pieces: 3, DueOn: "soon"}, codes.InvalidArgument, "line.due_on", "not a day"},
		{&pb.CollectionLine{ColourwayCode: "harbour-gold", ItemCode: "tunic", Pieces: 3}, codes.InvalidArgument, "line.due_on", "needed"},
		{&pb.CollectionLine{ColourwayCode: "harbour-gold", ItemCode: "kilt", Pieces: 3, DueOn: inDays(9)}, codes.NotFound, "line.item_code", "no item"},
		{&pb.CollectionLine{ColourwayCode: "harbour-gold", ItemCode: "alum", Pieces: 3, DueOn: inDays(9)}, codes.InvalidArgument, "line.item_code", "of blanks"},
		{&pb.CollectionLine{ColourwayCode: "harbour-gold", ItemCode: "shirt", Pieces: 3, DueOn: inDays(9)}, codes.InvalidArgument, "line.colourway_code", "for wool, and shirt is of cotton"},
		{&pb.CollectionLine{ColourwayCode: "pink", ItemCode: "tunic", Pieces: 3, DueOn: inDays(9)}, codes.NotFound, "line.colourway_code", "no colourway"},
	} {
		_, err := h.Season.SetCollectionLine(h.Ctx, &pb.SetCollectionLineRequest{RequestId: h.ID(), CollectionCode: "spring-27", Line: c.line})
		saysNo(t, err, c.code, c.field, c.says)
	}
	_, err := h.Season.SetCollectionLine(h.Ctx, &pb.SetCollectionLineRequest{RequestId: h.ID(), CollectionCode: "winter"})
	saysNo(t, err, codes.NotFound, "collection_code", "no collection")
	for code, want := range map[string]codes.Code{"Spring 27": codes.InvalidArgument, "spring-27": codes.AlreadyExists} {
		_, err := h.Season.CreateCollection(h.Ctx, &pb.CreateCollectionRequest{RequestId: h.ID(), Collection: &pb.Collection{Code: code}})
		saysNo(t, err, want, "collection.code", "")
	}
	for _, c := range []struct {
		q     *pb.PlanNeedsRequest
		code  codes.Code
		field string
	}{
		{&pb.PlanNeedsRequest{CollectionCodes: []string{"winter"}}, codes.NotFound, "collection_codes"},
		{&pb.PlanNeedsRequest{FromWeek: "2027-W54"}, codes.InvalidArgument, "from_week"},
		{&pb.PlanNeedsRequest{ToWeek: "summer"}, codes.InvalidArgument, "to_week"},
		{&pb.PlanNeedsRequest{FromWeek: "2027-W20", ToWeek: "2027-W19"}, codes.InvalidArgument, "from_week"},
		{&pb.PlanNeedsRequest{ItemCode: "kilt"}, codes.NotFound, "item_code"},
		{&pb.PlanNeedsRequest{KeptPercent: map[string]string{"alum": "-1"}}, codes.InvalidArgument, "kept_percent[alum]"},
		{&pb.PlanNeedsRequest{KeptPercent: map[string]string{"alum": "100"}}, codes.InvalidArgument, "kept_percent[alum]"},
		{&pb.PlanNeedsRequest{KeptPercent: map[string]string{"kilt": "10"}}, codes.NotFound, "kept_percent[kilt]"},
		{&pb.PlanNeedsRequest{WitnessEach: h.Amount("-5g")}, codes.InvalidArgument, "witness_each"},
	} {
		_, err := h.Season.PlanNeeds(h.Ctx, c.q)
		saysNo(t, err, c.code, c.field, "")
	}
	fine(setLine(h, "tunic", 1, inDays(30)))(h)
	// A solution made of a solution that is made of the first needs itself.
	h.Item(&pb.Item{Code: "strong-liquor", Kind: "solution", Substance: "copperas"})
	var made string
	for _, m := range [][2]string{{"strong-liquor", "P3"}, {"iron-liquor", ""}} {
		from := m[1]
		if from == "" {
			from = made
		}
		made = fine(h.Stock.MakeParcel(h.Ctx, &pb.MakeParcelRequest{RequestId: h.ID(), ItemCode: m[0], Amount: h.Amount("100mL"), From: []*pb.Taken{{ParcelCode: from, Amount: h.Amount("50mL")}}}))(h).GetParcel().GetCode()
	}
	_, err = h.Season.PlanNeeds(h.Ctx, &pb.PlanNeedsRequest{})
	saysNo(t, err, codes.InvalidArgument, "makings[iron-liquor]", "needs itself")
	if list := fine(h.Stock.GetReorderList(h.Ctx, &pb.GetReorderListRequest{}))(h); len(list.GetLines()) == 0 {
		t.Error("the reorder list stops at a circle of solutions")
	}
	// A recipe that has moved on to another fibre leaves its lines out, and says so.
	fine(write(h, &pb.Recipe{Code: "gold", Fibre: "cotton", LiquorRatio: "30", Stages: []*pb.RecipeStage{{Kind: "dye", Doses: []*pb.Dose{{ItemCode: "weld", Basis: "percent_wof", Value: "60"}}}}}))(h)
	if resp, by := needsOf(h, &pb.PlanNeedsRequest{}); len(by) != 0 || len(resp.GetNotes()) != 1 || !strings.Contains(resp.GetNotes()[0], "tunic of harbour-gold due "+inDays(30)+" is not counted") {
		t.Errorf("%v", resp)
	}
}

// However many lines there are, the statements stay as few.
func TestNeedsAreLoadedInFewStatements(t *testing.T) {
	t.Parallel()
	h := seasonHouse(t)
	fine(setLine(h, "tunic", 5, inDays(30)))(h)
	needsOf(h, &pb.PlanNeedsRequest{})
	count := func() int64 {
		before := h.Store.Statements()
		needsOf(h, &pb.PlanNeedsRequest{})
		return h.Store.Statements() - before
	}
	few := count()
	for i := range 20 {
		fine(setLine(h, "tunic", 5, inDays(31+i)))(h)
	}
	if many := count(); many != few || many > 40 {
		t.Errorf("%d statements for one line, %d for 21", few, many)
	}
}
