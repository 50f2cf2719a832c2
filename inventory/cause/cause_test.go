package cause_test

import (
	"fmt"
	"math"
	"testing"

	"dyelot/inventory/cause"
	"dyelot/inventory/fault"
)

func bag(code string) cause.Factor {
	return cause.Factor{Kind: cause.Parcel, Code: code, Name: "alum " + code, Had: "that had alum " + code + " in them"}
}

// population is n garments of which the first back came back; has says which
// factors each had.
func population(n, back int, factors []cause.Factor, has func(i int) []int) cause.Case {
	c := cause.Case{Factors: factors}
	for i := range n {
		c.Garments = append(c.Garments, cause.Garment{ID: int64(i + 1), Tag: fmt.Sprintf("T%d", i+1), Returned: i < back, Exposed: has(i)})
	}
	return c
}

func found(t testing.TB, c cause.Case) cause.Answer {
	t.Helper()
	a, err := c.Find()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// The doc's worked number: six of nine returns among the 24 of 245 garments with
// the bag. Expected is 9·24/245 = 0.88; p is Σ C(24,k)·C(221,9−k)/C(245,9) for k
// from 6: 3.28e-5 in whole numbers, worked in another language.
func Example() {
	c := population(245, 9, []cause.Factor{bag("P3"), bag("P9")}, func(i int) []int {
		if i < 6 || i >= 227 {
			return []int{0}
		}
		return []int{1}
	})
	a, _ := c.Find()
	s := a.Suspects[0]
	fmt.Println(a.Counts(s))
	fmt.Printf("p %s, for the %d looked at %s, worth a look: %t\n", cause.Rough(s.P), a.LookedAt, cause.Rough(s.Corrected), s.WorthALook())
	// Output:
	// 6 of 9 returns came from the 24 garments that had alum P3 in them; 0.9 expected of 245
	// p 3.3e-05, for the 2 looked at 6.6e-05, worth a look: true
}

// tailByLogGamma is Fisher's one-sided tail with factorials as log gamma.
func tailByLogGamma(n, r, e, k int) float64 {
	ln := func(n, k int) float64 {
		a, _ := math.Lgamma(float64(n + 1))
		b, _ := math.Lgamma(float64(k + 1))
		c, _ := math.Lgamma(float64(n - k + 1))
		return a - b - c
	}
	sum := 0.0
	for i := k; i <= min(r, e); i++ {
		if r-i <= n-e {
			sum += math.Exp(ln(e, i) + ln(n-e, r-i) - ln(n, r))
		}
	}
	return sum
}

func TestTheTestIsFishers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name                   string
		n, back, with, withHad int
		want, within           float64
	}{
		// Fisher, The Design of Experiments (1935), as printed in checks.md.
		{"tea tasting, three of four", 8, 4, 4, 3, 0.2429, 5e-5},
		{"tea tasting, all four", 8, 4, 4, 4, 0.0143, 5e-5},
		// Against log gamma, the textbook way.
		{"the demo's bag", 245, 9, 24, 6, tailByLogGamma(245, 9, 24, 6), 1e-12},
		{"ten thousand garments", 10_000, 90, 400, 20, tailByLogGamma(10_000, 90, 400, 20), 1e-14},
		{"fewer than expected", 245, 9, 200, 4, tailByLogGamma(245, 9, 200, 4), 1e-9},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := found(t, population(c.n, c.back, []cause.Factor{bag("P1")}, func(i int) []int {
				if i < c.withHad || i >= c.back && i < c.back+c.with-c.withHad {
					return []int{0}
				}
				return nil
			})).Suspects[0]
			if math.Abs(got.P-c.want) > c.within || got.Exposed != c.with || got.ExposedReturned != c.withHad {
				t.Errorf("%+v, want p %v", got, c.want)
			}
		})
	}
}

// Holm (1979): four tests of 0.01, 0.04, 0.03 and 0.005 become 0.03, 0.06, 0.06
// and 0.02 (the usual worked example, from memory). Here the same steps are held
// on what Find returns: each is the p times how many are left, and never less
// than the one before.
func TestCorrectedByHolm(t *testing.T) {
	t.Parallel()
	a := found(t, population(60, 6, []cause.Factor{bag("P1"), bag("P2"), bag("P3")}, func(i int) (has []int) {
		for f, m := range []int{7, 4, 3} {
			if i%m == 0 {
				has = append(has, f)
			}
		}
		return has
	}))
	if a.LookedAt != 3 {
		t.Fatalf("%d looked at", a.LookedAt)
	}
	before := 0.0
	for i, s := range a.Suspects {
		want := max(before, min(1, s.P*float64(3-i)))
		if math.Abs(s.Corrected-want) > 1e-15 {
			t.Errorf("suspect %d: %v, want %v", i+1, s.Corrected, want)
		}
		before = want
	}
}

// Two suspects that exactly the same garments had are one test, and said to be
// inseparable; the smaller one within the larger is said to be.
func TestInseparableAndNestedAreSaid(t *testing.T) {
	t.Parallel()
	tub := cause.Factor{Kind: cause.BathUse, Code: "S2", Name: "mordant S2", Had: "that were in mordant S2"}
	scour := cause.Factor{Kind: cause.BathUse, Code: "S1", Name: "scour S1", Had: "that were in scour S1"}
	everyone := cause.Factor{Kind: cause.Recipe, Code: "gold 1", Name: "recipe gold 1"}
	nobody := bag("P8")
	c := population(40, 5, []cause.Factor{tub, bag("P3"), scour, everyone, nobody}, func(i int) []int {
		switch {
		case i < 4:
			return []int{0, 1, 2, 3}
		case i < 15:
			return []int{2, 3}
		}
		return []int{3}
	})
	a := found(t, c)
	if a.LookedAt != 2 || len(a.Everywhere) != 1 || a.Everywhere[0].Code != "gold 1" || len(a.Suspects) != 2 {
		t.Fatalf("%+v", a)
	}
	top := a.Suspects[0]
	if len(top.Factors) != 2 || top.Factors[0].Code != "P3" || top.Factors[1].Code != "S2" || len(top.Within) != 1 || top.Within[0] != 1 {
		t.Errorf("%+v", top)
	}
	want := []string{"inseparable here from mordant S2: exactly the same garments had both", "all 4 are among the 15 of scour S1"}
	if got := a.Relations(top); fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%q", got)
	}
}

// What would tell them apart are swatches that had one and not the other; where
// nobody kept any, it says so, and of blanks that no witness cloth can.
func TestWhatWouldTellThemApart(t *testing.T) {
	t.Parallel()
	tub := cause.Factor{Kind: cause.BathUse, Code: "S2", Name: "mordant S2", Had: "that were in mordant S2"}
	blank := cause.Factor{Kind: cause.Parcel, Code: "P4", Name: "tunic P4", Had: "made of tunic P4", Own: true}
	two := func(a, b cause.Factor) cause.Answer {
		return found(t, population(40, 5, []cause.Factor{a, b}, func(i int) []int {
			if i < 4 {
				return []int{0, 1}
			}
			return nil
		}))
	}
	for _, c := range []struct {
		name   string
		a      cause.Answer
		cloths []cause.Cloth
		want   string
	}{
		{"two lots had the bag elsewhere", two(bag("P3"), tub), []cause.Cloth{cause.ClothWith("L10", "", bag("P3")), cause.ClothWith("L9", "20 g of P5", bag("P3")), cause.ClothWith("L2", "", bag("P3"), tub)},
			"[alum P3 and mordant S2 cannot be told apart by counting: exactly the same garments had both test the kept witness cloth of L9 (20 g of P5), L10: it had alum P3 without mordant S2]"},
		{"nobody kept any", two(bag("P3"), tub), []cause.Cloth{cause.ClothWith("L2", "", bag("P3"), tub)},
			"[alum P3 and mordant S2 cannot be told apart by counting: exactly the same garments had both no witness cloth was kept that had the one without the other: dye a swatch with each]"},
		{"a blank is the garment's own", two(bag("P3"), blank), []cause.Cloth{cause.ClothWith("L2", "", bag("P3"))},
			"[alum P3 and tunic P4 cannot be told apart by counting: exactly the same garments had both no witness cloth can tell: tunic P4 is the garments' own]"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := c.a.Apart(c.cloths)
			if len(got) != 1 || fmt.Sprint(got[0].Says()) != c.want {
				t.Errorf("%q", got[0].Says())
			}
		})
	}
}

func TestFewReturnsAreSaidToBeFew(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		back int
		want string
	}{
		{1, "one return is few: even what all of them share may be chance, so take this as questions to ask"},
		{3, "three returns are few: even what all of them share may be chance, so take this as questions to ask"},
		{4, ""},
	} {
		a := found(t, population(60, c.back, []cause.Factor{bag("P3")}, func(i int) []int {
			if i < 5 {
				return []int{0}
			}
			return nil
		}))
		got := ""
		if notes := a.Notes(); len(notes) > 0 {
			got = notes[0]
		}
		if got != c.want || a.Few() != (c.want != "") {
			t.Errorf("%d: %q", c.back, got)
		}
	}
}

func TestWhatCannotBeAsked(t *testing.T) {
	t.Parallel()
	none := population(5, 0, nil, func(int) []int { return nil })
	twice := population(2, 1, nil, func(int) []int { return nil })
	twice.Garments[1].ID = 1
	for name, c := range map[string]struct {
		c      cause.Case
		reason string
	}{"nobody came back": {none, "NO_RETURNS"}, "no garments": {cause.Case{}, "INVALID"}, "one twice": {twice, "INVALID"},
		"a factor that is not there": {population(2, 1, nil, func(int) []int { return []int{0} }), "INVALID"}} {
		_, err := c.c.Find()
		f, is := fault.Of(err)
		if !is || c.reason == "NO_RETURNS" && f.Reason != c.reason || c.reason == "INVALID" && (f.Kind != fault.Invalid || f.Field != "garments") {
			t.Errorf("%s: %v", name, err)
		}
	}
	all := found(t, population(5, 5, []cause.Factor{bag("P3")}, func(i int) []int { return []int{0}[:min(1, i)] }))
	if len(all.Notes()) == 0 || all.Suspects[0].P != 1 {
		t.Errorf("all came back: %+v %v", all.Suspects, all.Notes())
	}
}
