package paper

import (
	"bytes"
	"encoding/csv"
	"testing"

	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

func init() {
	sheets["reorder-whole"] = func(s *Sheet) { s.ReorderList(reorderWhole(), false) }
	sheets["reorder-why"] = func(s *Sheet) { s.ReorderList(reorderWhole(), true) }
	sheets["offers"] = func(s *Sheet) { s.Offers(offers()) }
	sheets["offer-set"] = func(s *Sheet) {
		s.OfferSet(&dyelotv1.SetOfferResponse{Offer: offers().GetOffers()[0], Replaced: offers().GetOffers()[1]})
	}
	sheets["offer-withdrawn"] = func(s *Sheet) { s.OfferWithdrawn(&dyelotv1.WithdrawOfferResponse{Offer: offers().GetOffers()[1]}) }
	sheets["purchase"] = func(s *Sheet) { s.Purchase(purchase()) }
	sheets["purchase-ordered"] = func(s *Sheet) {
		s.Ordered(&dyelotv1.OrderPurchaseResponse{Purchases: []*dyelotv1.Purchase{purchaseNew(), purchaseNew()}})
	}
	sheets["purchases"] = func(s *Sheet) {
		s.Purchases(&dyelotv1.ListPurchasesResponse{Purchases: []*dyelotv1.Purchase{purchaseNew(), purchase()}})
	}
	sheets["purchase-closed"] = func(s *Sheet) { s.LineClosed(&dyelotv1.ClosePurchaseLineResponse{Purchase: purchase(), Line: 2}) }
	sheets["purchase-blanks"] = func(s *Sheet) { s.BlanksPlanned(blanks()) }
	sheets["received-order"] = func(s *Sheet) {
		r := delivery()
		r.OrderLine = purchase().GetLines()[0]
		r.Warnings = []*dyelotv1.Warning{{Key: "over-delivery", Text: "50 g more than Q5 still had to come: it is booked, and covers none of the order's cost; send it back, or write what it costs", Source: "common practice"}}
		s.Received(r)
	}
}

func euros(value string) *dyelotv1.Money { return &dyelotv1.Money{Value: value, Currency: "EUR"} }

func reorderWhole() *dyelotv1.GetReorderListResponse {
	r := reorder()
	r.Headline = "2 to order by Thu 14 May, 1 of them late: alum 4000 g (northern salts, 54.00 EUR, late by 2 days), silk tunic 20 pieces (cloth hall)"
	l := r.GetLines()[0]
	l.Supplier, l.Order = "northern salts", g("4000")
	l.Buy = &dyelotv1.Buy{Pack: g("1000"), Packs: 4, Goods: euros("48"), Carriage: euros("6"), Cost: euros("54"), ArrivesOn: "2026-05-19", DaysLate: 2, OnTheWay: g("500"), Optimal: true,
		Lead: &dyelotv1.LeadTime{PromisedDays: 7, UsedDays: 7}, Coming: []*dyelotv1.ComingDelivery{{OrderCode: "Q5", Line: 1, Amount: g("500"), PromisedOn: "2026-05-20", ExpectedOn: "2026-05-22", Supplier: "salt works"}},
		Hurry: []string{"Q5 brings 27 g on 2026-05-22, too late for R1 on 2026-05-17: ask salt works to send it sooner, and less need be ordered"},
		Method: []string{"lead time: 7 days promised, nothing received yet to hold that against",
			"order sizes: 4000 g from northern salts by Sun 10 May; goods 48.00 EUR, carriage 6.00 EUR, keeping 0.11 EUR at 20 % a year (Wagner–Whitin in packs; no cheaper plan exists under these offers)",
			"prices: northern salts 1000 g 12.00 EUR, carriage 6.00 EUR an order", "other: 4000 g from salt works would cost 63.90 EUR, 9.90 EUR more"}}
	r.Lines = append(r.Lines[:1:1], &dyelotv1.ReorderLine{ItemCode: "tunic-silk-m", ItemName: "silk tunic", OnHand: &dyelotv1.Amount{Value: "0", Unit: "pc"}, Promised: &dyelotv1.Amount{Value: "0", Unit: "pc"},
		Free: &dyelotv1.Amount{Value: "0", Unit: "pc"}, Needed: &dyelotv1.Amount{Value: "20", Unit: "pc"}, Minimum: &dyelotv1.Amount{Value: "0", Unit: "pc"}, Order: &dyelotv1.Amount{Value: "20", Unit: "pc"},
		Supplier: "cloth hall", LeadDays: 21, OrderBy: "2026-05-14", Why: "plans lack 20 pieces", Otherwise: "20 pieces of silk tunic is missing at the pot, spring-27 first",
		Buy: &dyelotv1.Buy{NotCompared: "cloth hall asks EUR and mill asks NOK: two currencies are not compared without a rate, so name the supplier", Method: []string{"lead time: 21 days promised, nothing received yet to hold that against"}}})
	return r
}

func offers() *dyelotv1.ListOffersResponse {
	return &dyelotv1.ListOffersResponse{Offers: []*dyelotv1.Offer{
		{ItemCode: "alum", ItemName: "alum", Supplier: "salt works", Pack: g("500"), MinimumPacks: 2, LeadDays: 10, InForce: true, Carriage: euros("9.5"), PerUnit: euros("12.2"), Per: "kg", ValidUntil: "2026-12-31",
			Prices: []*dyelotv1.OfferPrice{{FromPacks: 1, Price: euros("6.8")}, {FromPacks: 4, Price: euros("6.1")}}, Note: "price list of spring",
			Lead: &dyelotv1.LeadTime{Text: "10 days promised; really 11 days in the median of 3 deliveries, 16 at worst; 17 reckoned with, so that 19 of 20 come in time"}},
		{ItemCode: "alum", ItemName: "alum", Supplier: "far salts", Pack: g("1000"), MinimumPacks: 1, LeadDays: 30, PerUnit: euros("9"), Per: "kg", Withdrawn: true, WithdrawnReason: "they closed",
			Prices: []*dyelotv1.OfferPrice{{FromPacks: 1, Price: euros("9")}}, Lead: &dyelotv1.LeadTime{Text: "30 days promised, nothing received yet to hold that against"}},
	}}
}

func purchase() *dyelotv1.Purchase {
	return &dyelotv1.Purchase{Code: "Q5", Supplier: "salt works", OrderedOn: "2026-04-20", PromisedOn: "2026-05-01", ExpectedOn: "2026-05-14", Open: true, DaysLate: 13, By: "owner", Cost: euros("24.8"), Note: "by telephone",
		Lines: []*dyelotv1.PurchaseLine{
			{OrderCode: "Q5", Line: 1, ItemCode: "alum", ItemName: "alum", Ordered: g("500"), Received: g("550"), Left: g("0"), Over: g("50"), Cost: euros("12.4"), State: "received", Text: "550 g came, 50 g more than was ordered",
				Receipts: []*dyelotv1.PurchaseReceipt{{ParcelCode: "P21", MovementCode: "M30", Amount: g("300"), ArrivedOn: "2026-05-02", Days: 12, Reversed: true}, {ParcelCode: "P22", MovementCode: "M31", Amount: g("550"), ArrivedOn: "2026-05-02", Days: 12}}},
			{OrderCode: "Q5", Line: 2, ItemCode: "copperas", ItemName: "copperas", Ordered: g("1000"), Received: g("800"), Left: g("200"), Cost: euros("12.4"), State: "part", Text: "800 g of 1000 g came, 200 g still to come"},
		}}
}

func purchaseNew() *dyelotv1.Purchase {
	return &dyelotv1.Purchase{Code: "Q6", Supplier: "northern salts", OrderedOn: "2026-05-14", PromisedOn: "2026-05-21", ExpectedOn: "2026-05-23", Open: true, By: "owner", Cost: euros("48"),
		Lines: []*dyelotv1.PurchaseLine{{OrderCode: "Q6", Line: 1, ItemCode: "alum", ItemName: "alum", Ordered: g("4000"), Left: g("4000"), Cost: euros("48"), State: "open", Text: "4000 g to come"}}}
}

func blanks() *dyelotv1.PlanBlanksResponse {
	n := func(v string) *dyelotv1.Amount { return &dyelotv1.Amount{Value: v, Unit: "pc"} }
	return &dyelotv1.PlanBlanksResponse{ItemCode: "tunic-silk-m", ItemName: "silk tunic", Quantity: n("70"), Low: n("43"), High: n("77"), OnHand: n("12"), OnTheWay: n("10"), Buy: n("50"), Supplier: "cloth hall", Cost: euros("900"),
		Method: []string{"one too many costs 8.00 EUR (18.00 EUR less the 10.00 EUR it is still worth), one too few 40.00 EUR", "so be able to serve 83 seasons out of 100 (newsvendor, normal demand)",
			"expected 60 pieces (given by hand), standard deviation 10 (given by hand)"}}
}

func TestTheReorderTableIsExactAndInert(t *testing.T) {
	t.Parallel()
	r := proto.Clone(reorderWhole()).(*dyelotv1.GetReorderListResponse)
	r.GetLines()[0].Supplier = "=sum(a1)"
	var out bytes.Buffer
	if err := ReorderCSV(&out, r); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != 3 {
		t.Fatal(rows, err)
	}
	got := map[string]string{}
	for i, name := range rows[0] {
		got[name] = rows[1][i]
	}
	for column, want := range map[string]string{"item": "alum", "order": "4000", "packs": "4", "pack": "1000", "days_late": "2", "supplier": "'=sum(a1)", "cost": "54", "currency": "EUR", "on_the_way": "500"} {
		if got[column] != want {
			t.Errorf("%s: %q, want %q", column, got[column], want)
		}
	}
}
