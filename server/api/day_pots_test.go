package api_test

import (
	"fmt"

	"pgregory.net/rapid"

	pb "dyelot/proto/dyelot/v1"
)

var dayPots = []string{"pot-40", "pot-30"}

// vesselFor is where a stage of some kind is usually done.
var vesselFor = map[string]string{"mordant": "tub-60", "brew": "tub-60", "after-dip": "iron-30", "vat-dip": "vat-50"}

func (d *day) planned(q *pb.PlanRunRequest) {
	q.RequestId = d.ID()
	run := ok(d.Runs.PlanRun(d.Ctx, q)).GetRun()
	keep(&d.runs, run.GetCode())
	for _, l := range run.GetLots() {
		for _, g := range l.GetGarments() {
			keep(&d.tags, g.GetTag())
		}
	}
}

func (d *day) colourway() string {
	return rapid.SampledFrom([]string{"gold", "blue", "gold", "blue", "pale"}).Draw(d.r, "colourway")
}

func (d *day) blanks(parcel string) []*pb.Blanks {
	return []*pb.Blanks{{ParcelCode: parcel, Count: int32(d.upTo(4))}}
}

func (d *day) planRun() {
	q := &pb.PlanRunRequest{ColourwayCode: d.colourway(), MatchedSet: d.maybe(), Blanks: d.blanks(d.own("tunic", 4)), PotCodes: dayPots}
	if d.maybe() {
		q.WitnessParcelCode, q.WitnessEach = d.own("strip", 10), d.Amount("5g")
	}
	d.planned(q)
}

// planLoads lays two pots out, so that mordant and brew are shared.
func (d *day) planLoads() {
	q := &pb.PlanRunRequest{ColourwayCode: d.colourway(), MatchedSet: d.maybe()}
	for _, pot := range dayPots {
		q.Loads = append(q.Loads, &pb.Load{VesselCode: pot, Blanks: d.blanks(d.own("tunic", 4))})
	}
	d.planned(q)
}

func (d *day) planSet() {
	w := one(d, d.agreed)
	parcel := d.own("tunic", 4)
	if d.maybe() {
		p := d.theirs()
		w, parcel = p.GetCustomersCommissionCode(), p.GetCode()
	}
	d.planned(&pb.PlanRunRequest{ColourwayCode: "gold", CommissionCode: w, Blanks: d.blanks(parcel), PotCodes: dayPots})
}

func (d *day) planWorn() {
	q := &pb.PlanRunRequest{ColourwayCode: d.colourway(), PotCodes: dayPots}
	if d.maybe() {
		q.LotCodes = []string{d.lot("imperfect", "re-dye", "part-done").GetLot().GetCode()}
	} else if d.upTo(5) == 5 {
		q.Tags = []string{one(d, d.tags)}
	} else {
		q.Tags = []string{one(d, d.garments("returned", "part-done")).GetTag()}
	}
	if d.maybe() {
		q.Blanks = d.blanks(d.own("tunic", 4))
	}
	d.planned(q)
}

func (d *day) planCloth() {
	cloth := one(d, ok(d.cloth.ListCloth(d.Ctx, &pb.ListClothRequest{PageSize: 200})).GetCloth())
	q := &pb.PlanRunRequest{ColourwayCode: d.colourway(), PotCodes: dayPots, LotCodes: []string{cloth.GetLotCode()}}
	if d.upTo(4) == 4 {
		q.Again = []int32{1}
	}
	d.planned(q)
}

func (d *day) pickRun() {
	q := &pb.PickRunRequest{RequestId: d.ID(), RunCode: one(d, d.runs)}
	if d.maybe() {
		b := d.bag("alum", "weld", "liquor")
		q.Parcels = map[string]string{b.item: b.code}
	}
	ok(d.Runs.PickRun(d.Ctx, q))
}

func (d *day) cancelRun() {
	ok(d.Runs.CancelRun(d.Ctx, &pb.CancelRunRequest{RequestId: d.ID(), RunCode: one(d, d.runs), Reason: "not this year"}))
}

func (d *day) issueLot() {
	l := d.lot("planned").GetLot()
	keep(&d.movements, ok(d.Runs.IssueLot(d.Ctx, &pb.IssueLotRequest{RequestId: d.ID(), LotCode: l.GetCode()})).GetMovement().GetCode())
}

// shelve ends a lot that had its first bath and no more, or else any.
func (d *day) shelve() {
	code := d.lot("in-work").GetLot().GetCode()
	for _, l := range newest(d.lotsIn("in-work")) {
		looked := ok(d.Runs.GetLot(d.Ctx, &pb.GetLotRequest{Code: l.GetCode()}))
		if s := looked.GetStages(); len(s) > 1 && s[0].GetKind() == "mordant" && s[0].GetRecord() != nil && len(coming(looked)) == len(s)-1 {
			code = l.GetCode()
		}
	}
	ok(d.cloth.ShelveLot(d.Ctx, &pb.ShelveLotRequest{RequestId: d.ID(), LotCode: code, Shade: "golds"}))
}

// coming are the stages of a lot that wait to be done.
func coming(l *pb.GetLotResponse) (stages []*pb.PlannedStage) {
	for _, s := range l.GetStages() {
		if s.GetRecord() == nil {
			stages = append(stages, s)
		}
	}
	return stages
}

// next draws a lot in work and its next stage, seldom a later one.
func (d *day) next() (string, *pb.PlannedStage) {
	l := d.lot("in-work")
	stages := coming(l)
	if len(stages) > 1 && d.upTo(6) == 1 {
		stages = stages[1:]
	}
	return l.GetLot().GetCode(), one(d, stages[:min(1, len(stages))])
}

// inBath is a record of a stage, in the vessel that is usual for it; a vat is
// the newest that is kept.
func (d *day) inBath(s *pb.PlannedStage, lots ...string) *pb.RecordStageRequest {
	q := &pb.RecordStageRequest{LotCodes: lots, Position: s.GetPosition(), VesselCode: vesselFor[s.GetKind()]}
	if s.GetKind() == "vat-dip" {
		if kept := d.baths("vat-dip"); len(kept) > 0 {
			q.VesselCode, q.BathCode = "", one(d, kept).GetCode()
		}
		q.Dips = []*pb.Dips{{Dips: int32(d.upTo(5)), Airings: 2}}
	}
	return q
}

// recorded records a stage; where iron asks for a name, it mostly has one.
func (d *day) recorded(q *pb.RecordStageRequest) {
	if d.upTo(5) > 1 {
		q.OverrideBy, q.OverrideReason = "owner", "a trial"
	}
	q.RequestId, q.HappenedAt = d.ID(), d.lately()
	keep(&d.records, ok(d.Runs.RecordStage(d.Ctx, q)).GetRecord().GetCode())
}

func (d *day) recordAsPlanned() {
	l, s := d.next()
	q := d.inBath(s, l)
	q.AsPlanned = true
	d.recorded(q)
}

func (d *day) recordTogether() {
	_, s := d.next()
	q := d.inBath(s, s.GetLotCodes()...)
	q.AsPlanned = true
	d.recorded(q)
}

var usedFor = map[string]string{"mordant": "alum", "brew": "weld", "dye": "weld", "vat-dip": "woad", "after-dip": "liquor"}

func (d *day) recordOff() {
	l, s := d.next()
	q := d.inBath(s, l)
	if item := usedFor[s.GetKind()]; item != "" {
		q.Used = append(q.Used, d.taken(600, item))
	}
	if q.BathCode == "" && d.maybe() && s.GetKind() == "dye" {
		q.VesselCode = "pot-30"
	}
	d.recorded(q)
}

func (d *day) recordLitres() {
	l, s := d.next()
	q := d.inBath(s, l)
	if len(s.GetLotCodes()) > 1 && d.maybe() {
		q.LotCodes = s.GetLotCodes()
	}
	q.AsPlanned, q.BathVolume = true, d.Amount(fmt.Sprintf("%dL", d.upTo(25)))
	d.recorded(q)
}

// recordKept uses a bath again that was kept, of the same kind.
func (d *day) recordKept() {
	l, s := d.next()
	q := d.inBath(s, l)
	q.BathCode = one(d, d.baths(s.GetKind())).GetCode()
	if q.VesselCode = ""; s.GetKind() == "dye" {
		q.VesselCode = "pot-40"
	}
	if item := usedFor[s.GetKind()]; item != "" && d.maybe() {
		q.Used = append(q.Used, d.taken(200, item))
	}
	d.recorded(q)
}

// dyeThrough does what is left of a lot, as planned.
func (d *day) dyeThrough() {
	l := d.lot("in-work")
	for _, s := range coming(l) {
		q := d.inBath(s, l.GetLot().GetCode())
		q.AsPlanned, q.OverrideBy, q.OverrideReason = true, "owner", "a trial"
		d.recorded(q)
	}
}

func (d *day) skipStage() {
	l, s := d.next()
	keep(&d.records, ok(d.Runs.SkipStage(d.Ctx, &pb.SkipStageRequest{RequestId: d.ID(), LotCodes: []string{l}, Position: s.GetPosition(), Reason: "clean already"})).GetRecord().GetCode())
}

func (d *day) undoStage() {
	ok(d.Runs.UndoStage(d.Ctx, &pb.UndoStageRequest{RequestId: d.ID(), RecordCode: one(d, d.records), Reason: "of another lot"}))
}

func (d *day) correctStage() {
	q := &pb.CorrectStageRequest{RequestId: d.ID(), RecordCode: one(d, d.records), Reason: "misread", Minutes: int32(d.upTo(90)), OverrideBy: "owner", OverrideReason: "a trial"}
	if d.maybe() {
		q.Used = []*pb.Taken{d.taken(900, "alum", "weld", "liquor")}
	}
	keep(&d.records, ok(d.Logbook.CorrectStage(d.Ctx, q)).GetRecord().GetCode())
}
