package api_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "dyelot/proto/dyelot/v1"
	"dyelot/server/api/apitest"
)

// desk is a studio that brings its old sheets: a colourway and a pot are in the
// books, the rest comes in.
type desk struct {
	*apitest.House
	Opening pb.OpeningServiceClient
}

func openDesk(t *testing.T) desk {
	t.Helper()
	h := apitest.New(t)
	d := desk{h, pb.NewOpeningServiceClient(h.Conn)}
	h.Item(&pb.Item{Code: "alum", Name: "potassium alum", Kind: "mordant", Substance: "potassium alum"})
	h.Item(&pb.Item{Code: "weld", Kind: "dyestuff", Plant: "weld", Part: "tops"})
	_, err := h.Recipes.CreateShadeStandard(h.Ctx, &pb.CreateShadeStandardRequest{RequestId: h.ID(), Standard: &pb.ShadeStandard{
		Code: "gold", Name: "gold", Colour: &pb.Lab{L: 62, A: -2, B: 38}, Tolerance: "1.5", SetTolerance: "1.0", DatedOn: "2020-03-01"}})
	apitest.Must(h, 0, err)
	_, err = h.Recipes.CreateRecipeVersion(h.Ctx, &pb.CreateRecipeVersionRequest{RequestId: h.ID(), Recipe: &pb.Recipe{Code: "weld-wool", Fibre: "wool", LiquorRatio: "30", Stages: []*pb.RecipeStage{
		{Position: 1, Kind: "mordant", Celsius: 80, Minutes: 60, Doses: []*pb.Dose{{ItemCode: "alum", Basis: "percent_wof", Value: "12"}}},
		{Position: 2, Kind: "brew", Celsius: 90, Minutes: 60, Doses: []*pb.Dose{{ItemCode: "weld", Basis: "percent_wof", Value: "60"}}},
		{Position: 3, Kind: "dye", Celsius: 75, Minutes: 60}}}})
	apitest.Must(h, 0, err)
	_, err = h.Recipes.CreateColourway(h.Ctx, &pb.CreateColourwayRequest{RequestId: h.ID(), Colourway: &pb.Colourway{Code: "harbour-gold", Name: "harbour gold", StandardCode: "gold", RecipeCode: "weld-wool"}})
	apitest.Must(h, 0, err)
	_, err = h.Studio.AddVessel(h.Ctx, &pb.AddVesselRequest{RequestId: h.ID(), Vessel: &pb.Vessel{Code: "pot-40", Volume: h.Amount("40L"), Uses: []string{"dye"}}})
	apitest.Must(h, 0, err)
	return d
}

func (d desk) sheets(items, parcels, lots string) *pb.ImportOpeningRequest {
	req := &pb.ImportOpeningRequest{RequestId: d.ID()}
	for _, s := range []struct {
		text string
		into **pb.OpeningSheet
		name string
	}{{items, &req.Items, "items.csv"}, {parcels, &req.Parcels, "parcels.csv"}, {lots, &req.Lots, "lots.csv"}} {
		if s.text != "" {
			*s.into = &pb.OpeningSheet{Name: s.name, Content: []byte(s.text)}
		}
	}
	return req
}

// counts is every table that an import could write to, as verify counts them.
func (d desk) counts() map[string]int64 {
	d.T.Helper()
	v, err := d.Studio.VerifyBooks(d.Ctx, &pb.VerifyBooksRequest{})
	for _, f := range apitest.Must(d.House, v, err).GetFindings() {
		d.T.Errorf("the books are not whole: %v", f)
	}
	v.Counts["digest"] = int64(len(v.GetBalancesSha256()))
	for _, b := range []byte(v.GetBalancesSha256()) {
		v.Counts["digest"] = v.Counts["digest"]*31 + int64(b)
	}
	return v.GetCounts()
}

const (
	// As a spreadsheet of a country with decimal commas exports it: semicolons,
	// a byte order mark, CRLF.
	oldItems = "\ufeffitem;kind;name;style;size;fibre;piece_mass;minimum\r\n" +
		"cap-wool;blank;wool cap;cap;M;wool;84 g;12\r\n" +
		"copperas;mordant;copperas;;;;;100 g\r\n"
	oldParcels = "ref;item;amount;unit;arrived_on;supplier;supplier_lot;cost;picked_on;fresh (kg);received;note\r\n" +
		"caps;cap-wool;3;;2023-02-01;Island Mill;IM-2;252,00;;;;\r\n" +
		"alum-2023;alum;8;oz;2023-04-02;Northern Salts;NS-118;12,40 EUR;;;;\"opened in May,\r\nhalf empty\"\r\n" +
		";;;;;;;;;;;\r\n" +
		"weld-2023;weld;96;g;;;;;2023-06-20;3,2;600 g;\r\n"
	oldLots = "ref;colourway;vessel;dyed_on;pieces;blanks;dry_mass;used;by;passed_by;passed_on;order;sold;sold_on;note\r\n" +
		"2023-17;harbour-gold;pot-40;2023-07-04;6;caps;507 g;alum-2023=60,8 g | weld-2023=304 g;dyer-1;owner-then;2023-08-20;market-3;5;2023-08-22;a little paler\r\n"
)

// The whole of it: three sheets in, and a garment sold years ago is traced to
// its lot, to what was weighed into its pots, and to its sisters.
func TestAPastGarmentIsTracedToItsLotAndItsParcels(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	resp, err := d.Opening.ImportOpening(d.Ctx, d.sheets(oldItems, oldParcels, oldLots))
	apitest.Must(d.House, resp, err)
	if resp.GetItems() != 2 || resp.GetParcels() != 3 || resp.GetLots() != 1 || resp.GetGarments() != 6 || len(resp.GetOpenedLots()[0].GetTags()) != 6 {
		t.Fatalf("%v", resp)
	}
	codeOf := map[string]string{}
	for _, p := range resp.GetOpenedParcels() {
		codeOf[p.GetRef()] = p.GetCode()
	}
	// 8 oz avoirdupois are 226.796185 g (international yard and pound agreement,
	// 1959). What lies there is what the sheet says; what came in is that and
	// what the lot took: 287.596185 g of alum.
	alum, err := d.Stock.GetParcel(d.Ctx, &pb.GetParcelRequest{Code: codeOf["alum-2023"]})
	if got := apitest.Must(d.House, alum, err).GetParcel().GetOnHand().GetValue(); got != "226.796185" {
		t.Errorf("alum on hand: %s", got)
	}
	if in := alum.GetMovements()[0].GetLegs()[0].GetAmount().GetValue(); in != "287.596185" || alum.GetMovements()[0].GetKind() != "delivery" || alum.GetMovements()[0].GetReason() != "opening" {
		t.Errorf("alum in: %v", alum.GetMovements()[0])
	}
	if alum.GetParcel().GetNote() != "opened in May,\nhalf empty" || alum.GetParcel().GetCost().GetCurrency() != "EUR" || alum.GetParcel().GetCost().GetValue() != "12.4" {
		t.Errorf("alum: %v", alum.GetParcel())
	}
	// 600 g were weighed dry, 96 are left, the lot took 304: 200 are gone.
	weld, err := d.Stock.GetParcel(d.Ctx, &pb.GetParcelRequest{Code: codeOf["weld-2023"]})
	if p := apitest.Must(d.House, weld, err).GetParcel(); p.GetOnHand().GetValue() != "96" || p.GetHarvest().GetFreshToDry() != "5.33" || p.GetHarvest().GetDryMass().GetValue() != "600" {
		t.Errorf("weld: %v", p)
	}
	tags := resp.GetOpenedLots()[0].GetTags()
	tr, err := d.Garment.TraceGarment(d.Ctx, &pb.TraceGarmentRequest{Tag: tags[0]})
	apitest.Must(d.House, tr, err)
	through := map[string]string{}
	for _, p := range tr.GetParcels() {
		through[p.GetParcel().GetItemCode()] = p.GetShare().GetValue()
	}
	if diff := cmp.Diff(map[string]string{"alum": "60.8", "weld": "304", "cap-wool": "6"}, through); diff != "" {
		t.Errorf("came from: %s", diff)
	}
	if tr.GetGarment().GetPlace() != "sold" || tr.GetGarment().GetOrderRef() != "market-3" || len(tr.GetSisters()) != 5 || tr.GetLot().GetState() != "passed" {
		t.Errorf("%v", tr.GetGarment())
	}
	kinds := []string{}
	for _, r := range tr.GetRecords() {
		kinds = append(kinds, fmt.Sprintf("%d %s by %s", r.GetPosition(), r.GetKind(), r.GetBy()))
	}
	if diff := cmp.Diff([]string{"1 mordant by dyer-1", "2 brew by dyer-1"}, kinds); diff != "" {
		t.Error(diff)
	}
	// Law 5: it was held against no row of the house standard, and every later
	// view says who took that on.
	for _, row := range tr.GetJudgement().GetRows() {
		if row.GetState() != "overridden" || row.GetOverrideBy() != "owner-then" || !strings.HasPrefix(row.GetOverrideReason(), "opening") {
			t.Errorf("%v", row)
		}
	}
	sum := 0.0
	lot, err := d.Runs.GetLot(d.Ctx, &pb.GetLotRequest{Code: resp.GetOpenedLots()[0].GetLotCode()})
	for _, g := range apitest.Must(d.House, lot, err).GetLot().GetGarments() {
		var m float64
		_, _ = fmt.Sscan(g.GetDryMass().GetValue(), &m)
		sum += m
	}
	if fmt.Sprintf("%.6f", sum) != "507.000000" || lot.GetLot().GetGarmentMass().GetValue() != "507" {
		t.Errorf("the garments weigh %v of %v", sum, lot.GetLot().GetGarmentMass())
	}
	// The last one is on the shelf, and may be sold; a sold one may come back.
	_, err = d.Garment.DispatchGarments(d.Ctx, &pb.DispatchGarmentsRequest{RequestId: d.ID(), Tags: tags[5:], OrderRef: "market-9"})
	apitest.Must(d.House, 0, err)
	_, err = d.Garment.TakeBackGarment(d.Ctx, &pb.TakeBackGarmentRequest{RequestId: d.ID(), Tag: tags[0], Complaint: "faded"})
	apitest.Must(d.House, 0, err)
	run, err := d.Runs.GetRun(d.Ctx, &pb.GetRunRequest{Code: resp.GetOpenedLots()[0].GetRunCode()})
	if note := apitest.Must(d.House, run, err).GetRun().GetNote(); note != "opening, lot 2023-17 of the books before: a little paler" {
		t.Errorf("note %q", note)
	}
	card, err := d.Runs.GetBenchCard(d.Ctx, &pb.GetBenchCardRequest{LotCode: lot.GetLot().GetCode()})
	apitest.Must(d.House, card, err)
	today, err := d.Studio.GetToday(d.Ctx, &pb.GetTodayRequest{})
	for _, task := range apitest.Must(d.House, today, err).GetTasks() {
		if task.GetKey() != "came-back" && task.GetSubject() == lot.GetLot().GetCode() || task.GetKey() == "found" {
			t.Errorf("nothing of the past wants doing: %v", task)
		}
	}
	d.counts()
}

// One transaction: a bad last row leaves everything as it was, and every row
// that is off is told in one answer, with its line and column.
func TestABadLastRowLeavesEverythingAsItWas(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	before := d.counts()
	parcels := oldParcels + "weld-bad;wild;1,234;g;02.07.2023;;;;;;;\r\n" + "x;alum;5;;;;;;;;;\r\n"
	req := d.sheets(oldItems, parcels, oldLots)
	resp, err := d.Opening.ImportOpening(d.Ctx, req)
	if status.Code(err) != codes.InvalidArgument {
		t.Fatalf("%v, %v", resp, err)
	}
	want := []string{
		`parcels:7:item: there is no item "wild", neither in the items sheet nor in the books`,
		`parcels:8:amount: "5" has no unit: write 500 g, or give the unit in the header or in a column of its own`,
	}
	if diff := cmp.Diff(want, violations(err)); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff(before, d.counts()); diff != "" {
		t.Errorf("something was recorded: %s", diff)
	}
	// The same request id may be used for what is put right, since a refusal is
	// not kept.
	req.Parcels.Content = []byte(oldParcels)
	_, err = d.Opening.ImportOpening(d.Ctx, req)
	apitest.Must(d.House, 0, err)
}

func violations(err error) []string {
	var all []string
	for _, detail := range status.Convert(err).Details() {
		if bad, ok := detail.(*errdetails.BadRequest); ok {
			for _, v := range bad.GetFieldViolations() {
				all = append(all, v.GetField()+": "+v.GetDescription())
			}
		}
	}
	return all
}

func TestADryRunChangesNothingAndSaysWhatItUnderstood(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	before := d.counts()
	req := d.sheets(oldItems, oldParcels, oldLots)
	req.DryRun = true
	resp, err := d.Opening.ImportOpening(d.Ctx, req)
	apitest.Must(d.House, resp, err)
	if diff := cmp.Diff(before, d.counts()); diff != "" {
		t.Errorf("a dry run recorded something: %s", diff)
	}
	var said []string
	for _, n := range resp.GetUnderstood() {
		said = append(said, fmt.Sprintf("%s %d %s", n.GetSheet(), n.GetLine(), n.GetText()))
	}
	want := []string{
		`items 2 cap-wool: blank "wool cap", counted in pc, 100 % of wool, 84 g a piece, at least 12 pieces kept`,
		`items 3 copperas: mordant "copperas", counted in g, at least 100 g kept`,
		`parcels 2 3 pieces of cap-wool on the shelf, came 2023-02-01 from Island Mill, lot IM-2, 252.00 EUR; 9 pieces came in, 6 pieces went into these lots, 0 pieces before`,
		`parcels 3 226.796 g of alum on the shelf, came 2023-04-02 from Northern Salts, lot NS-118, 12.40 EUR; 287.596 g came in, 60.8 g went into these lots, 0 g before`,
		`parcels 6 96 g of weld on the shelf, picked 2023-06-20; 600 g came in, 304 g went into these lots, 200 g before`,
		`lots 2 6 pieces, 507 g air-dry, dyed 2023-07-04 in pot-40 by dyer-1 with weld-wool version 1, passed by owner-then; 5 sold for market-3`,
	}
	if diff := cmp.Diff(want, said); diff != "" {
		t.Error(diff)
	}
	if len(resp.GetOpenedLots())+len(resp.GetOpenedParcels()) > 0 {
		t.Error("a dry run gives codes that nobody has")
	}
	req.Lots.Content = []byte(strings.Replace(oldLots, "pot-40", "pot-400", 1))
	resp, err = d.Opening.ImportOpening(d.Ctx, req)
	if f := apitest.Must(d.House, resp, err).GetFindings(); len(f) != 1 || f[0].GetLine() != 2 || f[0].GetColumn() != "vessel" {
		t.Errorf("findings %v", f)
	}
}

// Law 7, and beyond: the same file under another request id is not taken in a
// second time unasked.
func TestTheSameSheetIsImportedOnce(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	req := d.sheets("", "item;amount;supplier;supplier_lot\nalum;500 g;Northern Salts;NS-1\n", "")
	first, err := d.Opening.ImportOpening(d.Ctx, req)
	apitest.Must(d.House, first, err)
	again, err := d.Opening.ImportOpening(d.Ctx, req)
	if !proto.Equal(first, apitest.Must(d.House, again, err)) {
		t.Errorf("%v\n%v", first, again)
	}
	other := proto.CloneOf(req)
	other.RequestId = d.ID()
	_, err = d.Opening.ImportOpening(d.Ctx, other)
	named(t, err, "IMPORTED_BEFORE", "")
	other.Again = true
	resp, err := d.Opening.ImportOpening(d.Ctx, other)
	if w := apitest.Must(d.House, resp, err).GetWarnings(); len(w) != 1 || !strings.Contains(w[0].GetText(), "is in the books already as P1") {
		t.Errorf("the bag comes twice, and nobody says so: %v", w)
	}
	twice := d.sheets("", "item;amount;supplier;supplier_lot\nalum;5 g;Northern salts;ns-2\nalum;6 g;Northern Salts;NS-2\n", "")
	resp, err = d.Opening.ImportOpening(d.Ctx, twice)
	if w := apitest.Must(d.House, resp, err).GetWarnings(); len(w) != 1 || w[0].GetLine() != 3 || !strings.Contains(w[0].GetText(), "line 2 already") {
		t.Errorf("%v", w)
	}
	audit, err := d.Studio.ListAuditEntries(d.Ctx, &pb.ListAuditEntriesRequest{})
	for _, e := range apitest.Must(d.House, audit, err).GetEntries() {
		if len(e.GetBody()) > 2000 {
			t.Errorf("%d bytes of audit for %s", len(e.GetBody()), e.GetAct())
		}
	}
}

// Lots may come after their parcels: by the sheet's own words, or by the codes
// of these books. What they took was there before, so what lies there stays.
func TestPastLotsMayTakeOfParcelsInTheBooks(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	resp, err := d.Opening.ImportOpening(d.Ctx, d.sheets(oldItems, oldParcels, ""))
	apitest.Must(d.House, resp, err)
	bag := d.Receive("alum", "100g")
	lots := "colourway;vessel;dyed_on;pieces;blanks;used\nharbour-gold;pot-40;2023-07-04;2;Caps;" + strings.ToLower(bag) + "=20 g | weld-2023=10 g\n"
	resp, err = d.Opening.ImportOpening(d.Ctx, d.sheets("", "", lots))
	if w := apitest.Must(d.House, resp, err).GetWarnings(); len(w) != 3 {
		t.Errorf("warnings %v", w)
	}
	for code, want := range map[string]string{bag: "100", "P1": "3", "P3": "96"} {
		p, err := d.Stock.GetParcel(d.Ctx, &pb.GetParcelRequest{Code: code})
		if got := apitest.Must(d.House, p, err).GetParcel().GetOnHand().GetValue(); got != want {
			t.Errorf("%s holds %s, want %s", code, got, want)
		}
	}
	tr, err := d.Garment.TraceGarment(d.Ctx, &pb.TraceGarmentRequest{Tag: resp.GetOpenedLots()[0].GetTags()[1]})
	if n := len(apitest.Must(d.House, tr, err).GetParcels()); n != 3 {
		t.Errorf("traced to %d parcels", n)
	}
	d.counts()
}

// 500 findings travel in one answer.
func TestManyFindingsAreToldAtOnce(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	req := d.sheets("", "item,amount\n"+strings.Repeat("alum,\"1,234 g\"\n", 700), "")
	_, err := d.Opening.ImportOpening(d.Ctx, req)
	if v := violations(err); len(v) != 500 || !strings.Contains(status.Convert(err).Message(), "700 things are off") {
		t.Errorf("%d findings, %v", len(v), status.Convert(err).Message())
	}
	req.DecimalMark = "comma"
	resp, err := d.Opening.ImportOpening(d.Ctx, req)
	if got := apitest.Must(d.House, resp, err).GetSums()[0].GetOnHand().GetValue(); got != "863.8" {
		t.Errorf("700 bags of 1.234 g are %s g", got)
	}
}

// 20 000 parcels and 1 000 lots: no statement a row.
func TestAYearsOfSheetsComeInWithoutAStatementARow(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	var parcels, lots strings.Builder
	parcels.WriteString("ref,item,amount,arrived_on,supplier_lot\ncaps,cap-wool,0,2020-01-01,\n")
	for i := range 20_000 {
		fmt.Fprintf(&parcels, "a%d,alum,%d.5 g,2021-01-%02d,L-%d\n", i, i%400, i%28+1, i)
	}
	lots.WriteString("ref,colourway,vessel,dyed_on,pieces,blanks,used\n")
	for i := range 1000 {
		fmt.Fprintf(&lots, "l%d,harbour-gold,pot-40,2021-02-%02d,6,caps,a%d=12 g\n", i, i%28+1, i)
	}
	before, began := d.Store.Statements(), time.Now()
	resp, err := d.Opening.ImportOpening(d.Ctx, d.sheets(oldItems, parcels.String(), lots.String()))
	apitest.Must(d.House, resp, err)
	t.Logf("%d parcels, %d lots, %d garments in %s", resp.GetParcels(), resp.GetLots(), resp.GetGarments(), time.Since(began))
	if n := d.Store.Statements() - before; n > 60 {
		t.Errorf("%d statements", n)
	}
	if diff := cmp.Diff([]int32{20_001, 1000, 6000}, []int32{resp.GetParcels(), resp.GetLots(), resp.GetGarments()}); diff != "" {
		t.Error(diff)
	}
	// Sums equal: 50 rounds of 0.5 + … + 399.5 g lie there (each 80 000 g), and 12 g a lot went into the pots.
	for _, s := range resp.GetSums() {
		want := map[string][2]string{"alum": {"4000000", "12000"}, "cap-wool": {"0", "6000"}}[s.GetItemCode()]
		if got := [2]string{s.GetOnHand().GetValue(), s.GetUsed().GetValue()}; got != want {
			t.Errorf("%s: %v, want %v", s.GetItemCode(), got, want)
		}
	}
	items, err := d.Stock.ListItems(d.Ctx, &pb.ListItemsRequest{})
	for _, it := range apitest.Must(d.House, items, err).GetItems() {
		if it.GetCode() == "alum" && it.GetOnHand().GetValue() != "4000000" {
			t.Errorf("the books hold %v of alum", it.GetOnHand())
		}
	}
}

func TestOpeningIsForOwnersAndRefusesByField(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	off(t, second(d.Opening.ImportOpening(d.Ctx, &pb.ImportOpeningRequest{RequestId: d.ID()})), "items")
	req := d.sheets("item,kind\nx,mordant\n", "", "")
	req.DecimalMark = "apostrophe"
	off(t, second(d.Opening.ImportOpening(d.Ctx, req)), "decimal_mark")
	req.DecimalMark, req.DayOrder = "", "ymd"
	off(t, second(d.Opening.ImportOpening(d.Ctx, req)), "day_order")
	req.DayOrder, req.Lots = "", &pb.OpeningSheet{Content: make([]byte, 16_000_000)}
	off(t, second(d.Opening.ImportOpening(d.Ctx, req)), "lots.content")
	_, err := d.Opening.ImportOpening(d.As("dyer-2", "dyer"), req)
	d.Refused(err, codes.PermissionDenied)
	cols, err := d.Opening.ListOpeningColumns(d.As("viewer-2", "viewer"), &pb.ListOpeningColumnsRequest{})
	if n := len(apitest.Must(d.House, cols, err).GetColumns()); n < 40 {
		t.Errorf("%d columns", n)
	}
}
