package api_test

import (
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	"dyelot/inventory/fastness"
	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// choir is the worked story's matched set, dyed: ten silk tunics, five a lot,
// in two pots.
type choir struct {
	*apitest.House
	t    testing.TB
	run  string
	a, b string
	weld string // the parcel
	tags map[string][]string
}

// dyedChoir plans the run, issues both lots and records every stage but the
// last of them, which is drying.
func dyedChoir(t *testing.T) *choir {
	t.Helper()
	h := oliveShelf(t)
	if err := h.Store.SeedHouse(t.Context(), fastness.Seed()); err != nil {
		t.Fatal(err)
	}
	h.Item(&pb.Item{Code: "silk-strip", Kind: "witness-cloth", Fibres: []*pb.FibrePart{{Fibre: "silk", Percent: "100"}}})
	for _, v := range []*pb.Vessel{
		{Code: "pot-40", Volume: h.Amount("40L"), Uses: []string{"dye"}}, {Code: "pot-30", Volume: h.Amount("30L"), Uses: []string{"dye"}},
		{Code: "tub-60", Volume: h.Amount("60L"), Uses: []string{"mordant", "brew"}},
	} {
		fine(h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: v}))(h)
	}
	fine(h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: olive()}))(h)
	r := weldOlive()
	r.Stages = append(r.Stages[:3], &pb.RecipeStage{Kind: "dry"})
	for _, s := range r.Stages {
		s.Position = 0
	}
	fine(write(h, r))(h)
	fine(h.Recipes.CreateColourway(h.Ctx, &pb.CreateColourwayRequest{RequestId: h.ID(), Colourway: &pb.Colourway{Code: "olive-silk", StandardCode: "choir-olive", RecipeCode: "weld-olive"}}))(h)
	h.Receive("alum", "500g")
	c := &choir{House: h, t: t, weld: h.Receive("weld-dry", "2000g"), tags: map[string][]string{}}
	c.run, c.a, c.b = c.plan(true)
	return c
}

// plan plans and dyes one more run of the choir's tunics.
func (c *choir) plan(matched bool) (run, a, b string) {
	c.t.Helper()
	blanks, strip := c.Receive("tunic", "10pc"), c.Receive("silk-strip", "36g")
	load := func(pot string, grams ...string) *pb.Load {
		masses := make([]*pb.Amount, len(grams))
		for i, g := range grams {
			masses[i] = c.Amount(g)
		}
		return &pb.Load{VesselCode: pot, Blanks: []*pb.Blanks{{ParcelCode: blanks, Masses: masses}}}
	}
	planned := fine(c.Runs.PlanRun(c.Ctx, &pb.PlanRunRequest{
		RequestId: c.ID(), ColourwayCode: "olive-silk", MatchedSet: matched, WitnessParcelCode: strip, WitnessEach: c.Amount("18g"),
		Loads:         []*pb.Load{load("pot-40", "105g", "104g", "106g", "103g", "105g"), load("pot-30", "104g", "105g", "103g", "106g", "103g")},
		SharedVessels: map[int32]string{1: "tub-60", 2: "tub-60"},
	}))(c.House).GetRun()
	for _, l := range planned.GetLots() {
		fine(c.Runs.IssueLot(c.Ctx, &pb.IssueLotRequest{RequestId: c.ID(), LotCode: l.GetCode()}))(c.House)
		for _, g := range l.GetGarments() {
			c.tags[l.GetCode()] = append(c.tags[l.GetCode()], g.GetTag())
		}
	}
	a, b = planned.GetLots()[0].GetCode(), planned.GetLots()[1].GetCode()
	c.stage(1, a, b)
	c.stage(2, a, b)
	c.stage(3, a)
	c.stage(3, b)
	return planned.GetCode(), a, b
}

func (c *choir) stage(position int32, lots ...string) *pb.StageRecord {
	c.t.Helper()
	return fine(c.Runs.RecordStage(c.Ctx, &pb.RecordStageRequest{RequestId: c.ID(), LotCodes: lots, Position: position, AsPlanned: true}))(c.House).GetRecord()
}

// dry ends the work on both lots.
func (c *choir) dry() *choir {
	c.t.Helper()
	c.stage(4, c.a)
	c.stage(4, c.b)
	return c
}

// read records a dry, rested reading of a lot's witness cloth.
func (c *choir) read(lot string, l, a, b float64) *pb.Reading {
	c.t.Helper()
	return fine(c.reading(&pb.Reading{LotCode: lot, Colour: &pb.Lab{L: l, A: a, B: b}, Condition: "dry", Rested: true, Instrument: "spectro-1"}))(c.House)
}

func (c *choir) reading(r *pb.Reading) (*pb.Reading, error) {
	resp, err := c.Judge.RecordReading(c.Ctx, &pb.RecordReadingRequest{RequestId: c.ID(), Reading: r})
	return resp.GetReading(), err
}

// readAsInTheStory reads both lots as the story has them.
func (c *choir) readAsInTheStory() {
	c.t.Helper()
	c.read(c.a, 62.6, -1.8, 38.9)
	c.read(c.b, 60.8, -1.4, 36.6)
}

// light records a grade of the studio's window test.
func (c *choir) light(lot, grade string) *pb.FastnessTest {
	c.t.Helper()
	return fine(c.test(&pb.FastnessTest{LotCode: lot, Method: "studio-window", Grades: []*pb.ComponentGrade{{Component: "light", Grade: grade}}}))(c.House)
}

func (c *choir) test(f *pb.FastnessTest) (*pb.FastnessTest, error) {
	resp, err := c.Judge.RecordFastnessTest(c.Ctx, &pb.RecordFastnessTestRequest{RequestId: c.ID(), Test: f})
	return resp.GetTest(), err
}

// onlyLight switches every house row off but light.
func (c *choir) onlyLight() *choir {
	c.t.Helper()
	for _, key := range []string{"own-wash-change", "own-wash-staining", "own-rubbing-dry", "own-rubbing-wet"} {
		fine(c.Judge.SetHouseRow(c.Ctx, &pb.SetHouseRowRequest{RequestId: c.ID(), Key: key}))(c.House)
	}
	return c
}

func (c *choir) judged(lot string) *pb.Judgement {
	c.t.Helper()
	return fine(c.Judge.GetJudgement(c.Ctx, &pb.GetJudgementRequest{LotCode: lot}))(c.House).GetJudgement()
}

func (c *choir) row(lot, key string) *pb.JudgedRow {
	c.t.Helper()
	for _, r := range c.judged(lot).GetRows() {
		if r.GetKey() == key {
			return r
		}
	}
	c.t.Fatalf("lot %s has no row %s", lot, key)
	return nil
}

func (c *choir) verdict(lot, outcome, reason string, tags ...string) (*pb.Judgement, error) {
	resp, err := c.Judge.GiveVerdict(c.Ctx, &pb.GiveVerdictRequest{RequestId: c.ID(), LotCode: lot, Outcome: outcome, Reason: reason, Tags: tags})
	return resp.GetJudgement(), err
}

func (c *choir) override(lot, row, reason string) (*pb.Judgement, error) {
	resp, err := c.Judge.OverrideRow(c.Ctx, &pb.OverrideRowRequest{RequestId: c.ID(), LotCode: lot, Row: row, Reason: reason})
	return resp.GetJudgement(), err
}

// places counts a lot's garments by where they are.
func (c *choir) places(lot string) map[string]int {
	c.t.Helper()
	places := map[string]int{}
	for _, g := range fine(c.Runs.GetLot(c.Ctx, &pb.GetLotRequest{Code: lot}))(c.House).GetLot().GetGarments() {
		places[g.GetPlace()]++
	}
	return places
}

func ago(d time.Duration) *timestamppb.Timestamp { return timestamppb.New(time.Now().Add(-d)) }
