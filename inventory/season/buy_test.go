package season_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	goods "dyelot/inventory/stock"
)

func kilograms(n int64) quantity.Amount { return quantity.Grams(1000 * n) }

func salts(supplier string, pack int64, price int64, days int) season.SupplierOffer {
	return season.SupplierOffer{Supplier: supplier, Pack: quantity.Grams(pack), Minimum: 1, Prices: []season.PackPrice{{From: 1, Price: eur(price * 10_000)}}, LeadDays: days}
}

// alumShort lacks 3.6 kg of alum for 8 June, and 2 kg for 20 July.
func alumShort(offers ...season.SupplierOffer) season.Buying {
	it := goods.Item{ID: 1, Code: "alum", Name: "alum", Kind: goods.Mordant, Unit: quantity.Mass, Terms: goods.Terms{Pack: quantity.Grams(500), Supplier: "salt works", LeadDays: 10}}
	it.OnHand, it.Usable = quantity.Grams(400), quantity.Grams(400)
	return season.Buying{Item: it, Offers: offers, Holding: season.UsualHolding, Today: seasonStart, Needs: []goods.Need{
		{ItemID: 1, RunID: 4, DueOn: inDays(25), Short: kilograms(4)}, {ItemID: 1, DueOn: inDays(67), Short: kilograms(2), For: "harbour-gold: 24 tunics"}}}
}

func bought(t *testing.T, b season.Buying) season.BuyLine {
	t.Helper()
	l, err := season.Buy(b)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Two suppliers, by hand: 5.6 kg are 12 packs of 500 g at 6.80 and 9.50 carriage
// = 91.10, or 6 of 1 kg at 12.00 and nothing to send = 72.00. Without carriage
// each need has its own order; the 400 g that the first leaves are kept for 42
// days: 0.4 · 12.00 · 20 % · 42/365 = 0.11.
func TestABoughtLineIsWhole(t *testing.T) {
	t.Parallel()
	north, works := salts("northern salts", 1000, 1200, 7), salts("salt works", 500, 680, 10)
	works.Carriage = eur(9_500_000)
	got := bought(t, alumShort(works, north))
	if got.From() != "northern salts" || got.Order.Order != kilograms(4) || !got.OrderBy.Equal(inDays(18)) || got.Cost() != eur(48_000_000) || got.DaysLate != 0 || !got.Arrives.Equal(inDays(25)) {
		t.Errorf("%s of %s by %s for %s", got.Order.Order, got.From(), got.OrderBy, got.Cost())
	}
	if want := "400 g free, open runs and plans lack 6000 g (R4 due 2026-06-08, harbour-gold: 24 tunics due 2026-07-20): 5600 g missing, 4000 g in packs of 1000 g now, in 2 orders over the season; it takes 7 days from northern salts"; got.Why != want {
		t.Error(got.Why)
	}
	if diff := cmp.Diff([]string{
		"lead time: 7 days promised, nothing received yet to hold that against",
		"order sizes: 4000 g from northern salts by Mon 1 Jun, then 2000 g from northern salts by Mon 13 Jul; goods 72.00 EUR, carriage 0.00 EUR, keeping 0.11 EUR at 20 % a year (Wagner–Whitin in packs; no cheaper plan exists under these offers)",
		"left over: 400 g, since it is sold in packs of 1000 g",
		"prices: northern salts 1000 g 12.00 EUR",
		"other: 4000 g from salt works would cost 63.90 EUR, 15.90 EUR more",
	}, got.Method); diff != "" {
		t.Error(diff)
	}
	if want := "5600 g of alum is missing at the pot, R4 first, due 2026-06-08"; got.Otherwise != want {
		t.Error(got.Otherwise)
	}
	if want := "1 to order by Mon 1 Jun: alum 4000 g (northern salts, 48.00 EUR)"; season.Headline([]season.BuyLine{got}, seasonStart) != want {
		t.Error(season.Headline([]season.BuyLine{got}, seasonStart))
	}
}

func TestWhoCanStillDeliver(t *testing.T) {
	t.Parallel()
	slow, quick := salts("far salts", 1000, 900, 40), salts("northern salts", 1000, 1200, 7)
	got := bought(t, alumShort(slow, quick))
	if got.From() != "northern salts" || len(got.Others) != 1 || got.Others[0].InTime || !strings.Contains(got.Others[0].Text, "12.00 EUR less, and be here on Tue 23 Jun: too late") {
		t.Errorf("%s: %+v", got.From(), got.Others)
	}
	if second := got.Plan.Orders[1]; got.Offers[second.Offer].Supplier != "far salts" {
		t.Error("the later need can wait for the cheaper one")
	}
	// Nobody in time: whoever is soonest, and late by the days that are lost.
	got = bought(t, alumShort(slow))
	if got.DaysLate != 15 || !got.Late || !got.Arrives.Equal(inDays(40)) || !strings.Contains(got.Why, "too late for 2026-06-08") {
		t.Errorf("late by %d, here %s: %s", got.DaysLate, got.Arrives, got.Why)
	}
	if want := "1 to order at once: alum 4000 g (far salts, 36.00 EUR, late by 15 days)"; season.Headline([]season.BuyLine{got}, seasonStart) != want {
		t.Error(season.Headline([]season.BuyLine{got}, seasonStart))
	}
}

func TestTheRealLeadTimeDecides(t *testing.T) {
	t.Parallel()
	b := alumShort(salts("northern salts", 1000, 1200, 7))
	b.Days = map[string][]int{"northern salts": {9, 11, 16}}
	got := bought(t, b)
	if !got.OrderBy.Equal(inDays(25-17)) || got.Lead.Used != 17 {
		t.Errorf("by %s: %+v", got.OrderBy, got.Lead)
	}
	b.Days = map[string][]int{"northern salts": {9, 30}}
	if got = bought(t, b); !got.OrderBy.Equal(inDays(25 - 7)) {
		t.Errorf("two deliveries decide: by %s", got.OrderBy)
	}
	b.Offers, b.Days = nil, map[string][]int{"salt works": {12, 12, 12}}
	if got = bought(t, b); !got.OrderBy.Equal(inDays(25 - 12)) {
		t.Errorf("without an offer: by %s", got.OrderBy)
	}
}

func TestOffersThatAreNotTaken(t *testing.T) {
	t.Parallel()
	past := salts("old salts", 1000, 100, 7)
	past.Until = inDays(-1)
	if got := bought(t, alumShort(past, salts("northern salts", 1000, 1200, 7))); got.From() != "northern salts" || len(got.Others) != 0 {
		t.Error("an expired offer was looked at:", got.From(), got.Others)
	}
	foreign := salts("far salts", 1000, 1200, 7)
	foreign.Prices[0].Price.Currency = "NOK"
	got := bought(t, alumShort(foreign, salts("northern salts", 1000, 1200, 7)))
	if got.First != nil || got.NotCompared != "far salts asks NOK and northern salts asks EUR: two currencies are not compared without a rate, so name the supplier" || got.Order.Order != quantity.Grams(6000) {
		t.Errorf("%s: %q", got.Order.Order, got.NotCompared)
	}
	b := alumShort()
	b.Holding = -1
	_, err := season.Buy(b)
	if f, ok := fault.Of(err); !ok || f.Field != "holding_percent" {
		t.Error(err)
	}
}

func TestWhatIsOnTheWayIsNotBoughtTwice(t *testing.T) {
	t.Parallel()
	b := alumShort(salts("northern salts", 1000, 1200, 7))
	b.Coming = []goods.Coming{{ItemID: 1, Order: "Q5", Line: 1, Supplier: "northern salts", Left: kilograms(6), Promised: inDays(5), Expected: inDays(5)}}
	if got := bought(t, b); got.Order.Order.N != 0 || got.OnWay != kilograms(6) {
		t.Errorf("%s", got.Order.Order)
	}
}

func TestNeedsWithoutADayAreOrderedToday(t *testing.T) {
	t.Parallel()
	b := alumShort(salts("northern salts", 1000, 1200, 7))
	b.Needs = []goods.Need{{ItemID: 1, RunID: 4, Short: kilograms(1)}}
	if got := bought(t, b); !got.OrderBy.Equal(seasonStart) || got.Late || got.Order.Order != kilograms(1) {
		t.Errorf("by %s", got.OrderBy)
	}
}

func TestTheHeadlineHidesNothing(t *testing.T) {
	t.Parallel()
	line := func(name string, by int) season.BuyLine {
		l := season.BuyLine{Order: goods.Order{Item: goods.Item{Name: name}, Order: quantity.Grams(500), OrderBy: inDays(by)}}
		l.DaysLate = max(-by, 0)
		return l
	}
	enough := line("soap", 0)
	enough.Order.Order.N = 0
	for want, lines := range map[string][]season.BuyLine{
		"": {enough},
		"2 to order by Fri 15 May, 1 of them late: alum 500 g (late by 6 days), weld 500 g; 1 more by Sat 23 May": {line("alum", -6), line("weld", 1), line("chalk", 9), enough},
		"1 to order today: weld 500 g":                     {line("weld", 0)},
		"1 to order at once: alum 500 g (late by 1 day)":   {line("alum", -1)},
		"2 to order by Fri 15 May: alum 500 g, weld 500 g": {line("alum", 1), line("weld", 1)},
	} {
		if got := season.Headline(lines, seasonStart); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// Whatever is offered and needed: the order is in whole packs, no less than the
// minimum, of an offer in force, and with all that is planned and on the way
// the season is covered.
func TestABoughtSeasonIsCovered(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string, least, most int) int { return rapid.IntRange(least, most).Draw(t, name) }
		b := alumShort()
		b.Needs = nil
		for range n("needs", 0, 5) {
			need := goods.Need{ItemID: 1, RunID: 2, Short: quantity.Grams(int64(n("short", 0, 3000)))}
			if n("dated", 0, 4) > 0 {
				need.DueOn = inDays(n("due", -5, 90))
			}
			b.Needs = append(b.Needs, need)
		}
		for i := range n("offers", 0, 3) {
			o := salts(string(rune('a'+i)), int64(100*n("pack", 1, 10)), int64(n("price", 1, 900)), n("lead", 0, 40))
			o.Minimum = int64(n("minimum", 1, 4))
			if n("ends", 0, 3) == 0 {
				o.Until = inDays(n("until", -5, 50))
			}
			b.Offers = append(b.Offers, o)
		}
		b.Item.Terms.Minimum = quantity.Grams(int64(n("kept", 0, 1000)))
		if n("coming", 0, 1) == 1 {
			b.Coming = []goods.Coming{{ItemID: 1, Order: "Q1", Left: quantity.Grams(int64(n("left", 1, 2000))), Promised: inDays(3), Expected: inDays(n("expected", 0, 60))}}
		}
		l, err := season.Buy(b)
		if err != nil {
			t.Fatal(err)
		}
		if l.Order.Order.N == 0 {
			return
		}
		if l.Why == "" || l.Otherwise == "" || len(l.Method) == 0 || l.Late != (l.DaysLate > 0) || l.OrderBy.IsZero() {
			t.Fatalf("not a whole line: %+v", l)
		}
		sum := l.Order.Order
		if l.First != nil {
			sum = quantity.Amount{}
			for _, o := range l.Plan.Orders {
				of := l.Offers[o.Offer]
				sum = sum.Add(of.Amount(o.Packs))
				if o.Packs < of.Minimum || (!of.Until.IsZero() && o.OrderBy.After(of.Until)) || o.OrderBy.Before(seasonStart) {
					t.Fatalf("not to be had: %+v", o)
				}
			}
		}
		if sum.N < l.Missing().N {
			t.Fatalf("%s planned, %s missing", sum, l.Missing())
		}
	})
}

// Snyder & Shen Ex 4.3 in money: over 0.18, under 0.70, N(50, 8): 56.604, so 57
// blanks; the range is the mean ± 1.645 sd.
func TestBlanksForASeason(t *testing.T) {
	t.Parallel()
	b := season.BlankBuy{Mean: 50, SD: 8, Price: eur(300_000), Leftover: eur(120_000), Earns: eur(700_000)}
	a, err := season.BlanksForSeason(b)
	if err != nil || a.Quantity != 57 || a.Low != 36 || a.High != 64 {
		t.Error(a, err)
	}
	for field, change := range map[string]func(*season.BlankBuy){
		"mean":     func(b *season.BlankBuy) { b.Mean = -1 },
		"sd":       func(b *season.BlankBuy) { b.SD = -1 },
		"price":    func(b *season.BlankBuy) { b.Price.Micro = 0 },
		"leftover": func(b *season.BlankBuy) { b.Leftover = b.Price },
		"earns":    func(b *season.BlankBuy) { b.Earns.Micro = 0 },
	} {
		wrong := b
		change(&wrong)
		if _, err := season.BlanksForSeason(wrong); err == nil {
			t.Error(field)
		} else if f, ok := fault.Of(err); !ok || f.Field != field {
			t.Error(field, err)
		}
	}
	b.Earns.Currency = "NOK"
	if _, err := season.BlanksForSeason(b); err == nil {
		t.Error("two currencies")
	}
	if _, _, ok := season.Spread([]float64{40, 60}); ok {
		t.Error("two seasons say nothing")
	}
	if mean, sd, ok := season.Spread([]float64{40, 50, 60}); !ok || mean != 50 || sd != 10 {
		t.Error(mean, sd)
	}
}

func TestOffersThatAreNone(t *testing.T) {
	t.Parallel()
	it := alumShort().Item
	for field, change := range map[string]func(*season.SupplierOffer){
		"supplier":        func(o *season.SupplierOffer) { o.Supplier = "" },
		"pack":            func(o *season.SupplierOffer) { o.Pack = quantity.Pieces(1) },
		"minimum_packs":   func(o *season.SupplierOffer) { o.Minimum = -1 },
		"lead_days":       func(o *season.SupplierOffer) { o.LeadDays = -1 },
		"valid_until":     func(o *season.SupplierOffer) { o.From, o.Until = inDays(2), inDays(1) },
		"carriage":        func(o *season.SupplierOffer) { o.Carriage = quantity.Money{Micro: 1, Currency: "NOK"} },
		"prices":          func(o *season.SupplierOffer) { o.Prices = nil },
		"prices[0].price": func(o *season.SupplierOffer) { o.Prices[0].Price.Micro = 0 },
		"prices[1].price": func(o *season.SupplierOffer) {
			o.Prices = append(o.Prices, season.PackPrice{From: 4, Price: eur(99e6)})
		},
		"prices[1].from_packs": func(o *season.SupplierOffer) { o.Prices = append(o.Prices, o.Prices[0]) },
		"prices[0].from_packs": func(o *season.SupplierOffer) { o.Prices[0].From = 3 },
	} {
		o := salts("salt works", 500, 680, 10)
		change(&o)
		if _, err := o.Check(it); err == nil {
			t.Error(field)
		} else if f, ok := fault.Of(err); !ok || f.Field != field {
			t.Error(field, err)
		}
	}
	o := salts("salt works", 500, 680, 10)
	o.Minimum, o.Prices = 0, []season.PackPrice{{From: 8, Price: eur(5e6)}, {From: 1, Price: eur(6_800_000)}}
	got, err := o.Check(it)
	if err != nil || got.Minimum != 1 || got.PriceAt(7) != eur(6_800_000) || got.Goods(8) != eur(40e6) || got.PacksFor(quantity.Grams(1001)) != 3 || got.PriceList() != "500 g 6.80 EUR, from 8 packs 5.00 EUR" {
		t.Error(got, err, got.PriceList())
	}
}
