package api_test

import (
	"testing"

	"dyelot/inventory/fastness"
	pb "dyelot/proto/dyelot/v1"
)

// saddened is the choir of the worked story, dyed whole: alum and weld for both
// lots together, and each with iron out of one bottle, of which lot B really
// got 30 mL and not 27.
type saddened struct {
	*choir
	alum, copperas, liquor, tunics, strip string // parcels
}

func saddenedChoir(t *testing.T) *saddened {
	t.Helper()
	h := oliveShelf(t)
	if err := h.Store.SeedHouse(t.Context(), fastness.Seed()); err != nil {
		t.Fatal(err)
	}
	h.Item(&pb.Item{Code: "copperas", Kind: "mordant", Substance: "copperas"})
	h.Item(&pb.Item{Code: "silk-strip", Kind: "witness-cloth", Fibres: []*pb.FibrePart{{Fibre: "silk", Percent: "100"}}})
	for _, v := range []*pb.Vessel{
		{Code: "pot-40", Volume: h.Amount("40L"), Uses: []string{"dye"}}, {Code: "pot-30", Volume: h.Amount("30L"), Uses: []string{"dye"}},
		{Code: "tub-60", Volume: h.Amount("60L"), Uses: []string{"mordant", "brew"}}, {Code: "iron-30", Volume: h.Amount("30L"), Uses: []string{"iron"}},
		{Code: "basin", Volume: h.Amount("2500L"), Uses: []string{"mordant", "brew", "dye"}},
	} {
		fine(h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: v}))(h)
	}
	fine(h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: olive()}))(h)
	r := weldOlive()
	r.Stages[3].LiquorRatio = "" // as the story has it: 1 : 40 throughout
	fine(write(h, r))(h)
	fine(h.Recipes.CreateColourway(h.Ctx, &pb.CreateColourwayRequest{RequestId: h.ID(), Colourway: &pb.Colourway{Code: "olive-silk", Name: "harbour olive", StandardCode: "choir-olive", RecipeCode: "weld-olive"}}))(h)
	s := &saddened{choir: &choir{House: h, t: t, tags: map[string][]string{}}, alum: h.Receive("alum", "5000g"), copperas: h.Receive("copperas", "250g")}
	s.weld = h.Receive("weld-dry", "20kg")
	fine(h.Stock.SetStrength(h.Ctx, &pb.SetStrengthRequest{RequestId: h.ID(), ParcelCode: s.weld, StrengthPercent: "90", Basis: "test dips"}))(h)
	s.liquor = fine(h.Stock.MakeParcel(h.Ctx, &pb.MakeParcelRequest{RequestId: h.ID(), ItemCode: "iron-liquor", Amount: h.Amount("500mL"),
		From: []*pb.Taken{{ParcelCode: s.copperas, Amount: h.Amount("100g")}}}))(h).GetParcel().GetCode()
	s.tunics, s.strip = h.Receive("tunic", "300pc"), h.Receive("silk-strip", "200g")
	return s
}

// load is one pot's garments by what each weighs.
func (s *saddened) load(pot, parcel string, grams ...string) *pb.Load {
	masses := make([]*pb.Amount, len(grams))
	for i, g := range grams {
		masses[i] = s.Amount(g + "g")
	}
	return &pb.Load{VesselCode: pot, Blanks: []*pb.Blanks{{ParcelCode: parcel, Masses: masses}}}
}

// planned plans a run of some loads, in a tub that holds all of them.
func (s *saddened) planned(tub string, matched bool, loads ...*pb.Load) *pb.Run {
	s.t.Helper()
	run := fine(s.Runs.PlanRun(s.Ctx, &pb.PlanRunRequest{RequestId: s.ID(), ColourwayCode: "olive-silk", MatchedSet: matched, WitnessParcelCode: s.strip, WitnessEach: s.Amount("18g"),
		Loads: loads, SharedVessels: map[int32]string{1: tub, 2: tub}}))(s.House).GetRun()
	for _, l := range run.GetLots() {
		for _, g := range l.GetGarments() {
			s.tags[l.GetCode()] = append(s.tags[l.GetCode()], g.GetTag())
		}
	}
	return run
}

func (s *saddened) issue(lots ...string) {
	s.t.Helper()
	for _, l := range lots {
		fine(s.Runs.IssueLot(s.Ctx, &pb.IssueLotRequest{RequestId: s.ID(), LotCode: l}))(s.House)
	}
}

// dyed plans and dyes the ten tunics.
func (s *saddened) dyed() *saddened {
	s.t.Helper()
	run := s.planned("tub-60", true, s.load("pot-40", s.tunics, "105", "104", "106", "103", "105"), s.load("pot-30", s.tunics, "104", "105", "103", "106", "103"))
	s.run, s.a, s.b = run.GetCode(), run.GetLots()[0].GetCode(), run.GetLots()[1].GetCode()
	s.issue(s.a, s.b)
	s.stage(1, s.a, s.b)
	s.stage(2, s.a, s.b)
	s.stage(3, s.a)
	s.stage(3, s.b)
	s.sadden(s.a, "27mL")
	s.sadden(s.b, "30mL")
	s.stage(5, s.a)
	s.stage(5, s.b)
	return s
}

func (s *saddened) sadden(lot, amount string) *pb.StageRecord {
	s.t.Helper()
	return fine(s.Runs.RecordStage(s.Ctx, &pb.RecordStageRequest{RequestId: s.ID(), LotCodes: []string{lot}, Position: 4, VesselCode: "iron-30", By: "bench-1",
		Used: []*pb.Taken{{ParcelCode: s.liquor, Amount: s.Amount(amount)}}}))(s.House).GetRecord()
}

// held judges both lots as the story does: A passes, B is held for its light
// until the owner takes that and the set's difference on.
func (s *saddened) held() *saddened {
	s.t.Helper()
	s.onlyLight()
	s.readAsInTheStory()
	s.light(s.a, "3")
	s.light(s.b, "2-3")
	fine(s.verdict(s.a, "passed", ""))(s.House)
	fine(s.verdict(s.b, "held", "light 2-3"))(s.House)
	return s
}

func (s *saddened) passed() *saddened {
	s.t.Helper()
	fine(s.override(s.b, "light", "worn indoors, told to the choir"))(s.House)
	fine(s.override(s.b, "set", "seen together by the choir"))(s.House)
	fine(s.verdict(s.b, "passed", ""))(s.House)
	return s
}

func (s *saddened) send(order string, tags ...string) (*pb.DispatchGarmentsResponse, error) {
	return s.Garment.DispatchGarments(s.Ctx, &pb.DispatchGarmentsRequest{RequestId: s.ID(), Tags: tags, OrderRef: order})
}

func (s *saddened) takeBack(tag, complaint string) (*pb.Garment, error) {
	resp, err := s.Garment.TakeBackGarment(s.Ctx, &pb.TakeBackGarmentRequest{RequestId: s.ID(), Tag: tag, Complaint: complaint})
	return resp.GetGarment(), err
}

func (s *saddened) trace(tag string) *pb.TraceGarmentResponse {
	s.t.Helper()
	return fine(s.Garment.TraceGarment(s.Ctx, &pb.TraceGarmentRequest{Tag: tag}))(s.House)
}

func (s *saddened) traceParcel(code string) *pb.TraceParcelResponse {
	s.t.Helper()
	return fine(s.Garment.TraceParcel(s.Ctx, &pb.TraceParcelRequest{ParcelCode: code}))(s.House)
}

// list gathers the tags of a list, page by page of three.
func (s *saddened) list(q *pb.ListGarmentsRequest) []string {
	s.t.Helper()
	var tags []string
	for q.PageSize = 3; ; {
		resp := fine(s.Garment.ListGarments(s.Ctx, q))(s.House)
		for _, g := range resp.GetGarments() {
			tags = append(tags, g.GetTag())
		}
		if q.PageToken = resp.GetNextPageToken(); q.PageToken == "" {
			return tags
		}
	}
}
