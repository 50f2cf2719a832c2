package api_test

import (
	"fmt"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Law 2: of two who want the last 100 g, one is told no, with what is left.
func TestOfTwoWhoWantTheLast100GramsOneIsToldNo(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	for range 10 {
		p, _ := c.bag("alum", "100", "g")
		answers := make(chan error)
		for range 2 {
			go func() {
				_, err := c.PromiseParcel(c.ctx, &dyelotv1.PromiseParcelRequest{RequestId: c.id(), ParcelCode: p, Amount: amountOf("100", "g")})
				answers <- err
			}()
		}
		first, second := <-answers, <-answers
		if first == nil {
			first, second = second, first
		}
		if second != nil {
			t.Fatalf("both were told no: %v, %v", first, second)
		}
		if n := refused(t, first, "STOCK_SHORT"); n["asked"] != "100 g" || n["free"] != "0 g" || n["short"] != "100 g" {
			t.Errorf("told %v", n)
		}
		c.stands(p, "100", "100", "0")
	}
	c.whole()
}

// A count below the promises: the newest gives way first, and is told.
func TestACountBelowPromisesMakesShortages(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	p, _ := c.bag("alum", "155", "g")
	for _, a := range []string{"20", "100", "30"} {
		must[*dyelotv1.PromiseParcelResponse](t)(c.PromiseParcel(c.ctx, &dyelotv1.PromiseParcelRequest{RequestId: c.id(), ParcelCode: p, Amount: amountOf(a, "g"), Purpose: "swatches"}))
	}
	r := must[*dyelotv1.CountParcelResponse](t)(c.CountParcel(c.ctx, &dyelotv1.CountParcelRequest{RequestId: c.id(), ParcelCode: p, Counted: amountOf("60", "g")}))
	if r.GetDifference().GetValue() != "-95" || len(r.GetShortages()) != 2 {
		t.Fatalf("%v", r)
	}
	for i, want := range []struct{ of, short string }{{"H3", "30"}, {"H2", "60"}} {
		if s := r.GetShortages()[i]; s.GetOf() != want.of || s.GetShort().GetValue() != want.short || s.GetParcelCode() != p || s.GetItemCode() != "alum" || s.GetText() == "" {
			t.Errorf("%v, want %v", s, want)
		}
	}
	c.stands(p, "60", "60", "0")
	got := c.parcel(p).GetPromises()
	if len(got) != 2 || got[0].GetAmount().GetValue() != "20" || got[1].GetAmount().GetValue() != "40" || got[1].GetCode() != "H2" || got[1].GetPurpose() != "swatches" {
		t.Errorf("left: %v", got)
	}
	again := must[*dyelotv1.CountParcelResponse](t)(c.CountParcel(c.ctx, &dyelotv1.CountParcelRequest{RequestId: c.id(), ParcelCode: p, Counted: amountOf("60", "g")}))
	if again.GetMovement() != nil || again.GetDifference().GetValue() != "0" {
		t.Errorf("the book was right: %v", again)
	}
	_, err := c.ReleasePromise(c.ctx, &dyelotv1.ReleasePromiseRequest{RequestId: c.id(), PromiseCode: "H3"})
	refused(t, err, "PROMISE_SPENT")
	must[*dyelotv1.ReleasePromiseResponse](t)(c.ReleasePromise(c.ctx, &dyelotv1.ReleasePromiseRequest{RequestId: c.id(), PromiseCode: "h2"}))
	c.stands(p, "60", "20", "40")
	c.whole()
}

// A write-off and a reversed delivery eat promises too.
func TestWhateverTakesStockTellsWhomItStrikes(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	p, came := c.bag("alum", "100", "g")
	promise := func(a string) {
		must[*dyelotv1.PromiseParcelResponse](t)(c.PromiseParcel(c.ctx, &dyelotv1.PromiseParcelRequest{RequestId: c.id(), ParcelCode: p, Amount: amountOf(a, "g")}))
	}
	promise("80")
	w := must[*dyelotv1.WriteOffParcelResponse](t)(c.WriteOffParcel(c.ctx, &dyelotv1.WriteOffParcelRequest{RequestId: c.id(), ParcelCode: p, Amount: amountOf("50", "g"), Reason: "mould"}))
	if len(w.GetShortages()) != 1 || w.GetShortages()[0].GetShort().GetValue() != "30" {
		t.Errorf("mould: %v", w.GetShortages())
	}
	must[*dyelotv1.ReverseMovementResponse](t)(c.ReverseMovement(c.ctx, &dyelotv1.ReverseMovementRequest{RequestId: c.id(), MovementCode: w.GetMovement().GetCode(), Reason: "it was dust"}))
	c.stands(p, "100", "50", "50")
	r := must[*dyelotv1.ReverseMovementResponse](t)(c.ReverseMovement(c.ctx, &dyelotv1.ReverseMovementRequest{RequestId: c.id(), MovementCode: came, Reason: "never came"}))
	if len(r.GetShortages()) != 1 || r.GetShortages()[0].GetShort().GetValue() != "50" || r.GetMovement().GetReverses() != came {
		t.Errorf("never came: %v", r)
	}
	c.stands(p, "0", "0", "0")
	c.whole()
}

// Law 6: a movement is reversed once, a reversal never, and by one of two.
func TestAReversalStands(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	_, came := c.bag("alum", "100", "g")
	reverse := func(code string) (*dyelotv1.ReverseMovementResponse, error) {
		return c.ReverseMovement(c.ctx, &dyelotv1.ReverseMovementRequest{RequestId: c.id(), MovementCode: code})
	}
	answers := make(chan error)
	for range 2 {
		go func() { _, err := reverse(came); answers <- err }()
	}
	first, second := <-answers, <-answers
	if first == nil {
		first, second = second, first
	}
	if second != nil {
		t.Fatal(second)
	}
	// the slower of the two finds it reversed, or its stock gone
	if code, reason, _ := said(first); code != codes.FailedPrecondition || (reason != "REVERSED_ALREADY" && reason != "STOCK_SHORT") {
		t.Errorf("told %v", first)
	}
	_, err := reverse(came)
	refused(t, err, "REVERSED_ALREADY")
	_, err = reverse("M2")
	refused(t, err, "REVERSAL_STANDS")
	_, err = reverse("M77")
	if code, _, _ := said(err); code != codes.NotFound {
		t.Errorf("no such movement: %v", err)
	}
	c.whole()
}

// What a making took cannot come back once what it made is gone.
func TestAMakingIsTakenBackWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	salt, jar, made := makeLiquor(c)
	must[*dyelotv1.WriteOffParcelResponse](t)(c.WriteOffParcel(c.ctx, &dyelotv1.WriteOffParcelRequest{RequestId: c.id(), ParcelCode: jar, Amount: amountOf("57", "mL"), Reason: "spilt"}))
	_, err := c.ReverseMovement(c.ctx, &dyelotv1.ReverseMovementRequest{RequestId: c.id(), MovementCode: made})
	if n := refused(t, err, "STOCK_SHORT"); n["missing"] != "57 mL" {
		t.Errorf("told %v", n)
	}
	must[*dyelotv1.CountParcelResponse](t)(c.CountParcel(c.ctx, &dyelotv1.CountParcelRequest{RequestId: c.id(), ParcelCode: jar, Counted: amountOf("500", "mL"), Reason: "it was not this jar"}))
	must[*dyelotv1.ReverseMovementResponse](t)(c.ReverseMovement(c.ctx, &dyelotv1.ReverseMovementRequest{RequestId: c.id(), MovementCode: made}))
	c.stands(jar, "0", "0", "0")
	c.stands(salt, "1000", "0", "1000")
	c.whole()
}

// Law 7: the same request again is the first answer and is booked once.
func TestADeliverySentTwiceIsBookedOnce(t *testing.T) {
	t.Parallel()
	c := openStock(t)
	c.item(alum())
	req := &dyelotv1.ReceiveDeliveryRequest{RequestId: c.id(), ItemCode: "alum", Amount: amountOf("500", "g")}
	first := must[*dyelotv1.ReceiveDeliveryResponse](t)(c.ReceiveDelivery(c.ctx, req))
	if again := must[*dyelotv1.ReceiveDeliveryResponse](t)(c.ReceiveDelivery(c.ctx, req)); !proto.Equal(first, again) {
		t.Errorf("another answer: %v", again)
	}
	req.Amount = amountOf("501", "g")
	_, err := c.ReceiveDelivery(c.ctx, req)
	if code, _, _ := said(err); code != codes.AlreadyExists {
		t.Errorf("another body: %v", err)
	}
	if all := must[*dyelotv1.ListParcelsResponse](t)(c.ListParcels(c.ctx, &dyelotv1.ListParcelsRequest{})); len(all.GetParcels()) != 1 {
		t.Errorf("booked %d times", len(all.GetParcels()))
	}
}

// makeLiquor buys a kilogram of copperas and makes 100 g into 500 mL.
func makeLiquor(c *shelfCaller) (salt, jar, movement string) {
	c.t.Helper()
	c.item(&dyelotv1.Item{Code: "copperas", Kind: "mordant", Substance: "FeSO4·7H2O"})
	c.item(&dyelotv1.Item{Code: "iron-liquor", Kind: "solution", Substance: "copperas"})
	salt, _ = c.bag("copperas", "1", "kg")
	r := must[*dyelotv1.MakeParcelResponse](c.t)(c.MakeParcel(c.ctx, &dyelotv1.MakeParcelRequest{
		RequestId: c.id(), ItemCode: "iron-liquor", Amount: amountOf("0.5", "L"), From: []*dyelotv1.Taken{{ParcelCode: salt, Amount: amountOf("100", "g")}}}))
	if len(r.GetWarnings()) == 0 {
		c.t.Error(fmt.Errorf("no caution with an iron liquor"))
	}
	return salt, r.GetParcel().GetCode(), r.GetMovement().GetCode()
}
