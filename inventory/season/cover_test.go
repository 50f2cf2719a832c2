package season_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
)

var now = calendar("2027-05-03")

func need(it stock.Item, amount, day string) season.Need {
	return season.Need{ItemID: it.ID, Amount: mass(amount), On: calendar(day), For: "gold", Line: 0}
}

func shelf(it stock.Item, held ...season.Held) map[int64]season.Shelf {
	return map[int64]season.Shelf{it.ID: {Item: it, Held: held}}
}

func covered(t *testing.T, needs []season.Need, shelves map[int64]season.Shelf, coming []season.Arriving, makings map[int64]season.Made) []season.Covered {
	t.Helper()
	all, err := season.Cover(now, needs, shelves, coming, makings)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// By hand. 500 g of alum are free, 100 g more come on 20 May; 300 g are needed on
// 12 May and on 19 May, 50 g on 24 May: 100 g are short on the 19th, since what
// comes a day later is too late, and the 24th takes from it.
func TestCoverNetsDayByDay(t *testing.T) {
	t.Parallel()
	c := covered(t, []season.Need{need(alum, "300g", "2027-05-19"), need(alum, "300g", "2027-05-12"), need(alum, "50g", "2027-05-24")},
		shelf(alum, season.Held{Code: "P1", Amount: mass("500g")}), []season.Arriving{{ItemID: alum.ID, Amount: mass("100g"), On: calendar("2027-05-20")}}, nil)[0]
	if c.Short != mass("100g") || !c.ShortBy.Equal(calendar("2027-05-19")) || c.First != mass("100g") || c.Needed != mass("650g") || c.Arriving != mass("100g") {
		t.Errorf("%+v", c)
	}
	var rows []string
	for _, w := range c.Weeks {
		rows = append(rows, fmt.Sprint(season.WeekName(w.Monday), " ", w.Needed, " ", w.Arriving, " ", w.Short, " ", w.Left))
	}
	want := []string{"2027-W19 300 g 0 g 0 g 200 g", "2027-W20 300 g 0 g 100 g 0 g", "2027-W21 50 g 100 g 0 g 50 g"}
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Error(diff)
	}
}

// A liquor that is good until 15 May does not count for the 19th: 40 mL of it are
// used on the 12th, 60 mL are lost, and 80 mL are short.
func TestWhatIsOutOfDateByThenDoesNotCount(t *testing.T) {
	t.Parallel()
	c := covered(t, []season.Need{need(liquor, "40mL", "2027-05-12"), need(liquor, "100mL", "2027-05-19")},
		shelf(liquor, season.Held{Code: "P2", Amount: mass("20mL")}, season.Held{Code: "P1", Amount: mass("100mL"), Until: calendar("2027-05-15")}), nil, nil)[0]
	if c.Short != mass("80mL") || c.Lost != mass("60mL") || c.Free != mass("120mL") {
		t.Errorf("%+v", c)
	}
}

// What should have been there before today is a row of its own, first.
func TestPastDueIsShown(t *testing.T) {
	t.Parallel()
	c := covered(t, []season.Need{need(alum, "10g", "2027-05-03"), need(alum, "30g", "2027-04-20"), need(alum, "5g", "2027-05-01")},
		shelf(alum, season.Held{Code: "P1", Amount: mass("12g")}), nil, nil)[0]
	if !c.ShortBy.Equal(calendar("2027-04-20")) || c.Short != mass("33g") || len(c.Weeks) != 2 || !c.Weeks[0].PastDue || c.Weeks[0].Short != mass("23g") || c.Weeks[1].PastDue {
		t.Errorf("%+v", c)
	}
}

// 130 mL are needed, 30 are there: 100 mL are short, last made of 100 g of
// copperas to 500 mL, so 20 g the day before; 15 g are there, 5 g are short.
func TestAShortSolutionIsMade(t *testing.T) {
	t.Parallel()
	shelves := shelf(liquor, season.Held{Code: "P7", Amount: mass("30mL")})
	shelves[copper.ID] = season.Shelf{Item: copper, Held: []season.Held{{Code: "P8", Amount: mass("15g")}}}
	makings := map[int64]season.Made{liquor.ID: {Amount: mass("500mL"), From: []season.Part{{copper.ID, mass("100g")}}}}
	all := covered(t, []season.Need{need(liquor, "130mL", "2027-05-19")}, shelves, nil, makings)
	if len(all) != 2 || all[0].Item.Code != "copperas" || all[0].Short != mass("5g") || !all[0].ShortBy.Equal(calendar("2027-05-18")) || all[1].Short != mass("100mL") {
		t.Errorf("%+v", all)
	}
	if why := all[0].Needs[0].Why; why != "iron-liquor: 100 mL are short; last made of 100 g of copperas to 500 mL, so 20 g" {
		t.Error(why)
	}
}

func TestCoverRefuses(t *testing.T) {
	t.Parallel()
	shelves := shelf(liquor)
	shelves[copper.ID] = season.Shelf{Item: copper}
	circle := map[int64]season.Made{liquor.ID: {mass("500mL"), []season.Part{{copper.ID, mass("100g")}}}, copper.ID: {mass("100g"), []season.Part{{liquor.ID, mass("500mL")}}}}
	_, err := season.Cover(now, []season.Need{need(liquor, "1mL", "2027-05-19")}, shelves, nil, circle)
	wantField(t, err, "makings[iron-liquor]")
	if !strings.Contains(err.Error(), "iron-liquor needs itself: iron-liquor is made of copperas is made of iron-liquor") {
		t.Error(err)
	}
	own := map[int64]season.Made{liquor.ID: {mass("500mL"), []season.Part{{liquor.ID, mass("100mL")}}}}
	_, err = season.Cover(now, []season.Need{need(liquor, "1mL", "2027-05-19")}, shelves, nil, own)
	wantField(t, err, "makings[iron-liquor]")
	_, err = season.Cover(now, []season.Need{need(liquor, "-1mL", "2027-05-19")}, shelves, nil, nil)
	wantField(t, err, "needs[0].amount")
	_, err = season.Cover(now, []season.Need{need(liquor, "1g", "2027-05-19")}, shelves, nil, nil)
	wantField(t, err, "needs[0].amount")
	_, err = season.Cover(now, []season.Need{need(alum, "1g", "2027-05-19")}, shelves, nil, nil)
	wantField(t, err, "needs[0].item")
	_, err = season.Cover(now, nil, shelves, []season.Arriving{{liquor.ID, mass("-1mL"), now}}, nil)
	wantField(t, err, "arriving[0].amount")
}

// What a parcel counts for: 100 g at 90 % are 90 g of the reference; 100 mL of
// 100 g/L are 50 mL where the needs are told in 200 g/L (trade.md's arithmetic,
// common practice).
func TestWhatAParcelCountsFor(t *testing.T) {
	t.Parallel()
	hundred := func(it stock.Item) stock.Parcel {
		return stock.Parcel{ID: 1, Item: it, Origin: stock.FromDelivery, OnHand: quantity.Amount{N: 120 * mass("1"+it.Unit.Name()).N, Unit: it.Unit}, Promised: quantity.Amount{N: 20 * mass("1"+it.Unit.Name()).N, Unit: it.Unit}}
	}
	weak, thin, unknown, old, blocked := hundred(weld), hundred(liquor), hundred(liquor), hundred(alum), hundred(alum)
	weak.Strength, thin.Concentration, unknown.StrengthUnknown = quantity.WholePercent(90), 100_000, true
	old.UsableUntil, blocked.Blocked = calendar("2027-05-02"), "mould"
	strong := season.Dosed{Item: liquor, Concentration: 200_000}
	for name, c := range map[string]struct {
		p    stock.Parcel
		d    season.Dosed
		want quantity.Amount
	}{
		"plain": {hundred(alum), season.Dosed{Item: alum}, mass("100g")}, "weak": {weak, season.Dosed{Item: weld}, mass("90g")},
		"thin": {thin, strong, mass("50mL")}, "unknown": {unknown, strong, quantity.Amount{}}, "by the millilitre": {unknown, season.Dosed{Item: liquor}, mass("100mL")},
		"out of date": {old, season.Dosed{Item: alum}, quantity.Amount{}}, "blocked": {blocked, season.Dosed{Item: alum}, quantity.Amount{}},
	} {
		got, why := season.HeldOf(c.p, c.d, now)
		if got.Amount != c.want || (why == "") != (c.want.N > 0) {
			t.Errorf("%s: %s, %q, want %s", name, got.Amount, why, c.want)
		}
	}
}

// Against exhaustive search: the most pieces that can be handed out, each to one
// need on a day when it is there and still good, leave exactly what Cover says
// is short.
func TestCoverAgreesWithTheBestOfAllHandings(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		day := func(name string) int { return rapid.IntRange(-2, 8).Draw(t, name) }
		var held []season.Held
		var coming []season.Arriving
		type unit struct{ from, until int }
		var units []unit
		for i := range rapid.IntRange(0, 4).Draw(t, "parcels") {
			h, n := season.Held{Code: fmt.Sprintf("P%d", i)}, rapid.Int64Range(0, 3).Draw(t, "held")
			until := 99
			if rapid.Bool().Draw(t, "ages") {
				until = rapid.IntRange(0, 8).Draw(t, "until")
				h.Until = now.AddDate(0, 0, until)
			}
			h.Amount = quantity.Pieces(n)
			held = append(held, h)
			for range n {
				units = append(units, unit{0, until})
			}
		}
		for range rapid.IntRange(0, 3).Draw(t, "orders") {
			d, n := day("comes"), rapid.Int64Range(0, 3).Draw(t, "coming")
			coming = append(coming, season.Arriving{ItemID: tunic.ID, Amount: quantity.Pieces(n), On: now.AddDate(0, 0, d)})
			for range n {
				units = append(units, unit{d, 99})
			}
		}
		var needs []season.Need
		var days []int
		for range rapid.IntRange(1, 5).Draw(t, "needs") {
			d, n := day("day"), rapid.Int64Range(1, 3).Draw(t, "needed")
			needs = append(needs, season.Need{ItemID: tunic.ID, Amount: quantity.Pieces(n), On: now.AddDate(0, 0, d)})
			for range n {
				days = append(days, max(d, 0))
			}
		}
		all, err := season.Cover(now, needs, shelf(tunic, held...), coming, nil)
		if err != nil {
			t.Fatal(err)
		}
		given := make([]int, len(units))
		for i := range given {
			given[i] = -1
		}
		served := int64(0)
		for piece := range days {
			tried := make([]bool, len(units))
			var hand func(piece int) bool
			hand = func(piece int) bool {
				for u, x := range units {
					if tried[u] || days[piece] < x.from || days[piece] > x.until {
						continue
					}
					tried[u] = true
					if given[u] < 0 || hand(given[u]) {
						given[u] = piece
						return true
					}
				}
				return false
			}
			if hand(piece) {
				served++
			}
		}
		c := all[0]
		if c.Short.N != c.Needed.N-served {
			t.Fatalf("%d short, %d needed, and %d can be served", c.Short.N, c.Needed.N, served)
		}
		var weeks season.CoveredWeek
		for _, w := range c.Weeks {
			weeks.Needed.N += w.Needed.N
			weeks.Short.N += w.Short.N
			weeks.Arriving.N += w.Arriving.N
			weeks.Lost.N += w.Lost.N
		}
		if weeks.Needed.N != c.Needed.N || weeks.Short.N != c.Short.N || c.Free.N+c.Arriving.N+c.Short.N != c.Needed.N+c.Lost.N+c.Weeks[len(c.Weeks)-1].Left.N {
			t.Fatalf("weeks do not sum: %+v", c)
		}
	})
}

// A season of 40 colourways and 25 styles, and ten of them.
func BenchmarkExplodeAndCover(b *testing.B) {
	for _, garments := range []int64{2_000, 6_000, 20_000} {
		b.Run(fmt.Sprint(garments), func(b *testing.B) {
			wanted, h, shelves := bigSeason(garments)
			for b.Loop() {
				e, err := season.Explode(wanted, h)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := season.Cover(now, e.Needs, shelves, nil, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// bigSeason makes lines of four pieces each: more garments are more lines, on
// more days.
func bigSeason(garments int64) ([]season.Asked, season.Habits, map[int64]season.Shelf) {
	h := habits()
	h.Losses = season.Losses{Garments: 400, Lost: 9, Lots: 20}
	h.Witness = map[string]season.Witness{"wool": {Item: swatch, Each: mass("20g")}}
	shelves := map[int64]season.Shelf{}
	for _, it := range []stock.Item{alum, weld, liquor, soap, swatch} {
		shelves[it.ID] = season.Shelf{Item: it, Held: []season.Held{{Code: "P1", Amount: quantity.Amount{N: 1_000_000_000, Unit: it.Unit}, Until: now.AddDate(0, 3, 0)}}}
	}
	var wanted []season.Asked
	for i := range garments / 4 {
		blank := tunic
		blank.ID, blank.Code, blank.PieceMass = 100+i%25, fmt.Sprintf("style-%d", i%25), quantity.Grams(80+10*(i%25))
		shelves[blank.ID] = season.Shelf{Item: blank}
		wanted = append(wanted, season.Asked{Collection: "spring-27", Colourway: fmt.Sprintf("way-%d", i%40), Blank: blank, Pieces: 4, DueOn: now.AddDate(0, 1, int(i/500)*7), Recipe: goldway})
	}
	return wanted, h, shelves
}

// Ten times the garments must not take a hundred times as long: the whole of a
// usual season is planned well within a second.
func TestAUsualSeasonIsPlannedWithinASecond(t *testing.T) {
	t.Parallel()
	wanted, h, shelves := bigSeason(2_000)
	start := time.Now()
	e := exploded(t, wanted, h)
	all := covered(t, e.Needs, shelves, nil, nil)
	if took := time.Since(start); took > time.Second || len(all) != 30 {
		t.Errorf("%s for %d items", took, len(all))
	}
}
