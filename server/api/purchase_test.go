package api_test

import (
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/server/api/apitest"
)

// buyer is an owner who buys alum.
type buyer struct {
	*apitest.House
	t     *testing.T
	today time.Time
}

func openBuyer(t *testing.T) *buyer {
	t.Helper()
	b := &buyer{House: apitest.New(t), t: t}
	must[*dyelotv1.CreateItemResponse](t)(b.Stock.CreateItem(b.Ctx, &dyelotv1.CreateItemRequest{RequestId: b.ID(), Item: alum()}))
	b.today, _ = time.Parse(time.DateOnly, b.list().GetToday())
	t.Cleanup(b.whole)
	return b
}

// whole fails the test unless the books verify.
func (b *buyer) whole() {
	if v, err := b.Studio.VerifyBooks(context.WithoutCancel(b.Ctx), &dyelotv1.VerifyBooksRequest{}); err != nil || len(v.GetFindings()) > 0 {
		b.t.Errorf("the books do not hold: %v %v", v.GetFindings(), err)
	}
}

// on is a day so many days from today.
func (b *buyer) on(days int) string { return b.today.AddDate(0, 0, days).Format(time.DateOnly) }

func (b *buyer) list() *dyelotv1.GetReorderListResponse {
	b.t.Helper()
	return must[*dyelotv1.GetReorderListResponse](b.t)(b.Stock.GetReorderList(b.Ctx, &dyelotv1.GetReorderListRequest{All: true}))
}

func (b *buyer) keep(minimum string) {
	b.t.Helper()
	must[*dyelotv1.SetReorderTermsResponse](b.t)(b.Stock.SetReorderTerms(b.Ctx, &dyelotv1.SetReorderTermsRequest{RequestId: b.ID(), ItemCode: "alum",
		Reorder: &dyelotv1.ReorderTerms{Minimum: b.Amount(minimum), Pack: b.Amount("500g"), Supplier: "salt works", LeadDays: 10}}))
}

func (b *buyer) offer(supplier, pack, price, currency string, days int32) *dyelotv1.SetOfferRequest {
	return &dyelotv1.SetOfferRequest{RequestId: b.ID(), Offer: &dyelotv1.Offer{ItemCode: "alum", Supplier: supplier, Pack: b.Amount(pack), LeadDays: days,
		Prices: []*dyelotv1.OfferPrice{{FromPacks: 1, Price: &dyelotv1.Money{Value: price, Currency: currency}}}}}
}

func (b *buyer) set(q *dyelotv1.SetOfferRequest) *dyelotv1.SetOfferResponse {
	b.t.Helper()
	return must[*dyelotv1.SetOfferResponse](b.t)(b.Buy.SetOffer(b.Ctx, q))
}

// order writes 500 g of alum for 12.40, ordered and promised so many days from
// today.
func (b *buyer) order(ordered, promised int) *dyelotv1.Purchase {
	b.t.Helper()
	r := must[*dyelotv1.OrderPurchaseResponse](b.t)(b.Buy.OrderPurchase(b.Ctx, &dyelotv1.OrderPurchaseRequest{RequestId: b.ID(), Supplier: "salt works", OrderedOn: b.on(ordered), PromisedOn: b.on(promised),
		Lines: []*dyelotv1.PurchaseLineOrder{{ItemCode: "alum", Amount: b.Amount("500g"), Cost: &dyelotv1.Money{Value: "12.40", Currency: "EUR"}}}}))
	return r.GetPurchases()[0]
}

func (b *buyer) delivery(code, amount string, days int) *dyelotv1.ReceiveDeliveryRequest {
	q := &dyelotv1.ReceiveDeliveryRequest{RequestId: b.ID(), ItemCode: "alum", Amount: b.Amount(amount), OrderCode: code}
	if days < 0 {
		q.HappenedAt = timestamppb.New(b.today.AddDate(0, 0, days).Add(12 * time.Hour))
	}
	return q
}

func (b *buyer) receive(code, amount string, days int) *dyelotv1.ReceiveDeliveryResponse {
	b.t.Helper()
	return must[*dyelotv1.ReceiveDeliveryResponse](b.t)(b.Stock.ReceiveDelivery(b.Ctx, b.delivery(code, amount, days)))
}

func (b *buyer) purchase(code string) *dyelotv1.Purchase {
	b.t.Helper()
	return must[*dyelotv1.GetPurchaseResponse](b.t)(b.Buy.GetPurchase(b.Ctx, &dyelotv1.GetPurchaseRequest{Code: code})).GetPurchase()
}

func TestShortAndOverDeliveries(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	q := b.order(0, 7)
	if q.GetCode() != "Q1" || !q.GetOpen() || q.GetCost().GetValue() != "12.4" || q.GetExpectedOn() != b.on(7) {
		t.Errorf("%v", q)
	}
	short := b.receive("q1", "300g", 0)
	if l := short.GetOrderLine(); l.GetState() != "part" || l.GetText() != "300 g of 500 g came, 200 g still to come" || short.GetParcel().GetSupplier() != "salt works" || short.GetParcel().GetCost().GetValue() != "7.44" {
		t.Errorf("%v", short)
	}
	over := b.receive("Q1", "250g", 0)
	if l := over.GetOrderLine(); l.GetState() != "received" || l.GetText() != "550 g came, 50 g more than was ordered" || over.GetParcel().GetCost().GetValue() != "4.96" {
		t.Errorf("%v", over)
	}
	if w := over.GetWarnings(); len(w) != 1 || w[0].GetKey() != "over-delivery" || !strings.Contains(w[0].GetText(), "50 g more than Q1 still had to come") {
		t.Errorf("%v", w)
	}
	if more := b.receive("Q1", "10g", 0); more.GetParcel().GetCost() != nil {
		t.Errorf("what is over covers none of the cost: %v", more.GetParcel().GetCost())
	}
	if q = b.purchase("Q1"); q.GetOpen() || len(q.GetLines()[0].GetReceipts()) != 3 {
		t.Errorf("%v", q)
	}
}

func TestAReversedReceiptGivesTheLineBack(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	b.order(0, 7)
	first := b.receive("Q1", "300g", 0)
	b.receive("Q1", "200g", 0)
	must[*dyelotv1.ReverseMovementResponse](t)(b.Stock.ReverseMovement(b.Ctx, &dyelotv1.ReverseMovementRequest{RequestId: b.ID(), MovementCode: first.GetMovement().GetCode(), Reason: "another order's bag"}))
	q := b.purchase("Q1")
	if l := q.GetLines()[0]; !q.GetOpen() || l.GetLeft().GetValue() != "300" || l.GetState() != "part" || !l.GetReceipts()[0].GetReversed() || l.GetReceipts()[1].GetReversed() {
		t.Errorf("%v", q)
	}
	if again := b.receive("Q1", "300g", 0); again.GetParcel().GetCost().GetValue() != "7.44" || again.GetOrderLine().GetState() != "received" {
		t.Errorf("%v", again)
	}
}

func TestAReceiptIsBookedOnce(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	b.order(0, 7)
	q := b.delivery("Q1", "300g", 0)
	one := must[*dyelotv1.ReceiveDeliveryResponse](t)(b.Stock.ReceiveDelivery(b.Ctx, q))
	two := must[*dyelotv1.ReceiveDeliveryResponse](t)(b.Stock.ReceiveDelivery(b.Ctx, q))
	if one.GetParcel().GetCode() != two.GetParcel().GetCode() || len(b.purchase("Q1").GetLines()[0].GetReceipts()) != 1 {
		t.Error("a repeated receipt was booked twice")
	}
	order := &dyelotv1.OrderPurchaseRequest{RequestId: b.ID(), Supplier: "salt works", PromisedOn: b.on(3), Lines: []*dyelotv1.PurchaseLineOrder{{ItemCode: "alum", Amount: b.Amount("1kg")}}}
	for range 2 {
		if got := must[*dyelotv1.OrderPurchaseResponse](t)(b.Buy.OrderPurchase(b.Ctx, order)); got.GetPurchases()[0].GetCode() != "Q2" {
			t.Errorf("%v", got)
		}
	}
}

// Two at once on one line: the second sees what the first booked, and the
// shares of the cost sum to it.
func TestTwoReceiptsAtOnce(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	b.order(0, 7)
	var all sync.WaitGroup
	requests := []*dyelotv1.ReceiveDeliveryRequest{b.delivery("Q1", "167g", 0), b.delivery("Q1", "167g", 0), b.delivery("Q1", "166g", 0)}
	for _, q := range requests {
		all.Go(func() {
			if _, err := b.Stock.ReceiveDelivery(b.Ctx, q); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if l := b.purchase("Q1").GetLines()[0]; l.GetState() != "received" || l.GetText() != "all 500 g came" || len(l.GetReceipts()) != 3 {
		t.Errorf("%v", l)
	}
}

func TestALineIsClosedWithAReason(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	b.order(-20, -10)
	b.receive("Q1", "300g", -9)
	if late := must[*dyelotv1.ListPurchasesResponse](t)(b.Buy.ListPurchases(b.Ctx, &dyelotv1.ListPurchasesRequest{Late: true})).GetPurchases(); len(late) != 1 || late[0].GetDaysLate() != 10 || late[0].GetExpectedOn() != b.on(0) {
		t.Errorf("%v", late)
	}
	tasks := must[*dyelotv1.GetTodayResponse](t)(b.Studio.GetToday(b.Ctx, &dyelotv1.GetTodayRequest{})).GetTasks()
	found := false
	for _, task := range tasks {
		found = found || task.GetSubject() == "Q1" && task.GetText() == "200 g of alum from salt works is 10 days late: ask, or close the line" && task.GetDueOn() == b.on(-10)
	}
	if !found {
		t.Errorf("a late delivery is not in today's work: %v", tasks)
	}
	_, err := b.Buy.ClosePurchaseLine(b.Ctx, &dyelotv1.ClosePurchaseLineRequest{RequestId: b.ID(), OrderCode: "Q1"})
	off(t, err, "reason")
	closed := must[*dyelotv1.ClosePurchaseLineResponse](t)(b.Buy.ClosePurchaseLine(b.Ctx, &dyelotv1.ClosePurchaseLineRequest{RequestId: b.ID(), OrderCode: "Q1", Reason: "sold out"}))
	if l := closed.GetPurchase().GetLines()[0]; closed.GetPurchase().GetOpen() || l.GetState() != "closed" || l.GetText() != "300 g of 500 g came, no more will: sold out" {
		t.Errorf("%v", closed)
	}
	_, err = b.Buy.ClosePurchaseLine(b.Ctx, &dyelotv1.ClosePurchaseLineRequest{RequestId: b.ID(), OrderCode: "Q1", Line: 1, Reason: "again"})
	refused(t, err, "NOTHING_TO_COME")
	if open := must[*dyelotv1.ListPurchasesResponse](t)(b.Buy.ListPurchases(b.Ctx, &dyelotv1.ListPurchasesRequest{Open: true})).GetPurchases(); len(open) != 0 {
		t.Errorf("%v", open)
	}
	if after := b.receive("Q1", "200g", 0); after.GetOrderLine().GetState() != "received" {
		t.Errorf("what came is a fact, on a closed line too: %v", after.GetOrderLine())
	}
}

func TestWhatIsOnTheWayIsNotOrderedAgain(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	b.keep("400g")
	if l := b.list().GetLines()[0]; l.GetOrder().GetValue() != "500" {
		t.Fatalf("%v", l)
	}
	b.order(0, 7)
	l := b.list().GetLines()[0]
	if l.GetOrder().GetValue() != "0" || l.GetBuy().GetOnTheWay().GetValue() != "500" || len(l.GetBuy().GetComing()) != 1 || l.GetBuy().GetComing()[0].GetOrderCode() != "Q1" {
		t.Errorf("%v", l)
	}
	must[*dyelotv1.ClosePurchaseLineResponse](t)(b.Buy.ClosePurchaseLine(b.Ctx, &dyelotv1.ClosePurchaseLineRequest{RequestId: b.ID(), OrderCode: "Q1", Reason: "sold out"}))
	if l := b.list().GetLines()[0]; l.GetOrder().GetValue() != "500" {
		t.Errorf("what was closed is wanted again: %v", l)
	}
}

func TestTheRealLeadTimeIsLearnt(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	b.keep("4kg")
	b.set(b.offer("Salt Works", "500g", "6.80", "EUR", 10))
	// 12, 12 and 12 days, where ten were promised.
	for i, code := range []string{"Q1", "Q2", "Q3"} {
		b.order(-60+10*i, -50+10*i)
		b.receive(code, "500g", -48+10*i)
		lead := must[*dyelotv1.ListOffersResponse](t)(b.Buy.ListOffers(b.Ctx, &dyelotv1.ListOffersRequest{ItemCode: "alum"})).GetOffers()[0].GetLead()
		if want := map[bool]int32{true: 12, false: 10}[i == 2]; lead.GetUsedDays() != want || lead.GetDeliveries() != int32(i+1) {
			t.Errorf("after %d deliveries: %v", i+1, lead)
		}
	}
	l := b.list().GetLines()[0]
	if l.GetLeadDays() != 12 || l.GetBuy().GetLead().GetText() != "10 days promised; really 12 days in the median of 3 deliveries, 12 at worst" || l.GetBuy().GetArrivesOn() != b.on(12) {
		t.Errorf("%v", l)
	}
	// What is on the way is looked for two days after it was promised.
	if q := b.order(0, 10); q.GetExpectedOn() != b.on(12) {
		t.Errorf("%v", q)
	}
}

func TestOffersAreComparedInOneCurrency(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	b.keep("900g")
	b.set(b.offer("salt works", "500g", "6.80", "EUR", 10))
	b.set(b.offer("northern salts", "1kg", "12.00", "EUR", 7))
	list := b.list()
	l := list.GetLines()[0]
	if l.GetSupplier() != "northern salts" || l.GetBuy().GetCost().GetValue() != "12" || len(l.GetBuy().GetOthers()) != 1 ||
		!strings.HasPrefix(l.GetBuy().GetOthers()[0].GetText(), "1000 g from salt works would cost 13.60 EUR, 1.60 EUR more, and be here on ") {
		t.Errorf("%v", l)
	}
	if list.GetHeadline() != "1 to order today: alum 1000 g (northern salts, 12.00 EUR)" {
		t.Error(list.GetHeadline())
	}
	b.set(b.offer("far salts", "1kg", "90", "NOK", 7))
	if l = b.list().GetLines()[0]; l.GetBuy().GetNotCompared() == "" || l.GetBuy().GetCost() != nil {
		t.Errorf("two currencies were compared: %v", l)
	}
	_, err := b.Buy.OrderPurchase(b.Ctx, &dyelotv1.OrderPurchaseRequest{RequestId: b.ID(), ReorderItemCodes: []string{"alum"}})
	refused(t, err, "MIXED_CURRENCY")
	named := must[*dyelotv1.OrderPurchaseResponse](t)(b.Buy.OrderPurchase(b.Ctx, &dyelotv1.OrderPurchaseRequest{RequestId: b.ID(), Supplier: "Northern  Salts", ReorderItemCodes: []string{"alum"}})).GetPurchases()
	if len(named) != 1 || named[0].GetCost().GetValue() != "12" || named[0].GetPromisedOn() != b.on(7) || named[0].GetLines()[0].GetOrdered().GetValue() != "1000" {
		t.Errorf("%v", named)
	}
	_, err = b.Buy.OrderPurchase(b.Ctx, &dyelotv1.OrderPurchaseRequest{RequestId: b.ID(), ReorderItemCodes: []string{"alum"}})
	off(t, err, "reorder_item_codes[0]")
	_, err = b.Buy.OrderPurchase(b.Ctx, &dyelotv1.OrderPurchaseRequest{RequestId: b.ID(), Supplier: "x", PromisedOn: b.on(3), Lines: []*dyelotv1.PurchaseLineOrder{
		{ItemCode: "alum", Amount: b.Amount("1g"), Cost: &dyelotv1.Money{Value: "1", Currency: "EUR"}}, {ItemCode: "alum", Amount: b.Amount("1g"), Cost: &dyelotv1.Money{Value: "1", Currency: "NOK"}}}})
	off(t, err, "lines[1].cost")
}

func TestOffersEndAndAreReplaced(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	b.keep("400g")
	q := b.offer("salt works", "500g", "6.80", "EUR", 10)
	q.Offer.ValidFrom, q.Offer.ValidUntil = b.on(-30), b.on(-1)
	_, err := b.Buy.SetOffer(b.Ctx, q)
	off(t, err, "offer.valid_until")
	later := b.offer("salt works", "500g", "6.80", "EUR", 10)
	later.Offer.ValidFrom = b.on(30)
	b.set(later)
	replaced := b.set(b.offer("SALT works", "500g", "7.10", "EUR", 9))
	if replaced.GetReplaced().GetPrices()[0].GetPrice().GetValue() != "6.8" || !replaced.GetOffer().GetInForce() || replaced.GetOffer().GetPerUnit().GetValue() != "14.2" {
		t.Errorf("%v", replaced)
	}
	if offers := must[*dyelotv1.ListOffersResponse](t)(b.Buy.ListOffers(b.Ctx, &dyelotv1.ListOffersRequest{})).GetOffers(); len(offers) != 1 || offers[0].GetPrices()[0].GetPrice().GetValue() != "7.1" {
		t.Errorf("%v", offers)
	}
	if all := must[*dyelotv1.ListOffersResponse](t)(b.Buy.ListOffers(b.Ctx, &dyelotv1.ListOffersRequest{All: true})).GetOffers(); len(all) != 2 || all[0].GetInForce() {
		t.Errorf("%v", all)
	}
	gone := must[*dyelotv1.WithdrawOfferResponse](t)(b.Buy.WithdrawOffer(b.Ctx, &dyelotv1.WithdrawOfferRequest{RequestId: b.ID(), ItemCode: "alum", Supplier: "salt works", Reason: "they closed"})).GetOffer()
	if gone.GetInForce() || gone.GetWithdrawnReason() != "they closed" {
		t.Errorf("%v", gone)
	}
	if l := b.list().GetLines()[0]; l.GetBuy().GetCost() != nil {
		t.Errorf("a withdrawn offer was used: %v", l)
	}
	_, err = b.Buy.WithdrawOffer(b.Ctx, &dyelotv1.WithdrawOfferRequest{RequestId: b.ID(), ItemCode: "alum", Supplier: "salt works", Reason: "again"})
	refused(t, err, "WITHDRAWN_ALREADY")
	_, err = b.Buy.WithdrawOffer(b.Ctx, &dyelotv1.WithdrawOfferRequest{RequestId: b.ID(), ItemCode: "alum", Supplier: "nobody", Reason: "again"})
	b.Refused(err, codes.NotFound)
}

func TestNonsenseOfBuyingIsRefused(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	lead := b.offer("salt works", "500g", "6.80", "EUR", -1)
	_, err := b.Buy.SetOffer(b.Ctx, lead)
	off(t, err, "offer.lead_days")
	line := []*dyelotv1.PurchaseLineOrder{{ItemCode: "alum", Amount: b.Amount("500g")}}
	for field, q := range map[string]*dyelotv1.OrderPurchaseRequest{
		"supplier":        {Lines: line, PromisedOn: b.on(3)},
		"lines":           {Supplier: "salt works", PromisedOn: b.on(3)},
		"promised_on":     {Supplier: "salt works", Lines: line, PromisedOn: b.on(-1)},
		"ordered_on":      {Supplier: "salt works", Lines: line, OrderedOn: b.on(1), PromisedOn: b.on(3)},
		"lines[0].amount": {Supplier: "salt works", PromisedOn: b.on(3), Lines: []*dyelotv1.PurchaseLineOrder{{ItemCode: "alum", Amount: b.Amount("3pc")}}},
	} {
		q.RequestId = b.ID()
		_, err := b.Buy.OrderPurchase(b.Ctx, q)
		off(t, err, field)
	}
	_, err = b.Buy.OrderPurchase(b.Ctx, &dyelotv1.OrderPurchaseRequest{RequestId: b.ID(), Supplier: "salt works", Lines: line})
	off(t, err, "promised_on")
	_, err = b.Stock.ReceiveDelivery(b.Ctx, b.delivery("Q9", "500g", 0))
	b.Refused(err, codes.NotFound)
	_, err = b.Stock.ReceiveDelivery(b.Ctx, b.delivery("P9", "500g", 0))
	off(t, err, "order_code")
	_, err = b.Stock.GetReorderList(b.Ctx, &dyelotv1.GetReorderListRequest{HoldingPercent: "-1"})
	off(t, err, "holding_percent")
	_, err = b.Stock.GetReorderList(b.Ctx, &dyelotv1.GetReorderListRequest{ItemCode: "alumm"})
	b.Refused(err, codes.NotFound)
}

func TestBlanksAreBoughtOnceForASeason(t *testing.T) {
	t.Parallel()
	b := openBuyer(t)
	must[*dyelotv1.CreateItemResponse](t)(b.Stock.CreateItem(b.Ctx, &dyelotv1.CreateItemRequest{RequestId: b.ID(), Item: &dyelotv1.Item{Code: "tunic", Kind: "blank", PieceMass: b.Amount("105g"),
		Fibres: []*dyelotv1.FibrePart{{Fibre: "silk", Percent: "100"}}}}))
	q := b.offer("cloth hall", "10pc", "180", "EUR", 21)
	q.Offer.ItemCode = "tunic"
	b.set(q)
	eur := func(v string) *dyelotv1.Money { return &dyelotv1.Money{Value: v, Currency: "EUR"} }
	ask := &dyelotv1.PlanBlanksRequest{ItemCode: "tunic", Leftover: eur("10"), Earns: eur("40")}
	_, err := b.Buy.PlanBlanks(b.Ctx, ask)
	off(t, err, "mean")
	ask.Mean = "60"
	_, err = b.Buy.PlanBlanks(b.Ctx, ask)
	off(t, err, "sd")
	ask.Sd = "10"
	got := must[*dyelotv1.PlanBlanksResponse](t)(b.Buy.PlanBlanks(b.Ctx, ask))
	// z(40/48) = 0.967, by table: 60 + 9.7 = 69.7.
	if got.GetQuantity().GetValue() != "70" || got.GetLow().GetValue() != "43" || got.GetHigh().GetValue() != "77" || got.GetBuy().GetValue() != "70" || got.GetCost().GetValue() != "1260" {
		t.Errorf("%v", got)
	}
	ask.ItemCode = "alum"
	_, err = b.Buy.PlanBlanks(b.Ctx, ask)
	refused(t, err, "NOT_A_BLANK")
}
