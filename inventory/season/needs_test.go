package season_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
)

func calendar(s string) time.Time {
	d, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return d
}

func mass(text string) quantity.Amount {
	a, err := quantity.ParseText(text)
	if err != nil {
		panic(err)
	}
	return a
}

var tenth = mass("0.1g")

// The things of an invented studio; ids are theirs alone.
var (
	tunic   = stock.Item{ID: 1, Code: "tunic", Kind: stock.Blank, Unit: quantity.Count, PieceMass: mass("108g"), Fibres: []stock.FibrePart{{Fibre: "wool", Percent: quantity.WholePercent(100)}}}
	scarf   = stock.Item{ID: 2, Code: "scarf", Kind: stock.Blank, Unit: quantity.Count, PieceMass: mass("92g"), Fibres: tunic.Fibres}
	shirt   = stock.Item{ID: 3, Code: "shirt", Kind: stock.Blank, Unit: quantity.Count, PieceMass: mass("240g"), Fibres: []stock.FibrePart{{Fibre: "cotton", Percent: quantity.WholePercent(100)}}}
	alum    = stock.Item{ID: 4, Code: "alum", Kind: stock.Mordant, Unit: quantity.Mass, Resolution: tenth}
	weld    = stock.Item{ID: 5, Code: "weld", Kind: stock.Dyestuff, Unit: quantity.Mass, Resolution: mass("1g")}
	liquor  = stock.Item{ID: 6, Code: "iron-liquor", Kind: stock.Solution, Unit: quantity.Volume, Resolution: mass("1mL")}
	copper  = stock.Item{ID: 7, Code: "copperas", Kind: stock.Mordant, Unit: quantity.Mass, Resolution: tenth}
	swatch  = stock.Item{ID: 8, Code: "wool-swatch", Kind: stock.WitnessCloth, Unit: quantity.Mass, Resolution: tenth, Fibres: tunic.Fibres}
	soap    = stock.Item{ID: 9, Code: "soap", Kind: stock.Auxiliary, Unit: quantity.Mass, Resolution: tenth}
	dosed   = map[int64]season.Dosed{4: {Item: alum}, 5: {Item: weld}, 6: {Item: liquor, Concentration: 200_000, From: "P7"}, 9: {Item: soap}}
	pot40   = lot.Pot{ID: 1, Code: "pot-40", Brim: mass("40L"), Fill: quantity.WholePercent(80)}
	pot20   = lot.Pot{ID: 2, Code: "pot-20", Brim: mass("20L"), Fill: quantity.WholePercent(80)}
	goldway = &recipe.Recipe{Code: "gold", Version: 1, Fibre: "wool", Ratio: 30_000, Stages: []recipe.Stage{
		{Position: 1, Kind: "scour", Minutes: 30, Doses: []recipe.Line{line(soap, recipe.InBath, "1")}},
		{Position: 2, Kind: "mordant", Minutes: 60, Doses: []recipe.Line{line(alum, recipe.OnFibre, "12")}},
		{Position: 3, Kind: "dye", Minutes: 60, Doses: []recipe.Line{line(weld, recipe.OnFibre, "60")}},
		{Position: 4, Kind: "after-dip", Minutes: 15, Doses: []recipe.Line{line(liquor, recipe.OnFibre, "1")}},
		{Position: 5, Kind: "rinse"},
		{Position: 6, Kind: "dry"},
		{Position: 7, Kind: "cure", Minutes: 10 * 24 * 60},
		{Position: 8, Kind: "look-over"},
	}}
)

func line(it stock.Item, b recipe.Basis, value string) recipe.Line {
	ask, err := recipe.ParseAsk(string(b), value)
	if err != nil {
		panic(err)
	}
	return recipe.Line{ItemID: it.ID, ItemCode: it.Code, ItemName: it.Code, Unit: it.Unit, Ask: ask}
}

func gold(n int64, due string) season.Asked {
	return season.Asked{Collection: "spring-27", Colourway: "harbour-gold", Blank: tunic, Pieces: n, DueOn: calendar(due), Recipe: goldway}
}

func habits() season.Habits { return season.Habits{Dosed: dosed, Pots: []lot.Pot{pot20, pot40}} }

func needed(e season.Exploded, it stock.Item) (sum quantity.Amount, days []string) {
	for _, n := range e.Needs {
		if n.ItemID == it.ID {
			sum = sum.Add(n.Amount)
			days = append(days, n.On.Format(time.DateOnly))
		}
	}
	return sum, days
}

func exploded(t *testing.T, w []season.Asked, h season.Habits) season.Exploded {
	t.Helper()
	e, err := season.Explode(w, h)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// By hand, with the arithmetic of trade.md (common practice): 24 tunics of 108 g
// are 2592 g. A 40 L pot at 0.8 and 1:30 takes 1066.7 g, nine tunics: two of
// nine, and six in the third. Alum 12 % is 311.04 g; weld 60 % 1555.2 g; soap
// 1 g/L in 77.76 L; copperas 1 % 25.92 g, 129.6 mL of 200 g/L. Back from 30 June:
// look over 29th, cure ten days from the 19th, dry, rinse and after-dip from the
// 18th, dye 17th, mordant 16th, scour 15th.
func TestACollectionExplodesByHand(t *testing.T) {
	t.Parallel()
	e := exploded(t, []season.Asked{gold(24, "2027-06-30")}, habits())
	for _, c := range []struct {
		item        stock.Item
		amount, day string
	}{
		{tunic, "24pc", "2027-06-15"}, {soap, "77.8g", "2027-06-15"}, {alum, "311g", "2027-06-16"}, {weld, "1555g", "2027-06-17"}, {liquor, "130mL", "2027-06-18"},
	} {
		sum, days := needed(e, c.item)
		if sum != mass(c.amount) || !slices.Equal(days, []string{c.day}) {
			t.Errorf("%s: %s on %v, want %s on %s", c.item.Code, sum, days, c.amount, c.day)
		}
	}
	if diff := cmp.Diff([]season.PotLoads{{Colourway: "harbour-gold", Week: calendar("2027-06-14"), Loads: 3, PotDays: 3}}, e.Pots); diff != "" {
		t.Error(diff)
	}
	why := e.Needs[slices.IndexFunc(e.Needs, func(n season.Need) bool { return n.ItemID == alum.ID })]
	if why.For != "harbour-gold: 24 × tunic" || why.Why != "harbour-gold: 24 × tunic of 108 g = 2.592 kg; alum 12 % WOF = 311 g" {
		t.Errorf("%q: %q", why.For, why.Why)
	}
	if e.Spares != "none: no history yet" || len(e.Notes) != 1 || !strings.Contains(e.Notes[0], "no witness cloth of wool") {
		t.Errorf("%q %v", e.Spares, e.Notes)
	}
}

// Witness cloth counts in the mass that is dosed, a lot at a time: 3 lots of
// 20 g make 2652 g, 318.24 g of alum at 12 %. 3 of 60 lost: 24 / 20 is 1.2, two
// to spare, 26 tunics.
func TestSparesAndWitnessClothAreDyedToo(t *testing.T) {
	t.Parallel()
	h := habits()
	h.Witness = map[string]season.Witness{"wool": {Item: swatch, Each: mass("20g"), Basis: "as in L7"}}
	e := exploded(t, []season.Asked{gold(24, "2027-06-30")}, h)
	cloth, _ := needed(e, swatch)
	if sum, _ := needed(e, alum); cloth != mass("60g") || sum != mass("318.2g") || len(e.Notes) != 0 {
		t.Errorf("%s of cloth, %s of alum, %v", cloth, sum, e.Notes)
	}
	h.Losses = season.Losses{Garments: 60, Lost: 3, Lots: 8}
	e = exploded(t, []season.Asked{gold(20, "2027-06-30"), gold(4, "2027-07-30")}, h)
	if sum, _ := needed(e, tunic); sum != mass("26pc") || e.Spares != "3 of 60 garments of the last 8 lots did not pass: 2 to spare" {
		t.Errorf("%s: %s", sum, e.Spares)
	}
}

func TestWhatIsPlannedIsNotNeededAgain(t *testing.T) {
	t.Parallel()
	w := gold(24, "2027-06-30")
	w.Planned = 14
	if sum, _ := needed(exploded(t, []season.Asked{w}, habits()), tunic); sum != mass("10pc") {
		t.Errorf("%s", sum)
	}
	lossy := habits()
	lossy.Losses = season.Losses{Garments: 10, Lost: 5, Lots: 1}
	if sum, _ := needed(exploded(t, []season.Asked{w}, lossy), tunic); sum != mass("15pc") {
		t.Errorf("half of the ten left over again: %s", sum)
	}
	for _, done := range []int64{24, 25} {
		w.Planned = done
		for _, h := range []season.Habits{habits(), lossy} {
			if e := exploded(t, []season.Asked{w}, h); len(e.Needs) != 0 {
				t.Errorf("%d planned: %v", done, e.Needs)
			}
		}
	}
}

// 60 % of 311 g is what goes in where a person says that 40 % is still there;
// nothing is claimed of a bath that nobody named, nor of one three weeks old.
func TestAKeptBathCountsOnlyWhereAPersonSaysSo(t *testing.T) {
	t.Parallel()
	two := []season.Asked{gold(24, "2027-06-30"), gold(24, "2027-07-07")}
	h := habits()
	if sum, _ := needed(exploded(t, two, h), alum); sum != mass("622g") {
		t.Errorf("nobody said so: %s", sum)
	}
	h.Kept = map[int64]quantity.Percent{alum.ID: quantity.WholePercent(40)}
	e := exploded(t, two, h)
	if sum, _ := needed(e, alum); sum != mass("497.6g") {
		t.Errorf("40 %% kept: %s", sum)
	}
	if sum, _ := needed(e, weld); sum != mass("3110g") {
		t.Errorf("the dye is not kept: %s", sum)
	}
	two[1].DueOn = calendar("2027-07-21")
	e = exploded(t, two, h)
	if sum, _ := needed(e, alum); sum != mass("622g") || !strings.Contains(strings.Join(e.Notes, "\n"), "alum: no bath of it comes within 14 days") {
		t.Errorf("three weeks later: %s, %v", sum, e.Notes)
	}
}

// A weak harvest counts at reference strength, and its own grams are said:
// 1555 g at 90 % are 1728 g. A liquor that nobody made is told as its salt.
func TestStrengthsAreSaid(t *testing.T) {
	t.Parallel()
	h := habits()
	h.Dosed = map[int64]season.Dosed{4: {Item: alum}, 9: {Item: soap}, 5: {Item: weld, Strength: quantity.WholePercent(90), From: "P6"}, 6: {Item: liquor, Solute: &copper}}
	e := exploded(t, []season.Asked{gold(24, "2027-06-30")}, h)
	if sum, _ := needed(e, copper); sum != mass("25.9g") {
		t.Errorf("copperas: %s", sum)
	}
	if why := e.Needs[slices.IndexFunc(e.Needs, func(n season.Need) bool { return n.ItemID == weld.ID })].Why; !strings.Contains(why, "P6 is at 90 %, so 1.728 kg of it") {
		t.Error(why)
	}
	h.Dosed[6] = season.Dosed{Item: liquor}
	if e := exploded(t, []season.Asked{gold(24, "2027-06-30")}, h); len(e.Notes) != 2 {
		t.Errorf("%v", e.Notes)
	}
}

func TestExplodeRefuses(t *testing.T) {
	t.Parallel()
	change := func(f func(*season.Asked)) season.Asked { w := gold(3, "2027-06-30"); f(&w); return w }
	for field, w := range map[string]season.Asked{
		"wanted[0].pieces":    change(func(w *season.Asked) { w.Pieces = -1 }),
		"wanted[0].planned":   change(func(w *season.Asked) { w.Planned = -1 }),
		"wanted[0].item":      change(func(w *season.Asked) { w.Blank = alum }),
		"wanted[0].due_on":    change(func(w *season.Asked) { w.DueOn = time.Time{} }),
		"wanted[0].colourway": change(func(w *season.Asked) { w.Blank = shirt }),
	} {
		_, err := season.Explode([]season.Asked{w}, habits())
		wantField(t, err, field)
	}
	_, err := season.Explode([]season.Asked{change(func(w *season.Asked) { w.Recipe = nil })}, habits())
	wantField(t, err, "wanted[0].colourway")
	h := habits()
	h.Losses = season.Losses{Garments: 3, Lost: 4}
	_, err = season.Explode(nil, h)
	wantField(t, err, "losses")
	h = habits()
	h.Kept = map[int64]quantity.Percent{alum.ID: quantity.WholePercent(100)}
	_, err = season.Explode(nil, h)
	wantField(t, err, "kept[alum]")
	h = habits()
	h.Dosed = nil
	_, err = season.Explode([]season.Asked{gold(1, "2027-06-30")}, h)
	wantField(t, err, "dosed")
}

// ISO 8601 weeks: the week belongs to the year of its Thursday.
func TestWeeks(t *testing.T) {
	t.Parallel()
	for day, want := range map[string]string{"2027-05-12": "2027-05-10 2027-W19", "2027-05-10": "2027-05-10 2027-W19", "2027-05-16": "2027-05-10 2027-W19", "2027-01-01": "2026-12-28 2026-W53"} {
		if got := season.Monday(calendar(day)).Format(time.DateOnly) + " " + season.WeekName(calendar(day)); got != want {
			t.Errorf("%s: %s, want %s", day, got, want)
		}
	}
	for _, c := range []struct {
		kind          string
		minutes, want int
	}{{"mordant", 60, 1}, {"mordant", 72 * 60, 3}, {"mordant", 24 * 60, 1}, {"cure", 14 * 24 * 60, 14}, {"rinse", 60, 0}, {"after-dip", 0, 0}, {"dye", 90, 1}} {
		if got := season.StageDays(c.kind, c.minutes); got != c.want {
			t.Errorf("%s %d min: %d days, want %d", c.kind, c.minutes, got, c.want)
		}
	}
}

// The count of loads against the exact packing: the same for pieces of one mass,
// and never beyond 11/9 of the fewest and one for mixed ones (Dósa 2007).
func TestLoadsAgainstTheExactPacking(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		kinds := rapid.SliceOfN(rapid.Int64Range(50, 900), 1, 3).Draw(t, "grams")
		var wanted []season.Asked
		var sets []season.Set
		for i, g := range kinds {
			blank := tunic
			blank.ID, blank.Code, blank.PieceMass = int64(100+i), fmt.Sprintf("style-%d", i), quantity.Grams(g)
			w := gold(rapid.Int64Range(1, 6).Draw(t, "pieces"), "2027-06-30")
			w.Blank = blank
			wanted = append(wanted, w)
			for n := range w.Pieces {
				sets = append(sets, season.Set{ID: fmt.Sprintf("%d-%d", i, n), Mass: blank.PieceMass.N})
			}
		}
		e, err := season.Explode(wanted, habits())
		if err != nil {
			t.Fatal(err)
		}
		best, err := season.Pack([]season.Pot{{ID: "pot-40", Mass: pot40.Takes(goldway.Ratio).N}, {ID: "pot-20", Mass: pot20.Takes(goldway.Ratio).N}}, sets, season.Limit{Nodes: 100_000})
		if err != nil {
			t.Fatal(err)
		}
		got, fewest := e.Pots[0].Loads, len(best.Loads)
		if best.Optimal && (got < fewest || 9*got > 11*fewest+9 || len(kinds) == 1 && got != fewest) {
			t.Fatalf("%d loads, the fewest are %d", got, fewest)
		}
	})
}

func ExampleExplode() {
	e, _ := season.Explode([]season.Asked{gold(24, "2027-06-30")}, habits())
	for _, n := range e.Needs {
		if n.ItemID == alum.ID {
			fmt.Printf("%s of alum by %s\n%s\n", n.Amount, n.On.Format(time.DateOnly), n.Why)
		}
	}
	// Output:
	// 311 g of alum by 2027-06-16
	// harbour-gold: 24 × tunic of 108 g = 2.592 kg; alum 12 % WOF = 311 g
}
