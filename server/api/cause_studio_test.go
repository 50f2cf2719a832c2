package api_test

import (
	"fmt"
	"slices"
	"testing"

	"dyelot/inventory/fastness"
	pb "dyelot/proto/dyelot/v1"
)

// sickBag is a studio with four bags of alum, one of them bad: eight lots of six
// tunics, two lots a bag, and one dye bath used three times. Two tunics of the
// first lot are dyed over in the sixth, with the bad bag.
type sickBag struct {
	*choir
	bags   []string // of alum; the third is bad
	tunics string
	strip  string
	lots   []string
	runs   []string
}

const badBag = 2

func sickBagStudio(t *testing.T) *sickBag {
	t.Helper()
	h := oliveShelf(t)
	if err := h.Store.SeedHouse(t.Context(), fastness.Seed()); err != nil {
		t.Fatal(err)
	}
	h.Item(&pb.Item{Code: "silk-strip", Kind: "witness-cloth", Fibres: []*pb.FibrePart{{Fibre: "silk", Percent: "100"}}})
	for _, v := range []*pb.Vessel{{Code: "pot-40", Volume: h.Amount("40L"), Uses: []string{"dye"}}, {Code: "tub-60", Volume: h.Amount("60L"), Uses: []string{"mordant"}}} {
		fine(h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: v}))(h)
	}
	fine(h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: olive()}))(h)
	fine(write(h, &pb.Recipe{Code: "weld-olive", Fibre: "silk", LiquorRatio: "30", Stages: []*pb.RecipeStage{
		{Position: 1, Kind: "mordant", Shared: true, Doses: []*pb.Dose{{ItemCode: "alum", Basis: "percent_wof", Value: "15"}}},
		{Position: 2, Kind: "dye", Doses: []*pb.Dose{{ItemCode: "weld-dry", Basis: "percent_wof", Value: "60"}}},
		{Position: 3, Kind: "dry"},
	}}))(h)
	fine(h.Recipes.CreateColourway(h.Ctx, &pb.CreateColourwayRequest{RequestId: h.ID(), Colourway: &pb.Colourway{Code: "olive-silk", Name: "harbour olive", StandardCode: "choir-olive", RecipeCode: "weld-olive"}}))(h)
	s := &sickBag{choir: &choir{House: h, t: t, tags: map[string][]string{}}}
	for i, lot := range []string{"NS-118", "NS-131", "NS-140", "NS-118"} {
		resp := fine(h.Stock.ReceiveDelivery(h.Ctx, &pb.ReceiveDeliveryRequest{RequestId: h.ID(), ItemCode: "alum", Amount: h.Amount(fmt.Sprintf("%dg", 1000+i)), Supplier: "Northern Salts", SupplierLot: lot}))(h)
		s.bags = append(s.bags, resp.GetParcel().GetCode())
	}
	s.weld, s.tunics, s.strip = h.Receive("weld-dry", "20kg"), h.Receive("tunic", "100pc"), h.Receive("silk-strip", "500g")
	s.onlyLight()
	fine(h.Judge.SetHouseRow(h.Ctx, &pb.SetHouseRowRequest{RequestId: h.ID(), Key: "own-light"}))(h)
	return s
}

// plan plans lots of so many tunics, with those that are dyed over, from one bag.
func (s *sickBag) plan(bag int, over []string, sizes ...int32) *pb.Run {
	s.t.Helper()
	q := &pb.PlanRunRequest{RequestId: s.ID(), ColourwayCode: "olive-silk", WitnessParcelCode: s.strip, WitnessEach: s.Amount("18g"), SharedVessels: map[int32]string{1: "tub-60"}, Parcels: map[string]string{"alum": s.bags[bag]}}
	for _, n := range sizes {
		q.Loads = append(q.Loads, &pb.Load{VesselCode: "pot-40", Blanks: []*pb.Blanks{{ParcelCode: s.tunics, Count: n}}, Tags: over})
	}
	run := fine(s.Runs.PlanRun(s.Ctx, q))(s.House).GetRun()
	s.runs = append(s.runs, run.GetCode())
	for _, l := range run.GetLots() {
		s.lots = append(s.lots, l.GetCode())
		for _, g := range l.GetGarments() {
			s.tags[l.GetCode()] = append(s.tags[l.GetCode()], g.GetTag())
		}
		s.issued(l.GetCode())
	}
	return run
}

// dye takes lots through mordant, dye and dry; the dye bath is fresh, or one that
// was kept.
func (s *sickBag) dye(bath string, lots ...string) (used string) {
	s.t.Helper()
	s.stage(1, lots...)
	for _, l := range lots {
		q := &pb.RecordStageRequest{RequestId: s.ID(), LotCodes: []string{l}, Position: 2, AsPlanned: bath == "", BathCode: bath}
		if bath != "" {
			q.Reason = "the exhaust of it"
		}
		used = fine(s.Runs.RecordStage(s.Ctx, q))(s.House).GetRecord().GetBathCode()
		s.stage(3, l)
		s.read(l, 62, -2, 38)
	}
	return used
}

func (s *sickBag) keep(bath string) {
	s.t.Helper()
	fine(s.Pot.LogBath(s.Ctx, &pb.LogBathRequest{RequestId: s.ID(), BathCode: bath, Kind: "kept", Litres: s.Amount("18L")}))(s.House)
}

// seasonOfBags dyes, passes and sells it all, and takes nine back: seven of the
// bad bag, of which the two that were dyed over, and two others.
func seasonOfBags(t *testing.T) *sickBag {
	t.Helper()
	s := sickBagStudio(t)
	s.plan(0, nil, 6)
	bath := s.dye("", s.lots[0])
	s.keep(bath)
	over := s.tags[s.lots[0]][:2]
	fine(s.verdict(s.lots[0], "imperfect", "uneven", over...))(s.House)
	fine(s.verdict(s.lots[0], "passed", "as the standard"))(s.House)
	s.plan(0, nil, 6)
	s.dye("", s.lots[1])
	s.plan(1, nil, 6)
	s.dye(bath, s.lots[2])
	s.keep(bath)
	s.plan(1, nil, 6)
	s.dye("", s.lots[3])
	s.plan(badBag, nil, 6)
	s.dye(bath, s.lots[4])
	s.plan(badBag, over, 6)
	s.dye("", s.lots[5])
	s.plan(3, nil, 6)
	s.dye("", s.lots[6])
	s.plan(3, nil, 6)
	s.dye("", s.lots[7])
	s.sellAll()
	back := append(slices.Clone(over), s.tags[s.lots[4]][:2]...)
	back = append(back, s.own(5, over)[:3]...)
	back = append(back, s.tags[s.lots[1]][0], s.tags[s.lots[6]][0])
	for i, tag := range back {
		complaint := "spots at the hem"
		if i == 8 {
			complaint = "the seam came open"
		}
		fine(s.Garment.TakeBackGarment(s.Ctx, &pb.TakeBackGarmentRequest{RequestId: s.ID(), Tag: tag, Complaint: complaint}))(s.House)
	}
	return s
}

// own are the tunics of a lot that were not dyed over.
func (s *sickBag) own(lot int, over []string) []string {
	return slices.DeleteFunc(slices.Clone(s.tags[s.lots[lot]]), func(tag string) bool { return slices.Contains(over, tag) })
}

func (s *sickBag) sellAll() {
	s.t.Helper()
	for _, l := range s.lots {
		if s.looked(l).GetState() != "passed" {
			fine(s.verdict(l, "passed", "as the standard"))(s.House)
		}
		var tags []string
		for _, g := range s.looked(l).GetGarments() {
			tags = append(tags, g.GetTag())
		}
		fine(s.Garment.DispatchGarments(s.Ctx, &pb.DispatchGarmentsRequest{RequestId: s.ID(), Tags: tags, OrderRef: "market-" + l}))(s.House)
	}
}
