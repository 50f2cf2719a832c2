package api_test

import (
	"strings"
	"testing"

	"google.golang.org/grpc/codes"

	pb "dyelot/proto/dyelot/v1"
)

// holds fails the test unless a parcel has so much on hand and promised.
func (s *saddened) holds(parcel, onHand, promised string) {
	s.t.Helper()
	p := fine(s.Stock.GetParcel(s.Ctx, &pb.GetParcelRequest{Code: parcel}))(s.House).GetParcel()
	if p.GetOnHand().GetValue() != onHand || p.GetPromised().GetValue() != promised {
		s.t.Errorf("%s has %s on hand and %s promised, want %s and %s", parcel, p.GetOnHand().GetValue(), p.GetPromised().GetValue(), onHand, promised)
	}
}

func (s *saddened) used(position int32, lot, vessel, parcel, amount string) (*pb.RecordStageResponse, error) {
	return s.Runs.RecordStage(s.Ctx, &pb.RecordStageRequest{RequestId: s.ID(), LotCodes: []string{lot}, Position: position, VesselCode: vessel,
		Used: []*pb.Taken{{ParcelCode: parcel, Amount: s.Amount(amount)}}})
}

func (s *saddened) undo(record *pb.StageRecord) {
	s.t.Helper()
	fine(s.Runs.UndoStage(s.Ctx, &pb.UndoStageRequest{RequestId: s.ID(), RecordCode: record.GetCode(), Reason: "of the other lot"}))(s.House)
}

// tenTunics is the choir's run, planned only; both lots' figures are the
// worked story's.
func (s *saddened) tenTunics() *saddened {
	s.t.Helper()
	run := s.planned("tub-60", true, s.load("pot-40", s.tunics, "105", "104", "106", "103", "105"), s.load("pot-30", s.tunics, "104", "105", "103", "106", "103"))
	s.run, s.a, s.b = run.GetCode(), run.GetLots()[0].GetCode(), run.GetLots()[1].GetCode()
	return s
}

// wrote adds the next version of the choir's recipe.
func (s *saddened) wrote(change func(*pb.Recipe)) {
	s.t.Helper()
	r := weldOlive()
	change(r)
	fine(write(s.House, r))(s.House)
}

func (s *saddened) plansInPots(pots ...string) (*pb.Run, error) {
	blanks := s.load("", s.tunics, "105", "104", "106", "103", "105", "104", "105", "103", "106", "103").GetBlanks()
	resp, err := s.Runs.PlanRun(s.Ctx, &pb.PlanRunRequest{RequestId: s.ID(), ColourwayCode: "olive-silk", Blanks: blanks, PotCodes: pots, DryRun: true})
	return resp.GetRun(), err
}

// A plan whose iron nobody has dissolved yet says to make some; the pots it
// takes are those that hold the dye bath at that bath's own ratio.
func TestAPlanSaysWhatToMakeAndTakesPotsForItsDyeBath(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t)
	s.Item(&pb.Item{Code: "rust", Name: "rust liquor", Kind: "solution", Substance: "copperas"})
	s.wrote(func(r *pb.Recipe) { r.Stages[3].Doses[0].ItemCode = "rust" })
	_, err := s.plansInPots("pot-40", "pot-30")
	saysNo(t, err, codes.FailedPrecondition, "stage 4, rust", "no rust liquor is on the shelf to tell its g/L, so 1 % WOF cannot be measured: make some first")

	s.wrote(func(r *pb.Recipe) { r.Stages[2].LiquorRatio = "60" })
	if _, err = s.plansInPots("pot-40", "pot-30"); err == nil {
		t.Error("1044 g at 1 : 60 are 62.64 L, and the two pots may hold 56")
	}
	saysNo(t, err, codes.FailedPrecondition, "", "do not fit: of fibre at 1 : 60 pot-40 takes 533.333 g, pot-30 takes 400 g")
	run := fine(s.plansInPots("pot-30", "pot-40", "basin"))(s.House)
	if l := run.GetLots(); len(l) != 1 || l[0].GetVesselCode() != "basin" || l[0].GetBathVolume().GetValue() != "62640" {
		t.Errorf("%v", l)
	}
	s.wrote(func(r *pb.Recipe) { r.Stages[0].LiquorRatio = "60" })
	if run = fine(s.plansInPots("pot-30", "pot-40"))(s.House); len(run.GetLots()) != 2 {
		t.Errorf("a mordant at 1 : 60 is in no pot: %v", run.GetLots())
	}
}

// Silk bears 2 % of copperas (common practice). What the recipe cannot tell of
// millilitres, the bottle that is picked does: 110 mL/kg of 200 g/L are 2.2 %.
func TestAPlanAddsItsIronUp(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t)
	warns := func(run *pb.Run, says string) int {
		n := 0
		for _, w := range run.GetWarnings() {
			if strings.Contains(w.GetText(), says) {
				n++
			}
		}
		return n
	}
	s.wrote(func(r *pb.Recipe) {
		r.Stages[3].Doses[0].Basis, r.Stages[3].Doses[0].Value = "ml_per_kg", "110"
	})
	if run := fine(s.plansInPots("pot-40", "pot-30"))(s.House); warns(run, "copperas offered to this garment so far is 2.218 %, above 2 % on silk") != 1 || warns(run, "above 2 %") != 1 {
		t.Errorf("58 mL, which are 11.6 g, on lot A's 523 g: %v", run.GetWarnings())
	}
	s.wrote(func(r *pb.Recipe) {})
	if run := fine(s.plansInPots("pot-40", "pot-30"))(s.House); warns(run, "copperas") != 0 || warns(run, "kept for iron") != 0 {
		t.Errorf("1 %% is no matter: %v", run.GetWarnings())
	}
	if run := fine(s.plansInPots("pot-40", "iron-30"))(s.House); warns(run, "iron-30 is kept for iron: it will sadden the colour") != 1 {
		t.Errorf("a dye bath in the iron pot: %v", run.GetWarnings())
	}
}

// Two lots with pots of their own are not put into one by leaving it out.
func TestTwoLotsWithPotsOfTheirOwnNameTheVesselTheyShared(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).tenTunics()
	s.issue(s.a, s.b)
	both := &pb.RecordStageRequest{RequestId: s.ID(), LotCodes: []string{s.a, s.b}, Position: 3, AsPlanned: true}
	_, err := s.Runs.RecordStage(s.Ctx, both)
	saysNo(t, err, codes.InvalidArgument, "vessel_code", "the plan has pot-40 and pot-30, so record these lots one by one or say which vessel they shared")
	both.RequestId, both.VesselCode = s.ID(), "pot-40"
	d := fine(s.Runs.RecordStage(s.Ctx, both))(s.House).GetRecord().GetDeviations()
	if len(d) != 1 || d[0].GetText() != "vessel: pot-40 instead of pot-30" {
		t.Errorf("%v", d)
	}
}

// The brew that two lots drew from, undone for one of them: its grams return
// to the bag and are promised again, the other's stay where they are.
func TestUndoingOneLotsShareOfABrewPromisesItAgain(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).tenTunics()
	s.issue(s.a, s.b)
	s.holds(s.weld, "20000", "720")
	first := fine(s.used(2, s.a, "tub-60", s.weld, "361g"))(s.House).GetRecord()
	s.holds(s.weld, "19639", "359")
	second := fine(s.used(2, s.b, "tub-60", s.weld, "359g"))(s.House).GetRecord()
	s.holds(s.weld, "19280", "0")
	s.undo(first)
	s.holds(s.weld, "19641", "361")
	s.undo(second)
	s.holds(s.weld, "20000", "720")
}

// A lot that is scrapped in work comes to no bath any more: what was only its
// own is free at once, and its sister alone ends the shared bath.
func TestAScrappedLotKeepsNothingAside(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).tenTunics()
	s.issue(s.a, s.b)
	s.holds(s.liquor, "500", "54")
	fine(s.verdict(s.b, "scrapped", "torn in the scour"))(s.House)
	s.holds(s.liquor, "500", "27")
	fine(s.used(2, s.a, "tub-60", s.weld, "361g"))(s.House)
	s.holds(s.weld, "19639", "0")
	run := fine(s.Runs.PickRun(s.Ctx, &pb.PickRunRequest{RequestId: s.ID(), RunCode: s.run}))(s.House).GetRun()
	s.holds(s.liquor, "500", "27")
	s.holds(s.alum, "5000", "162")
	if len(run.GetShortages()) != 0 {
		t.Errorf("%v", run.GetShortages())
	}
}

// A dose that lost part of its promise: what it keeps still counts towards it
// when the run is picked anew, and the plan says so before.
func TestPickingAnewCountsWhatADoseStillKeeps(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t).tenTunics()
	count := func(to string) {
		fine(s.Stock.CountParcel(s.Ctx, &pb.CountParcelRequest{RequestId: s.ID(), ParcelCode: s.alum, Counted: s.Amount(to), Reason: "spilt"}))(s.House)
	}
	count("100g")
	run := fine(s.Runs.GetRun(s.Ctx, &pb.GetRunRequest{Code: s.run}))(s.House).GetRun()
	if sh := run.GetShortages(); len(sh) != 1 || sh[0].GetShort().GetValue() != "62" || !strings.Contains(sh[0].GetText(), "162 g is needed, "+s.alum+" has 100 g free: 62 g short") {
		t.Errorf("%v", sh)
	}
	count("170g")
	run = fine(s.Runs.GetRun(s.Ctx, &pb.GetRunRequest{Code: s.run}))(s.House).GetRun()
	if sh := run.GetShortages(); len(sh) != 1 || sh[0].GetText() != "the shelf has it now: pick the run again" {
		t.Errorf("%v", sh)
	}
	run = fine(s.Runs.PickRun(s.Ctx, &pb.PickRunRequest{RequestId: s.ID(), RunCode: s.run}))(s.House).GetRun()
	s.holds(s.alum, "170", "162")
	if len(run.GetShortages()) != 0 {
		t.Errorf("%v", run.GetShortages())
	}
}

// The bench card and the record ask the strictest fibre of the cloth, not the
// recipe's alone: wool bears 3 % of copperas, silk 2 % (common practice).
func TestIronIsHeldToTheStrictestFibreOfTheCloth(t *testing.T) {
	t.Parallel()
	s := saddenedChoir(t)
	blend := s.Item(&pb.Item{Code: "shawl", Kind: "blank", PieceMass: s.Amount("200g"), Fibres: []*pb.FibrePart{{Fibre: "wool", Percent: "70"}, {Fibre: "silk", Percent: "30"}}})
	shawls := s.Receive(blend, "4pc")
	s.wrote(func(r *pb.Recipe) { r.Fibre, r.Stages[3].Doses[0].Value = "wool", "2.5" })
	run := s.planned("basin", false, s.load("pot-40", shawls, "200", "200"))
	l := run.GetLots()[0].GetCode()
	s.issue(l)
	card := fine(s.Runs.GetBenchCard(s.Ctx, &pb.GetBenchCardRequest{LotCode: l}))(s.House)
	if ws := card.GetStages()[3].GetWarnings(); len(ws) != 1 || !strings.Contains(ws[0].GetText(), "above 2 % on silk") {
		t.Errorf("%v", ws)
	}
	_, err := s.used(4, l, "iron-30", s.liquor, "52mL")
	saysNo(t, err, codes.FailedPrecondition, "override_by", "above 2 % on silk")
}
