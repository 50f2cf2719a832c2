package api_test

import (
	"fmt"

	"google.golang.org/protobuf/types/known/timestamppb"
	"pgregory.net/rapid"

	pb "dyelot/proto/dyelot/v1"
)

// baths are those that are not spent; of one kind, those that are kept.
func (d *day) baths(kind string) (found []*pb.Bath) {
	for _, b := range ok(d.Pot.ListBaths(d.Ctx, &pb.ListBathsRequest{All: kind == "", PageSize: 1000})).GetBaths() {
		if kind == "" && b.GetState() != "spent" || b.GetKind() == kind && b.GetState() == "kept" {
			found = append(found, b)
		}
	}
	return found
}

func (d *day) addMore() {
	resp := ok(d.Pot.AddToBath(d.Ctx, &pb.AddToBathRequest{RequestId: d.ID(), RecordCode: one(d, d.records), Used: []*pb.Taken{d.taken(300, "alum", "weld", "liquor", "woad")},
		LookBefore: "too pale on a dried corner", LookAfter: "there", Minutes: 20, OverrideBy: "owner", OverrideReason: "a trial"}))
	keep(&d.records, resp.GetRecord().GetCode())
}

func (d *day) setVat() {
	resp := ok(d.Pot.SetVat(d.Ctx, &pb.SetVatRequest{RequestId: d.ID(), VesselCode: "vat-50", Litres: d.Amount(fmt.Sprintf("%dL", 30+d.upTo(8))), Used: []*pb.Taken{d.taken(200, "woad")},
		Ph: "9.2", Celsius: 50, Fibre: "silk"}))
	keep(&d.entries, resp.GetEntry().GetCode())
}

// dipVat dips a lot into a vat, by groups.
func (d *day) dipVat() {
	for _, l := range d.lotsIn("in-work") {
		if l.GetColourwayCode() != "blue" {
			continue
		}
		looked := ok(d.Runs.GetLot(d.Ctx, &pb.GetLotRequest{Code: l.GetCode()}))
		if stages := coming(looked); len(stages) > 0 && stages[0].GetKind() == "vat-dip" {
			q := d.inBath(stages[0], l.GetCode())
			if tags := tagsIn(looked.GetLot().GetGarments()); len(tags) > 1 {
				q.Dips = []*pb.Dips{{Tags: tags[:1], Dips: 4, Airings: 4}, {Tags: tags[1:], Dips: 3, Airings: 2}}
			}
			d.recorded(q)
			return
		}
	}
	panic(nothing{})
}

// logged writes into the diary of a bath, named itself or by a record of it.
func (d *day) logged(q *pb.LogBathRequest) {
	q.RequestId, q.BathCode = d.ID(), one(d, d.baths("")).GetCode()
	if len(d.records) > 0 && d.upTo(4) == 1 {
		q.BathCode = one(d, d.records)
	}
	keep(&d.entries, ok(d.Pot.LogBath(d.Ctx, q)).GetEntry().GetCode())
}

func (d *day) keepBath() {
	q := &pb.LogBathRequest{Kind: "kept"}
	if d.maybe() {
		q.Litres = d.Amount(fmt.Sprintf("%dL", d.upTo(20)))
	}
	d.logged(q)
}

func (d *day) topUp() {
	q := &pb.LogBathRequest{Kind: "top-up", Used: []*pb.Taken{d.taken(200, "alum", "weld", "woad", "liquor")}}
	if d.maybe() {
		q.Litres = d.Amount("2L")
	}
	d.logged(q)
}

func (d *day) noteBath() {
	q := &pb.LogBathRequest{Kind: "note", Ph: "9.1", Celsius: 40, Note: "green under the flower"}
	if d.maybe() {
		q.Used = []*pb.Taken{d.taken(100, "woad")}
	}
	d.logged(q)
}

// spendBath seldom does: what is kept is to be used.
func (d *day) spendBath() {
	if d.upTo(3) > 1 {
		panic(nothing{})
	}
	d.logged(&pb.LogBathRequest{Kind: "spent", Litres: d.Amount("10L"), Route: "foul sewer"})
}

func (d *day) undoEntry() {
	ok(d.Pot.UndoBathEntry(d.Ctx, &pb.UndoBathEntryRequest{RequestId: d.ID(), EntryCode: one(d, d.entries), Reason: "another tub"}))
}

// measurable draws a lot that has colour to look at.
func (d *day) measurable() string {
	return d.lot("waiting-for-tests", "held", "passed", "imperfect").GetLot().GetCode()
}

func (d *day) looksAt(lot string) {
	resp := ok(d.Judge.RecordReading(d.Ctx, &pb.RecordReadingRequest{RequestId: d.ID(), Reading: &pb.Reading{LotCode: lot, Condition: "dry", Rested: true,
		Colour: &pb.Lab{L: 61 + rapid.Float64Range(0, 2).Draw(d.r, "L"), A: -2, B: 37 + rapid.Float64Range(0, 2).Draw(d.r, "b")}}}))
	keep(&d.evidence, resp.GetReading().GetCode())
}

func (d *day) tests(lot, grade string) {
	resp := ok(d.Judge.RecordFastnessTest(d.Ctx, &pb.RecordFastnessTestRequest{RequestId: d.ID(), Test: &pb.FastnessTest{LotCode: lot, Method: "studio-window",
		Grades: []*pb.ComponentGrade{{Component: "light", Grade: grade}}}}))
	keep(&d.evidence, resp.GetTest().GetCode())
}

func (d *day) readColour() { d.looksAt(d.measurable()) }

func (d *day) testLight() {
	d.tests(d.measurable(), rapid.SampledFrom([]string{"2-3", "3", "4"}).Draw(d.r, "grade"))
}

func (d *day) giveVerdict() {
	d.judges(&pb.GiveVerdictRequest{LotCode: d.lot("waiting-for-tests", "held", "passed", "imperfect", "re-dye").GetLot().GetCode()})
}

func (d *day) verdictOnSome() {
	l := d.lot("waiting-for-tests", "held", "passed", "imperfect", "re-dye").GetLot()
	d.judges(&pb.GiveVerdictRequest{LotCode: l.GetCode(), Tags: []string{one(d, tagsIn(l.GetGarments()))}})
}

func (d *day) judges(q *pb.GiveVerdictRequest) {
	q.RequestId, q.Reason = d.ID(), "seen by the window"
	q.Outcome = rapid.SampledFrom([]string{"held", "imperfect", "re-dye", "scrapped", "passed"}).Draw(d.r, "outcome")
	ok(d.Judge.GiveVerdict(d.Ctx, q))
}

func (d *day) overrideRow() {
	d.takesOn(d.lot("waiting-for-tests", "held").GetLot().GetCode())
}

// takesOn overrides each row that forbids passing.
func (d *day) takesOn(lot string) {
	for _, row := range ok(d.Judge.GetJudgement(d.Ctx, &pb.GetJudgementRequest{LotCode: lot})).GetJudgement().GetBlocking() {
		ok(d.Judge.OverrideRow(d.Ctx, &pb.OverrideRowRequest{RequestId: d.ID(), LotCode: lot, Row: row, Reason: "told to the customer"}))
	}
}

func (d *day) passLot() {
	lot := d.lot("waiting-for-tests", "held").GetLot().GetCode()
	d.looksAt(lot)
	d.tests(lot, "4")
	d.takesOn(lot)
	ok(d.Judge.GiveVerdict(d.Ctx, &pb.GiveVerdictRequest{RequestId: d.ID(), LotCode: lot, Outcome: "passed"}))
}

func (d *day) dispatch() {
	q := &pb.DispatchGarmentsRequest{RequestId: d.ID(), OrderRef: d.name("order")}
	for _, g := range d.garments("shelf") {
		if len(q.Tags) < 3 && g.GetCustomersCommissionCode() == "" && d.maybe() {
			q.Tags = append(q.Tags, g.GetTag())
		}
	}
	if len(q.Tags) == 0 {
		panic(nothing{})
	}
	ok(d.Garment.DispatchGarments(d.Ctx, q))
}

func (d *day) takeBack() {
	ok(d.Garment.TakeBackGarment(d.Ctx, &pb.TakeBackGarmentRequest{RequestId: d.ID(), Tag: one(d, d.garments("sold")).GetTag(), Complaint: "a seam", HappenedAt: timestamppb.Now()}))
}

func (d *day) mend() {
	ok(d.Garment.MendGarment(d.Ctx, &pb.MendGarmentRequest{RequestId: d.ID(), Tag: one(d, d.garments("shelf", "returned", "in-work")).GetTag(), Text: "hem sewn"}))
}
