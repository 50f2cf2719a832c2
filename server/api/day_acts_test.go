package api_test

import (
	"fmt"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"
	"pgregory.net/rapid"

	pb "dyelot/proto/dyelot/v1"
)

// dayActs are everything that may happen: at the shelf and the counter here, at
// the pots in day_pots_test.go.
var dayActs = map[string]func(*day){
	"deliver": (*day).deliver, "harvest": (*day).harvest, "dry a harvest": (*day).dryHarvest, "make liquor": (*day).makeLiquor, "make rust liquor": (*day).makeRust,
	"blend": (*day).blend, "sample a blend": (*day).sample, "promise": (*day).promise, "release": (*day).release, "count": (*day).countNow, "count earlier": (*day).countEarlier,
	"write off": (*day).writeOff, "send back": (*day).sendBack, "reverse": (*day).reverse, "block": (*day).block, "strength": (*day).strength, "arrival": (*day).arrival,

	"agree": (*day).agree, "sign": (*day).sign, "take in": (*day).takeIn, "give back undyed": (*day).giveBackUndyed, "give back dyed": (*day).giveBackDyed,
	"import": (*day).importOld, "note": (*day).note, "withdraw": (*day).withdraw,

	"plan": (*day).planRun, "plan loads": (*day).planLoads, "plan a set": (*day).planSet, "plan worn": (*day).planWorn, "plan cloth": (*day).planCloth,
	"pick": (*day).pickRun, "cancel": (*day).cancelRun, "issue": (*day).issueLot, "issue again": (*day).issueLot, "shelve": (*day).shelve,
	"record as planned": (*day).recordAsPlanned, "record together": (*day).recordTogether, "record off plan": (*day).recordOff, "record in litres": (*day).recordLitres,
	"record in a kept bath": (*day).recordKept, "dye through": (*day).dyeThrough, "skip": (*day).skipStage, "undo": (*day).undoStage, "correct": (*day).correctStage,
	"add": (*day).addMore, "set a vat": (*day).setVat, "dip": (*day).dipVat, "keep a bath": (*day).keepBath, "top up": (*day).topUp, "note on a bath": (*day).noteBath,
	"spend a bath": (*day).spendBath, "undo an entry": (*day).undoEntry,

	"look around": (*day).lookAround, "read": (*day).readColour, "test": (*day).testLight, "verdict": (*day).giveVerdict, "verdict on some": (*day).verdictOnSome, "override": (*day).overrideRow,
	"pass": (*day).passLot, "dispatch": (*day).dispatch, "take back": (*day).takeBack, "mend": (*day).mend,

	"open a recall": (*day).openRecall, "tell of a recall": (*day).tellRecall, "account for a recall": (*day).accountRecall, "end a recall": (*day).endRecall,
}

func (d *day) deliver() {
	item := rapid.SampledFrom([]string{"tunic", "alum", "weld", "tunic", "copperas", "woad", "tunic", "strip"}).Draw(d.r, "item")
	q := &pb.ReceiveDeliveryRequest{RequestId: d.ID(), ItemCode: item, Amount: d.some(item, 9000), Supplier: "harbour supplies"}
	if item == "tunic" {
		q.Amount = d.Amount(fmt.Sprintf("%dpc", 5+d.upTo(20)))
	}
	if d.maybe() {
		q.HappenedAt = ago(48 * time.Hour)
	}
	if d.upTo(4) > 0 {
		q.Cost = &pb.Money{Value: fmt.Sprintf("%d.%06d", d.upTo(200), d.upTo(999_999)), Currency: "EUR"}
	}
	resp := ok(d.Stock.ReceiveDelivery(d.Ctx, q))
	d.bags = append(d.bags, bag{resp.GetParcel().GetCode(), item})
	keep(&d.movements, resp.GetMovement().GetCode())
}

func (d *day) harvest() {
	h := &pb.Harvest{PickedOn: time.Now().Add(-72 * time.Hour).Format(time.DateOnly), Place: "lane behind the boathouse", FreshMass: d.Amount(fmt.Sprintf("%dg", 2000+d.upTo(9000)))}
	if d.maybe() {
		h.DryMass = d.Amount(fmt.Sprintf("%dg", 300+d.upTo(1000)))
	}
	p := ok(d.Stock.LogHarvest(d.Ctx, &pb.LogHarvestRequest{RequestId: d.ID(), ItemCode: "weld", Harvest: h})).GetParcel()
	d.bags = append(d.bags, bag{p.GetCode(), "weld"})
}

func (d *day) dryHarvest() {
	var damp []string
	for _, p := range ok(d.Stock.ListParcels(d.Ctx, &pb.ListParcelsRequest{ItemCode: "weld", IncludeEmpty: true, PageSize: 1000})).GetParcels() {
		if p.GetDamp() {
			damp = append(damp, p.GetCode())
		}
	}
	ok(d.Stock.DryHarvest(d.Ctx, &pb.DryHarvestRequest{RequestId: d.ID(), ParcelCode: one(d, damp), DryMass: d.Amount(fmt.Sprintf("%dg", 300+d.upTo(1000)))}))
}

func (d *day) made(q *pb.MakeParcelRequest) {
	q.RequestId, q.HappenedAt = d.ID(), d.lately()
	resp := ok(d.Stock.MakeParcel(d.Ctx, q))
	d.bags = append(d.bags, bag{resp.GetParcel().GetCode(), q.GetItemCode()})
	keep(&d.movements, resp.GetMovement().GetCode())
	if len(q.GetFrom()) > 1 && usedFor["brew"] == q.GetItemCode() {
		keep(&d.blends, resp.GetParcel().GetCode())
	}
}

func (d *day) makeLiquor() {
	d.made(&pb.MakeParcelRequest{ItemCode: "liquor", Amount: d.Amount(fmt.Sprintf("%dmL", 300+d.upTo(500))), From: []*pb.Taken{d.taken(900, "copperas")}})
}

func (d *day) makeRust() {
	d.made(&pb.MakeParcelRequest{ItemCode: "liquor", Amount: d.Amount(fmt.Sprintf("%dmL", 300+d.upTo(500))), StrengthUnknown: true})
}

func (d *day) blend() {
	item := rapid.SampledFrom([]string{"weld", "weld", "woad", "alum", "liquor"}).Draw(d.r, "item")
	d.made(&pb.MakeParcelRequest{ItemCode: item, Amount: d.some(item, 8000), From: []*pb.Taken{d.taken(4000, item), d.taken(4000, item)}})
}

// sample takes a blend, and may name a lot, which it seldom dyed.
func (d *day) sample() {
	q := &pb.SampleParcelRequest{RequestId: d.ID(), ParcelCode: one(d, d.blends), Note: "page 7 of the swatch book"}
	if d.upTo(4) == 4 {
		q.LotCode = d.lot("in-work", "waiting-for-tests", "passed").GetLot().GetCode()
	}
	ok(d.Orders.SampleParcel(d.Ctx, q))
}

func (d *day) promise() {
	b := d.bag()
	resp := ok(d.Stock.PromiseParcel(d.Ctx, &pb.PromiseParcelRequest{RequestId: d.ID(), ParcelCode: b.code, Amount: d.some(b.item, 3000), Purpose: "the market"}))
	keep(&d.promises, resp.GetPromise().GetCode())
}

func (d *day) release() {
	ok(d.Stock.ReleasePromise(d.Ctx, &pb.ReleasePromiseRequest{RequestId: d.ID(), PromiseCode: one(d, d.promises)}))
}

func (d *day) counted(at *timestamppb.Timestamp) {
	b := d.bag()
	resp := ok(d.Stock.CountParcel(d.Ctx, &pb.CountParcelRequest{RequestId: d.ID(), ParcelCode: b.code, Counted: d.some(b.item, 6000), HappenedAt: at}))
	keep(&d.movements, resp.GetMovement().GetCode())
}

func (d *day) countNow() { d.counted(nil) }

// countEarlier counts a moment, or an hour, ago.
func (d *day) countEarlier() {
	d.counted(ago(rapid.SampledFrom([]time.Duration{300 * time.Millisecond, time.Second, 3 * time.Second, time.Hour}).Draw(d.r, "ago")))
}

func (d *day) goneBad(q *pb.WriteOffParcelRequest) {
	b := d.bag()
	q.RequestId, q.ParcelCode, q.Reason, q.HappenedAt = d.ID(), b.code, "mould", d.lately()
	if d.maybe() || d.maybe() {
		q.Amount = d.some(b.item, 900)
	}
	keep(&d.movements, ok(d.Stock.WriteOffParcel(d.Ctx, q)).GetMovement().GetCode())
}

func (d *day) writeOff() { d.goneBad(&pb.WriteOffParcelRequest{}) }

func (d *day) sendBack() { d.goneBad(&pb.WriteOffParcelRequest{SendBack: true}) }

func (d *day) reverse() {
	ok(d.Stock.ReverseMovement(d.Ctx, &pb.ReverseMovementRequest{RequestId: d.ID(), MovementCode: one(d, d.movements), Reason: "a slip"}))
}

// block blocks a parcel for as long as one plan would take.
func (d *day) block() {
	b := d.bag()
	ok(d.Stock.BlockParcel(d.Ctx, &pb.BlockParcelRequest{RequestId: d.ID(), ParcelCode: b.code, Reason: "smells"}))
	if d.maybe() || d.maybe() {
		ok(d.Stock.BlockParcel(d.Ctx, &pb.BlockParcelRequest{RequestId: d.ID(), ParcelCode: b.code, Lift: true}))
	}
}

func (d *day) strength() {
	ok(d.Stock.SetStrength(d.Ctx, &pb.SetStrengthRequest{RequestId: d.ID(), ParcelCode: d.bag("weld", "woad").code, StrengthPercent: fmt.Sprint(60 + d.upTo(60)), Basis: "test dips"}))
}

func (d *day) arrival() {
	c := &pb.ArrivalCheck{Thread: "cotton", Brightener: "no", Verdict: "accept"}
	if d.upTo(6) == 1 {
		c.Verdict = "reject"
	}
	ok(d.Orders.CheckArrival(d.Ctx, &pb.CheckArrivalRequest{RequestId: d.ID(), ParcelCode: d.bag("tunic", "theirs").code, Check: c}))
}

func (d *day) agree() {
	resp := ok(d.Orders.CreateCommission(d.Ctx, &pb.CreateCommissionRequest{RequestId: d.ID(), Commission: &pb.Commission{Reference: d.name("choir"), ColourwayCode: "gold", SetTolerance: "2",
		Pieces: []*pb.CommissionPieces{{ItemCode: "tunic", Count: int32(d.upTo(4))}}}}))
	keep(&d.agreed, resp.GetCommission().GetCode())
	if d.maybe() {
		d.sign()
	}
}

func (d *day) sign() {
	ok(d.Orders.SignCommission(d.Ctx, &pb.SignCommissionRequest{RequestId: d.ID(), CommissionCode: one(d, d.agreed), SignOff: &pb.SignOff{StandardCode: "choir-olive", ByRole: "conductor"}}))
}

func (d *day) takeIn() {
	resp := ok(d.Orders.ReceiveCustomers(d.Ctx, &pb.ReceiveCustomersRequest{RequestId: d.ID(), CommissionCode: one(d, d.agreed), ItemCode: "tunic", Pieces: int32(d.upTo(6))}))
	d.bags = append(d.bags, bag{resp.GetParcel().GetCode(), "theirs"})
	keep(&d.movements, resp.GetMovement().GetCode())
}

// theirs draws a customer's parcel that holds something.
func (d *day) theirs() *pb.Parcel {
	var all []*pb.Parcel
	for _, p := range ok(d.Stock.ListParcels(d.Ctx, &pb.ListParcelsRequest{ItemCode: "tunic", PageSize: 1000})).GetParcels() {
		if p.GetCustomersCommissionCode() != "" {
			all = append(all, p)
		}
	}
	return one(d, all)
}

func (d *day) giveBackUndyed() {
	p := d.theirs()
	resp := ok(d.Orders.GiveBack(d.Ctx, &pb.GiveBackRequest{RequestId: d.ID(), CommissionCode: p.GetCustomersCommissionCode(), Undyed: []*pb.Taken{{ParcelCode: p.GetCode(), Amount: d.Amount("1pc")}}}))
	keep(&d.movements, resp.GetMovement().GetCode())
}

// giveBackDyed takes a garment that was dyed to the end; where nobody has judged
// it yet, somebody does first.
func (d *day) giveBackDyed() {
	states := map[string]string{} // of lots
	for _, state := range []string{"waiting-for-tests", "held", "passed", "imperfect", "re-dye", "scrapped"} {
		for _, l := range d.lotsIn(state) {
			states[l.GetCode()] = state
		}
	}
	var all []*pb.Garment
	for _, g := range d.garments("shelf", "in-work", "returned", "scrapped") {
		if g.GetCustomersCommissionCode() != "" && states[g.GetLotCode()] != "" {
			all = append(all, g)
		}
	}
	g := one(d, all)
	if s := states[g.GetLotCode()]; s == "waiting-for-tests" || s == "held" {
		ok(d.Judge.GiveVerdict(d.Ctx, &pb.GiveVerdictRequest{RequestId: d.ID(), LotCode: g.GetLotCode(), Outcome: "imperfect", Reason: "a pale hem", Tags: []string{g.GetTag()}}))
	}
	ok(d.Orders.GiveBack(d.Ctx, &pb.GiveBackRequest{RequestId: d.ID(), CommissionCode: g.GetCustomersCommissionCode(), Tags: []string{g.GetTag()}}))
}

// importOld brings in two parcels and a lot of years ago.
func (d *day) importOld() {
	n := d.name("old")
	parcels := fmt.Sprintf("ref,item,amount,unit,arrived_on\n%[1]s-t,tunic,%[2]d,,2023-02-01\n%[1]s-a,alum,%[3]d,g,2023-02-01\n", n, d.upTo(9), 100+d.upTo(400))
	lots := fmt.Sprintf("ref,colourway,vessel,dyed_on,pieces,blanks,dry_mass,used,by,passed_by,passed_on\n%[1]s,gold,pot-40,2023-07-04,%[2]d,%[1]s-t,%[3]d g,%[1]s-a=%[4]d g,dyer-1,owner-then,2023-08-20\n", n, 2, 216, d.upTo(40))
	resp := ok(d.opening.ImportOpening(d.Ctx, &pb.ImportOpeningRequest{RequestId: d.ID(), Parcels: &pb.OpeningSheet{Name: "parcels.csv", Content: []byte(parcels)},
		Lots: &pb.OpeningSheet{Name: "lots.csv", Content: []byte(lots)}}))
	for i, item := range []string{"tunic", "alum"} {
		d.bags = append(d.bags, bag{resp.GetOpenedParcels()[i].GetCode(), item})
	}
	keep(&d.tags, resp.GetOpenedLots()[0].GetTags()...)
}

func (d *day) note() {
	e := rapid.SampledFrom([]*pb.LogEntry{
		{Book: "water", Subject: "well", Water: &pb.WaterCheck{HardnessDh: "4", IronMgPerL: "0.3"}}, {Book: "scale", Subject: "kitchen-scale", Scale: &pb.ScaleCheck{CheckMass: d.Amount("200g"), Read: d.Amount("199.8g")}},
		{Book: "near-miss", Mishap: &pb.Mishap{What: "lid slid off the brew", Stage: "brew", Done: "hook on the wall"}},
	}).Draw(d.r, "entry")
	keep(&d.evidence, ok(d.Logbook.AddLogEntry(d.Ctx, &pb.AddLogEntryRequest{RequestId: d.ID(), Entry: e})).GetEntry().GetCode())
}

func (d *day) withdraw() {
	ok(d.Logbook.WithdrawEvidence(d.Ctx, &pb.WithdrawEvidenceRequest{RequestId: d.ID(), Code: one(d, d.evidence), Reason: "of another lot"}))
}
