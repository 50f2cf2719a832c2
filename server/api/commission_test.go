package api_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"

	"dyelot/inventory/fastness"
	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// atelier is a studio with the choir's colourway, pots and salts, and nothing
// planned.
type atelier struct {
	*apitest.House
	t testing.TB
}

func openAtelier(t *testing.T) *atelier {
	t.Helper()
	h := oliveShelf(t)
	if err := h.Store.SeedHouse(t.Context(), fastness.Seed()); err != nil {
		t.Fatal(err)
	}
	for _, v := range []*pb.Vessel{{Code: "pot-40", Volume: h.Amount("40L"), Uses: []string{"dye"}}, {Code: "pot-30", Volume: h.Amount("30L"), Uses: []string{"dye"}}} {
		fine(h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: v}))(h)
	}
	fine(h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: olive()}))(h)
	r := weldOlive()
	r.Stages = r.Stages[:3]
	fine(write(h, r))(h)
	fine(h.Recipes.CreateColourway(h.Ctx, &pb.CreateColourwayRequest{RequestId: h.ID(), Colourway: &pb.Colourway{Code: "olive-silk", StandardCode: "choir-olive", RecipeCode: "weld-olive"}}))(h)
	h.Receive("alum", "500g")
	for _, key := range []string{"own-wash-change", "own-wash-staining", "own-rubbing-dry", "own-rubbing-wet", "own-light"} {
		fine(h.Judge.SetHouseRow(h.Ctx, &pb.SetHouseRowRequest{RequestId: h.ID(), Key: key}))(h)
	}
	return &atelier{h, t}
}

// agreed writes a commission down: so many tunics within so much of each other.
func (a *atelier) agreed(tunics int32, tolerance string) string {
	a.t.Helper()
	return fine(a.Orders.CreateCommission(a.Ctx, &pb.CreateCommissionRequest{RequestId: a.ID(), Commission: &pb.Commission{
		Reference: "choir-7", ColourwayCode: "olive-silk", SetTolerance: tolerance, Pieces: []*pb.CommissionPieces{{ItemCode: "tunic", Count: tunics, MightNotTake: "old wax at the hems"}}, Spares: 1,
	}}))(a.House).GetCommission().GetCode()
}

func (a *atelier) signed(code string) string {
	a.t.Helper()
	fine(a.Orders.SignCommission(a.Ctx, &pb.SignCommissionRequest{RequestId: a.ID(), CommissionCode: code, SignOff: &pb.SignOff{StandardCode: "choir-olive", ByRole: "conductor", SignedOn: "2024-02-01"}}))(a.House)
	return code
}

// plan plans a run of so many pieces of a parcel in one pot.
func (a *atelier) plan(commission, parcel string, count int32, use ...string) (*pb.Run, error) {
	q := &pb.PlanRunRequest{RequestId: a.ID(), ColourwayCode: "olive-silk", CommissionCode: commission, Blanks: []*pb.Blanks{{ParcelCode: parcel, Count: count}}, PotCodes: []string{"pot-40"}}
	for _, p := range use {
		q.Parcels = map[string]string{"weld-dry": p}
	}
	resp, err := a.Runs.PlanRun(a.Ctx, q)
	return resp.GetRun(), err
}

// dyed issues a run's lot, dyes it and reads it, and returns lot and tags.
func (a *atelier) dyed(r *pb.Run, l, as, b float64) (string, []string) {
	a.t.Helper()
	lot := r.GetLots()[0].GetCode()
	fine(a.Runs.IssueLot(a.Ctx, &pb.IssueLotRequest{RequestId: a.ID(), LotCode: lot}))(a.House)
	for position := range int32(3) {
		fine(a.Runs.RecordStage(a.Ctx, &pb.RecordStageRequest{RequestId: a.ID(), LotCodes: []string{lot}, Position: position + 1, AsPlanned: true, VesselCode: "pot-40"}))(a.House)
	}
	fine(a.Judge.RecordReading(a.Ctx, &pb.RecordReadingRequest{RequestId: a.ID(), Reading: &pb.Reading{LotCode: lot, Colour: &pb.Lab{L: l, A: as, B: b}, Condition: "dry", Rested: true}}))(a.House)
	var tags []string
	for _, g := range r.GetLots()[0].GetGarments() {
		tags = append(tags, g.GetTag())
	}
	return lot, tags
}

func (a *atelier) pass(lot string) {
	a.t.Helper()
	fine(a.Judge.GiveVerdict(a.Ctx, &pb.GiveVerdictRequest{RequestId: a.ID(), LotCode: lot, Outcome: "passed"}))(a.House)
}

func (a *atelier) send(tags ...string) error {
	_, err := a.Garment.DispatchGarments(a.Ctx, &pb.DispatchGarmentsRequest{RequestId: a.ID(), Tags: tags, OrderRef: "choir-7"})
	return err
}

func (a *atelier) shown(code string) *pb.GetCommissionResponse {
	a.t.Helper()
	return fine(a.Orders.GetCommission(a.Ctx, &pb.GetCommissionRequest{Code: code}))(a.House)
}

func picked(r *pb.Run, item string) string {
	for _, s := range r.GetStages() {
		for _, d := range s.GetDoses() {
			if d.GetItemCode() == item && len(d.GetPicks()) > 0 {
				return d.GetPicks()[0].GetParcelCode()
			}
		}
	}
	return ""
}

// The choir's lots again, as two runs of one commission: 1.78 apart. Within the
// standard's 1 they would not match, within the 2 that was agreed they do; and
// until the second is passed no piece of the first leaves.
func TestASetSpansRunsAndLeavesWholeByWhatWasAgreed(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	a.Receive("weld-dry", "2000g")
	w, tunics := a.agreed(6, "2"), a.Receive("tunic", "7pc")
	unsigned := func() bool {
		return slices.ContainsFunc(fine(a.Studio.GetToday(a.Ctx, &pb.GetTodayRequest{}))(a.House).GetTasks(), func(k *pb.Task) bool { return k.GetKey() == "sign-off-open" && k.GetSubject() == w })
	}
	if !unsigned() {
		t.Error("a commission without a sign-off is no task")
	}
	_, err := a.plan(w, tunics, 3)
	if saysNo(t, err, codes.FailedPrecondition, "", "no run is planned for W1 (choir-7): nobody of the customer's side has signed")["commission"] != w {
		t.Error("the refusal does not say which")
	}
	if a.signed(w); unsigned() {
		t.Error("it is signed")
	}
	first := fine(a.plan("choir-7", tunics, 3))(a.House) // by its reference too
	if c := a.shown(w).GetCommission(); c.GetView() != "D65/10°" || c.GetSetTolerance() != "2" {
		t.Errorf("%v", c)
	}
	if !first.GetMatchedSet() || first.GetCommissionCode() != w {
		t.Errorf("%v", first)
	}
	keys := warned(first.GetWarnings())
	for _, key := range []string{"might-not-take", "set-incomplete", "arrival-unchecked"} {
		if !slices.Contains(keys, key) {
			t.Errorf("%s is not said: %v", key, keys)
		}
	}
	lotA, tagsA := a.dyed(first, 62.6, -1.8, 38.9)
	a.pass(lotA)
	says := saysNo(t, a.send(tagsA...), codes.FailedPrecondition, "", "no piece of W1 (choir-7) leaves: a set passes as a set or not at all, and of tunic 3 of the 6 asked for have passed")
	if says["passed"] != "3" || says["asked"] != "6" {
		t.Errorf("%v", says)
	}

	second := fine(a.plan(w, tunics, 4))(a.House)
	if slices.Contains(warned(second.GetWarnings()), "set-incomplete") {
		t.Errorf("six and the spare are planned: %v", second.GetWarnings())
	}
	if err := a.send(tagsA[0]); !strings.Contains(err.Error(), "lot L2 is planned") {
		t.Error(err)
	}
	lotB, tagsB := a.dyed(second, 60.8, -1.4, 36.6)
	set := fine(a.Judge.GetJudgement(a.Ctx, &pb.GetJudgementRequest{LotCode: lotA}))(a.House).GetJudgement()
	if s := set.GetSet(); s.GetAsked() != "2" || s.GetFound() != "1.78" || s.GetState() != "passed" || set.GetCommissionCode() != w || len(set.GetPairs()) != 1 {
		t.Errorf("%v", set)
	}
	a.pass(lotB)
	if got := a.shown(w); got.GetHeldBack() != "" || got.GetCommission().GetState() != "judged" || got.GetPassed() != 7 || got.GetAsked() != 6 || len(got.GetLots()) != 2 || !strings.Contains(got.GetSetText(), "set 1.78") {
		t.Errorf("%v", got)
	}
	if err := a.send(append(tagsA, tagsB[:3]...)...); err != nil {
		t.Error(err)
	}
	if got := a.shown("choir-7").GetCommission().GetState(); got != "handed-over" {
		t.Error(got)
	}
	if open := fine(a.Orders.ListCommissions(a.Ctx, &pb.ListCommissionsRequest{}))(a.House).GetCommissions(); len(open) != 0 {
		t.Errorf("%v", open)
	}
}

// Apart by more than was agreed: the set is held back whole, and a named person
// may take it on.
func TestASetThatIsApartIsHeldBackWholeUnlessItIsOverridden(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	a.Receive("weld-dry", "2000g")
	w, tunics := a.signed(a.agreed(6, "1.5")), a.Receive("tunic", "6pc")
	lotA, tagsA := a.dyed(fine(a.plan(w, tunics, 3))(a.House), 62.6, -1.8, 38.9)
	lotB, tagsB := a.dyed(fine(a.plan(w, tunics, 3))(a.House), 60.8, -1.4, 36.6)
	a.pass(lotA)
	a.pass(lotB)
	for _, tag := range []string{tagsA[0], tagsB[0]} {
		saysNo(t, a.send(tag), codes.FailedPrecondition, "", "set 1.78 (CIEDE2000, D65/10°, L1 to L2), asked 1.5: failed 1.78")
	}
	if got := a.shown(w); !strings.Contains(got.GetHeldBack(), "failed 1.78") {
		t.Errorf("%v", got)
	}
	fine(a.Judge.OverrideRow(a.Ctx, &pb.OverrideRowRequest{RequestId: a.ID(), LotCode: lotB, Row: "set", Reason: "they stand in two rows"}))(a.House)
	if err := a.send(append(tagsA, tagsB...)...); err != nil {
		t.Error(err)
	}
}

// Law 11 by name: one harvest of each dyestuff over all runs of a commission, or
// a blend that was made and sampled first.
func TestLaw11OneHarvestOrASampledBlendOverAllRunsOfACommission(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	old, young := a.Receive("weld-dry", "400g"), a.Receive("weld-dry", "400g")
	made := fine(a.Stock.MakeParcel(a.Ctx, &pb.MakeParcelRequest{RequestId: a.ID(), ItemCode: "weld-dry", Amount: a.Amount("700g"),
		From: []*pb.Taken{{ParcelCode: old, Amount: a.Amount("350g")}, {ParcelCode: young, Amount: a.Amount("350g")}}}))(a.House)
	blend := made.GetParcel().GetCode()
	w, tunics := a.signed(a.agreed(6, "2")), a.Receive("tunic", "6pc")

	short := fine(a.plan(w, tunics, 3))(a.House) // 187 g of weld, and only the blend holds that
	if len(short.GetShortages()) != 1 || !strings.Contains(short.GetShortages()[0].GetText(), blend+" is a blend of weld-dry that no swatch was dyed with") {
		t.Errorf("%v", short.GetShortages())
	}
	_, err := a.plan(w, tunics, 3, blend)
	saysNo(t, err, codes.FailedPrecondition, "stage 2, weld-dry", blend+" is a blend")
	harvest := a.Receive("weld-dry", "250g")
	run := fine(a.Runs.PickRun(a.Ctx, &pb.PickRunRequest{RequestId: a.ID(), RunCode: short.GetCode()}))(a.House).GetRun()
	if got := picked(run, "weld-dry"); got != harvest {
		t.Errorf("picked %s, want the one harvest that covers it, %s", got, harvest)
	}

	// A second run goes on with that harvest, though the blend is sampled now.
	fine(a.Orders.SampleParcel(a.Ctx, &pb.SampleParcelRequest{RequestId: a.ID(), ParcelCode: blend, Note: "swatch book p. 31", SampledOn: "2024-02-01", By: "dyer-1"}))(a.House)
	second := fine(a.plan(w, tunics, 3))(a.House)
	if s := second.GetShortages(); len(s) != 1 || !strings.Contains(s[0].GetText(), harvest+" has 63 g free") || !strings.Contains(s[0].GetText(), "another run of this commission took "+harvest) {
		t.Errorf("%v", s)
	}
	_, err = a.Runs.PickRun(a.Ctx, &pb.PickRunRequest{RequestId: a.ID(), RunCode: second.GetCode(), Parcels: map[string]string{"weld-dry": blend}})
	saysNo(t, err, codes.FailedPrecondition, "stage 2, weld-dry", "weld-dry of the other runs of this commission comes from "+harvest)

	// Given up both, the set may begin anew with the blend that was sampled.
	for _, r := range []string{run.GetCode(), second.GetCode()} {
		fine(a.Runs.CancelRun(a.Ctx, &pb.CancelRunRequest{RequestId: a.ID(), RunCode: r, Reason: "too little of one harvest"}))(a.House)
	}
	both := fine(a.plan(w, tunics, 6))(a.House)
	if got := picked(both, "weld-dry"); got != blend || len(both.GetShortages()) != 0 {
		t.Errorf("picked %s, want %s: %v", got, blend, both.GetShortages())
	}
	if d := a.shown(w).GetDyestuffs(); len(d) != 1 || !cmp.Equal(d[0].GetParcelCodes(), []string{blend}) {
		t.Errorf("%v", d)
	}
}

// A blend of a blend is one too; a bag filled from a sampled one is not.
func TestABlendStaysOneUntilItIsSampled(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	from := func(each string, parcels ...string) string {
		t.Helper()
		q := &pb.MakeParcelRequest{RequestId: a.ID(), ItemCode: "weld-dry", Amount: a.Amount("20g")}
		for _, p := range parcels {
			q.From = append(q.From, &pb.Taken{ParcelCode: p, Amount: a.Amount(each)})
		}
		return fine(a.Stock.MakeParcel(a.Ctx, q))(a.House).GetParcel().GetCode()
	}
	one, two := a.Receive("weld-dry", "100g"), a.Receive("weld-dry", "100g")
	rebagged := from("20g", one)
	blend := from("15g", one, two)
	bag := from("19g", blend)
	again := from("10g", one, rebagged) // of one harvest all the same
	_, err := a.Orders.SampleParcel(a.Ctx, &pb.SampleParcelRequest{RequestId: a.ID(), ParcelCode: one, Note: "p. 3"})
	saysNo(t, err, codes.FailedPrecondition, "", one+" is a delivery of weld-dry: what is sampled before a set is a blend")
	_, err = a.Orders.SampleParcel(a.Ctx, &pb.SampleParcelRequest{RequestId: a.ID(), ParcelCode: blend})
	saysNo(t, err, codes.InvalidArgument, "note", "which swatch was dyed with it")
	_, err = a.Orders.SampleParcel(a.Ctx, &pb.SampleParcelRequest{RequestId: a.ID(), ParcelCode: blend, ReadingCode: "C9"})
	saysNo(t, err, codes.NotFound, "reading_code", "C9")
	w := a.signed(a.agreed(1, "2"))
	tunics := a.Receive("tunic", "9pc")
	may := func(parcel string) bool {
		t.Helper()
		_, err := a.Runs.PlanRun(a.Ctx, &pb.PlanRunRequest{RequestId: a.ID(), ColourwayCode: "olive-silk", CommissionCode: w, DryRun: true,
			Blanks: []*pb.Blanks{{ParcelCode: tunics, Count: 1}}, PotCodes: []string{"pot-40"}, Parcels: map[string]string{"weld-dry": parcel}})
		return err == nil // too little of it is short, not refused
	}
	if !may(rebagged) || !may(again) || may(bag) {
		t.Errorf("%v %v %v", may(rebagged), may(again), may(bag))
	}
	fine(a.Orders.SampleParcel(a.Ctx, &pb.SampleParcelRequest{RequestId: a.ID(), ParcelCode: bag, Note: "p. 4"}))(a.House)
	if !may(bag) {
		t.Error("it was sampled")
	}
}

// What was weighed in is in the pot: another harvest in the second run is
// recorded, and said.
func TestLaw2AnotherHarvestInThePotIsRecordedAndSaid(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	a.Receive("weld-dry", "2000g")
	other := a.Receive("weld-dry", "2000g")
	w, tunics := a.signed(a.agreed(6, "2")), a.Receive("tunic", "6pc")
	a.dyed(fine(a.plan(w, tunics, 3))(a.House), 62.6, -1.8, 38.9)
	lot := fine(a.plan(w, tunics, 3))(a.House).GetLots()[0].GetCode()
	resp := fine(a.Runs.RecordStage(a.Ctx, &pb.RecordStageRequest{RequestId: a.ID(), LotCodes: []string{lot}, Position: 2, VesselCode: "pot-40", Used: []*pb.Taken{{ParcelCode: other, Amount: a.Amount("187g")}}}))(a.House)
	if !slices.Contains(warned(resp.GetWarnings()), "two-harvests") || !slices.Contains(warned(a.shown(w).GetWarnings()), "two-harvests") {
		t.Errorf("%v", resp.GetWarnings())
	}
}

func TestACommissionIsRefusedByField(t *testing.T) {
	t.Parallel()
	a := openAtelier(t)
	ask := func(how func(*pb.Commission)) error {
		c := &pb.Commission{Reference: "choir-8", ColourwayCode: "olive-silk", SetTolerance: "1", Pieces: []*pb.CommissionPieces{{ItemCode: "tunic", Count: 2}}}
		how(c)
		_, err := a.Orders.CreateCommission(a.Ctx, &pb.CreateCommissionRequest{RequestId: a.ID(), Commission: c})
		return err
	}
	for name, c := range map[string]struct {
		how         func(*pb.Commission)
		code        codes.Code
		field, says string
	}{
		"a name":        {func(c *pb.Commission) { c.Reference = "The Choir" }, codes.InvalidArgument, "commission.reference", "who it is for is kept elsewhere"},
		"colourway":     {func(c *pb.Commission) { c.ColourwayCode = "gold" }, codes.NotFound, "commission.colourway_code", "gold"},
		"tolerance":     {func(c *pb.Commission) { c.SetTolerance = "" }, codes.InvalidArgument, "commission.set_tolerance", "number"},
		"item":          {func(c *pb.Commission) { c.Pieces[0].ItemCode = "tunica" }, codes.NotFound, "commission.pieces[0].item_code", "tunica"},
		"a salt":        {func(c *pb.Commission) { c.Pieces[0].ItemCode = "alum" }, codes.InvalidArgument, "commission.pieces[0].item_code", "alum is a mordant"},
		"no piece":      {func(c *pb.Commission) { c.Pieces[0].Count = 0 }, codes.InvalidArgument, "commission.pieces[0].count", "0 pieces"},
		"due in 2024":   {func(c *pb.Commission) { c.DueOn = "2024-01-01" }, codes.InvalidArgument, "commission.due_on", "is past"},
		"due some day":  {func(c *pb.Commission) { c.DueOn = "soon" }, codes.InvalidArgument, "commission.due_on", "is not a day"},
		"two of a kind": {func(c *pb.Commission) { c.Pieces = append(c.Pieces, c.Pieces[0]) }, codes.InvalidArgument, "commission.pieces[1].item_code", "named twice"},
	} {
		t.Run(name, func(t *testing.T) { saysNo(t, ask(c.how), c.code, c.field, c.says) })
	}
	w := a.agreed(2, "1")
	saysNo(t, ask(func(c *pb.Commission) { c.Reference = "choir-7" }), codes.AlreadyExists, "commission.reference", "already")
	sign := func(s *pb.SignOff) error {
		_, err := a.Orders.SignCommission(a.Ctx, &pb.SignCommissionRequest{RequestId: a.ID(), CommissionCode: w, SignOff: s})
		return err
	}
	saysNo(t, sign(&pb.SignOff{ByRole: "conductor"}), codes.InvalidArgument, "sign_off", "exactly one")
	saysNo(t, sign(&pb.SignOff{StandardCode: "choir-olive", ByRole: "A. Name"}), codes.InvalidArgument, "sign_off.by_role", "no name is kept")
	saysNo(t, sign(&pb.SignOff{StandardCode: "choir-olive", ByRole: "conductor", SignedOn: "2199-01-01"}), codes.InvalidArgument, "sign_off.signed_on", "is in the future")
	saysNo(t, sign(&pb.SignOff{ReadingCode: "C7", ByRole: "conductor"}), codes.NotFound, "sign_off.reading_code", "C7")
	_, err := a.Orders.GetCommission(a.Ctx, &pb.GetCommissionRequest{Code: "W9"})
	saysNo(t, err, codes.NotFound, "commission", "W9")
	_, err = a.plan("W9", a.Receive("tunic", "1pc"), 1)
	saysNo(t, err, codes.NotFound, "commission", "W9")
}
