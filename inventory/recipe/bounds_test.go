package recipe_test

import (
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

func TestDosesBeyondBeliefAreRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind recipe.Kind
		wof  string
		ok   bool
	}{
		{recipe.Mordant, "0", false}, {recipe.Mordant, "-1", false}, {recipe.Mordant, "0.0001", true}, {recipe.Mordant, "200", true}, {recipe.Mordant, "200.0001", false},
		{recipe.Auxiliary, "200", true}, {recipe.Auxiliary, "201", false}, {recipe.Solution, "201", false},
		{recipe.Dyestuff, "0", false}, {recipe.Dyestuff, "200.0001", true}, {recipe.Dyestuff, "5000", true}, {recipe.Dyestuff, "5000.0001", false},
	} {
		if err := recipe.Limit(c.kind, pc(t, c.wof)); c.ok != (err == nil) {
			t.Errorf("%s %% of a %s: %v", c.wof, c.kind, err)
		} else if err != nil {
			refused(t, err, fault.Invalid, "wof_percent", "")
		}
	}
	refused(t, recipe.Limit("garment", pc(t, "1")), fault.Invalid, "kind", "use one of mordant, auxiliary, solution, dyestuff")
}

func heat(t testing.TB, s string) *recipe.Celsius {
	t.Helper()
	c, err := recipe.ParseCelsius(s)
	if err != nil {
		t.Fatal(err)
	}
	return &c
}

func ph(t testing.TB, s string) *recipe.PH {
	t.Helper()
	p, err := recipe.ParsePH(s)
	if err != nil {
		t.Fatal(err)
	}
	return &p
}

// The lines of the trade's table of ranges; on the line is not above it.
func TestLinesOfTheTrade(t *testing.T) {
	t.Parallel()
	on := func(f ...string) []string { return f }
	for _, c := range []struct {
		name string
		p    recipe.Planned
		keys string
	}{
		{"silk at 80", recipe.Planned{Stage: "dye", Fibres: on("silk"), Heat: heat(t, "80")}, ""},
		{"silk above 80", recipe.Planned{Stage: "dye", Fibres: on("silk"), Heat: heat(t, "80.1")}, "too-hot"},
		{"alpaca above 80", recipe.Planned{Stage: "dye", Fibres: on("alpaca"), Heat: heat(t, "85")}, "too-hot"},
		{"wool at 85", recipe.Planned{Stage: "dye", Fibres: on("wool"), Heat: heat(t, "85")}, ""},
		{"wool with silk at 85", recipe.Planned{Stage: "dye", Fibres: on("wool", "silk"), Heat: heat(t, "85")}, "too-hot"},
		{"madder at 70", recipe.Planned{Stage: "dye", Fibres: on("wool"), Dye: "madder", Heat: heat(t, "70")}, ""},
		{"madder at 71", recipe.Planned{Stage: "dye", Fibres: on("wool"), Dye: "madder", Heat: heat(t, "71")}, "too-hot"},
		{"walnut brewed at 95", recipe.Planned{Stage: "brew", Fibres: on("silk"), Dye: "walnut hull", Heat: heat(t, "95")}, ""},
		{"walnut dyed at 95 on silk", recipe.Planned{Stage: "dye", Fibres: on("silk"), Dye: "walnut hull", Heat: heat(t, "95")}, "too-hot"},
		{"madder brewed at 90", recipe.Planned{Stage: "brew", Dye: "madder", Heat: heat(t, "90")}, "too-hot"},
		{"a pressing iron on silk", recipe.Planned{Stage: "press", Fibres: on("silk"), Heat: heat(t, "150")}, ""},
		{"silk alum'd at 60", recipe.Planned{Stage: "mordant", Fibres: on("silk"), Substance: "alum", Heat: heat(t, "60")}, ""},
		{"silk alum'd at 65", recipe.Planned{Stage: "mordant", Fibres: on("silk"), Substance: "alum", Heat: heat(t, "65")}, "too-hot"},
		{"wool scoured at 50", recipe.Planned{Stage: "scour", Fibres: on("wool"), Heat: heat(t, "50")}, ""},
		{"wool scoured at 60", recipe.Planned{Stage: "scour", Fibres: on("wool"), Heat: heat(t, "60")}, "too-hot"},
		{"linen scoured at 95", recipe.Planned{Stage: "scour", Fibres: on("linen"), Heat: heat(t, "95")}, ""},
		{"saddened at 55", recipe.Planned{Stage: "after-dip", Fibres: on("linen"), Substance: "copperas", Heat: heat(t, "55")}, "too-hot"},

		{"alum 20 % on wool", recipe.Planned{Fibres: on("wool"), Kind: recipe.Mordant, Substance: "alum", WOF: strength(t, "20")}, ""},
		{"alum 20.5 % on wool", recipe.Planned{Fibres: on("wool"), Kind: recipe.Mordant, Substance: "alum", WOF: strength(t, "20.5")}, "dose-unusual"},
		{"alum 20.5 % on silk", recipe.Planned{Fibres: on("silk"), Kind: recipe.Mordant, Substance: "alum", WOF: strength(t, "20.5")}, "dose-unusual"},
		{"alum 16 % on cotton", recipe.Planned{Fibres: on("cotton"), Kind: recipe.Mordant, Substance: "alum", WOF: strength(t, "16")}, "dose-unusual"},
		{"aluminium acetate 8 % on linen", recipe.Planned{Fibres: on("linen"), Kind: recipe.Mordant, Substance: "Al(OAc)3", WOF: strength(t, "8")}, ""},
		{"aluminium acetate 9 % on linen", recipe.Planned{Fibres: on("linen"), Kind: recipe.Mordant, Substance: "Al(OH)(OAc)2", WOF: strength(t, "9")}, "dose-unusual"},
		{"gall 10 and 11 %", recipe.Planned{Fibres: on("linen"), Kind: recipe.Mordant, Substance: "oak gall", WOF: strength(t, "11")}, "dose-unusual"},
		{"myrobalan 20 %", recipe.Planned{Fibres: on("linen"), Kind: recipe.Mordant, Substance: "myrobalan", WOF: strength(t, "20")}, ""},
		{"weld 60 % is no salt's business", recipe.Planned{Fibres: on("silk"), Kind: recipe.Dyestuff, Dye: "weld", WOF: strength(t, "60")}, ""},

		{"chalk 5 g/L", recipe.Planned{Stage: "chalk-bath", Substance: "chalk", PerLitre: stock(t, "5")}, ""},
		{"chalk 6 g/L", recipe.Planned{Stage: "chalk-bath", Substance: "chalk", PerLitre: stock(t, "6")}, "bath-unusual"},
		{"alum stock 50 g/L", recipe.Planned{Substance: "alum", Stock: stock(t, "50")}, ""},
		{"alum stock 200 g/L", recipe.Planned{Substance: "alum", Stock: stock(t, "200")}, "stock-crystallises"},

		{"soda on wool", recipe.Planned{Stage: "scour", Fibres: on("wool"), Substance: "soda ash"}, "alkali-on-protein"},
		{"lime on silk", recipe.Planned{Stage: "after-dip", Fibres: on("silk"), Substance: "lime"}, "alkali-on-protein"},
		{"soda on linen", recipe.Planned{Stage: "scour", Fibres: on("linen"), Substance: "soda ash"}, ""},
		{"soda in a wool vat", recipe.Planned{Stage: "vat-dip", Fibres: on("wool"), Substance: "soda ash", PH: ph(t, "9.5")}, ""},
		{"wool vat at pH 9", recipe.Planned{Stage: "vat-dip", Fibres: on("wool"), PH: ph(t, "9")}, ""},
		{"wool vat at pH 11", recipe.Planned{Stage: "vat-dip", Fibres: on("wool"), PH: ph(t, "11")}, "vat-ph"},
		{"silk vat at pH 8.9", recipe.Planned{Stage: "vat-dip", Fibres: on("silk"), PH: ph(t, "8.9")}, "vat-ph"},
		{"cotton vat at pH 11.5", recipe.Planned{Stage: "vat-dip", Fibres: on("cotton"), PH: ph(t, "11.5")}, ""},
		{"cotton vat at pH 9", recipe.Planned{Stage: "vat-dip", Fibres: on("cotton"), PH: ph(t, "9")}, "vat-ph"},
		{"a blend is kept at the wool's pH", recipe.Planned{Stage: "vat-dip", Fibres: on("cotton", "wool"), PH: ph(t, "9.2")}, ""},

		{"tannin under weld, saddened", recipe.Planned{Stage: "after-dip", Fibres: on("linen"), Dye: "weld", Tannin: true, Substance: "copperas"}, "greyer-with-iron"},
		{"weld saddened without tannin", recipe.Planned{Stage: "after-dip", Fibres: on("silk"), Dye: "weld", Substance: "copperas"}, ""},
		{"red cabbage", recipe.Planned{Dye: "red cabbage"}, "fugitive"},
		{"a plant nobody listed", recipe.Planned{Dye: "bog myrtle", Fibres: on("wool"), Heat: heat(t, "80")}, ""},
		{"polyester thread", recipe.Planned{Fibres: on("linen", "polyester")}, "will-not-take"},
		{"tin", recipe.Planned{Substance: "SnCl2"}, "old-records-only"},
		{"several at once", recipe.Planned{Stage: "after-dip", Fibres: on("silk", "elastane"), Substance: "copperas", Heat: heat(t, "60"), Iron: recipe.Iron{Copperas: pc(t, "2.1"), Unknown: true}},
			"will-not-take too-hot iron-over iron-unknown"},
	} {
		w, err := recipe.Check(c.p)
		if err != nil || keys(w) != c.keys {
			t.Errorf("%s: %q, %v; want %q", c.name, keys(w), err, c.keys)
		}
		for _, w := range w {
			if w.Text == "" || w.Source.Mark == "" || strings.HasSuffix(w.Text, ".") || unicode.IsUpper([]rune(w.Text)[0]) {
				t.Errorf("%s: badly said: %+v", c.name, w)
			}
		}
	}
}

func TestAWarningNamesItsNumbersAndItsSource(t *testing.T) {
	t.Parallel()
	got, err := recipe.Check(recipe.Planned{Stage: "dye", Fibres: []string{"wool", "silk"}, Dye: "walnut hull", Heat: heat(t, "92.5")})
	want := []recipe.Warning{{Key: "too-hot", Text: "92.5 °C is above 80 °C for silk", Source: recipe.Source{Mark: recipe.Practice}}}
	if diff := cmp.Diff(want, got); diff != "" || err != nil {
		t.Error(diff, err)
	}
	if s := got[0].Source.String(); s != "common practice [CP]" {
		t.Error(s)
	}
}

func TestAStageThatCannotBeIsRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		p     recipe.Planned
		field string
	}{
		{recipe.Planned{Fibres: []string{"silk", "glass"}}, "fibres[1]"},
		{recipe.Planned{Substance: "unobtainium"}, "substance"},
		{recipe.Planned{Kind: recipe.Mordant, WOF: strength(t, "300")}, "wof_percent"},
		{recipe.Planned{WOF: strength(t, "3")}, "kind"},
		{recipe.Planned{Stage: "dye", Heat: heat(t, "106")}, "temperature_c"},
	} {
		_, err := recipe.Check(c.p)
		refused(t, err, fault.Invalid, c.field, "")
	}
	for _, s := range []string{"-1", "250.1", "80.05", "", "hot"} {
		_, err := recipe.ParseCelsius(s)
		refused(t, err, fault.Invalid, "temperature_c", "")
	}
	for _, s := range []string{"-0.01", "14.01", "7.001", "", "7,5"} {
		_, err := recipe.ParsePH(s)
		refused(t, err, fault.Invalid, "ph", "")
	}
}

// The linen shirt of the worked stories: 4.80 g in April, 3.60 g in June, a
// vinegar liquor in August.
func TestIronAddsUpOverAShirtsLife(t *testing.T) {
	t.Parallel()
	copperas, err := recipe.Lookup("copperas")
	if err != nil {
		t.Fatal(err)
	}
	vinegar, err := recipe.Lookup("vinegar-iron")
	if err != nil {
		t.Fatal(err)
	}
	linen := []recipe.Fibre{fibre(t, "linen")}
	shirt := amount(t, "240 g")
	bath := func(s recipe.Substance, mass quantity.Amount) recipe.Iron {
		i, err := recipe.IronFrom(s, mass, shirt)
		if err != nil {
			t.Fatal(err)
		}
		return i
	}
	april := bath(copperas, amount(t, "4.80 g"))
	if april.String() != "2 %" || len(recipe.CheckIron(linen, april)) != 0 {
		t.Error("April:", april, recipe.CheckIron(linen, april))
	}
	june := april.Add(bath(copperas, amount(t, "3.60 g")))
	if june.String() != "3.5 %" || june.Metal().String() != "0.703 %" || keys(recipe.CheckIron(linen, june)) != "iron-over" {
		t.Error("June:", june, june.Metal(), recipe.CheckIron(linen, june))
	}
	if m := copperas.MetalMass(amount(t, "8.40 g")); m.String() != "1.687 g" {
		t.Error("iron in 8.40 g of copperas:", m)
	}
	august := june.Add(bath(vinegar, quantity.Amount{}))
	w := recipe.CheckIron(linen, august)
	if august.String() != "at least 3.5 % + unknown" || keys(w) != "iron-over iron-unknown" || !strings.Contains(w[0].Text, "at least 3.5 % + unknown, above 2 % on linen") {
		t.Error("August:", august, w)
	}
}

// Warn above 2 % on silk and cellulose, 3 % on wool and alpaca: on the line is
// silent, a ten-thousandth above is not. A blend is held to its weakest fibre.
func TestIronLinesAreStrict(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		fibres, line, named string
	}{
		{"silk", "2", "silk"}, {"cotton", "2", "cotton"}, {"viscose", "2", "viscose"}, {"wool", "3", "wool"}, {"alpaca", "3", "alpaca"}, {"mohair", "3", "mohair"},
		{"wool silk", "2", "silk"}, {"polyester wool", "3", "wool"},
	} {
		var fs []recipe.Fibre
		for name := range strings.FieldsSeq(c.fibres) {
			fs = append(fs, fibre(t, name))
		}
		if w := recipe.CheckIron(fs, recipe.Iron{Copperas: pc(t, c.line)}); len(w) != 0 {
			t.Errorf("%s %% on %s: %v", c.line, c.fibres, w)
		}
		w := recipe.CheckIron(fs, recipe.Iron{Copperas: pc(t, c.line) + 1})
		if keys(w) != "iron-over" || !strings.Contains(w[0].Text, "on "+c.named+":") {
			t.Errorf("just above %s %% on %s: %v", c.line, c.fibres, w)
		}
	}
	if w := recipe.CheckIron([]recipe.Fibre{fibre(t, "wool")}, recipe.Iron{Unknown: true}); keys(w) != "iron-unknown" || !strings.Contains(w[0].Text, "at least 0 % + unknown") {
		t.Error(w)
	}
}

func TestIronOfOtherSalts(t *testing.T) {
	t.Parallel()
	iron := func(name, mass string) (recipe.Iron, error) {
		s, err := recipe.Lookup(name)
		if err != nil {
			t.Fatal(err)
		}
		return recipe.IronFrom(s, amount(t, mass), quantity.Grams(100))
	}
	// 32.866 / 20.088 = 1.6361: dried copperas holds that much more iron
	if i, err := iron("FeSO4·H2O", "1 g"); err != nil || i.String() != "1.636 %" {
		t.Error(i, err)
	}
	if i, err := iron("FeAl2(SO4)4·22H2O", "1 g"); err != nil || i.Copperas == 0 {
		t.Error("iron beside aluminium was missed:", i, err)
	}
	for _, name := range []string{"alum", "soap", "chalk"} {
		if i, err := iron(name, "10 g"); err != nil || i != (recipe.Iron{}) {
			t.Errorf("%s brings iron: %v, %v", name, i, err)
		}
	}
	_, err := iron("copperas", "0 g")
	refused(t, err, fault.Invalid, "amount", "")
	_, err = iron("copperas", "5 mL")
	refused(t, err, fault.Invalid, "amount", "")
}

// 20 mg of iron to each of 10 kg are about 1.0 g of copperas, as the trade's
// caution says.
func TestCopperasThatHoldsSomeIron(t *testing.T) {
	t.Parallel()
	if m := recipe.CopperasHolding(amount(t, "200 mg")); m.String() != "0.996 g" {
		t.Error(m)
	}
	if m := recipe.CopperasHolding(amount(t, "5 mL")); m.Unit != 0 {
		t.Error(m)
	}
}

// Once unknown, a sum never becomes known again, and no order matters.
func TestIronSumLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		one := rapid.Custom(func(t *rapid.T) recipe.Iron {
			return recipe.Iron{Copperas: quantity.Percent(rapid.Int64Range(0, 2_000_000).Draw(t, "percent")), Unknown: rapid.Bool().Draw(t, "unknown")}
		})
		a, b, c := one.Draw(t, "a"), one.Draw(t, "b"), one.Draw(t, "c")
		if a.Add(b) != b.Add(a) || a.Add(b).Add(c) != a.Add(b.Add(c)) {
			t.Fatal("the order of baths matters")
		}
		if sum := a.Add(b); sum.Copperas < a.Copperas || a.Unknown && !sum.Unknown {
			t.Fatal("iron was taken away")
		}
	})
}

// Every row of the usual ranges stands on a substance and a group that exist.
func TestRangesStandOnKnownSubstances(t *testing.T) {
	t.Parallel()
	for _, r := range recipe.Ranges() {
		if s, err := recipe.Lookup(r.Substance); err != nil || s.Key != r.Substance {
			t.Errorf("%s: %v", r.Substance, err)
		}
		if r.Low <= 0 || r.Low > r.High || r.High > r.Warn || len(r.Groups) == 0 || r.Source.Mark == "" {
			t.Errorf("a range with a gap: %+v", r)
		}
	}
}

func TestTheLowerLimitOfPlantAndFibreHolds(t *testing.T) {
	t.Parallel()
	madder, _ := recipe.DyeOf("madder")
	hull, _ := recipe.DyeOf("walnut hull")
	weld, _ := recipe.DyeOf("weld")
	for _, c := range []struct {
		fibres []recipe.Fibre
		dye    recipe.Dye
		most   string
		whose  string
	}{
		{[]recipe.Fibre{fibre(t, "silk")}, madder, "70 °C", "madder"},
		{[]recipe.Fibre{fibre(t, "silk")}, hull, "80 °C", "silk"},
		{[]recipe.Fibre{fibre(t, "linen"), fibre(t, "alpaca")}, weld, "80 °C", "alpaca"},
		{[]recipe.Fibre{fibre(t, "linen")}, hull, "95 °C", "walnut hull"},
	} {
		if most, whose, ok := recipe.HeatLimit(c.fibres, c.dye); !ok || most.String() != c.most || whose != c.whose {
			t.Errorf("%s, %s: %s of %s", c.fibres[0].Key, c.dye.Key, most, whose)
		}
	}
	if _, _, ok := recipe.HeatLimit(nil, weld); ok {
		t.Error("a limit was made up")
	}
}
