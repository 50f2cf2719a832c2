package quantity_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

func ExampleAmount_Percent() {
	dry, _ := quantity.Parse("450", "g")
	wof, _ := quantity.ParsePercent("50")
	fmt.Println(dry.Percent(wof))
	// Output: 225 g
}

// Doses and solutions of trade.md's arithmetic, common practice in the trade.
func TestBenchArithmeticOfTheTrade(t *testing.T) {
	t.Parallel()
	g := func(s string) quantity.Amount { a, err := quantity.ParseText(s); must(t, err); return a }
	pc := func(s string) quantity.Percent { p, err := quantity.ParsePercent(s); must(t, err); return p }
	iron, err := quantity.ParseConcentration("200")
	must(t, err)
	ratio, err := quantity.ParseRatio("40")
	must(t, err)
	for _, c := range []struct{ got, want string }{
		{g("450g").Percent(pc("50")).String(), "225 g"},
		{g("450g").Percent(pc("6")).String(), "27 g"},
		{iron.VolumeOf(g("1kg").Percent(pc("2"))).String(), "100 mL"},
		{iron.MassIn(g("30 mL")).String(), "6 g"},
		{ratio.Bath(g("1080 g")).String(), "43.2 L"},
		{ratio.Fibre(g("32 L")).String(), "800 g"},
		{quantity.PercentOf(g("340g"), g("500g")).String(), "68 %"},
		{quantity.PercentOf(g("6g"), g("539g")).String(), "1.113 %"},
		// exact by definition: international yard and pound agreement, 1959
		{first(g("1 lb").Decimal()), "453.59237"},
		{first(g("8 oz").Decimal()), "226.796185"},
		{first(g("1000 floz").Decimal()), "29573.53"}, // 29573.5295625 mL, half-even to 1 µL
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}

func TestWhatIsNotANumberIsRefused(t *testing.T) {
	t.Parallel()
	for _, s := range []string{"", " ", "NaN", "Inf", "1e3", "0x10", "1,5", "1.2.3", "--1", ".", "٣", strings.Repeat("9", 41), "1000000000.000001"} {
		if a, err := quantity.Parse(s, "g"); err == nil {
			t.Errorf("%q was read as %v", s, a)
		} else if f, ok := fault.Of(err); !ok || f.Kind != fault.Invalid || f.Field != "value" {
			t.Errorf("%q: %v", s, err)
		}
	}
	if _, err := quantity.Parse("1.5", "pc"); err == nil {
		t.Error("half a piece was counted")
	}
	if _, err := quantity.Parse("1", "stone"); err == nil {
		t.Error("an unknown unit was taken")
	}
	for _, s := range []string{"g", "12", "", "12 13 g"} {
		if _, err := quantity.ParseText(s); err == nil {
			t.Errorf("%q was read", s)
		}
	}
}

func TestWeldSharedByFibreMassSumsToTheBrew(t *testing.T) {
	t.Parallel()
	got := quantity.Share(720_000_000, []int64{541_000_000, 539_000_000}, 1_000_000)
	if got[0] != 361_000_000 || got[1] != 359_000_000 {
		t.Fatal(got)
	}
	rapid.Check(t, func(t *rapid.T) {
		total := rapid.Int64Range(0, quantity.Max).Draw(t, "total")
		step := rapid.SampledFrom([]int64{1, 1000, 100_000, 1_000_000}).Draw(t, "step")
		weights := rapid.SliceOfN(rapid.Int64Range(0, 1e12), 1, 12).Draw(t, "weights")
		shares := quantity.Share(total, weights, step)
		if shares == nil {
			for _, w := range weights {
				if w != 0 {
					t.Fatal("no shares though there is fibre")
				}
			}
			return
		}
		sum := int64(0)
		for i, s := range shares {
			sum += s
			if weights[i] == 0 && s >= step {
				t.Fatalf("no fibre, yet %d", s)
			}
		}
		if sum != total {
			t.Fatalf("%d of %d shared", sum, total)
		}
	})
}

func TestDecimalComesBackAsItWent(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := quantity.Amount{N: rapid.Int64Range(-quantity.Max, quantity.Max).Draw(t, "n"), Unit: rapid.SampledFrom([]quantity.Unit{quantity.Mass, quantity.Volume, quantity.Count}).Draw(t, "unit")}
		b, err := quantity.Parse(a.Decimal())
		if err != nil || a != b {
			t.Fatalf("%v came back as %v, %v", a, b, err)
		}
	})
}

func TestMulDivRoundsHalfToEven(t *testing.T) {
	t.Parallel()
	for _, c := range [][4]int64{{1, 1, 2, 0}, {3, 1, 2, 2}, {5, 1, 2, 2}, {-1, 1, 2, 0}, {-3, 1, 2, -2}, {7, 1, 3, 2}} {
		if got := quantity.MulDiv(c[0], c[1], c[2]); got != c[3] {
			t.Errorf("%d·%d/%d = %d, want %d", c[0], c[1], c[2], got, c[3])
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Int64Range(-1e12, 1e12).Draw(t, "a"), rapid.Int64Range(-1e6, 1e6).Draw(t, "b")
		c := rapid.Int64Range(1, 1e9).Draw(t, "c")
		q := new(big.Rat).SetFrac(new(big.Int).Mul(big.NewInt(a), big.NewInt(b)), big.NewInt(c))
		d := q.Sub(q, new(big.Rat).SetInt64(quantity.MulDiv(a, b, c)))
		if d.Abs(d).Cmp(big.NewRat(1, 2)) > 0 {
			t.Fatal("further than a half")
		}
	})
}

func TestMoneyShowsTwoDecimalsAndNeverMixesCurrencies(t *testing.T) {
	t.Parallel()
	m, err := quantity.ParseMoney("12.5", "EUR")
	must(t, err)
	if m.String() != "12.50 EUR" || m.Part(1, 3).Micro != 4_166_667 {
		t.Error(m, m.Part(1, 3))
	}
	if n, err := quantity.ParseMoney("-0.055", "EUR"); err != nil || n.String() != "-0.06 EUR" {
		t.Error(n, err)
	}
	if _, err := m.Add(quantity.Money{Micro: 1, Currency: "NOK"}); err == nil {
		t.Error("euro and krone were added")
	}
	if _, err := quantity.ParseMoney("1", "euro"); err == nil {
		t.Error("euro was taken for a code")
	}
}

func FuzzParseText(f *testing.F) {
	for _, s := range []string{"162g", "1.5 kg", "-3 mL", "10pc", "٣g", "1e9g", "..g"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, err := quantity.ParseText(s)
		if err != nil {
			return
		}
		if b, err := quantity.Parse(a.Decimal()); err != nil || a != b {
			t.Fatalf("%q: %v, %v, %v", s, a, b, err)
		}
	})
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func first(a, _ string) string { return a }
