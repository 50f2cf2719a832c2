package lot_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

func masses(grams ...int64) []quantity.Amount {
	var all []quantity.Amount
	for _, n := range grams {
		all = append(all, g(n))
	}
	return all
}

// sized is a pot that takes so much fibre at 1 : 40.
func sized(id, grams int64) lot.Pot {
	return lot.Pot{ID: id, Code: fmt.Sprintf("K%d", id), Brim: mL(grams * 40), Fill: quantity.WholePercent(100)}
}

// The pots' figures are the choir story's: 40 L and 30 L filled to 0.8 hold 800
// and 600 g at 1 : 40, a 60 L tub 48 L.
func TestWhatAPotTakes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		pot           lot.Pot
		liquor, fibre string
	}{{potA, "32 L", "800 g"}, {potB, "24 L", "600 g"}, {tub, "48 L", "1200 g"}} {
		if got := [2]string{c.pot.Liquor().String(), c.pot.Takes(oneToForty).String()}; got != [2]string{c.liquor, c.fibre} {
			t.Errorf("%s: %v", c.pot.Code, got)
		}
	}
	wantFault(t, potA.Fits(g(801), oneToForty), fault.Refused, "POT_TOO_SMALL", "801 g of fibre at 1 : 40 need 32.04 L of liquor; pot K1 may hold 32 L, which serves 800 g")
	if fits, holds := potA.Fits(g(800), oneToForty), potA.Holds(mL(32_000)); fits != nil || holds != nil {
		t.Errorf("exactly full: %v, %v", fits, holds)
	}
}

func TestSplit(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		masses  []quantity.Amount
		witness quantity.Amount
		pots    []lot.Pot
		want    []lot.Share
	}{
		{"the choir: no single pot takes it, two do, five each", tunics, g(18), []lot.Pot{potA, potB}, []lot.Share{{0, 5}, {1, 5}}},
		{"the tub alone takes all ten", tunics, g(18), []lot.Pot{potA, potB, tub}, []lot.Share{{2, 10}}},
		{"one garment, and more pots than garments", masses(240), g(0), []lot.Pot{potA, potB, tub}, []lot.Share{{1, 1}}},
		{"exactly full", masses(400, 400), g(0), []lot.Pot{potA, potB}, []lot.Share{{0, 2}}},
		{"a gram over, for the witness", masses(400, 400), g(1), []lot.Pot{potA, potB}, []lot.Share{{0, 1}, {1, 1}}},
		{"the smaller of two that suffice", masses(100), g(0), []lot.Pot{potA, potB}, []lot.Share{{1, 1}}},
		{"the one named first of two alike", masses(100), g(0), []lot.Pot{sized(1, 300), sized(2, 300)}, []lot.Share{{0, 1}}},
		{"another order of the pots, where the garments ask for it", masses(700, 300, 200), g(0), []lot.Pot{potB, potA}, []lot.Share{{1, 1}, {0, 2}}},
		{"ten alike in three pots", slices.Repeat(masses(100), 10), g(0), []lot.Pot{sized(1, 400), sized(2, 400), sized(3, 400)}, []lot.Share{{0, 4}, {1, 3}, {2, 3}}},
		{"the lightest heaviest lot before the heaviest lightest: 5, 9, 9 and not 10, 7, 6", masses(5, 5, 4, 3, 6), g(0), []lot.Pot{sized(1, 12), sized(2, 12), sized(3, 12)}, []lot.Share{{0, 1}, {1, 2}, {2, 2}}},
		{"the same pot twice, one load after the other", masses(500, 500), g(0), []lot.Pot{potA, potA}, []lot.Share{{0, 1}, {1, 1}}},
	} {
		got, err := lot.Split(c.masses, c.witness, c.pots, oneToForty)
		if err != nil || cmp.Diff(c.want, got) != "" {
			t.Errorf("%s: %v, %v, want %v", c.name, got, err, c.want)
		}
	}
}

func TestSplitRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		masses  []quantity.Amount
		witness quantity.Amount
		pots    []lot.Pot
		kind    fault.Kind
		reason  string
		says    string
	}{
		{nil, g(18), []lot.Pot{potA}, fault.Invalid, "INVALID_FIELD", "blanks: are needed: there is no garment to lay into a pot"},
		{masses(100), g(18), nil, fault.Invalid, "INVALID_FIELD", "pot_codes: 0 pots are named: 1 to 10 are weighed up"},
		{masses(100), g(18), slices.Repeat([]lot.Pot{potA}, 11), fault.Invalid, "INVALID_FIELD", "pot_codes: 11 pots are named: 1 to 10 are weighed up"},
		{masses(801), g(0), []lot.Pot{potA, potB}, fault.Refused, "POTS_TOO_SMALL", "801 g of garments, in their order, do not fit: of fibre at 1 : 40 K1 takes 800 g, K2 takes 600 g; add a pot, or plan fewer"},
		{masses(790), g(18), []lot.Pot{potA}, fault.Refused, "POTS_TOO_SMALL", "790 g of garments, in their order and with 18 g of witness cloth in each pot, do not fit: of fibre at 1 : 40 K1 takes 800 g;"},
		{masses(1), g(900), []lot.Pot{potA}, fault.Refused, "POTS_TOO_SMALL", "with 900 g of witness cloth in each pot"},
	} {
		_, err := lot.Split(c.masses, c.witness, c.pots, oneToForty)
		wantFault(t, err, c.kind, c.reason, c.says)
	}
}

// Ten pots and two thousand garments, the most that a plan may ask, while
// somebody waits.
func TestALongSplitIsQuick(t *testing.T) {
	t.Parallel()
	var all []quantity.Amount
	var pots []lot.Pot
	for i := range int64(2000) {
		all = append(all, g(100+i*37%11))
	}
	for i := range int64(10) {
		pots = append(pots, sized(i+1, 20_000+i*977%5000))
	}
	start := time.Now()
	shares, err := lot.Split(all, g(18), pots, oneToForty)
	if took := time.Since(start); err != nil || took > 10*time.Second {
		t.Errorf("%v: %v, %v", took, shares, err)
	}
}

// way is one way to lay garments into pots: which pots in which order, and how
// many garments each.
type way struct {
	shares             []lot.Share
	heaviest, lightest int64
	litres             int64
}

// ways lists all of them by trying everything: the honest slow search.
func ways(masses []quantity.Amount, witness quantity.Amount, pots []lot.Pot) []way {
	var all []way
	var lay func(at int, so way)
	lay = func(at int, so way) {
		if at == len(masses) {
			so.shares = slices.Clone(so.shares)
			all = append(all, so)
			return
		}
		for p, pot := range pots {
			if slices.ContainsFunc(so.shares, func(s lot.Share) bool { return s.Pot == p }) {
				continue
			}
			load := witness.N
			for n := 1; at+n <= len(masses); n++ {
				load += masses[at+n-1].N
				if load <= pot.Takes(oneToForty).N {
					lay(at+n, way{append(slices.Clone(so.shares), lot.Share{Pot: p, Garments: n}), max(so.heaviest, load), min(so.lightest, load), so.litres + pot.Brim.N})
				}
			}
		}
	}
	lay(0, way{lightest: quantity.Max})
	return all
}

func TestSplitIsTheBestOfAllWays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		all := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) quantity.Amount { return g(rapid.Int64Range(0, 9).Draw(t, "grams")) }), 1, 7).Draw(t, "garments")
		witness := g(rapid.Int64Range(0, 2).Draw(t, "witness"))
		var pots []lot.Pot
		for i := range rapid.IntRange(1, 4).Draw(t, "pots") {
			pots = append(pots, sized(int64(i+1), rapid.Int64Range(1, 24).Draw(t, "takes")))
		}
		got, err := lot.Split(all, witness, pots, oneToForty)
		known := ways(all, witness, pots)
		if (err == nil) != (len(known) > 0) {
			t.Fatalf("%v, %v, and there are %d ways", got, err, len(known))
		}
		if err != nil {
			if f, ok := fault.Of(err); !ok || f.Reason != "POTS_TOO_SMALL" {
				t.Fatal(err)
			}
			return
		}
		i := slices.IndexFunc(known, func(w way) bool { return slices.Equal(w.shares, got) })
		if i < 0 {
			t.Fatalf("%v is no way to lay them", got)
		}
		mine := known[i]
		for _, w := range known {
			k := len(w.shares) - len(got)
			samePots := slices.EqualFunc(w.shares, got, func(a, b lot.Share) bool { return a.Pot == b.Pot })
			switch {
			case k < 0:
				t.Fatalf("%v takes fewer pots than %v", w.shares, got)
			case k == 0 && w.heaviest < mine.heaviest:
				t.Fatalf("%v has a lighter heaviest lot than %v", w.shares, got)
			case k == 0 && w.heaviest == mine.heaviest && w.litres < mine.litres:
				t.Fatalf("%v takes fewer litres than %v", w.shares, got)
			case samePots && w.heaviest == mine.heaviest && w.lightest > mine.lightest:
				t.Fatalf("%v is more even than %v", w.shares, got)
			}
		}
	})
}

// Whatever it finds: every garment in exactly one lot, in order, no pot over
// its limit, and the bath of each lot goes into its pot.
func TestSplitKeepsEveryGarmentAndEveryLimit(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var all []quantity.Amount
		for range rapid.IntRange(1, 60).Draw(t, "garments") {
			all = append(all, quantity.Amount{N: rapid.Int64Range(1, 900_000_000).Draw(t, "µg"), Unit: quantity.Mass})
		}
		witness := quantity.Amount{N: rapid.Int64Range(0, 50_000_000).Draw(t, "witness"), Unit: quantity.Mass}
		ratio := quantity.Ratio(rapid.Int64Range(1000, 60_000).Draw(t, "ratio"))
		var pots []lot.Pot
		for i := range rapid.IntRange(1, 6).Draw(t, "pots") {
			pots = append(pots, lot.Pot{ID: int64(i), Brim: quantity.Amount{N: rapid.Int64Range(1, 300_000_000).Draw(t, "µL"), Unit: quantity.Volume},
				Fill: quantity.Percent(rapid.Int64Range(100_000, 1_000_000).Draw(t, "fill"))})
		}
		shares, err := lot.Split(all, witness, pots, ratio)
		if err != nil {
			return
		}
		at, seen := 0, map[int]bool{}
		for _, s := range shares {
			if s.Garments < 1 || seen[s.Pot] || at+s.Garments > len(all) {
				t.Fatalf("%v of %d garments", shares, len(all))
			}
			seen[s.Pot] = true
			fibre := quantity.Sum(all[at : at+s.Garments]...).Add(witness)
			if fits, holds := pots[s.Pot].Fits(fibre, ratio), pots[s.Pot].Holds(ratio.Bath(fibre)); fits != nil || holds != nil {
				t.Fatalf("%v, %v", fits, holds)
			}
			at += s.Garments
		}
		if at != len(all) {
			t.Fatalf("%d of %d garments are in a lot", at, len(all))
		}
	})
}
