package recipe_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

func fibre(t testing.TB, name string) recipe.Fibre {
	t.Helper()
	f, err := recipe.FibreOf(name)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// EU 1007/2011 Annex IX and ASTM D1909 as the trade's table gives them; the
// rows marked M there are from memory here too, and say so.
func TestRegainsOfTheTwoStandards(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ fibre, standard, form, percent, mark string }{
		{"wool", recipe.EURegain, "combed", "18.25", "M"}, {"alpaca", recipe.EURegain, "carded", "17", "S"}, {"mohair", recipe.ASTMRegain, "", "13.6", "S"},
		{"silk", recipe.EURegain, "", "11", "M"}, {"silk", recipe.ASTMRegain, "", "11", "S"},
		{"cotton", recipe.EURegain, "", "8.5", "S"}, {"cotton", recipe.EURegain, "mercerised", "10.5", "M"}, {"cotton", recipe.ASTMRegain, "", "8.5", "S"},
		{"linen", recipe.EURegain, "", "12", "M"}, {"hemp", recipe.ASTMRegain, "", "12", "S"},
		{"ramie", recipe.EURegain, "", "8.5", "M"}, {"ramie", recipe.ASTMRegain, "", "7.8", "M"},
		{"jute", recipe.EURegain, "", "17", "M"}, {"jute", recipe.ASTMRegain, "", "13.75", "S"},
		{"viscose", recipe.EURegain, "", "13", "M"}, {"lyocell", recipe.ASTMRegain, "", "11", "M"}, {"modal", recipe.ASTMRegain, "", "11", "M"}, {"cupro", recipe.EURegain, "", "13", "M"},
	} {
		found := false
		for _, r := range fibre(t, c.fibre).Regains {
			if r.Standard == c.standard && r.Form == c.form {
				found = r.Percent == pc(t, c.percent) && string(r.Source.Mark) == c.mark
			}
		}
		if !found {
			t.Errorf("no %+v", c)
		}
	}
}

func TestEveryFibreIsFoundAndHasItsClass(t *testing.T) {
	t.Parallel()
	class := map[recipe.Group]recipe.Class{recipe.Wool: recipe.Protein, recipe.Hair: recipe.Protein, recipe.Silk: recipe.Protein,
		recipe.PlantFibre: recipe.Cellulose, recipe.Regenerated: recipe.Cellulose, recipe.Manmade: recipe.Synthetic}
	for _, f := range recipe.Fibres() {
		for _, name := range append([]string{f.Key, " " + strings.ToUpper(f.Key)}, f.Also...) {
			if got, err := recipe.FibreOf(name); err != nil || got.Key != f.Key {
				t.Errorf("%q finds %q, %v", name, got.Key, err)
			}
		}
		if f.Class != class[f.Group] {
			t.Errorf("%s is %s and in group %s", f.Key, f.Class, f.Group)
		}
		if f.Cap <= 0 || f.Cap > recipe.Degrees(100) || f.CapBy.Mark == "" {
			t.Errorf("%s is capped at %s [%s]", f.Key, f.Cap, f.CapBy)
		}
		if (f.Class == recipe.Synthetic) != (len(f.Regains) == 0) {
			t.Errorf("%s has %d regains", f.Key, len(f.Regains))
		}
	}
	for _, name := range []string{"silk", "alpaca", "mohair"} { // the trade's cap
		if f := fibre(t, name); f.Cap != recipe.Degrees(80) {
			t.Errorf("%s is capped at %s", name, f.Cap)
		}
	}
	_, err := recipe.FibreOf("asbestos")
	refused(t, err, fault.Invalid, "fibre", "use one of wool, alpaca")
}

// 1000 g of wool at 16 % are 862.1 g oven-dry: the trade's worked number.
func TestOvenDryAndConditioned(t *testing.T) {
	t.Parallel()
	dry, err := recipe.OvenDry(quantity.Grams(1000), pc(t, "16"))
	if err != nil || dry.Round(100_000).String() != "862.1 g" || dry.String() != "862.069 g" {
		t.Error(dry, err)
	}
	for _, c := range []struct{ mass, regain, field string }{
		{"0 g", "16", "mass"}, {"-1 g", "16", "mass"}, {"1 mL", "16", "mass"}, {"1 g", "-1", "regain"}, {"1 g", "40.0001", "regain"},
	} {
		_, err := recipe.OvenDry(amount(t, c.mass), pc(t, c.regain))
		refused(t, err, fault.Invalid, c.field, "")
		_, err = recipe.Conditioned(amount(t, c.mass), pc(t, c.regain))
		refused(t, err, fault.Invalid, c.field, "")
	}
	_, err = recipe.Conditioned(amount(t, "1000000000 g"), pc(t, "16"))
	refused(t, err, fault.Invalid, "mass", "beyond")
	_, err = recipe.ParseRegain("damp")
	refused(t, err, fault.Invalid, "regain", "not a number")
	if r, err := recipe.ParseRegain("18.25"); err != nil || r != pc(t, "18.25") {
		t.Error(r, err)
	}
	rapid.Check(t, func(t *rapid.T) {
		m := quantity.Amount{N: rapid.Int64Range(1_000, 1e14).Draw(t, "µg"), Unit: quantity.Mass}
		r := quantity.Percent(rapid.Int64Range(0, 400_000).Draw(t, "regain"))
		od, err := recipe.OvenDry(m, r)
		if err != nil || od.N > m.N {
			t.Fatal(od, err)
		}
		if back, err := recipe.Conditioned(od, r); err != nil || back.N-m.N > 1 || m.N-back.N > 1 {
			t.Fatalf("%d came back as %d, %v", m.N, back.N, err)
		}
	})
}
