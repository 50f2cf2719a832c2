package api_test

import (
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// tubs is a studio of two lots of silk, 541 g and 539 g as the choir's, and what
// their recipe takes: the mordant and the brew are shared.
type tubs struct {
	*apitest.House
	t                          *testing.T
	alum, weld, copperas, woad string   // parcels
	lots                       []string // of the first run
	tags                       map[string][]string
	clock                      time.Time // of the next act: an hour after the last
}

func openTubs(t *testing.T) *tubs {
	t.Helper()
	h := apitest.New(t)
	c := &tubs{House: h, t: t, tags: map[string][]string{}, clock: time.Now().Add(-40 * 24 * time.Hour)}
	for _, it := range []*pb.Item{
		{Code: "alum", Name: "alum", Kind: "mordant", Substance: "alum"}, {Code: "weld", Name: "weld", Kind: "dyestuff", Plant: "weld"}, {Code: "copperas", Name: "copperas", Kind: "mordant", Substance: "copperas"},
		{Code: "woad", Name: "woad", Kind: "dyestuff", Plant: "woad"}, {Code: "tunic", Kind: "blank", PieceMass: h.Amount("108g"), Fibres: []*pb.FibrePart{{Fibre: "silk", Percent: "100"}}},
	} {
		h.Item(it)
	}
	for _, v := range []*pb.Vessel{
		{Code: "pot-40", Volume: h.Amount("40L"), Uses: []string{"dye"}}, {Code: "pot-30", Volume: h.Amount("30L"), Uses: []string{"dye"}},
		{Code: "tub-60", Volume: h.Amount("60L"), Uses: []string{"mordant", "brew"}}, {Code: "iron-15", Volume: h.Amount("30L"), Uses: []string{"iron"}},
		{Code: "vat-50", Volume: h.Amount("50L"), Uses: []string{"vat"}},
	} {
		fine(h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: v}))(h)
	}
	fine(h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: olive()}))(h)
	c.recipe("gold", &pb.RecipeStage{Kind: "mordant", Shared: true, Celsius: 55, Minutes: 60, Doses: []*pb.Dose{{ItemCode: "alum", Basis: "percent_wof", Value: "15"}}},
		&pb.RecipeStage{Kind: "brew", Shared: true, Celsius: 90, Minutes: 60, Doses: []*pb.Dose{{ItemCode: "weld", Basis: "percent_wof", Value: "60"}}},
		&pb.RecipeStage{Kind: "dye", Celsius: 60, Minutes: 60},
		&pb.RecipeStage{Kind: "after-dip", Celsius: 45, Minutes: 15, Doses: []*pb.Dose{{ItemCode: "copperas", Basis: "percent_wof", Value: "1"}}},
		&pb.RecipeStage{Kind: "dry"})
	c.recipe("blue", &pb.RecipeStage{Kind: "vat-dip"}, &pb.RecipeStage{Kind: "dry"})
	c.alum, c.weld, c.copperas, c.woad = h.Receive("alum", "1000g"), h.Receive("weld", "3000g"), h.Receive("copperas", "500g"), h.Receive("woad", "300g")
	c.lots = c.plan("gold")
	return c
}

func (c *tubs) recipe(code string, stages ...*pb.RecipeStage) {
	c.t.Helper()
	fine(write(c.House, &pb.Recipe{Code: code, Fibre: "silk", LiquorRatio: "40", Stages: stages}))(c.House)
	fine(c.Recipes.CreateColourway(c.Ctx, &pb.CreateColourwayRequest{RequestId: c.ID(), Colourway: &pb.Colourway{Code: code, StandardCode: "choir-olive", RecipeCode: code}}))(c.House)
}

// plan plans a run of two lots and issues both.
func (c *tubs) plan(colourway string) []string {
	c.t.Helper()
	blanks := c.Receive("tunic", "10pc")
	load := func(pot string, grams ...string) *pb.Load {
		b := &pb.Blanks{ParcelCode: blanks}
		for _, g := range grams {
			b.Masses = append(b.Masses, c.Amount(g))
		}
		return &pb.Load{VesselCode: pot, Blanks: []*pb.Blanks{b}}
	}
	run := fine(c.Runs.PlanRun(c.Ctx, &pb.PlanRunRequest{RequestId: c.ID(), ColourwayCode: colourway,
		Loads: []*pb.Load{load("pot-40", "109g", "108g", "108g", "108g", "108g"), load("pot-30", "108g", "108g", "108g", "108g", "107g")}}))(c.House).GetRun()
	var lots []string
	for _, l := range run.GetLots() {
		fine(c.Runs.IssueLot(c.Ctx, &pb.IssueLotRequest{RequestId: c.ID(), LotCode: l.GetCode()}))(c.House)
		lots = append(lots, l.GetCode())
		for _, g := range l.GetGarments() {
			c.tags[l.GetCode()] = append(c.tags[l.GetCode()], g.GetTag())
		}
	}
	return lots
}

// now is an hour after the last act.
func (c *tubs) now() *timestamppb.Timestamp {
	c.clock = c.clock.Add(time.Hour)
	return timestamppb.New(c.clock)
}

// taken reads pairs of parcel and amount.
func (c *tubs) taken(pairs ...string) []*pb.Taken {
	var all []*pb.Taken
	for i := 0; i < len(pairs); i += 2 {
		all = append(all, &pb.Taken{ParcelCode: pairs[i], Amount: c.Amount(pairs[i+1])})
	}
	return all
}

func (c *tubs) record(q *pb.RecordStageRequest) (*pb.RecordStageResponse, error) {
	q.RequestId = c.ID()
	if q.HappenedAt == nil {
		q.HappenedAt = c.now()
	}
	return c.Runs.RecordStage(c.Ctx, q)
}

func (c *tubs) log(q *pb.LogBathRequest) (*pb.LogBathResponse, error) {
	q.RequestId = c.ID()
	if q.HappenedAt == nil {
		q.HappenedAt = c.now()
	}
	return c.Pot.LogBath(c.Ctx, q)
}

// add adds to a record's bath.
func (c *tubs) add(record string, pairs ...string) (*pb.AddToBathResponse, error) {
	return c.Pot.AddToBath(c.Ctx, &pb.AddToBathRequest{RequestId: c.ID(), RecordCode: record, Used: c.taken(pairs...), LookBefore: "too pale on a dried corner", LookAfter: "there",
		Minutes: 20, HappenedAt: c.now()})
}

func (c *tubs) undo(record string) (*pb.UndoStageResponse, error) {
	return c.Runs.UndoStage(c.Ctx, &pb.UndoStageRequest{RequestId: c.ID(), RecordCode: record, Reason: "a slip"})
}

// lotsWith are the lots that have a parcel in them.
func (c *tubs) lotsWith(parcel string) []string {
	c.t.Helper()
	return fine(c.Garment.TraceParcel(c.Ctx, &pb.TraceParcelRequest{ParcelCode: parcel}))(c.House).GetLotCodes()
}

// sourcesOf are the parcels that a lot's first garment is traced to, and through
// what.
func (c *tubs) sourcesOf(lot string) map[string][]string {
	c.t.Helper()
	found := map[string][]string{}
	for _, p := range fine(c.Garment.TraceGarment(c.Ctx, &pb.TraceGarmentRequest{Tag: c.tags[lot][0]}))(c.House).GetParcels() {
		found[p.GetParcel().GetCode()] = p.GetThrough()
	}
	return found
}

func (c *tubs) bath(code string) *pb.GetBathResponse {
	c.t.Helper()
	return fine(c.Pot.GetBath(c.Ctx, &pb.GetBathRequest{Code: code}))(c.House)
}

func (c *tubs) lot(code string) *pb.GetLotResponse {
	c.t.Helper()
	return fine(c.Runs.GetLot(c.Ctx, &pb.GetLotRequest{Code: code}))(c.House)
}

func (c *tubs) onHand(parcel string) string {
	c.t.Helper()
	return fine(c.Stock.GetParcel(c.Ctx, &pb.GetParcelRequest{Code: parcel}))(c.House).GetParcel().GetOnHand().GetValue()
}

// says is true where one of the warnings has this key.
func says(ws []*pb.Warning, key string) bool {
	for _, w := range ws {
		if w.GetKey() == key {
			return true
		}
	}
	return false
}
