package api_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/protobuf/testing/protocmp"
	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// The choir's shelf, as two people worked it by hand: a bag of 155 g of alum
// with 20 g promised, 162 g wanted, 27 g short; a harvest of 14.6 kg of weld
// that dries to 2.70 kg, 5.41 : 1, at 90 % strength; 100 g of copperas in
// 500 mL, 200 g/L.
func TestTheChoirsShelf(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	p, _ := c.bag("alum", "155", "g")
	must[*dyelotv1.PromiseParcelResponse](t)(c.PromiseParcel(c.ctx, &dyelotv1.PromiseParcelRequest{RequestId: c.id(), ParcelCode: p, Amount: amountOf("20", "g"), Purpose: "swatches"}))
	_, err := c.PromiseParcel(c.ctx, &dyelotv1.PromiseParcelRequest{RequestId: c.id(), ParcelCode: p, Amount: amountOf("162", "g")})
	want := map[string]string{"rule": "STOCK_SHORT", "parcel": "P1", "asked": "162 g", "free": "135 g", "short": "27 g"}
	if diff := cmp.Diff(want, refused(t, err, "STOCK_SHORT")); diff != "" {
		t.Error(diff)
	}
	c.stands(p, "155", "20", "135")

	c.item(&dyelotv1.Item{Code: "weld", Name: "weld", Kind: "dyestuff", Plant: "weld", Part: "tops"})
	h := must[*dyelotv1.LogHarvestResponse](t)(c.LogHarvest(c.ctx, &dyelotv1.LogHarvestRequest{RequestId: c.id(), ItemCode: "weld", Harvest: &dyelotv1.Harvest{
		PickedOn: "2024-07-02", Place: "lane behind the boathouse", Ripeness: "in seed", Permission: "owner", FreshMass: amountOf("14.6", "kg")}})).GetParcel()
	if !h.GetDamp() || h.GetOnHand().GetValue() != "0" || h.GetHarvest().GetPart() != "tops" {
		t.Errorf("damp: %v", h)
	}
	_, err = c.PromiseParcel(c.ctx, &dyelotv1.PromiseParcelRequest{RequestId: c.id(), ParcelCode: h.GetCode(), Amount: amountOf("1", "g")})
	refused(t, err, "PARCEL_DAMP")
	h = must[*dyelotv1.DryHarvestResponse](t)(c.DryHarvest(c.ctx, &dyelotv1.DryHarvestRequest{RequestId: c.id(), ParcelCode: h.GetCode(), DryMass: amountOf("2700", "g")})).GetParcel()
	if h.GetDamp() || h.GetHarvest().GetFreshToDry() != "5.41" || h.GetFree().GetValue() != "2700" {
		t.Errorf("dry: %v", h)
	}
	h = must[*dyelotv1.SetStrengthResponse](t)(c.SetStrength(c.ctx, &dyelotv1.SetStrengthRequest{RequestId: c.id(), ParcelCode: h.GetCode(), StrengthPercent: "90", Basis: "test dips"})).GetParcel()
	if h.GetStrengthPercent() != "90" {
		t.Errorf("strength: %v", h)
	}

	_, jar, _ := makeLiquor(c)
	j := c.parcel(jar).GetParcel()
	from := []*dyelotv1.Taken{{ParcelCode: "P3", Amount: amountOf("100", "g")}}
	if diff := cmp.Diff(from, j.GetMadeFrom(), protocmp.Transform()); diff != "" || j.GetGramsPerLitre() != "200" || j.GetOnHand().GetValue() != "500" {
		t.Errorf("%v %s", j, diff)
	}
	c.whole()
}

func TestBadInputIsRefusedByItsField(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	c.item(&dyelotv1.Item{Code: "weld", Kind: "dyestuff"})
	c.item(&dyelotv1.Item{Code: "iron-liquor", Kind: "solution", Substance: "copperas"})
	silk := []*dyelotv1.FibrePart{{Fibre: "silk", Percent: "100"}}
	c.item(&dyelotv1.Item{Code: "tunic", Kind: "blank", Fibres: silk, PieceMass: amountOf("105", "g")})
	p, _ := c.bag("alum", "100", "g")
	tomorrow := timestamppb.New(time.Now().Add(24 * time.Hour))
	deliver := func(item string, change func(*dyelotv1.ReceiveDeliveryRequest)) error {
		unit := map[string]string{"alum": "g", "tunic": "pc", "iron-liquor": "mL"}[item]
		req := &dyelotv1.ReceiveDeliveryRequest{RequestId: c.id(), ItemCode: item, Amount: amountOf("5", unit)}
		change(req)
		_, err := c.ReceiveDelivery(c.ctx, req)
		return err
	}
	for _, a := range []struct{ value, unit string }{{"0", "g"}, {"-5", "g"}, {"NaN", "g"}, {"Inf", "g"}, {"1e3", "g"}, {"1,5", "g"}, {"", "g"}, {"5", "pc"}, {"5", "mL"}, {"5", "stone"}, {"9999999999999999999", "g"}} {
		err := deliver("alum", func(r *dyelotv1.ReceiveDeliveryRequest) { r.Amount = amountOf(a.value, a.unit) })
		if _, _, n := said(err); !strings.HasPrefix(n["field"], "amount") {
			t.Errorf("%q %q: %v", a.value, a.unit, err)
		}
	}
	type delivery = dyelotv1.ReceiveDeliveryRequest
	off(t, deliver("alum", func(r *delivery) { r.Amount = nil }), "amount")
	off(t, deliver("tunic", func(r *delivery) { r.Amount = amountOf("100", "g") }), "amount")
	off(t, deliver("tunic", func(r *delivery) { r.Amount = amountOf("1.5", "pc") }), "amount.value")
	off(t, deliver("alum", func(r *delivery) { r.HappenedAt = tomorrow }), "happened_at")
	off(t, deliver("alum", func(r *delivery) { r.UsableUntil = "tomorrow" }), "usable_until")
	off(t, deliver("alum", func(r *delivery) { r.UsableUntil = "2001-02-03" }), "usable_until")
	off(t, deliver("alum", func(r *delivery) { r.Cost = &dyelotv1.Money{Value: "-1", Currency: "EUR"} }), "cost.value")
	off(t, deliver("alum", func(r *delivery) { r.Cost = &dyelotv1.Money{Value: "1", Currency: "euro"} }), "cost.currency")
	off(t, deliver("alum", func(r *delivery) { r.GramsPerLitre = "200" }), "grams_per_litre")
	off(t, deliver("iron-liquor", func(r *delivery) { r.GramsPerLitre = "-200" }), "grams_per_litre")
	off(t, deliver("alum", func(r *delivery) { r.PieceMass = amountOf("5", "g") }), "piece_mass")
	off(t, deliver("alum", func(r *delivery) { r.Note = strings.Repeat("x", 10<<20) }), "note")

	harvest := func(h *dyelotv1.Harvest) error {
		_, err := c.LogHarvest(c.ctx, &dyelotv1.LogHarvestRequest{RequestId: c.id(), ItemCode: "weld", Harvest: h})
		return err
	}
	off(t, harvest(nil), "harvest")
	off(t, harvest(&dyelotv1.Harvest{PickedOn: time.Now().Add(48 * time.Hour).Format(time.DateOnly), FreshMass: amountOf("5", "g")}), "harvest.picked_on")
	off(t, harvest(&dyelotv1.Harvest{FreshMass: amountOf("5", "g")}), "harvest.picked_on")
	off(t, harvest(&dyelotv1.Harvest{PickedOn: "2024-05-01"}), "harvest.fresh_mass")
	off(t, harvest(&dyelotv1.Harvest{PickedOn: "2024-05-01", FreshMass: amountOf("5", "pc")}), "harvest.fresh_mass")
	off(t, harvest(&dyelotv1.Harvest{PickedOn: "2024-05-01", FreshMass: amountOf("5", "kg"), DryMass: amountOf("6", "kg")}), "harvest.dry_mass")
	off(t, harvest(&dyelotv1.Harvest{PickedOn: "2024-05-01", FreshMass: amountOf("5", "kg"), Place: "57.1234, -2.3456"}), "harvest.place")
	_, err := c.LogHarvest(c.ctx, &dyelotv1.LogHarvestRequest{RequestId: c.id(), ItemCode: "tunic", Harvest: &dyelotv1.Harvest{PickedOn: "2024-05-01", FreshMass: amountOf("5", "kg")}})
	refused(t, err, "NOT_GATHERED")

	_, err = c.CreateItem(c.ctx, &dyelotv1.CreateItemRequest{RequestId: c.id(), Item: &dyelotv1.Item{Code: "shirt", Kind: "blank", PieceMass: amountOf("1", "g"), Fibres: []*dyelotv1.FibrePart{{Fibre: "moonlight", Percent: "100"}}}})
	off(t, err, "item.fibres[0].fibre")
	_, err = c.CreateItem(c.ctx, &dyelotv1.CreateItemRequest{RequestId: c.id(), Item: &dyelotv1.Item{Code: "alum-2", Kind: "mordant", Unit: "kg"}})
	off(t, err, "item.unit")
	_, err = c.CreateItem(c.ctx, &dyelotv1.CreateItemRequest{RequestId: c.id()})
	off(t, err, "item")
	_, err = c.SetReorderTerms(c.ctx, &dyelotv1.SetReorderTermsRequest{RequestId: c.id(), ItemCode: "alum", Reorder: &dyelotv1.ReorderTerms{Minimum: amountOf("5", "pc")}})
	off(t, err, "reorder.minimum")
	_, err = c.CountParcel(c.ctx, &dyelotv1.CountParcelRequest{RequestId: c.id(), ParcelCode: p})
	off(t, err, "counted")
	_, err = c.CountParcel(c.ctx, &dyelotv1.CountParcelRequest{RequestId: c.id(), ParcelCode: p, Counted: amountOf("3", "pc")})
	off(t, err, "counted")
	_, err = c.WriteOffParcel(c.ctx, &dyelotv1.WriteOffParcelRequest{RequestId: c.id(), ParcelCode: p})
	off(t, err, "reason")
	_, err = c.WriteOffParcel(c.ctx, &dyelotv1.WriteOffParcelRequest{RequestId: c.id(), ParcelCode: p, Amount: amountOf("0", "g"), Reason: "mould"})
	off(t, err, "amount")
	_, err = c.BlockParcel(c.ctx, &dyelotv1.BlockParcelRequest{RequestId: c.id(), ParcelCode: p})
	off(t, err, "reason")
	_, err = c.SetStrength(c.ctx, &dyelotv1.SetStrengthRequest{RequestId: c.id(), ParcelCode: p, StrengthPercent: "0"})
	off(t, err, "strength_percent")
	_, err = c.SetStrength(c.ctx, &dyelotv1.SetStrengthRequest{RequestId: c.id(), ParcelCode: p, StrengthPercent: "90", MeasuredOn: time.Now().Add(48 * time.Hour).Format(time.DateOnly)})
	off(t, err, "measured_on")
	_, err = c.MakeParcel(c.ctx, &dyelotv1.MakeParcelRequest{RequestId: c.id(), ItemCode: "iron-liquor", Amount: amountOf("5", "mL"), From: []*dyelotv1.Taken{{ParcelCode: "jar"}}})
	off(t, err, "from[0].parcel_code")
	_, err = c.ListParcels(c.ctx, &dyelotv1.ListParcelsRequest{Kind: "spice"})
	off(t, err, "kind")
	_, err = c.ListItems(c.ctx, &dyelotv1.ListItemsRequest{PageSize: -1})
	off(t, err, "page_size")
	c.stands(p, "100", "0", "100")
	c.whole()
}

func TestABlockedOrWrittenOffParcelIsNotPromised(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	p, _ := c.bag("alum", "100", "g")
	promise := func() error {
		_, err := c.PromiseParcel(c.ctx, &dyelotv1.PromiseParcelRequest{RequestId: c.id(), ParcelCode: p, Amount: amountOf("10", "g")})
		return err
	}
	must[*dyelotv1.BlockParcelResponse](t)(c.BlockParcel(c.ctx, &dyelotv1.BlockParcelRequest{RequestId: c.id(), ParcelCode: p, Reason: "smells of mould"}))
	refused(t, promise(), "PARCEL_BLOCKED")
	if got := must[*dyelotv1.BlockParcelResponse](t)(c.BlockParcel(c.ctx, &dyelotv1.BlockParcelRequest{RequestId: c.id(), ParcelCode: p, Lift: true})).GetParcel().GetBlockedReason(); got != "" {
		t.Errorf("still blocked: %s", got)
	}
	_, err := c.BlockParcel(c.ctx, &dyelotv1.BlockParcelRequest{RequestId: c.id(), ParcelCode: p, Lift: true})
	refused(t, err, "NOT_BLOCKED")
	must[*dyelotv1.WriteOffParcelResponse](t)(c.WriteOffParcel(c.ctx, &dyelotv1.WriteOffParcelRequest{RequestId: c.id(), ParcelCode: p, Reason: "mould"}))
	refused(t, promise(), "STOCK_SHORT")
	_, err = c.WriteOffParcel(c.ctx, &dyelotv1.WriteOffParcelRequest{RequestId: c.id(), ParcelCode: p, Reason: "mould"})
	refused(t, err, "PARCEL_EMPTY")
	c.whole()
}

func TestPolyesterIsTakenWithAWarning(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	it := c.item(&dyelotv1.Item{Code: "tunic", Kind: "blank", PieceMass: amountOf("105", "g"),
		Fibres: []*dyelotv1.FibrePart{{Fibre: "cotton", Percent: "60"}, {Fibre: "polyester", Percent: "40"}}})
	if len(it.GetWarnings()) != 1 || it.GetWarnings()[0].GetKey() != "will-not-take" || it.GetWarnings()[0].GetSource() == "" {
		t.Errorf("%v", it.GetWarnings())
	}
	if it.GetUnit() != "pc" || it.GetResolution().GetValue() != "1" {
		t.Errorf("%v", it)
	}
}

func TestTheReorderListSaysWhyAndUntilWhen(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	c.item(&dyelotv1.Item{Code: "soap", Kind: "auxiliary"})
	c.bag("alum", "155", "g")
	must[*dyelotv1.SetReorderTermsResponse](t)(c.SetReorderTerms(c.ctx, &dyelotv1.SetReorderTermsRequest{RequestId: c.id(), ItemCode: "alum",
		Reorder: &dyelotv1.ReorderTerms{Minimum: amountOf("300", "g"), Pack: amountOf("0.5", "kg"), Supplier: "harbour salts", LeadDays: 7}}))
	list := must[*dyelotv1.GetReorderListResponse](t)(c.GetReorderList(c.ctx, &dyelotv1.GetReorderListRequest{}))
	if got := list.GetLines()[0].GetBuy(); len(got.GetMethod()) != 2 || got.GetCost() != nil {
		t.Errorf("%v", got)
	}
	list.GetLines()[0].Buy = nil // the way of buying has tests of its own: purchase_test.go
	want := &dyelotv1.GetReorderListResponse{Today: list.GetToday(), Headline: "1 to order today: alum 500 g (harbour salts)", Lines: []*dyelotv1.ReorderLine{{
		ItemCode: "alum", ItemName: "alum", OnHand: amountOf("155", "g"), Promised: amountOf("0", "g"), Free: amountOf("155", "g"), Needed: amountOf("0", "g"),
		Minimum: amountOf("300", "g"), Order: amountOf("500", "g"), Supplier: "harbour salts", LeadDays: 7, OrderBy: list.GetToday(),
		Why:       "155 g free, no open run lacks any, 300 g is kept as a minimum: 145 g missing, 500 g in packs of 500 g; it takes 7 days from harbour salts",
		Otherwise: "155 g of alum is left after open runs, below the minimum of 300 g",
	}}}
	if diff := cmp.Diff(want, list, protocmp.Transform()); diff != "" {
		t.Error(diff)
	}
	if all := must[*dyelotv1.GetReorderListResponse](t)(c.GetReorderList(c.ctx, &dyelotv1.GetReorderListRequest{All: true})); len(all.GetLines()) != 2 || all.GetLines()[1].GetItemCode() != "soap" {
		t.Errorf("%v", all)
	}
}

func TestListsGoOnFromTheirToken(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	c.item(&dyelotv1.Item{Code: "soap", Kind: "auxiliary"})
	for range 3 {
		c.bag("alum", "1", "g")
	}
	var codes []string
	for token := ""; ; {
		page := must[*dyelotv1.ListParcelsResponse](t)(c.ListParcels(c.ctx, &dyelotv1.ListParcelsRequest{ItemCode: "alum", PageSize: 2, PageToken: token}))
		for _, p := range page.GetParcels() {
			codes = append(codes, p.GetCode())
		}
		if token = page.GetNextPageToken(); token == "" {
			break
		}
	}
	first := must[*dyelotv1.ListItemsResponse](t)(c.ListItems(c.ctx, &dyelotv1.ListItemsRequest{PageSize: 1}))
	next := must[*dyelotv1.ListItemsResponse](t)(c.ListItems(c.ctx, &dyelotv1.ListItemsRequest{PageSize: 1, PageToken: first.GetNextPageToken()}))
	if diff := cmp.Diff([]string{"P1", "P2", "P3", "alum", "soap"}, append(codes, first.GetItems()[0].GetCode(), next.GetItems()[0].GetCode())); diff != "" {
		t.Error(diff)
	}
	if got := first.GetItems()[0].GetFree().GetValue(); got != "3" {
		t.Errorf("%s g of alum free", got)
	}
}
