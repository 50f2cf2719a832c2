package season_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
)

var seasonStart = time.Date(2026, 5, 14, 0, 0, 0, 0, time.UTC)

func inDays(n int) time.Time { return seasonStart.AddDate(0, 0, n) }

func eur(micro int64) quantity.Money { return quantity.Money{Micro: micro, Currency: "EUR"} }

// pieces is an offer of packs of so many, at one price and carriage in euros.
func pieces(pack, price, carriage int64, days int) season.TimedOffer {
	return season.TimedOffer{Days: days, SupplierOffer: season.SupplierOffer{Supplier: "harbour salts", Pack: quantity.Pieces(pack), Minimum: 1,
		Prices: []season.PackPrice{{From: 1, Price: eur(price * 1e6)}}, Carriage: eur(carriage * 1e6), LeadDays: days}}
}

func yearly(demand ...int64) []season.Wanted {
	var w []season.Wanted
	for i, n := range demand {
		w = append(w, season.Wanted{On: inDays(365 * i), Amount: quantity.Pieces(n)})
	}
	return w
}

// Wagner & Whitin with packs of one, periods of a year, and a price of h with a
// share of 100 %: the published plans of checks.md come out.
func TestPublishedLotSizesInPacks(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		demand         []int64
		carriage, hold int64
		orders         map[int]int64
		cost           int64
	}{
		"Snyder & Shen, Fundamentals of Supply Chain Theory 2e, Ex 3.9 [M]": {[]int64{90, 120, 80, 70}, 500, 2, map[int]int64{0: 210, 2: 150}, 1380},
		"Nahmias, Production and Operations Analysis [M]":                   {[]int64{10, 40, 30}, 50, 1, map[int]int64{0: 10, 1: 70}, 130},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			plan, err := season.LotSizePacks(yearly(c.demand...), []season.TimedOffer{pieces(1, c.hold, c.carriage, 0)}, seasonStart, quantity.WholePercent(100))
			if err != nil {
				t.Fatal(err)
			}
			for _, o := range plan.Orders {
				if period := int(o.Arrives.Sub(seasonStart).Hours()) / 24 / 365; c.orders[period] != o.Packs {
					t.Errorf("period %d: %d", period, o.Packs)
				}
			}
			if got := plan.Carriage.Micro + plan.Keeping.Micro; got != c.cost*1e6 || len(plan.Orders) != len(c.orders) || !plan.Optimal || plan.Left.N != 0 {
				t.Errorf("%d orders cost %s and %s", len(plan.Orders), plan.Carriage, plan.Keeping)
			}
		})
	}
}

// Heizer & Render's price breaks: 5000 a year, 49 an order, 20 % a year, 5.00 /
// 4.80 / 4.75 from 0 / 1000 / 2000: order 1000 at 4.80 [M]. Used evenly over 50
// weeks, in packs of a hundred, the plan comes to orders of a thousand too.
func TestHeizerAndRenderInPacks(t *testing.T) {
	t.Parallel()
	o := season.TimedOffer{SupplierOffer: season.SupplierOffer{Supplier: "harbour salts", Pack: quantity.Pieces(100), Minimum: 1, Carriage: eur(49e6),
		Prices: []season.PackPrice{{From: 1, Price: eur(500e6)}, {From: 10, Price: eur(480e6)}, {From: 20, Price: eur(475e6)}}}}
	var weeks []season.Wanted
	for w := range 50 {
		weeks = append(weeks, season.Wanted{On: inDays(w * 73 / 10), Amount: quantity.Pieces(100)})
	}
	plan, err := season.LotSizePacks(weeks, []season.TimedOffer{o}, seasonStart, quantity.WholePercent(20))
	if err != nil {
		t.Fatal(err)
	}
	for _, got := range plan.Orders {
		if got.Packs != 10 {
			t.Errorf("an order of %d packs", got.Packs)
		}
	}
	if len(plan.Orders) != 5 || !plan.Optimal || plan.Goods != eur(24_000e6) || plan.Carriage != eur(245e6) {
		t.Errorf("%d orders: %s, %s, %s", len(plan.Orders), plan.Goods, plan.Carriage, plan.Keeping)
	}
}

// every looks at all ways to buy, an order of each size from each supplier for
// each day, and returns the least cost. It knows nothing of the programme's
// short cuts.
func every(wanted []season.Wanted, offers []season.TimedOffer, holding int64) float64 {
	least, total := math.Inf(1), int64(0)
	for _, w := range wanted {
		total += w.Amount.N
	}
	unit := math.Inf(1)
	for _, o := range offers {
		unit = min(unit, float64(o.Prices[len(o.Prices)-1].Price.Micro)/float64(o.Pack.N))
	}
	rate := unit * float64(holding) / 100 / 365
	day := func(t time.Time) float64 { return t.Sub(seasonStart).Hours() / 24 }
	var try func(wish, offer int, bought, used int64, cost float64)
	try = func(wish, offer int, bought, used int64, cost float64) {
		if cost >= least {
			return
		}
		if offer == len(offers) {
			used += wanted[wish].Amount.N
			switch {
			case bought < used:
			case wish == len(wanted)-1:
				least = cost
			default:
				try(wish+1, 0, bought, used, cost+float64(bought-used)*rate*(day(wanted[wish+1].On)-day(wanted[wish].On)))
			}
			return
		}
		try(wish, offer+1, bought, used, cost)
		o, on := offers[offer], day(wanted[wish].On)
		place := on - float64(o.Days)
		if !o.Until.IsZero() {
			place = min(place, day(o.Until))
		}
		if place < 0 {
			return
		}
		for n := o.Minimum; n*o.Pack.N <= total+3*o.Pack.N*max(o.Minimum, 4); n++ {
			amount := n * o.Pack.N
			try(wish, offer+1, bought+amount, used, cost+float64(o.Goods(n).Micro+o.Carriage.Micro)+float64(amount)*rate*(on-place-float64(o.Days)))
		}
	}
	try(0, 0, 0, 0, 0)
	return least
}

func TestNoWayToBuyIsCheaper(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		small := func(name string, least, most int64) int64 { return rapid.Int64Range(least, most).Draw(t, name) }
		var wanted []season.Wanted
		on := int(small("first", 3, 20))
		for range small("wishes", 1, 3) {
			wanted = append(wanted, season.Wanted{On: inDays(on), Amount: quantity.Pieces(small("wanted", 1, 9))})
			on += int(small("later", 1, 60))
		}
		var offers []season.TimedOffer
		for i := range small("offers", 1, 2) {
			o := pieces(small("pack", 1, 4), small("price", 2, 9), small("carriage", 0, 12), int(small("days", 0, 3)))
			if o.Minimum = small("minimum", 1, 3); rapid.Bool().Draw(t, "break") {
				o.Prices = append(o.Prices, season.PackPrice{From: small("from", 2, 4), Price: eur(small("reduced", 1, o.Prices[0].Price.Micro/1e6) * 1e6)})
			}
			if i == 0 && rapid.Bool().Draw(t, "ends") {
				o.Until = inDays(int(small("until", 0, 40)))
			}
			offers = append(offers, o)
		}
		holding := small("holding", 0, 900)
		plan, err := season.LotSizePacks(wanted, offers, seasonStart, quantity.WholePercent(holding))
		if err != nil || !plan.Optimal {
			t.Fatal(plan, err)
		}
		if least := every(wanted, offers, holding); math.Abs(float64(plan.Cost.Micro)-least) > 5 {
			t.Fatalf("%s, and %.6f is possible: %+v", plan.Cost, least/1e6, plan.Orders)
		}
		for _, o := range plan.Orders {
			if o.OrderBy.Before(seasonStart) || !offers[o.Offer].InForce(o.OrderBy) || o.Packs < offers[o.Offer].Minimum {
				t.Fatalf("an order that cannot be placed: %+v", o)
			}
		}
	})
}

// Too many packs for the whole programme: the plan is still one, is not called
// the best, and is not far from what one order after another would cost.
func TestALargeSeasonSaysThatItIsNotProved(t *testing.T) {
	t.Parallel()
	var wanted []season.Wanted
	for w := range 40 {
		wanted = append(wanted, season.Wanted{On: inDays(10 + 7*w), Amount: quantity.Pieces(int64(900 + 37*w%101))})
	}
	offers := []season.TimedOffer{pieces(1, 3, 20, 5), pieces(7, 20, 5, 9)}
	began := time.Now()
	plan, err := season.LotSizePacks(wanted, offers, seasonStart, quantity.WholePercent(20))
	if err != nil || plan.Optimal {
		t.Fatal(plan.Optimal, err)
	}
	apart := int64(0)
	for _, w := range wanted {
		n := offers[1].PacksFor(w.Amount)
		apart += offers[1].Goods(n).Micro + offers[1].Carriage.Micro
	}
	if plan.Cost.Micro > apart {
		t.Errorf("%s, and each apart costs %d", plan.Cost, apart)
	}
	if took := time.Since(began); took > 20*time.Second {
		t.Errorf("took %s", took)
	}
}

func TestWhatCannotBeCompared(t *testing.T) {
	t.Parallel()
	mixed := pieces(1, 3, 0, 5)
	mixed.Prices = []season.PackPrice{{From: 1, Price: quantity.Money{Micro: 3e6, Currency: "NOK"}}}
	_, err := season.LotSizePacks(yearly(3), []season.TimedOffer{pieces(1, 3, 0, 5), mixed}, seasonStart, 0)
	if f, ok := fault.Of(err); !ok || f.Reason != "MIXED_CURRENCY" {
		t.Error(err)
	}
	past := pieces(1, 3, 0, 5)
	past.Until = inDays(-1)
	for field, call := range map[string]func() error{
		"offers": func() error {
			_, err := season.LotSizePacks(yearly(3), []season.TimedOffer{past}, seasonStart, 0)
			return err
		},
		"wanted": func() error {
			_, err := season.LotSizePacks(nil, []season.TimedOffer{pieces(1, 3, 0, 5)}, seasonStart, 0)
			return err
		},
		"holding_percent": func() error {
			_, err := season.LotSizePacks(yearly(3), []season.TimedOffer{pieces(1, 3, 0, 5)}, seasonStart, -1)
			return err
		},
	} {
		if f, ok := fault.Of(call()); !ok || f.Field != field {
			t.Errorf("%s: %v", field, call())
		}
	}
}

// An offer that ends before the last need is taken in time, or not at all; one
// that ended is not looked at beside one in force.
func TestOffersThatEnd(t *testing.T) {
	t.Parallel()
	cheap, dear := pieces(1, 3, 0, 5), pieces(1, 4, 0, 5)
	cheap.Until = inDays(10)
	plan, err := season.LotSizePacks([]season.Wanted{{On: inDays(40), Amount: quantity.Pieces(10)}}, []season.TimedOffer{dear, cheap}, seasonStart, quantity.WholePercent(20))
	if err != nil || len(plan.Orders) != 1 || plan.Orders[0].Offer != 1 || !plan.Orders[0].OrderBy.Equal(inDays(10)) || !plan.Orders[0].Arrives.Equal(inDays(15)) {
		t.Error(plan, err)
	}
	cheap.Until = inDays(-1)
	plan, err = season.LotSizePacks([]season.Wanted{{On: inDays(40), Amount: quantity.Pieces(10)}}, []season.TimedOffer{dear, cheap}, seasonStart, quantity.WholePercent(20))
	if err != nil || slices.ContainsFunc(plan.Orders, func(o season.PackOrder) bool { return o.Offer == 1 }) {
		t.Error(plan, err)
	}
}

// Deliveries after 9, 11 and 16 days: mean 12, sd √13 = 3.606, z(0.95) 1.645:
// 5.93 days of safety (by hand, after Russell & Taylor ch. 16).
func TestLeadTimeAsItReallyWas(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		days         []int
		used, safety int
		text         string
	}{
		"none": {nil, 10, 0, "10 days promised, nothing received yet to hold that against"},
		"two":  {[]int{9, 30}, 10, 0, "10 days promised; 2 deliveries so far, after at most 30 days: too few, so the promise is used"},
		"three": {[]int{16, 9, 11}, 17, 6,
			"10 days promised; really 11 days in the median of 3 deliveries, 16 at worst; 17 reckoned with, so that 19 of 20 come in time"},
		"punctual": {[]int{10, 10, 10}, 10, 0, "10 days promised; really 10 days in the median of 3 deliveries, 10 at worst"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if l := season.LeadOf(10, c.days); l.Used != c.used || l.Safety != c.safety || l.Text() != c.text {
				t.Errorf("%+v: %s", l, l.Text())
			}
		})
	}
	for want, late := range map[int][]int{0: {9, 9}, 4: {9, 4, 2}, 1: {-1, 1, 0, 3}} {
		if got := season.Lateness(late); got != want {
			t.Errorf("%v: %d", late, got)
		}
	}
	if season.Lateness([]int{-3, -2, -1}) != 0 {
		t.Error("nobody counts on an early one")
	}
}
