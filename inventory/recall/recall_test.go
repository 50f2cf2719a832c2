package recall_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/recall"
)

func Example() {
	fmt.Println(recall.Percent(6, 9), recall.Percent(13, 14), recall.Percent(14, 14), recall.Percent(999, 1000))
	// Output: 66 92 100 99
}

// A place that nobody put into somebody's hands would be lost in every count.
func TestEveryPlaceIsInSomebodysHands(t *testing.T) {
	t.Parallel()
	for _, p := range lot.Places() {
		if recall.HandsOf(p) == 0 {
			t.Errorf("%s is in nobody's hands: give it a row", p)
		}
	}
}

func reason(err error) string {
	if f, is := fault.Of(err); is {
		return f.Reason
	}
	return ""
}

// What is asked of a garment, by where it is and what was said of it before
// (common practice: what came back is decided in the house).
func TestAccounting(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		place, found lot.Place
		before, how  recall.How
		step         recall.Step
		refused      string
	}{
		{"sold", "sold", "", "returned", recall.TakeBack, ""},
		{"sold", "sold", "returned", "returned", recall.TakeBack, ""}, // out once more, and back
		{"returned", "sold", "", "returned", recall.NoStep, ""},
		{"shelf", "sold", "", "returned", recall.NoStep, ""}, // judged since it came back
		{"shelf", "shelf", "", "returned", 0, "NOT_OUT"},
		{"given-back", "given-back", "", "returned", 0, "NOT_OUT"},
		{"returned", "sold", "returned", "returned", 0, "ACCOUNTED_ALREADY"},
		{"returned", "sold", "returned", "destroyed", recall.Scrap, ""},
		{"returned", "sold", "destroyed", "destroyed", recall.Scrap, ""}, // said to be destroyed, and came back after all
		{"shelf", "shelf", "", "destroyed", recall.Scrap, ""},
		{"in-work", "in-work", "", "destroyed", recall.Scrap, ""},
		{"sold", "sold", "", "destroyed", recall.NoStep, ""}, // where it is
		{"scrapped", "scrapped", "", "destroyed", recall.NoStep, ""},
		{"scrapped", "shelf", "destroyed", "destroyed", 0, "ACCOUNTED_ALREADY"},
		{"scrapped", "shelf", "destroyed", "checked-and-kept", 0, "ACCOUNTED_ALREADY"},
		{"shelf", "shelf", "", "checked-and-kept", recall.NoStep, ""},
		{"sold", "sold", "cannot-be-reached", "checked-and-kept", recall.NoStep, ""},
		{"sold", "sold", "", "cannot-be-reached", recall.NoStep, ""},
		{"shelf", "shelf", "", "cannot-be-reached", 0, "IN_OUR_HANDS"},
	} {
		g := recall.Garment{Tag: "16JD", Place: c.place, FoundPlace: c.found, Accounted: c.before}
		step, err := g.Account(c.how)
		if step != c.step || reason(err) != c.refused {
			t.Errorf("%s, found %s, %q before, now %s: step %d, %v; want %d, %q", c.place, c.found, c.before, c.how, step, err, c.step, c.refused)
		}
	}
	if _, err := recall.HowOf("burnt"); reason(err) != "INVALID_FIELD" || !strings.Contains(err.Error(), "checked-and-kept") {
		t.Error(err)
	}
}

func TestWhoIsTold(t *testing.T) {
	t.Parallel()
	for place, want := range map[lot.Place]string{"sold": "", "given-back": "", "shelf": "NOBODY_TO_TELL", "scrapped": "NOBODY_TO_TELL"} {
		if err := (recall.Garment{Place: place, FoundPlace: place}).Tell(); reason(err) != want {
			t.Errorf("%s: %v", place, err)
		}
	}
	back := recall.Garment{Place: "returned", FoundPlace: "sold", FoundOrderRef: "choir-7"}
	if back.Tell() != nil || !back.SoldUnder("choir-7") || back.SoldUnder("") {
		t.Error("whoever had it can still have been told")
	}
}

func TestWhenARecallMayBeClosed(t *testing.T) {
	t.Parallel()
	out := recall.Garment{Tag: "B", Place: "sold", FoundPlace: "sold"}
	for name, c := range map[string]struct {
		change func(*recall.Garment)
		want   string
	}{
		"nobody told":    {func(*recall.Garment) {}, "RECALL_UNTOLD"},
		"told":           {func(g *recall.Garment) { g.Told = true }, ""},
		"unreachable":    {func(g *recall.Garment) { g.Accounted = recall.Unreachable }, ""},
		"back":           {func(g *recall.Garment) { g.Told, g.Place, g.Accounted = true, "returned", recall.Returned }, "RECALL_UNDECIDED"},
		"back, scrapped": {func(g *recall.Garment) { g.Place, g.Accounted = "scrapped", recall.Destroyed }, ""},
		"on the shelf":   {func(g *recall.Garment) { g.Place = "shelf" }, "RECALL_UNDECIDED"},
		"checked":        {func(g *recall.Garment) { g.Place, g.Accounted = "shelf", recall.Kept }, ""},
	} {
		g := out
		c.change(&g)
		if err := recall.MayClose("K1", []recall.Garment{g}); reason(err) != c.want {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	many := make([]recall.Garment, 8)
	for i := range many {
		many[i] = recall.Garment{Tag: fmt.Sprint("T", i), Place: "shelf"}
	}
	if err := recall.MayClose("K1", many); err == nil || !strings.Contains(err.Error(), "8 in the house are") || !strings.Contains(err.Error(), "T4 and 3 more") {
		t.Error(err)
	}
}

// The machine of one garment under random acts: it always moves as the books
// would, what is checked is let go, what is held is not; and a recall can always
// be closed once every garment was decided.
func TestTheStateMachineOfARecall(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		gs := make([]recall.Garment, rapid.IntRange(1, 6).Draw(t, "garments"))
		for i := range gs {
			p := rapid.SampledFrom([]lot.Place{"in-work", "part-done", "shelf", "sold", "returned", "given-back", "scrapped"}).Draw(t, "place")
			gs[i] = recall.Garment{Tag: fmt.Sprint(i), Place: p, FoundPlace: p, SinceThen: rapid.Bool().Draw(t, "since then")}
		}
		for range rapid.IntRange(0, 20).Draw(t, "acts") {
			g := &gs[rapid.IntRange(0, len(gs)-1).Draw(t, "garment")]
			if rapid.Bool().Draw(t, "tell") {
				g.Told = g.Told || g.Tell() == nil
				continue
			}
			how := rapid.SampledFrom(recall.Hows()).Draw(t, "how")
			was := *g
			step, err := g.Account(how)
			if err != nil {
				continue
			}
			g.Accounted = how
			switch step {
			case recall.TakeBack:
				g.Place = lot.PlaceReturned
			case recall.Scrap:
				g.Place = lot.PlaceScrapped
			}
			switch {
			case was.Place == lot.PlaceScrapped && g.Place != lot.PlaceScrapped:
				t.Fatalf("%+v came back from %+v", *g, was)
			case how == recall.Destroyed && recall.HandsOf(g.Place) == recall.Ours:
				t.Fatalf("%+v is destroyed and lies in the house", *g)
			case how == recall.Returned && recall.HandsOf(g.Place) != recall.Ours:
				t.Fatalf("%+v is returned and not here", *g)
			case how == recall.Kept == g.Held():
				t.Fatalf("%+v: held %t", *g, g.Held())
			case !g.Settled():
				t.Fatalf("%+v was accounted for and is not", *g)
			}
		}
		n := recall.Count(gs)
		in := 0
		for _, p := range n.Places {
			in += p.Count
		}
		if n.All() != len(gs) || in != len(gs) || n.Told > n.ToTell || n.Accounted > n.All() || (recall.Percent(n.Accounted, n.All()) == 100) != (n.Accounted == n.All()) {
			t.Fatalf("%+v of %+v", n, gs)
		}
		closes := recall.MayClose("K1", gs) == nil
		decided := !slices.ContainsFunc(gs, recall.Garment.Undecided)
		told := !slices.ContainsFunc(gs, func(g recall.Garment) bool { return recall.HandsOf(g.Place) == recall.Out && !g.Told && !g.Settled() })
		if closes != (decided && told) {
			t.Fatalf("closes %t, decided %t, told %t", closes, decided, told)
		}
	})
}

func TestWhereARecallStarts(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a         recall.Asked
		by, field string
	}{
		{recall.Asked{Code: "P4"}, "code", ""},
		{recall.Asked{Code: "B3", Use: 2}, "code", ""},
		{recall.Asked{Tag: "16JD"}, "tag", ""},
		{recall.Asked{SupplierLot: "NS-118", Item: "alum", Supplier: "Northern Salts"}, "supplier_lot", ""},
		{recall.Asked{Place: "lane", PickedOn: "2026-06-20"}, "place", ""},
		{recall.Asked{Place: "lane", PickedOn: "2026-06-20", Item: "weld"}, "place", ""},
		{recall.Asked{Recipe: "weld-wool", Version: 1}, "recipe_code", ""},
		{recall.Asked{}, "", "code"},
		{recall.Asked{Code: "  "}, "", "code"},
		{recall.Asked{PickedOn: "2026-06-20"}, "", "place"},
		{recall.Asked{Code: "P4", Tag: "16JD"}, "", "tag"},
		{recall.Asked{Tag: "16JD", Use: 1}, "", "bath_use"},
		{recall.Asked{Code: "B3", Use: -1}, "", "bath_use"},
		{recall.Asked{Code: "P4", Item: "alum"}, "", "item_code"},
		{recall.Asked{SupplierLot: "NS-118"}, "", "item_code"},
		{recall.Asked{Place: "lane"}, "", "picked_on"},
		{recall.Asked{Recipe: "weld-wool"}, "", "recipe_version"},
		{recall.Asked{Code: "P4", Version: 1}, "", "recipe_version"},
		{recall.Asked{Code: "P4", Supplier: "x"}, "", "supplier"},
	} {
		by, err := c.a.By()
		f, bad := fault.Of(err)
		if c.field == "" && (err != nil || by != c.by) || c.field != "" && (!bad || f.Field != c.field) {
			t.Errorf("%+v: %q, %v; want %q or field %q", c.a, by, err, c.by, c.field)
		}
	}
}

func TestCounting(t *testing.T) {
	t.Parallel()
	got := recall.Count([]recall.Garment{
		{Place: "sold", FoundPlace: "sold", Told: true},
		{Place: "sold", FoundPlace: "sold"},
		{Place: "returned", FoundPlace: "sold", Told: true, Accounted: recall.Returned},
		{Place: "shelf", FoundPlace: "shelf"},
		{Place: "shelf", FoundPlace: "shelf", SinceThen: true, Accounted: recall.Kept},
		{Place: "scrapped", FoundPlace: "shelf", Accounted: recall.Destroyed},
	})
	want := recall.Tally{Found: 5, SinceThen: 1, ToTell: 3, Told: 2, Accounted: 3, Held: 2, StillOut: 2, Returned: 1, Kept: 1, Destroyed: 1,
		Places: []recall.PlaceCount{{Place: "shelf", Count: 2, Open: 1}, {Place: "sold", Count: 2, Open: 2}, {Place: "returned", Count: 1}, {Place: "scrapped", Count: 1}}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}
