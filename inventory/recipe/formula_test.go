package recipe_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

func gramsPerMole(f recipe.Formula) float64 { return float64(f.Mass()) / 1e6 }

func formula(t testing.TB, s string) recipe.Formula {
	t.Helper()
	f, err := recipe.ParseFormula(s)
	if err != nil {
		t.Fatalf("%s: %v", s, err)
	}
	return f
}

// Molar masses and metal per cent of the trade's table, computed there from
// IUPAC abridged atomic weights; to be met within 0.05 g/mol.
func TestSaltsOfTheTradeWeighWhatTheTableSays(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		formula, metal string
		mass, percent  float64
	}{
		{"KAl(SO4)2·12H2O", "Al", 474.37, 5.688},
		{"NH4Al(SO4)2·12H2O", "Al", 453.31, 5.952},
		{"Al2(SO4)3·18H2O", "Al", 666.40, 8.098},
		{"Al2(SO4)3·14H2O", "Al", 594.34, 9.080},
		{"Al(OAc)3", "Al", 204.11, 13.219},
		{"Al(OH)(OAc)2", "Al", 162.08, 16.648},
		{"Al(OH)2OAc", "Al", 120.04, 22.478},
		{"Al(HCOO)3", "Al", 162.03, 16.652},
		{"Al(HCOO)3·3H2O", "Al", 216.08, 12.487},
		{"Al(C3H5O3)3", "Al", 294.19, 9.172},
		{"FeSO4·7H2O", "Fe", 278.01, 20.088},
		{"FeSO4·H2O", "Fe", 169.92, 32.866},
	} {
		f := formula(t, c.formula)
		if d := math.Abs(gramsPerMole(f) - c.mass); d > 0.05 {
			t.Errorf("%s weighs %s, the table says %.2f", c.formula, f.Mass(), c.mass)
		}
		if p := float64(f.Percent(c.metal)) / 1e4; math.Abs(p-c.percent) > 0.001 {
			t.Errorf("%s holds %.4f %% of %s, the table says %.3f", c.formula, p, c.metal, c.percent)
		}
	}
}

// Computed by an independent library, periodictable 1.6.0 (Python, Debian 12),
// whose atomic weights are older and unabridged: within 0.05 g/mol all the same.
func TestMolarMassesAgreeWithAReferenceLibrary(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		formula string
		mass    float64
	}{
		{"KAl(SO4)2·12H2O", 474.388}, {"Al2(SO4)3·18H2O", 666.426}, {"Al(OH)(OAc)2", 162.077},
		{"FeSO4·7H2O", 278.015}, {"CuSO4·5H2O", 249.685}, {"SnCl2·2H2O", 225.647}, {"K2Cr2O7", 294.185},
		{"KCr(SO4)2·12H2O", 499.403}, {"Na2CO3·10H2O", 286.141}, {"KC4H5O6", 188.177}, {"Na2S2O4", 174.107},
		{"H2C2O4·2H2O", 126.065}, {"C6H8O7", 192.124}, {"Ca(OH)2", 74.093}, {"(NH4)2Fe(SO4)2·6H2O", 392.139},
		{"K4[Fe(CN)6]·3H2O", 422.388}, {"KNaC4H4O6·4H2O", 282.220}, {"TiO(C2O4)", 151.885},
		{"Ce2(SO4)3·8H2O", 712.542}, {"ZrOCl2·8H2O", 322.252}, {"C12H22O11", 342.296},
		{"Ca3(PO4)2", 310.177}, {"Pb(OAc)2·3H2O", 379.334},
	} {
		if f := formula(t, c.formula); math.Abs(gramsPerMole(f)-c.mass) > 0.05 {
			t.Errorf("%s weighs %s, the library says %.3f", c.formula, f.Mass(), c.mass)
		}
	}
}

// Standard atomic weights of 2021 as the commission publishes them unabridged
// (single values and intervals, read from its table): ours is each, to five
// figures. The last columns of an interval are its ends.
func TestAtomicWeightsAreThePublishedOnesAbridged(t *testing.T) {
	t.Parallel()
	const published = `He 4.002602, Be 9.0121831, F 18.998403162, Ne 20.1797, Na 22.98976928, Al 26.9815384, P 30.973761998,
K 39.0983, Ca 40.078, Sc 44.955907, Ti 47.867, V 50.9415, Cr 51.9961, Mn 54.938043, Fe 55.845, Co 58.933194, Ni 58.6934, Cu 63.546,
Zn 65.38, Ga 69.723, Ge 72.630, As 74.921595, Se 78.971, Kr 83.798, Rb 85.4678, Sr 87.62, Y 88.905838, Zr 91.224, Nb 92.90637,
Mo 95.95, Ru 101.07, Rh 102.90549, Pd 106.42, Ag 107.8682, Cd 112.414, In 114.818, Sn 118.710, Sb 121.760, Te 127.60, I 126.90447`
	for row := range strings.SplitSeq(published, ",") {
		var symbol string
		var weight float64
		if _, err := fmt.Sscan(row, &symbol, &weight); err != nil {
			t.Fatal(row, err)
		}
		fiveFigures := math.Pow(10, 4-math.Floor(math.Log10(weight)))
		want := math.Round(weight*fiveFigures) / fiveFigures
		if got := gramsPerMole(formula(t, symbol)); math.Abs(got-want) > 1e-6 {
			t.Errorf("%s is %v here, %v published", symbol, got, want)
		}
	}
	const intervals = `H 1.00784 1.00811, Li 6.938 6.997, B 10.806 10.821, C 12.0096 12.0116, N 14.00643 14.00728, O 15.99903 15.99977,
Mg 24.304 24.307, Si 28.084 28.086, S 32.059 32.076, Cl 35.446 35.457, Ar 39.792 39.963, Br 79.901 79.907`
	for row := range strings.SplitSeq(intervals, ",") {
		var symbol string
		var low, high float64
		if _, err := fmt.Sscan(row, &symbol, &low, &high); err != nil {
			t.Fatal(row, err)
		}
		if got := gramsPerMole(formula(t, symbol)); got < low-5e-5 || got > high {
			t.Errorf("%s is %v here, %v to %v published", symbol, got, low, high)
		}
	}
}

func TestWaysToWriteOneSaltAreOneSalt(t *testing.T) {
	t.Parallel()
	for _, same := range [][]string{
		{"KAl(SO4)2·12H2O", "KAl(SO4)2.12H2O", "KAl(SO4)2*12H2O", "KAl(SO₄)₂·12H₂O", " KAl(SO4)2 · 12 H2O ", "Al(SO4)2K•12H2O", "KAl[SO4]2·12(H2O)"},
		{"FeSO4·7H2O", "FeSO4.7H2O", "FeSO4(H2O)7", "7H2O·FeSO4"},
		{"Al(OAc)3", "Al(C2H3O2)3", "Al(CH3COO)3", "(CH3COO)3Al", "AlOAc3"},
		{"CaSO4·0.5H2O", "CaSO4.0.5H2O", "CaSO4*0.50H2O"},
		{"Al2(SO4)3.14.3H2O", "Al2(SO4)3·14.3H2O"},
		{"KAl(SO4)2·12H2O·FeSO4", "KAl(SO4)2.12H2O.FeSO4"},
	} {
		first := formula(t, same[0])
		for _, other := range same[1:] {
			if !first.Same(formula(t, other)) {
				t.Errorf("%s and %s differ", same[0], other)
			}
		}
	}
	if half, whole := formula(t, "CaSO4·0.5H2O"), formula(t, "2CaSO4·H2O"); half.Mass()*2 != whole.Mass() {
		t.Error("half a water weighs", half.Mass(), whole.Mass())
	}
	if formula(t, "Co").Same(formula(t, "CO")) {
		t.Error("cobalt is carbon monoxide")
	}
}

func TestWhatIsNoFormulaIsRefused(t *testing.T) {
	t.Parallel()
	for s, says := range map[string]string{
		"":                         "empty",
		"  ":                       "empty",
		strings.Repeat("H", 101):   "at most 100",
		"Xx2O":                     "no element",
		"Tc2O7":                    "no element",
		"Ac3":                      "write acetate as OAc",
		"K Al(SO4)2":               "not part of a formula",
		"Al(OH":                    "not closed",
		"Al(OH]":                   "not closed",
		"AlOH)2":                   "never opened",
		"Al]":                      "never opened",
		"Al()3":                    "no element",
		"()":                       "no element",
		"·12H2O":                   "no element",
		"FeSO4·":                   "no element",
		"FeSO4··7H2O":              "no element",
		"FeSO4·7":                  "no element",
		"12":                       "no element",
		"H0":                       "is 0",
		"FeSO4·0H2O":               "is 0",
		"FeSO4·0.00H2O":            "is 0",
		"H1000":                    "more than 999",
		"FeSO4·1.234H2O":           "more than two decimals",
		"FeSO4·xH2O":               "how many",
		"SO4^2-":                   "charge",
		"Fe+2":                     "charge",
		"feso4":                    "capital letter",
		"Fe,S":                     "not part of a formula",
		"Fe🧪":                      "not part of a formula",
		"(((((((H)))))))":          "more than 6 deep",
		"((((H999)999)999)999)999": "more than 100000 atoms",
		"NaN":                      "", // sodium nitride by accident: read, and harmless
	} {
		f, err := recipe.ParseFormula(s)
		if says == "" {
			if err != nil {
				t.Errorf("%q: %v", s, err)
			}
			continue
		}
		got, ok := fault.Of(err)
		if !ok || got.Kind != fault.Invalid || got.Field != "formula" || !strings.Contains(got.Say, says) {
			t.Errorf("%q was read as %v, or refused otherwise: %v", s, f, err)
		}
	}
}

// A mole of two salts together weighs what they weigh apart, brackets multiply
// what is inside, and separators add.
func TestMolarMassAddsUp(t *testing.T) {
	t.Parallel()
	atom := rapid.SampledFrom([]string{"H", "C", "O", "S", "K", "Na", "Al", "Fe", "Cu", "OAc", "Sn"})
	group := rapid.Custom(func(t *rapid.T) string {
		s := ""
		for range rapid.IntRange(1, 5).Draw(t, "atoms") {
			s += atom.Draw(t, "atom")
			if n := rapid.IntRange(1, 12).Draw(t, "n"); n > 1 {
				s += fmt.Sprint(n)
			}
		}
		return s
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := group.Draw(t, "a"), group.Draw(t, "b")
		n := rapid.Int64Range(2, 30).Draw(t, "times")
		mark := rapid.SampledFrom([]string{"·", ".", "*"}).Draw(t, "mark")
		mass := func(s string) int64 {
			f, err := recipe.ParseFormula(s)
			if err != nil {
				t.Fatalf("%s: %v", s, err)
			}
			again, err := recipe.ParseFormula(f.String())
			if err != nil || !again.Same(f) {
				t.Fatalf("%s came back as %s: %v", s, f, err)
			}
			return int64(f.Mass())
		}
		sum := mass(a) + n*mass(b)
		for _, s := range []string{fmt.Sprintf("%s(%s)%d", a, b, n), fmt.Sprintf("%s%s%d%s", a, mark, n, b), fmt.Sprintf("[%s]%d%s", b, n, a)} {
			if got := mass(s); got != sum {
				t.Fatalf("%s weighs %d, its parts %d", s, got, sum)
			}
		}
	})
}

func FuzzParseFormula(f *testing.F) {
	for _, s := range []string{"KAl(SO4)2·12H2O", "Al(OH)(OAc)2", "FeSO4.7H2O", "CaSO4.0.5H2O", "((", "1.", ".1H", "H2O..", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		read, err := recipe.ParseFormula(s)
		if err != nil {
			return
		}
		if read.Mass() <= 0 {
			t.Fatalf("%q weighs %s", s, read.Mass())
		}
		if p := read.Percent("Al"); p < 0 || p > quantity.WholePercent(100) {
			t.Fatalf("%q holds %s aluminium", s, p)
		}
		if again, err := recipe.ParseFormula(read.String()); err != nil || !again.Same(read) {
			t.Fatalf("%q came back as %q: %v", s, read, err)
		}
	})
}
