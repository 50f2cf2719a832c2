package season

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

func weldOf(parcel, day, place, fresh, dry string) Harvested {
	h := Harvested{Parcel: parcel, Plant: "weld", Part: "flowering top", Place: place, Picked: date(day)}
	if fresh != "" {
		h.Fresh = kilos(fresh)
	}
	if dry != "" {
		h.Dry = kilos(dry)
	}
	return h
}

// trade.md: 14.6 kg of fresh weld that dries to 2.70 kg is 5.41 : 1; the ranges
// of the parts are from memory [M].
func ExampleToGather() {
	own := []Harvested{weldOf("P7", "2025-06-28", "lane behind the boathouse", "14.6kg", "2.70kg")}
	s := Stand{Item: "weld", Plant: "weld", Part: "flowering top", Own: own, Lacks: []Lack{{Dry: kilos("1200g"), For: "R3", Colourway: "harbour-gold"}}, Widen: 6}
	for _, l := range ToGather(s, date("2026-06-26")) {
		fmt.Println(l.Text)
		fmt.Println(strings.Join(l.Why, "\n"))
	}
	// Output:
	// weld, 6.5 kg fresh (lane behind the boathouse), closes 4 July
	// needed: R3 (harbour-gold), 1200 g dry
	// strength: none of yours was measured, so it counts as 100 %
	// fresh to dry: own 5.41 : 1, of 1 harvest
	// pickings: 1 (lane behind the boathouse: 1 picking, 14.6 kg fresh each)
	// weeks: 22 June to 4 July (own, 1 picking in 1 year, widened by 6 days at each end, as you said)
	// the table says 10 June to 10 August (common practice)
}

// By hand: 14.6/2.70 = 5.407…; (14.6 + 5.4)/(2.70 + 1.00) = 5.405…, from 5.40 to
// 5.41. Leaves dry 4 to 6 to 1, so 2.7 kg dry is 10.8 to 16.2 kg fresh [M].
func TestFreshForTheDryNeeded(t *testing.T) {
	t.Parallel()
	lane, slip := weldOf("P1", "2025-06-28", "lane", "14.6kg", "2.70kg"), weldOf("P2", "2024-06-20", "slipway", "5.4kg", "1.00kg")
	for _, c := range []struct {
		plant, part string
		own         []Harvested
		dry         string
		fresh       string
		says        string
	}{
		{"weld", "flowering top", []Harvested{lane}, "2.70kg", "14.6 kg", "own 5.41 : 1, of 1 harvest"},
		{"weld", "flowering top", []Harvested{lane, slip}, "3.7kg", "20 kg", "own 5.41 : 1, of 2 harvests, 5.4 to 5.41"},
		{"weld", "flowering top", []Harvested{weldOf("P3", "2025-06-28", "lane", "6kg", "")}, "2.7kg", "10.8 to 16.2 kg", "4 to 6 : 1 (from memory, not checked against the text [M]): nobody has measured yours"},
		{"walnut", "hull", nil, "1kg", "2 to 3 kg", "2 to 3 : 1 (from memory, not checked against the text [M]): nobody has measured yours"},
		{"tansy", "flowering top", nil, "100g", "400 to 800 g", "4 to 8 : 1 (from memory, not checked against the text [M]): nobody has measured yours"},
		{"oak", "gall", nil, "100g", "0 g", "nobody knows how it dries: weigh it fresh and dry"},
		{"moon moss", "", nil, "100g", "0 g", "nobody knows how it dries: weigh it fresh and dry"},
	} {
		d := DryingOf(c.plant, c.part, c.own)
		low, high := d.Fresh(kilos(c.dry))
		if got := rangeOf(low, high); got != c.fresh || d.String() != c.says {
			t.Errorf("%s %s: %s fresh, %q; want %s, %q", c.plant, c.part, got, d, c.fresh, c.says)
		}
	}
	for n, want := range map[string]string{"1g": "10 g", "990g": "990 g", "991g": "1 kg", "6.4kg": "6.4 kg", "6.401kg": "6.5 kg", "10kg": "10 kg"} {
		if got := Carried(kilos(n)); got != want {
			t.Errorf("%s is carried as %q, want %q", n, got, want)
		}
	}
}

func TestWhatAPlaceGave(t *testing.T) {
	t.Parallel()
	own := []Harvested{weldOf("P1", "2025-06-28", "Lane", "4kg", "700g"), weldOf("P2", "2025-06-28", "lane", "2kg", "350g"), weldOf("P3", "2024-06-20", "lane", "4kg", "700g"),
		weldOf("P4", "2025-06-22", "slipway", "", "200g"), weldOf("P5", "2025-07-01", "yard", "7kg", "")}
	var all []string
	for _, y := range YieldsOf(own) {
		all = append(all, fmt.Sprintf("%s; 12 kg in %d", y, y.For(kilos("12kg"))))
	}
	want := "yard: 1 picking, 7 kg fresh each; 12 kg in 2 | lane: 2 pickings, 5 kg fresh on average (4 kg to 6 kg); 12 kg in 3 | slipway: 1 picking, none weighed fresh; 12 kg in 0"
	if got := strings.Join(all, " | "); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
}

// 652 g planned of a bag at 92 % for 1000 g at 60 % WOF are 600 g at reference
// strength, and the half of it that is short 300 g.
func TestADoseAtReferenceStrength(t *testing.T) {
	t.Parallel()
	wof, step := quantity.WholePercent(60), int64(1_000_000)
	for _, c := range []struct{ short, amount, fibre, want string }{
		{"652g", "652g", "1000g", "600g"}, {"326g", "652g", "1000g", "300g"}, {"600g", "600g", "1000g", "600g"}, {"304g", "304g", "507g", "304g"},
	} {
		if got := AtReference(kilos(c.short), kilos(c.amount), kilos(c.fibre), wof, step); got != kilos(c.want) {
			t.Errorf("%s of %s on %s: %s, want %s", c.short, c.amount, c.fibre, got, c.want)
		}
	}
}

// Shelf and damp bags cover the earliest needs; a need before the next weeks is
// missed, one after them is not. Weeks: 20 June to 4 July, own.
func TestWhatIsMissedAndWhatComes(t *testing.T) {
	t.Parallel()
	own := []Harvested{weldOf("P1", "2025-06-20", "lane", "5kg", "1kg"), weldOf("P2", "2024-07-04", "lane", "5kg", "1kg")}
	own[0].Strength = quantity.WholePercent(80)
	need := func(dry, on, of string) Lack {
		l := Lack{Dry: kilos(dry), For: of}
		if on != "" {
			l.On = date(on)
		}
		return l
	}
	for _, c := range []struct {
		name  string
		today string
		lacks []Lack
		shelf string
		damp  string
		want  string
	}{
		{"nothing lacks", "2026-07-01", nil, "0g", "", ""},
		{"in season", "2026-07-01", []Lack{need("800g", "", "R1")}, "0g", "", "open: weld, 5 kg fresh (lane), closes Saturday"},
		{"the shelf has it", "2026-07-01", []Lack{need("800g", "", "R1")}, "800g", "", ""},
		{"half is on the shelf", "2026-07-01", []Lack{need("800g", "", "R1")}, "400g", "", "open: weld, 2.5 kg fresh (lane), closes Saturday"},
		// 5 kg damp dry to 1 kg at 80 %: 800 g at reference strength.
		{"damp bags count", "2026-07-01", []Lack{need("900g", "", "R1")}, "0g", "5kg", "open: weld, 630 g fresh (lane), closes Saturday"},
		{"missed", "2026-07-25", []Lack{need("800g", "", "R1")}, "0g", "", "missed: weld: over since 3 weeks: missed; 1000 g dry is lacking"},
		{"not before it is needed", "2026-02-01", []Lack{need("800g", "2026-06-01", "R1")}, "0g", "", "missed: weld: over since 30 weeks: missed; 1000 g dry is lacking"},
		{"in time", "2026-06-08", []Lack{need("800g", "2026-08-01", "R1")}, "0g", "", "later: weld, 5 kg fresh (lane), opens in 12 days"},
		{"no day, and the next weeks are nearer", "2026-06-08", []Lack{need("800g", "", "R1")}, "0g", "", "later: weld, 5 kg fresh (lane), opens in 12 days"},
		{"one is missed, one is not, the shelf goes to the first", "2026-06-08", []Lack{need("800g", "2026-08-01", "R2"), need("800g", "2026-06-10", "R1")}, "400g", "",
			"missed: weld: over since 48 weeks: missed; 500 g dry is lacking | later: weld, 5 kg fresh (lane), opens in 12 days"},
	} {
		s := Stand{Item: "weld", Plant: "weld", Part: "flowering top", Own: own, Lacks: c.lacks, Shelf: kilos(c.shelf)}
		if c.damp != "" {
			s.Own = append(s.Own[:2:2], weldOf("P9", "2026-06-30", "lane", c.damp, ""))
		}
		var got []string
		for _, l := range ToGather(s, date(c.today)) {
			got = append(got, string(l.State)+": "+l.Text)
		}
		if text := strings.Join(got, " | "); text != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, text, c.want)
		}
	}
	unknown := ToGather(Stand{Item: "moss", Plant: "moon moss", Lacks: []Lack{need("100g", "", "R1")}}, date("2026-07-01"))
	if len(unknown) != 1 || unknown[0].Text != "moon moss, for 100 g dry; how much fresh nobody knows: nobody knows its weeks" {
		t.Errorf("%v", unknown)
	}
	for _, bought := range []Stand{{Item: "cochineal", Plant: "cochineal", Part: "insect"}, {Item: "moss", Plant: "moon moss", Supplier: "Northern Salts"}} {
		bought.Lacks = []Lack{need("100g", "", "R1")}
		if lines := ToGather(bought, date("2026-07-01")); lines != nil {
			t.Errorf("%s is bought, and is on the list: %v", bought.Item, lines)
		}
	}
	late := ToGather(Stand{Item: "weld", Plant: "weld", Part: "flowering top", Own: own, Lacks: []Lack{need("100g", "", "R1")}}, date("2026-07-10"))
	if why := strings.Join(late[0].Why, "\n"); !strings.Contains(why, "beyond your own: look at the plant before 10 August") {
		t.Errorf("the table's weeks are on still, and nobody says so:\n%s", why)
	}
}

// More dry is never less fresh, fresh is never less than dry, whoever's ratio it
// is; what is lacked is either on the list or covered.
func TestLawsOfTheList(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		g := rapid.SampledFrom(gatherings).Draw(t, "row")
		var own []Harvested
		for range rapid.IntRange(0, 4).Draw(t, "harvests") {
			dry := rapid.Int64Range(1, 5e9).Draw(t, "dry")
			h := Harvested{Plant: g.Plant, Part: g.Part, Picked: date("2024-01-01").AddDate(0, 0, rapid.IntRange(0, 900).Draw(t, "day")),
				Fresh: quantity.Amount{N: dry + rapid.Int64Range(1, 2e10).Draw(t, "water"), Unit: quantity.Mass}}
			if rapid.Bool().Draw(t, "dried") {
				h.Dry = quantity.Amount{N: dry, Unit: quantity.Mass}
			}
			if rapid.Bool().Draw(t, "measured") {
				h.Strength = quantity.Percent(rapid.Int64Range(100_000, 2_000_000).Draw(t, "strength"))
			}
			own = append(own, h)
		}
		d := DryingOf(g.Plant, g.Part, own)
		a, b := rapid.Int64Range(0, 1e11).Draw(t, "a"), rapid.Int64Range(0, 1e11).Draw(t, "b")
		a, b = min(a, b), max(a, b)
		lowA, highA := d.Fresh(quantity.Amount{N: a, Unit: quantity.Mass})
		lowB, highB := d.Fresh(quantity.Amount{N: b, Unit: quantity.Mass})
		if lowA.N > lowB.N || highA.N > highB.N || lowA.N > highA.N || d.Known() && lowA.N < a {
			t.Fatalf("%s: %d dry takes %d to %d fresh, %d dry %d to %d", d, a, lowA.N, highA.N, b, lowB.N, highB.N)
		}
		s := Stand{Item: "it", Plant: g.Plant, Part: g.Part, Own: own, Shelf: quantity.Amount{N: rapid.Int64Range(0, 1e10).Draw(t, "shelf"), Unit: quantity.Mass}}
		today := date("2026-01-01").AddDate(0, 0, rapid.IntRange(0, 400).Draw(t, "today"))
		all := int64(0)
		for range rapid.IntRange(0, 4).Draw(t, "lacks") {
			l := Lack{Dry: quantity.Amount{N: rapid.Int64Range(1, 1e10).Draw(t, "lack"), Unit: quantity.Mass}, For: "R1"}
			if rapid.Bool().Draw(t, "dated") {
				l.On = today.AddDate(0, 0, rapid.IntRange(-30, 400).Draw(t, "on"))
			}
			s.Lacks, all = append(s.Lacks, l), all+l.Dry.N
		}
		listed := int64(0)
		for _, l := range ToGather(s, today) {
			listed += l.Dry.N
			if l.State == GatherNow && (l.Span.Closes.Before(today) || l.Span.Opens.After(today)) || l.State == GatherLater && !l.Span.Opens.After(today) || l.State == GatherMissed && !l.Span.Closes.Before(today) {
				t.Fatalf("%s on %s: %+v", l.State, today, l.Span)
			}
		}
		base := GatherLine{Stand: s, Drying: d}
		base.Strength, base.StrengthOf = lastStrength(own)
		damp, _ := base.damp()
		w, known := WeeksOf(g.Plant, g.Part, own, 0)
		if left := max(all-s.Shelf.N-damp.N, 0); listed != left && !(!known && w.Table.Bought()) {
			t.Fatalf("%d is lacked, %d covered, %d listed", all, s.Shelf.N+damp.N, listed)
		}
	})
}

// The way a swatch's plant is had: shelf before season before bought.
func TestHowAStandInIsHad(t *testing.T) {
	t.Parallel()
	supplies := []Supply{
		{Plant: "onion", Part: "skin", Free: kilos("850g"), Parcels: []string{"P9"}},
		{Plant: "birch", Part: "leaf", Own: []Harvested{{Plant: "birch", Part: "leaf", Picked: date("2025-06-01")}}},
		{Plant: "weld", Part: "flowering top", Supplier: "Northern Salts", LeadDays: 7},
	}
	wof := quantity.WholePercent(60)
	for _, c := range []struct {
		plant, part string
		wof         quantity.Percent
		fibre       string
		today       string
		way         Way
		says        string
	}{
		{"onion", "skin", wof, "1000g", "2026-11-25", FromShelf, "onion skin is on the shelf: 850 g free (P9), 600 g needed"},
		{"onion", "skin", wof, "2000g", "2026-11-25", InSeason, "onion skin is in season, all year (common practice)"},
		{"onion", "", 0, "2000g", "2026-11-25", FromShelf, "onion skin is on the shelf: 850 g free (P9); how much it takes is not known"},
		{"birch", "leaf", wof, "1000g", "2026-06-01", InSeason, "birch leaf is in season, closes today (own, 1 picking in 1 year)"},
		{"birch", "leaf", wof, "1000g", "2026-06-02", NoWay, ""}, // over by the own weeks
		{"weld", "flowering top", wof, "1000g", "2026-07-01", InSeason, "weld is in season, closes 10 August (common practice)"},
		{"weld", "", wof, "1000g", "2026-11-25", Bought, "weld is bought from Northern Salts, 7 days"},
		{"cochineal", "insect", wof, "1000g", "2026-11-25", Bought, "cochineal is bought"},
		{"goldenrod", "flowering top", wof, "1000g", "2026-11-25", NoWay, ""},
		{"walnut", "", wof, "1000g", "2026-07-01", InSeason, "walnut leaf is in season, closes 31 August (common practice)"},
		{"moon moss", "", wof, "1000g", "2026-07-01", NoWay, ""},
		{"", "", 0, "1000g", "2026-07-01", NoWay, ""},
	} {
		way, says := HowToHave(c.plant, c.part, supplies, c.wof, kilos(c.fibre), date(c.today))
		if way != c.way || says != c.says {
			t.Errorf("%s %s on %s: %q, %q; want %q, %q", c.plant, c.part, c.today, way, says, c.way, c.says)
		}
	}
}

func TestStandInsRefuseNonsense(t *testing.T) {
	t.Parallel()
	nan := 0.0
	nan /= nan
	for _, c := range []struct {
		k      int
		within float64
		field  string
	}{{-1, 0, "k"}, {21, 0, "k"}, {0, -1, "within"}, {0, 51, "within"}, {0, nan, "within"}} {
		_, _, err := CheckStandIns(c.k, c.within)
		if f, bad := fault.Of(err); !bad || f.Field != c.field {
			t.Errorf("%d, %v: %v", c.k, c.within, err)
		}
	}
	if k, within, err := CheckStandIns(0, 0); k != 3 || within != 10 || err != nil {
		t.Errorf("%d %v %v", k, within, err)
	}
}

func TestHowAPlantIsSaid(t *testing.T) {
	t.Parallel()
	for _, c := range [][3]string{{"weld", "flowering top", "weld"}, {"walnut", "hull", "walnut hull"}, {"madder", "root", "madder"}, {"birch", "leaf", "birch leaf"}, {"moon moss", "", "moon moss"}} {
		if got := PlantWord(c[0], c[1]); got != c[2] {
			t.Errorf("%s %s is said %q, want %q", c[0], c[1], got, c[2])
		}
	}
	if _, _, ok := recipe.UsualDrying(0); ok {
		t.Error("any other part has a ratio")
	}
}
