package days_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/days"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

func setsOf(ratio quantity.Ratio, grams ...int64) []days.Set {
	var sets []days.Set
	for k, g := range grams {
		sets = append(sets, days.Set{Name: fmt.Sprint("set-", k+1), Fibre: quantity.Grams(g), Ratio: ratio})
	}
	return sets
}

// checks.md: BPPLib's PM_u010_01 (capacity 150, optimum 5) and the set of twelve
// that fills four pots of 1000 exactly; at 1 : 20 a pot of 150 g holds 3 L.
func TestPublishedPackingsComeOutAsLoads(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		room  int64
		grams []int64
		loads int
	}{
		{150, []int64{24, 44, 76, 78, 52, 96, 58, 67, 74, 59}, 5},
		{10, []int64{5, 4, 3, 3, 3, 2}, 2},
		{1000, []int64{387, 305, 308, 442, 290, 268, 401, 333, 266, 450, 297, 253}, 4},
	} {
		l, err := days.Lay([]days.Pot{{Code: "pot", Liquor: quantity.Millilitres(20 * c.room)}}, setsOf(20_000, c.grams...), days.Limit{})
		if err != nil || !l.Optimal || len(l.Loads) != c.loads || l.Fewest != c.loads {
			t.Errorf("%d: %v, %+v", c.room, err, l)
		}
		// A limit of mass that is never reached asks for the other search.
		l, err = days.Lay([]days.Pot{{Code: "pot", Liquor: quantity.Millilitres(20 * c.room * 2), Mass: quantity.Grams(c.room)}}, setsOf(20_000, c.grams...), days.Limit{Nodes: 5_000_000})
		if err != nil || len(l.Loads) != c.loads || l.Fewest > c.loads {
			t.Errorf("%d by mass: %v, %+v", c.room, err, l)
		}
	}
}

// stories.md: the choir's 1044 g at 1 : 40 fit neither the 32 L of a 40 L pot nor
// the 24 L of a 30 L one; 541 g and 539 g take one each.
func TestASetLargerThanEveryPotIsSaidNotSplit(t *testing.T) {
	t.Parallel()
	pots := []days.Pot{{Code: "pot-40", Liquor: quantity.Millilitres(32_000)}, {Code: "pot-30", Liquor: quantity.Millilitres(24_000)}}
	l, err := days.Lay(pots, setsOf(40_000, 1044, 541, 539), days.Limit{})
	if err != nil || len(l.Unfit) != 1 || l.Unfit[0].Set != 0 || !strings.Contains(l.Unfit[0].Words, "needs 41.76 L of liquor, and the largest, pot-40, may hold 32 L") || len(l.Loads) != 2 || !l.Optimal {
		t.Errorf("%v, %+v", err, l)
	}
	for field, call := range map[string]func() error{
		"pots":           func() error { _, err := days.Lay(nil, nil, days.Limit{}); return err },
		"pots[0].liquor": func() error { _, err := days.Lay([]days.Pot{{Code: "p"}}, nil, days.Limit{}); return err },
		"pots[1].mass": func() error {
			_, err := days.Lay([]days.Pot{pots[0], {Code: "p", Liquor: pots[0].Liquor, Mass: quantity.Grams(-1)}}, nil, days.Limit{})
			return err
		},
		"sets[0].fibre": func() error { _, err := days.Lay(pots, setsOf(40_000, 0), days.Limit{}); return err },
		"sets[0].ratio": func() error { _, err := days.Lay(pots, setsOf(0, 5), days.Limit{}); return err },
	} {
		if f, ok := fault.Of(call()); !ok || f.Field != field {
			t.Errorf("%s: %v", field, f)
		}
	}
}

// Small cases of two pots, two limits and several ratios equal exhaustive search.
func TestLoadsEqualExhaustiveSearch(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := func(low, high int, what string) int64 { return int64(rapid.IntRange(low, high).Draw(t, what)) }
		var pots []days.Pot
		for k := range n(1, 3, "pots") {
			pots = append(pots, days.Pot{Code: fmt.Sprint("pot-", k), Liquor: quantity.Millilitres(1000 * n(5, 20, "litres")), Mass: quantity.Grams(100 * n(0, 9, "mass"))})
		}
		var sets []days.Set
		for k := range n(0, 6, "sets") {
			sets = append(sets, days.Set{Name: fmt.Sprint("set-", k), Fibre: quantity.Grams(n(50, 500, "fibre")), Ratio: quantity.Ratio(10_000 * n(2, 3, "ratio"))})
		}
		l, err := days.Lay(pots, sets, days.Limit{})
		if err != nil {
			t.Fatal(err)
		}
		in := map[int]bool{}
		litres := int64(0)
		for _, load := range l.Loads {
			p := pots[load.Pot]
			litres += p.Liquor.N
			var fibre, liquor int64
			for _, i := range load.Sets {
				in[i] = true
				fibre, liquor = fibre+sets[i].Fibre.N, liquor+sets[i].Liquor().N
			}
			if liquor > p.Liquor.N || p.Mass.N > 0 && fibre > p.Mass.N || liquor != load.Liquor.N || fibre != load.Fibre.N {
				t.Fatalf("%+v is above %+v", load, p)
			}
		}
		for _, u := range l.Unfit {
			in[u.Set] = true
			sets[u.Set].Fibre.N = 0
		}
		if len(in) != len(sets) || !l.Optimal {
			t.Fatalf("%d of %d sets, optimal %v", len(in), len(sets), l.Optimal)
		}
		loads, least := everyLaying(pots, sets, nil)
		if loads != len(l.Loads) || least != litres {
			t.Fatalf("%d loads of %d; exhaustive search has %d of %d", len(l.Loads), litres, loads, least)
		}
	})
}

// everyLaying puts the first set into every load there is, or a new one.
func everyLaying(pots []days.Pot, sets []days.Set, loads [][2]int64) (int, int64) {
	if len(sets) == 0 {
		volume := int64(0)
		for _, l := range loads {
			best := int64(-1)
			for _, p := range pots {
				if l[1] <= p.Liquor.N && (p.Mass.N == 0 || l[0] <= p.Mass.N) && (best < 0 || p.Liquor.N < best) {
					best = p.Liquor.N
				}
			}
			if best < 0 {
				return 1 << 30, 0
			}
			volume += best
		}
		return len(loads), volume
	}
	if sets[0].Fibre.N == 0 {
		return everyLaying(pots, sets[1:], loads)
	}
	n, v := 1<<30, int64(0)
	for k := range len(loads) + 1 {
		next := append([][2]int64(nil), loads...)
		if k == len(loads) {
			next = append(next, [2]int64{})
		}
		next[k][0], next[k][1] = next[k][0]+sets[0].Fibre.N, next[k][1]+sets[0].Liquor().N
		if m, w := everyLaying(pots, sets[1:], next); m < n || m == n && w < v {
			n, v = m, w
		}
	}
	return n, v
}
