package swatch

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

var march = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

func light(page, grade string) Grade {
	g, err := fastness.Parse(grade, fastness.BlueWool)
	if err != nil {
		panic(err)
	}
	return Grade{Page: page, Method: "studio-window", Component: "light", Kind: "light", Scale: fastness.BlueWool, Grade: g}
}

// The worked number of the package: 3, 3-4 and 4.
func Example() {
	e := Expect([]Grade{light("T1", "3-4"), light("T2", "4"), light("T3", "3")})[0]
	fmt.Println(e.Worst(), e.Middle())
	fmt.Println(e)
	// Output:
	// 3 3-4
	// expect 3 at worst, 3-4 in the middle: 3 from T3 (studio-window), 3-4 from T1 (studio-window), 4 from T2 (studio-window)
}

// What each salt adds, by its formula; potassium alum and the lactate bring
// aluminium, copperas and vinegar iron iron, chalk and galls nothing.
func TestABathHasItsSaltsMetal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		bath             Bath
		substance, metal string
		told             string
	}{
		{Bath{Kind: "mordant", Substance: "alum", WOF: quantity.WholePercent(15)}, "potassium-alum", "Al", "mordant potassium alum 15 % WOF"},
		{Bath{Kind: "mordant", Substance: "Al(C3H5O3)3"}, "aluminium-lactate", "Al", "mordant aluminium lactate, how much nobody knows"},
		{Bath{Kind: "after-dip", Substance: "green vitriol", WOF: quantity.WholePercent(1)}, "copperas", "Fe", "after-dip copperas 1 % WOF"},
		{Bath{Kind: "after-dip", Substance: "rust water", Metal: "iron"}, "vinegar-iron", "Fe", "after-dip vinegar-and-scrap iron liquor, how much nobody knows"},
		{Bath{Kind: "chalk-bath", Substance: "chalk"}, "chalk", "", "chalk bath chalk"},
		{Bath{Kind: "tannin", Substance: "galls", WOF: quantity.WholePercent(8)}, "oak-gall", "", "tannin oak gall 8 % WOF"},
		{Bath{Kind: "tannin", Substance: "Acorn  Brew", Metal: "none", WOF: quantity.WholePercent(8)}, "acorn brew", "", "tannin acorn brew 8 % WOF"},
		{Bath{Kind: "mordant", Substance: "aluminium acetate", Metal: "Al"}, "aluminium acetate", "Al", "mordant aluminium acetate, how much nobody knows"},
	} {
		b, err := c.bath.Check()
		if err != nil || b.Substance != c.substance || b.Metal != c.metal || b.String() != c.told {
			t.Errorf("%v is %+v, told as %q: %v", c.bath, b, b, err)
		}
	}
	for _, c := range []struct {
		bath        Bath
		field, says string
	}{
		{Bath{Kind: "dye", Substance: "alum"}, "kind", "mordant"},
		{Bath{Kind: "mordant", Substance: "aluminium acetate"}, "substance", "more than one salt"},
		{Bath{Kind: "mordant", Substance: "moon dust", Metal: "Fe", WOF: 1}, "percent_wof", "no known strength"},
		{Bath{Kind: "mordant", Substance: "alum", WOF: quantity.WholePercent(300)}, "percent_wof", "200 %"},
	} {
		_, err := c.bath.Check()
		if f, ok := fault.Of(err); !ok || f.Field != c.field || !strings.Contains(f.Say, c.says) {
			t.Errorf("%v: %v", c.bath, err)
		}
	}
}

func TestBathsAndGradesAsTheyAreTyped(t *testing.T) {
	t.Parallel()
	for text, want := range map[string][4]string{
		"mordant alum=15%": {"mordant", "alum", "15", ""}, "after-dip vinegar iron": {"after-dip", "vinegar iron", "", ""}, "tannin acorn brew = 20 % metal none": {"tannin", "acorn brew", "20", "none"},
		"mordant rust metal Fe": {"mordant", "rust", "", "Fe"}, "mordant": {}, "": {}, "mordant alum=": {}, "mordant =5": {},
	} {
		kind, substance, percent, metal, err := BathText(text)
		if got := [4]string{kind, substance, percent, metal}; got != want || (err == nil) != (want[0] != "") {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	method, edition, variant, grades, err := GradesText("iso-105-c06 change=4 stain-wool=3-4 edition=2010 variant=A1S")
	if err != nil || method != "iso-105-c06" || edition != "2010" || variant != "A1S" || !cmp.Equal(grades, map[string]string{"change": "4", "stain-wool": "3-4"}) {
		t.Errorf("%s %s %s %v %v", method, edition, variant, grades, err)
	}
	for _, bad := range []string{"", "studio-window", "studio-window light", "studio-window light=4 light=3"} {
		if _, _, _, _, err := GradesText(bad); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

// A checked page checks to itself but for what only its writer could say, and a
// filter that names what it is finds it.
func TestAPageIsFoundByWhatItIs(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := Page{Fibre: rapid.SampledFrom([]string{"silk", "merino", "flax"}).Draw(t, "fibre"), Plant: rapid.SampledFrom([]string{"weld", "Onion Skin", "walnut hulls", "birch"}).Draw(t, "plant"), Dyed: march,
			Place: "the slipway", Name: "tarn 7", WOF: quantity.WholePercent(rapid.Int64Range(1, 400).Draw(t, "wof")),
			Baths: []Bath{{Kind: "mordant", Substance: rapid.SampledFrom([]string{"alum", "copperas", "oak gall"}).Draw(t, "salt")}}}
		p, _, err := p.Check(march)
		if err != nil {
			t.Fatal(err)
		}
		if again, _, err := p.Check(march); err != nil || !cmp.Equal(again, p) {
			t.Fatalf("%v goes on to %v: %v", p, again, err)
		}
		metal := None
		if m := p.Metals(); len(m) > 0 {
			metal = m[0]
		}
		grades := []Grade{light("T1", "4"), light("T1", "3-4")}
		least, err := LeastOf("light", rapid.SampledFrom([]string{"3", "3-4", "4"}).Draw(t, "least"))
		if err != nil {
			t.Fatal(err)
		}
		f, err := Filter{Fibre: p.Fibre, Plant: p.Plant, Part: p.Part, Metal: metal, Mordant: p.Baths[0].Substance, Words: "SLIP tar 7", Least: []Least{least}}.Check()
		if err != nil {
			t.Fatal(err)
		}
		if got, want := f.Matches(p, grades), least.Grade <= grades[1].Grade; got != want {
			t.Fatalf("%+v on %v: %v", f, p, got)
		}
		if f.Words = "nowhere"; f.Matches(p, grades) {
			t.Fatal("it says nowhere nowhere")
		}
		if (Filter{Fibre: "jute"}).Matches(p, grades) || !(Filter{}).Matches(p, nil) || (Filter{Least: []Least{least}}).Matches(p, nil) {
			t.Fatal("a filter lets through what it should not, or nothing")
		}
	})
}

// By the worked sums: 400 g of fibre had 60 g of alum, 15 %, and 240 g of weld,
// 60 %, of which 40 g as an addition; the brew had chalk in it; the iron tub was
// used before, so nobody knows how much iron came out of it.
func TestALotsRecordsAsAPage(t *testing.T) {
	t.Parallel()
	parcels := map[int64]stock.Parcel{
		1: {ID: 1, Item: stock.Item{Code: "alum", Name: "alum", Kind: stock.Mordant, Unit: quantity.Mass, Substance: "potassium alum"}},
		2: {ID: 2, Item: stock.Item{Code: "weld", Name: "weld", Kind: stock.Dyestuff, Unit: quantity.Mass, Plant: "weld", Part: "leaf", DyeFamily: "flavonoid"}, Harvest: stock.Harvest{Place: "the lane", PickedOn: march.AddDate(0, -8, 0), Part: "flowering top"}},
		3: {ID: 3, Item: stock.Item{Code: "copperas", Name: "copperas", Kind: stock.Mordant, Unit: quantity.Mass, Substance: "copperas"}},
		4: {ID: 4, Item: stock.Item{Code: "chalk", Name: "chalk", Kind: stock.Auxiliary, Unit: quantity.Mass, Substance: "chalk"}},
		5: {ID: 5, Item: stock.Item{Code: "soap", Name: "bench soap", Kind: stock.Auxiliary, Unit: quantity.Mass}},
		6: {ID: 6, Item: stock.Item{Code: "madder", Name: "madder", Kind: stock.Dyestuff, Unit: quantity.Mass, Plant: "madder"}},
	}
	fibre := []lot.BathLot{{LotID: 1, Fibre: quantity.Grams(300)}, {LotID: 2, Fibre: quantity.Grams(100)}}
	record := func(kind string, liquor []int64, used ...lot.Taken) lot.Standing {
		k, err := lot.KindOf(kind)
		if err != nil {
			t.Fatal(err)
		}
		return lot.Standing{Kind: k, Lots: fibre, Used: used, Liquor: liquor, HappenedAt: march.Add(23*time.Hour + 30*time.Minute)}
	}
	grams := func(parcel, n int64) lot.Taken { return lot.Taken{ParcelID: parcel, Amount: quantity.Grams(n)} }
	wrong := record("mordant", nil, grams(1, 500))
	wrong.Undone = true
	oslo := time.FixedZone("an hour ahead", 3600)
	p, parcel, err := FromLot("L1", "wool", []lot.Standing{record("scour", nil, grams(5, 4)), wrong, record("mordant", nil, grams(1, 60)), record("brew", nil, grams(2, 200), grams(4, 2)), record("dye", nil, grams(2, 40)), record("after-dip", []int64{3}, grams(3, 2))}, parcels, oslo)
	if err != nil || parcel != 2 {
		t.Fatalf("%v, parcel %d", err, parcel)
	}
	p, _, err = p.Check(march.AddDate(0, 0, 2))
	want := "wool: scour bench soap 1 % WOF; mordant potassium alum 15 % WOF; weld (flowering top) 60 % WOF; after-dip copperas, how much nobody knows; chalk in the brew"
	if err != nil || p.String() != want || p.Dyed.Format(time.DateOnly) != "2026-03-02" || p.Place != "the lane" || p.Family != "flavonoid" || strings.Join(p.Metals(), " ") != "Al Fe" {
		t.Errorf("%s\n%s\n%+v: %v", p, want, p, err)
	}
	two, _, err := FromLot("L1", "wool", []lot.Standing{record("dye", nil, grams(6, 40), grams(2, 200))}, parcels, oslo)
	if err != nil || two.Plant != "weld" || two.Recipe != "with madder 10 % WOF" {
		t.Errorf("%+v: %v", two, err)
	}
	if _, _, err := FromLot("L1", "wool", []lot.Standing{record("mordant", nil, grams(1, 60))}, parcels, oslo); err == nil || !strings.Contains(err.Error(), "no dyeing of lot L1") {
		t.Errorf("%v", err)
	}
}

// Plants by their table's name, metals once and sorted, whatever else is dosed.
func TestWhatARecipeMustShareWithASwatch(t *testing.T) {
	t.Parallel()
	r := recipe.Recipe{Fibre: "wool", Stages: []recipe.Stage{
		{Kind: "mordant", Doses: []recipe.Line{{ItemName: "alum", ItemKind: recipe.Mordant, Substance: "potassium alum"}, {ItemName: "tartar", ItemKind: recipe.Auxiliary, Substance: "cream of tartar"}}},
		{Kind: "brew", Doses: []recipe.Line{{ItemName: "birch leaf", ItemKind: recipe.Dyestuff}, {ItemName: "x", ItemKind: recipe.Dyestuff, Plant: "walnut hulls"}}},
		{Kind: "after-dip", Doses: []recipe.Line{{ItemName: "liquor", ItemKind: recipe.Solution, Substance: "copperas"}, {ItemName: "liquor", ItemKind: recipe.Solution, Substance: "vinegar iron"}}},
	}}
	if diff := cmp.Diff(Like{Fibre: "wool", Plants: []string{"birch", "walnut"}, Metals: []string{"Al", "Fe"}}, LikeRecipe(r)); diff != "" {
		t.Error(diff)
	}
}

// The lower median is a grade that was given, and at least half reached it.
func TestLawsOfWhatToExpect(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var all []Grade
		for i, g := range rapid.SliceOfN(rapid.SampledFrom([]string{"1", "2", "2-3", "3", "3-4", "4", "8"}), 1, 9).Draw(t, "grades") {
			all = append(all, light(fmt.Sprintf("T%d", i+1), g))
		}
		e := Expect(all)
		if len(e) != 1 || len(e[0].Grades) != len(all) {
			t.Fatalf("%v", e)
		}
		reached := 0
		for _, g := range all {
			if g.Grade < e[0].Worst() {
				t.Fatalf("%s is worse than the worst", g.Text())
			}
			if g.Grade >= e[0].Middle() {
				reached++
			}
		}
		if 2*reached < len(all) || !strings.HasPrefix(e[0].String(), "expect ") {
			t.Fatalf("%d of %d reached %s", reached, len(all), e[0].Middle())
		}
	})
}
