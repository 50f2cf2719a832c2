package cost_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/cost"
	"dyelot/inventory/quantity"
)

func good(n int) []cost.Piece {
	pieces := make([]cost.Piece, n)
	for i := range pieces {
		pieces[i] = cost.Piece{Item: "cap", Dry: grams(84), Fate: cost.Good}
	}
	return pieces
}

// A standard cost split (Horngren, from memory): 10 000 lb planned at 3.00 EUR,
// 12 000 used at 2.80. Usage (12 000 − 10 000) × 3.00 = 6 000 against, price
// 12 000 × (2.80 − 3.00) = 2 400 for; together 3 600.
func TestUsageAndPriceVariance(t *testing.T) {
	t.Parallel()
	s := cost.Spread([]cost.Line{line(cost.Material, "wool", 12_000, 33_600_000_000)}, good(10), 0, "", "EUR")
	e := cost.Plan([]cost.Line{line(cost.Material, "wool", 10_000, 30_000_000_000)}, 10, 0, "EUR")
	c, ok := cost.Compare(s, e)
	if !ok || len(c.Reasons) != 2 || c.Reasons[0].Money != eur(6_000_000_000) || c.Reasons[0].What != "usage" || c.Reasons[1].Money != eur(-2_400_000_000) || c.Difference != eur(3_600_000_000) {
		t.Errorf("%+v", c)
	}
	if want := "360.00 EUR more than planned: mostly wool"; c.Title() != want {
		t.Errorf("%q, want %q", c.Title(), want)
	}
}

// The README's mordant: 61 g of alum instead of 60.8 g, at 15 EUR a kilogram, is
// 0.003 EUR more (by hand).
func TestASmallReasonIsStillAFigure(t *testing.T) {
	t.Parallel()
	s := cost.Spread([]cost.Line{line(cost.Material, "alum", 61_000_000, 915_000)}, good(6), 0, "", "EUR")
	c, _ := cost.Compare(s, cost.Plan([]cost.Line{line(cost.Material, "alum", 60_800_000, 912_000)}, 6, 0, "EUR"))
	if len(c.Reasons) != 1 || c.Reasons[0].Text != "alum: 61 g instead of 60.8 g, +0.003 EUR" {
		t.Errorf("%+v", c.Reasons)
	}
}

// What is not known on one side is in neither, and is said.
func TestAnUnknownLineIsLeftOutOfBoth(t *testing.T) {
	t.Parallel()
	dark := line(cost.Material, "weld", 300, 0)
	dark.Unknown = []string{"P3 has no price"}
	s := cost.Spread([]cost.Line{dark, line(cost.Labour, "labour", 60_000, 54_600_000)}, good(6), 0, "", "EUR")
	c, ok := cost.Compare(s, cost.Plan([]cost.Line{line(cost.Material, "weld", 300, 9_000_000), line(cost.Labour, "labour", 60_000, 54_600_000)}, 6, 0, "EUR"))
	if !ok || c.Difference.Micro != 0 || len(c.LeftOut) != 1 || c.LeftOut[0] != "weld" {
		t.Errorf("%+v", c)
	}
	if want := "not known: P3 has no price; at least 9.10 EUR a garment"; s.Title() != want {
		t.Errorf("%q, want %q", s.Title(), want)
	}
}

// Fewer good garments than planned bear the same pots: 6 planned at 10, one is
// lost and none is usual, so 10 stands apart and the five bear 50.
func TestAYieldIsAReasonOfItsOwn(t *testing.T) {
	t.Parallel()
	pieces := good(6)
	pieces[0].Fate = cost.Imperfect
	lines := []cost.Line{line(cost.Labour, "labour", 1000, 60_000_000), line(cost.Material, "alum", 10, 6_000_000)}
	c, ok := cost.Compare(cost.Spread(lines, pieces, 0, "", "EUR"), cost.Plan(lines[:1], 6, 0, "EUR"))
	// 66 over 6 is 11 each: the five bear 55, 5 more than planned; of the 6 of
	// alum 1 is with the imperfect one.
	if !ok || c.Difference != eur(5_000_000) || len(c.Reasons) != 2 || c.Reasons[0].Money != eur(6_000_000) || c.Reasons[1].Money != eur(-11_000_000+10_000_000) ||
		!strings.Contains(c.Reasons[1].Text, "good garments: 5 of 6") {
		t.Errorf("%+v", c)
	}
}

// A reason that goes the other way is not what it was mostly.
func TestMostlyIsWhatWentThatWay(t *testing.T) {
	t.Parallel()
	s := cost.Spread([]cost.Line{line(cost.Labour, "labour", 170, 68_000_000), line(cost.PotDay, "pot-days", 3, 18_000_000), line(cost.Test, "test", 1, 0)}, good(10), 0, "", "EUR")
	e := cost.Plan([]cost.Line{line(cost.Labour, "labour", 150, 60_000_000), line(cost.PotDay, "pot-days", 4, 24_000_000), line(cost.Material, "madder", 9, 4_000_000)}, 10, 0, "EUR")
	if c, _ := cost.Compare(s, e); c.Title() != "0.20 EUR less than planned: mostly pot-days" || c.Reasons[0].Line != "labour" {
		t.Errorf("%q, %+v", c.Title(), c.Reasons)
	}
}

// Whatever happened, the reasons sum to the difference.
func TestReasonsSumToTheDifference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		keys := []string{"alum", "weld", "labour", "pot-day"}
		some := func(what string) []cost.Line {
			var lines []cost.Line
			for _, k := range rapid.SliceOfNDistinct(rapid.SampledFrom(keys), 0, 4, rapid.ID[string]).Draw(t, what) {
				l := line(cost.Material, k, rapid.Int64Range(1, 1_000_000_000).Draw(t, "n"), rapid.Int64Range(0, quantity.Max/1000).Draw(t, "money"))
				if rapid.IntRange(0, 9).Draw(t, "dark") == 0 {
					l.Unknown = []string{"no price"}
				}
				lines = append(lines, l)
			}
			return lines
		}
		pieces := make([]cost.Piece, rapid.IntRange(1, 9).Draw(t, "pieces"))
		for i := range pieces {
			pieces[i] = cost.Piece{Dry: grams(rapid.Int64Range(1, 500).Draw(t, "dry")), Fate: rapid.SampledFrom([]cost.Fate{cost.Good, cost.Good, cost.Lost, cost.Imperfect}).Draw(t, "fate")}
		}
		usual := quantity.Percent(rapid.Int64Range(0, 500_000).Draw(t, "usual"))
		s := cost.Spread(some("actual"), pieces, usual, "", "EUR")
		c, ok := cost.Compare(s, cost.Plan(some("planned"), len(pieces), usual, "EUR"))
		if ok != (s.Counts[cost.Good] > 0) {
			t.Fatal(ok, s.Counts)
		}
		sum := int64(0)
		for i, r := range c.Reasons {
			sum += r.Money.Micro
			if i > 0 && abs(r.Money.Micro) > abs(c.Reasons[i-1].Money.Micro) {
				t.Fatalf("the biggest does not come first: %+v", c.Reasons)
			}
		}
		if sum != c.Difference.Micro || c.Difference.Micro != c.Actual.Micro-c.Planned.Micro {
			t.Fatalf("%d, and the difference is %d: %+v", sum, c.Difference.Micro, c)
		}
	})
}

func abs(n int64) int64 { return max(n, -n) }

// 12.40 EUR at a margin of 60 % is 19.84 EUR (by hand).
func TestAPriceIsArithmetic(t *testing.T) {
	t.Parallel()
	if p := cost.Price(eur(12_400_000), quantity.WholePercent(60)); p != eur(19_840_000) {
		t.Error(p)
	}
}

// Two plans beside each other: 6 at 10 and 6 at 12 differ by 2 a garment; where
// the salt that stands for another has no price, neither is compared.
func TestTwoPlansBesideEachOther(t *testing.T) {
	t.Parallel()
	pots := line(cost.PotDay, "pot-day", 1, 54_000_000)
	asIs := cost.Plan([]cost.Line{line(cost.Material, "alum", 100, 6_000_000), pots}, 6, 0, "EUR")
	dear := cost.Plan([]cost.Line{line(cost.Material, "formate", 60, 18_000_000), pots}, 6, 0, "EUR")
	if more, left := dear.Beside(asIs); more != eur(2_000_000) || len(left) != 0 {
		t.Error(more, left)
	}
	salt := line(cost.Material, "formate", 60, 0)
	salt.Unknown = []string{"formate has no price"}
	if more, left := cost.Plan([]cost.Line{salt, pots}, 6, 0, "EUR").Beside(asIs); more != eur(0) || len(left) != 2 {
		t.Error(more, left)
	}
}
