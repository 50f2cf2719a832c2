package recipe_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

func pc(t testing.TB, s string) quantity.Percent {
	t.Helper()
	p, err := quantity.ParsePercent(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// refused wants a fault of a kind on a field, with some words in its sentence.
func refused(t testing.TB, err error, kind fault.Kind, field, says string) {
	t.Helper()
	f, ok := fault.Of(err)
	if !ok || f.Kind != kind || f.Field != field || !strings.Contains(f.Say, says) {
		t.Errorf("want a refusal of %q that says %q, got %v", field, says, err)
	}
}

func TestEverySubstanceIsFoundByEachOfItsNames(t *testing.T) {
	t.Parallel()
	seen := map[string]string{}
	for _, s := range recipe.Substances() {
		names := append([]string{s.Key, s.Name, strings.ToUpper(s.Name)}, s.Also...)
		if s.HasFormula() {
			names = append(names, s.Formula.String(), strings.ReplaceAll(s.Formula.String(), "·", "."), strings.ReplaceAll(s.Formula.String(), "·", " * "))
		}
		for _, name := range names {
			if key, twice := seen[name]; twice && key != s.Key {
				t.Errorf("%q names both %s and %s", name, key, s.Key)
			}
			seen[name] = s.Key
			if got, err := recipe.Lookup(name); err != nil || got.Key != s.Key {
				t.Errorf("%q finds %q, %v; want %q", name, got.Key, err, s.Key)
			}
		}
	}
}

func TestSpellingsOfTheTradeAreUnderstood(t *testing.T) {
	t.Parallel()
	for name, key := range map[string]string{
		"alum": "potassium-alum", "Potash Alum": "potassium-alum", "potassium aluminum sulphate": "potassium-alum",
		"Potassium aluminium sulfate dodecahydrate": "potassium-alum",
		"aluminium sulphate 18-hydrate":             "aluminium-sulfate-18", "aluminum sulfate octadecahydrate": "aluminium-sulfate-18",
		"aluminium sulfate tetradecahydrate": "aluminium-sulfate-14",
		"aluminium triformate trihydrate":    "aluminium-triformate-3",
		"Copperas":                           "copperas",
		"ferrous sulphate":                   "copperas",
		"iron(II) sulfate heptahydrate":      "copperas",
		"ferrous sulfate monohydrate":        "ferrous-sulfate-1",
		"Al2(SO4)3.18H2O":                    "aluminium-sulfate-18",
		"KC4H5O6":                            "cream-of-tartar",
		"vinegar-and-scrap iron liquor":      "vinegar-iron",
		"calcium   hydroxide":                "slaked-lime",
	} {
		if s, err := recipe.Lookup(name); err != nil || s.Key != key {
			t.Errorf("%q finds %q, %v; want %q", name, s.Key, err, key)
		}
	}
	s, err := recipe.Lookup("Al2(SO4)3·14.3H2O") // papermaker's alum: not in the table, yet a formula
	if err != nil || s.Key != "" || s.Metal != "Al" || s.MetalPercent() <= pc(t, "8.9") || s.MetalPercent() >= pc(t, "9.1") {
		t.Errorf("papermaker's alum is %+v, %v", s, err)
	}
}

func TestNamesThatMeanTwoSaltsAreRefused(t *testing.T) {
	t.Parallel()
	for name, says := range map[string]string{
		"aluminium sulfate":           "18-hydrate or 14-hydrate",
		"Aluminum Sulphate":           "18-hydrate or 14-hydrate",
		"aluminium acetate":           "Al(OH)(OAc)2",
		"dibasic aluminium acetate":   "both ways",
		"monobasic aluminium acetate": "both ways",
		"":                            "1 to 100",
		strings.Repeat("alum ", 30):   "1 to 100",
		"alumm":                       "neither a substance known here nor a formula",
		"KAl(SO4":                     "not closed",
		"Xx2(SO4)3":                   "no element",
	} {
		_, err := recipe.Lookup(name)
		refused(t, err, fault.Invalid, "substance", says)
	}
}

// The last column of the trade's table: % WOF of each salt with the aluminium
// of 15 % potassium alum, computed there to two decimals.
func TestEqualAluminiumOfFifteenPerCentAlum(t *testing.T) {
	t.Parallel()
	for to, want := range map[string]float64{
		"potassium alum": 15.00, "NH4Al(SO4)2·12H2O": 14.33, "aluminium sulfate 18-hydrate": 10.54, "aluminium sulfate 14-hydrate": 9.40,
		"aluminium triacetate": 6.45, "Al(OH)(OAc)2": 5.12, "Al(OH)2OAc": 3.80, "aluminium triformate": 5.12,
		"aluminium triformate trihydrate": 6.83, "aluminium lactate": 9.30,
	} {
		got, err := recipe.SameMetal("alum", to, pc(t, "15"))
		if err != nil {
			t.Errorf("%s: %v", to, err)
			continue
		}
		if w := float64(got.WOF) / 1e4; math.Abs(w-want) > 0.005 {
			t.Errorf("%s: %.4f %%, the table says %.2f", to, w, want)
		}
		if got.FromPercent != pc(t, "5.688") && got.FromPercent != pc(t, "5.6879") {
			t.Errorf("alum holds %s aluminium", got.FromPercent)
		}
		if !strings.HasPrefix(got.Caution, "equal aluminium is not equal shade") {
			t.Error(got.Caution)
		}
	}
}

func TestSaltsThatCannotBeComparedAreRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ from, to, wof, field, says string }{
		{"alum", "copperas", "15", "to", "holds iron"},
		{"soda ash", "alum", "15", "from", "no mordant metal"},
		{"alum", "chalk", "15", "to", "no mordant metal"},
		{"alum", "FeAl2(SO4)4·22H2O", "15", "to", "aluminium and iron"},
		{"vinegar iron", "copperas", "2", "from", "no formula"},
		{"alum", "oak gall", "2", "to", "no formula"},
		{"alumm", "alum", "2", "from", "neither"},
		{"alum", "Al(OH", "2", "to", "not closed"},
		{"alum", "aluminium acetate", "2", "to", "more than one salt"},
		{"alum", "alum", "0", "wof_percent", "more than 0"},
		{"alum", "alum", "-1", "wof_percent", "more than 0"},
		{"alum", "alum", "200.0001", "wof_percent", "200 %"},
	} {
		_, err := recipe.SameMetal(c.from, c.to, pc(t, c.wof))
		refused(t, err, fault.Invalid, c.field, c.says)
	}
	if _, err := recipe.SameMetal("alum", "alum", pc(t, "200")); err != nil {
		t.Error(err)
	}
}

func TestCopperTinAndChromeAreForOldRecords(t *testing.T) {
	t.Parallel()
	e, err := recipe.SameMetal("SnCl2", "tin crystals", pc(t, "2"))
	if err != nil || !strings.Contains(e.Caution, "only to read old records") {
		t.Error(e.Caution, err)
	}
	for _, name := range []string{"CuSO4·5H2O", "SnCl2", "potassium dichromate", "chrome alum", "Cr2(SO4)3"} {
		s, err := recipe.Lookup(name)
		if err != nil || !s.OldRecordsOnly() {
			t.Errorf("%s is for new recipes: %v", name, err)
		}
		refused(t, s.RefuseNew(), fault.Refused, "", "old records")
	}
	s, err := recipe.Lookup("alum")
	if err != nil || s.OldRecordsOnly() || s.RefuseNew() != nil {
		t.Error("alum is for old records only")
	}
}

// There and back again is the same dose, within what rounding to 0.0001 %
// leaves, whichever two aluminium salts are taken.
func TestSameMetalThereAndBack(t *testing.T) {
	t.Parallel()
	salts := rapid.SampledFrom([]string{"alum", "ammonium alum", "Al2(SO4)3·18H2O", "aluminium lactate", "Al(OH)2OAc", "AlCl3·6H2O"})
	rapid.Check(t, func(t *rapid.T) {
		from, to := salts.Draw(t, "from"), salts.Draw(t, "to")
		wof := quantity.Percent(rapid.Int64Range(10_000, 500_000).Draw(t, "wof"))
		there, err := recipe.SameMetal(from, to, wof)
		if err != nil {
			t.Fatal(err)
		}
		back, err := recipe.SameMetal(to, from, there.WOF)
		if err != nil {
			t.Fatal(err)
		}
		if d := back.WOF - wof; d > 3 || d < -3 {
			t.Fatalf("%s of %s came back as %s", wof, from, back.WOF)
		}
	})
}
