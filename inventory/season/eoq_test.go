package season_test

import (
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/season"
)

// Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., Ex 3.1.
func TestEOQOfSnyderAndShen(t *testing.T) {
	t.Parallel()
	quantity, cost, err := season.EOQ(8, 0.225, 1300)
	if err != nil {
		t.Fatal(err)
	}
	wantNear(t, "quantity", quantity, 304.0467800264, 1e-12)
	wantNear(t, "cost", cost, 68.4105255059, 1e-12)
}

func TestNoOrderIsCheaperThanTheEOQ(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		order := rapid.Float64Range(0.01, 1000).Draw(t, "order cost")
		hold := rapid.Float64Range(0.01, 1000).Draw(t, "holding cost")
		demand := rapid.Float64Range(0.01, 1000).Draw(t, "demand")
		stretch := rapid.Float64Range(0.1, 10).Draw(t, "stretch")
		q, cost, err := season.EOQ(order, hold, demand)
		if err != nil {
			t.Fatal(err)
		}
		other := q * stretch
		if c := order*demand/other + hold*other/2; c < cost*(1-1e-12) {
			t.Fatalf("orders of %v cost %v, less than %v", other, c, cost)
		}
	})
}

func TestEOQRefuses(t *testing.T) {
	t.Parallel()
	for _, v := range []float64{0, -1, nan, inf, 1e-200} {
		_, _, err := season.EOQ(v, 1, 1)
		wantField(t, err, "order_cost")
		_, _, err = season.EOQ(1, v, 1)
		wantField(t, err, "holding_cost")
		_, _, err = season.EOQ(1, 1, v)
		wantField(t, err, "demand")
	}
}

// Heizer & Render, Operations Management, quantity discount example (from
// memory): the best orders at the three prices are 700, 714 and 718, so the
// second and third are raised to 1000 and 2000.
func TestPriceBreaksOfHeizerAndRender(t *testing.T) {
	t.Parallel()
	offers, best, err := season.PriceBreaks(5000, 49, 0.20, []season.Break{{0, 5.00}, {1000, 4.80}, {2000, 4.75}})
	if err != nil {
		t.Fatal(err)
	}
	want := []struct{ quantity, total float64 }{{700, 25700}, {1000, 24725}, {2000, 24822.50}}
	if len(offers) != len(want) {
		t.Fatalf("%d offers", len(offers))
	}
	for i, w := range want {
		wantNear(t, "quantity", offers[i].Quantity, w.quantity, 1e-12)
		wantNear(t, "total", offers[i].Total, w.total, 1e-12)
	}
	if offers[best].Quantity != 1000 {
		t.Errorf("best is %+v, want 1000", offers[best])
	}
}

// A line is left out where its own best order earns the next price.
func TestPriceBreaksLeaveOutWhatNobodyWouldPay(t *testing.T) {
	t.Parallel()
	offers, best, err := season.PriceBreaks(5000, 49, 0.20, []season.Break{{0, 5.00}, {500, 4.80}})
	if err != nil {
		t.Fatal(err)
	}
	if len(offers) != 1 || best != 0 || offers[0].Price != 4.80 {
		t.Fatalf("offers %+v, best %d", offers, best)
	}
	wantNear(t, "quantity", offers[0].Quantity, 714.43450831176, 1e-12) // √(2·5000·49/0.96)
}

// No order at any price that its size earns is cheaper than the best offer.
func TestNoOrderBeatsTheBestOffer(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		demand := rapid.Float64Range(1, 10_000).Draw(t, "demand")
		order := rapid.Float64Range(0.1, 100).Draw(t, "order cost")
		share := rapid.Float64Range(0.05, 1).Draw(t, "holding share")
		list := []season.Break{{0, rapid.Float64Range(1, 50).Draw(t, "price")}}
		for range rapid.IntRange(0, 4).Draw(t, "more lines") {
			last := list[len(list)-1]
			list = append(list, season.Break{
				From:  last.From + rapid.Float64Range(1, 500).Draw(t, "step"),
				Price: last.Price * rapid.Float64Range(0.5, 1).Draw(t, "cut"),
			})
		}
		offers, best, err := season.PriceBreaks(demand, order, share, list)
		if err != nil {
			t.Fatal(err)
		}
		q := rapid.Float64Range(0.5, 5000).Draw(t, "another order")
		price := list[0].Price
		for _, b := range list {
			if q >= b.From {
				price = b.Price
			}
		}
		if c := demand*price + demand/q*order + q/2*share*price; c < offers[best].Total*(1-1e-12) {
			t.Fatalf("an order of %v costs %v, best offer %+v", q, c, offers[best])
		}
	})
}

func TestPriceBreaksRefuse(t *testing.T) {
	t.Parallel()
	good := []season.Break{{0, 5}, {100, 4}}
	for _, c := range []struct {
		field                 string
		demand, order, holder float64
		list                  []season.Break
	}{
		{"demand", 0, 1, 1, good}, {"order_cost", 1, nan, 1, good}, {"holding_share", 1, 1, -1, good},
		{"breaks", 1, 1, 1, nil},
		{"breaks[0].from", 1, 1, 1, []season.Break{{-1, 5}}},
		{"breaks[0].price", 1, 1, 1, []season.Break{{0, 0}}},
		{"breaks[1].from", 1, 1, 1, []season.Break{{100, 5}, {100, 4}}},
		{"breaks[1].price", 1, 1, 1, []season.Break{{0, 5}, {100, 6}}},
	} {
		_, _, err := season.PriceBreaks(c.demand, c.order, c.holder, c.list)
		wantField(t, err, c.field)
	}
}
