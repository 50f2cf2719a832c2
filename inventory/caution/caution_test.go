package caution_test

import (
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/caution"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

var update = flag.Bool("update", false, "write the golden cards anew; look at them before committing")

func Example() {
	line, _ := caution.IronSwallowLine(200_000, 10)
	fmt.Println(line)
	// Output: 5 mL of a 200 g/L liquor holds 20 mg/kg for a 10 kg child
}

func texts(cs []caution.Caution) string {
	var all []string
	for _, c := range cs {
		all = append(all, c.Text)
	}
	return strings.Join(all, "\n")
}

// The kinds are fixed: fifteen stages in the order of the work and three
// activities.
func TestKindsAreTheWorksOwn(t *testing.T) {
	t.Parallel()
	want := strings.Fields("scour tannin mordant chalk-bath wet-out brew dye vat-dip after-dip neutralise rinse dry cure press look-over gather weigh spent-bath")
	if diff := cmp.Diff(want, caution.Kinds()); diff != "" {
		t.Error(diff)
	}
}

// What the trade's list asks of each card, in the words that matter.
func TestEachStageSaysWhatTheTradeAsks(t *testing.T) {
	t.Parallel()
	for kind, asks := range map[string]string{
		"gather":     "certain of the plant;permission;gloves;lichens;living bark;steam;hulls kill dogs",
		"weigh":      "mask;goggles;gloves;Ventilate",
		"scour":      "Hot alkali burns",
		"tannin":     "iron tools away",
		"mordant":    "fully before the cloth;lid on;log it spent",
		"chalk-bath": "vinegar in one jar",
		"brew":       "scald;steam;Strain before;°C limit;slowly. Cool slowly",
		"dye":        "scald;steam;unstrained;°C limit;slowly. Cool slowly",
		"after-dip":  "pot and a spoon;cloth out while;paler than wanted;iron so far;5 mL of a 200 g/L liquor holds 20 mg/kg for a 10 kg child;poison centre",
		"vat-dip":    "outdoors or well ventilated;from water and acid;pH limits",
		"rinse":      "temperature of the cloth;runs clear",
		"spent-bath": "litres, pH and route;foul sewer where the utility allows;Never to a stream;septic;copper, tin and chrome to hazardous waste",
		"dry":        "shade;wool and alpaca flat;rusting pegs",
		"cure":       "dark;date the cure ends",
		"look-over":  "dry and rested;one light;inside seams;thread;white cloth;test is still open",
	} {
		card := texts(caution.ForStage(kind, nil, false))
		for ask := range strings.SplitSeq(asks, ";") {
			if !strings.Contains(card, ask) {
				t.Errorf("%s does not say %q:\n%s", kind, ask, card)
			}
		}
	}
	general := texts(caution.General())
	for _, ask := range []string{"Natural is not safe", "Nothing goes back to food", "eat", "children and animals out", "Label every jar", "floor dry",
		"40 L is 40 kg", "Two to lift", "burner", "carbon-monoxide alarm"} {
		if !strings.Contains(general, ask) {
			t.Errorf("no card says %q:\n%s", ask, general)
		}
	}
}

// names a substance by name and, where it has them, by key and formula.
func names(s recipe.Substance) []string {
	all := []string{s.Name}
	if s.Key != "" {
		all = append(all, s.Key)
	}
	if s.HasFormula() {
		all = append(all, s.Formula.String())
	}
	return all
}

// Every stage with every substance, by key, name and formula, with and without
// a liquor of unknown strength: the sheet comes first, nothing is said twice,
// every line fits the card, iron is never poured unannounced.
func TestSweepOverEveryStageAndSubstance(t *testing.T) {
	t.Parallel()
	for _, kind := range append(caution.Kinds(), "a kind nobody listed") {
		for _, s := range append(recipe.Substances(), recipe.Substance{Name: "K4[Fe(CN)6]·3H2O"}, recipe.Substance{Name: "ZnSO4·7H2O"}, recipe.Substance{Name: "bog myrtle"}, recipe.Substance{Name: "\xff\n"}) {
			for _, name := range names(s) {
				for _, unknown := range []bool{false, true} {
					cs := caution.ForStage(kind, []string{name}, unknown)
					whole(t, kind+" with "+name, cs)
					looked, err := recipe.Lookup(name)
					iron := unknown || err == nil && looked.HasIron()
					if said := strings.Contains(texts(cs), "holds 20 mg/kg"); said != iron {
						t.Errorf("%s with %s, unknown %v: iron spoken of: %v", kind, name, unknown, said)
					}
					if loose := unknown || looked.Key == "vinegar-iron"; loose != strings.Contains(texts(cs), "gives off hydrogen") {
						t.Errorf("%s with %s, unknown %v: hydrogen", kind, name, unknown)
					}
					if looked.OldRecordsOnly() != strings.Contains(texts(cs), "only to read old records") {
						t.Errorf("%s with %s: old records", kind, name)
					}
					if !strings.Contains(texts(cs), "Confirm each statement from the supplier's sheet") {
						t.Errorf("%s with %s: nobody is told to confirm", kind, name)
					}
				}
			}
		}
		whole(t, kind, caution.ForStage(kind, nil, false))
	}
	whole(t, "general", caution.General())
}

func whole(t *testing.T, what string, cs []caution.Caution) {
	t.Helper()
	if len(cs) < 2 || cs[0].Text != "First come the supplier's safety data sheet, local codes, licensed practice." {
		t.Fatalf("%s: the sheet does not come first: %+v", what, cs)
	}
	seen := map[string]bool{}
	for _, c := range cs {
		if seen[c.Key] || c.Key == "" || strings.ContainsAny(c.Key, "\n\t") {
			t.Errorf("%s: key %q twice or odd", what, c.Key)
		}
		seen[c.Key] = true
		if first := []rune(c.Text)[0]; unicode.IsLower(first) || !strings.HasSuffix(c.Text, ".") || c.Source.Mark == "" {
			t.Errorf("%s: badly said: %+v", what, c)
		}
		if n := len([]rune(c.Text)); n > 78 && !strings.HasPrefix(c.Key, "hazard-") {
			t.Errorf("%s: %d characters are no bench card line: %s", what, n, c.Text)
		}
	}
	for _, line := range caution.Lines(cs, 80) {
		if len([]rune(line)) > 80 {
			t.Errorf("%s: wider than the card: %s", what, line)
		}
	}
}

func TestAKindNobodyListedStillHasItsCautions(t *testing.T) {
	t.Parallel()
	got := caution.ForStage("felt", nil, false)
	if diff := cmp.Diff(caution.General(), got); diff != "" {
		t.Error(diff)
	}
}

// Named in any order, twice, or by formula: the same card.
func TestTheOrderIsFixed(t *testing.T) {
	t.Parallel()
	all := []string{"copperas", "alum", "sodium dithionite", "walnut hull", "ZnSO4·7H2O", "AlCl3·6H2O", "bog myrtle", "vinegar-iron", "weld", ""}
	want := caution.ForStage("after-dip", all, false)
	rapid.Check(t, func(t *rapid.T) {
		mixed := rapid.Permutation(append(slices.Clone(all), "FeSO4.7H2O", "potash alum", "Walnut")).Draw(t, "order")
		if diff := cmp.Diff(want, caution.ForStage("after-dip", mixed, false)); diff != "" {
			t.Fatal(diff)
		}
	})
}

func TestAnAfterDipWithoutIronSaysNothingOfIron(t *testing.T) {
	t.Parallel()
	for _, named := range [][]string{{"vinegar"}, {"soda ash"}} {
		if card := texts(caution.ForStage("after-dip", named, false)); strings.Contains(card, "iron") {
			t.Errorf("%v: %s", named, card)
		}
	}
	if card := texts(caution.ForStage("after-dip", []string{"weld"}, false)); !strings.Contains(card, "iron so far") {
		t.Error("an after-dip on weld, its salt not named, is not taken for iron:", card)
	}
	if card := texts(caution.ForStage("brew", []string{"walnut hulls"}, false)); !strings.Contains(card, "kill dogs") {
		t.Error(card)
	}
	if card := texts(caution.ForStage("vat-dip", []string{"hydros"}, false)); !strings.Contains(card, "H251: Self-heating: may catch fire.") || !strings.Contains(card, "sulfur dioxide") {
		t.Error(card)
	}
}

// 20 mg/kg in a child of 10 kg is 5 mL of a 200 g/L liquor (the trade's
// number; the dose after McGuigan 1996 and Bateman 2003). The others follow by
// hand from copperas at 20.088 % iron: 0.9956 g for 10 kg.
func TestIronSwallowLine(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		gPerL quantity.Concentration
		kg    int64
		want  string
	}{
		{200_000, 10, "5 mL of a 200 g/L liquor holds 20 mg/kg for a 10 kg child"},
		{50_000, 10, "20 mL of a 50 g/L liquor holds 20 mg/kg for a 10 kg child"},
		{200_000, 15, "7.5 mL of a 200 g/L liquor holds 20 mg/kg for a 15 kg child"},
		{400_000, 10, "2.5 mL of a 400 g/L liquor holds 20 mg/kg for a 10 kg child"},
		{10_000_000, 10, "0.1 mL of a 10000 g/L liquor holds 20 mg/kg for a 10 kg child"},
		{200_000, 70, "35 mL of a 200 g/L liquor holds 20 mg/kg for a 70 kg person"},
	} {
		if got, err := caution.IronSwallowLine(c.gPerL, c.kg); err != nil || got != c.want {
			t.Errorf("%q, %v; want %q", got, err, c.want)
		}
	}
	for _, c := range []struct {
		gPerL quantity.Concentration
		kg    int64
		field string
	}{{0, 10, "stock_g_per_l"}, {-1, 10, "stock_g_per_l"}, {200_000, 0, "body_kg"}, {200_000, 201, "body_kg"}} {
		_, err := caution.IronSwallowLine(c.gPerL, c.kg)
		if f, ok := fault.Of(err); !ok || f.Kind != fault.Invalid || f.Field != c.field {
			t.Errorf("%+v: %v", c, err)
		}
	}
	cs, err := caution.AtStrength(caution.ForStage("after-dip", []string{"copperas"}, false), 50_000, 12)
	if err != nil || !strings.Contains(texts(cs), "24 mL of a 50 g/L liquor holds 20 mg/kg for a 12 kg child.") || strings.Contains(texts(cs), "200 g/L") {
		t.Error(texts(cs), err)
	}
	if _, err := caution.AtStrength(cs, 0, 10); err == nil {
		t.Error("a liquor of 0 g/L was believed")
	}
}

// The card that is most looked at. Written by this program, then read through
// by a person: go test -run Card -update, and look.
func TestAfterDipCard(t *testing.T) {
	t.Parallel()
	for file, c := range map[string][]caution.Caution{
		"after-dip.card":         caution.Merge(caution.General(), caution.ForStage("after-dip", []string{"copperas"}, false)),
		"after-dip-unknown.card": caution.Merge(caution.General(), caution.ForStage("after-dip", nil, true)),
	} {
		got := strings.Join(caution.Lines(c, 80), "\n") + "\n"
		if *update {
			if err := os.WriteFile("testdata/"+file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile("testdata/" + file)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s: %s", file, diff)
		}
	}
}

func TestLinesWrap(t *testing.T) {
	t.Parallel()
	long := caution.Caution{Text: "Heat slowly and then cool slowly, for " + strings.Repeat("ö", 30) + " hours."}
	want := []string{"- Heat slowly and", "  then cool slowly,", "  for", "  " + strings.Repeat("ö", 30), "  hours."}
	if diff := cmp.Diff(want, caution.Lines([]caution.Caution{long}, 0)); diff != "" { // never narrower than 20
		t.Error(diff)
	}
}
