package shade_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/graph/coloring"
	"gonum.org/v1/gonum/graph/simple"
	"pgregory.net/rapid"

	"dyelot/inventory/colour"
	"dyelot/inventory/lot"
	"dyelot/inventory/shade"
)

// Four greys in steps of 1, 0.9 and 1 (the package's worked number): complete
// linkage spends three groups, two are enough, and the ends prove that one is not.
func ExampleSort() {
	s := shade.Sort(greys(50, 51, 51.9, 52.9), 1100)
	for _, g := range s.Groups {
		fmt.Printf("%v spread %.2f\n", tagsOf(g), g.Spread)
	}
	fmt.Println(s.Linked, "by linkage; proved", s.Proved, s.Mutual)
	// Output:
	// [A B] spread 1.00
	// [C D] spread 0.98
	// 3 by linkage; proved true [A D]
}

// A story's two lots: 1.78 apart (stories.md), so at 1.0 they hang apart and at
// 2.0 together.
func TestTheChoirsLotsHangApart(t *testing.T) {
	t.Parallel()
	ps := []shade.Piece{{Tag: "A", Colour: colour.Lab{L: 62.6, A: -1.8, B: 38.9}}, {Tag: "B", Colour: colour.Lab{L: 60.8, A: -1.4, B: 36.6}}}
	apart, together := shade.Sort(ps, 1000), shade.Sort(ps, 2000)
	if len(apart.Groups) != 2 || apart.Beyond != 1 || apart.Pairs != 1 || !apart.Proved || apart.Groups[0].Members[0].Worst != "" {
		t.Errorf("%+v", apart)
	}
	if len(together.Groups) != 1 || together.Beyond != 0 || together.Groups[0].Members[0].Worst != "B" {
		t.Errorf("%+v", together)
	}
	near(t, "spread", together.Groups[0].Spread, 1.78, 0.005)
	near(t, "mean L*", together.Groups[0].Mean.L, 61.7, 1e-9)
}

// A pair exactly as far apart as the tolerance may hang together; nothing at all
// is no group.
func TestTheEdgesOfSorting(t *testing.T) {
	t.Parallel()
	// Sharma, Wu & Dalal (2005), pair 1: 2.0425 to four decimals.
	pair := []shade.Piece{{Tag: "A", Colour: colour.Lab{L: 50, A: 2.6772, B: -79.7751}}, {Tag: "B", Colour: colour.Lab{L: 50, A: 0, B: -82.7485}}}
	if s := shade.Sort(pair, 2043); len(s.Groups) != 1 {
		t.Errorf("%+v", s)
	}
	if s := shade.Sort(pair, 2042); len(s.Groups) != 2 {
		t.Errorf("%+v", s)
	}
	if s := shade.Sort(nil, 1000); len(s.Groups) != 0 || !s.Proved {
		t.Errorf("%+v", s)
	}
}

func TestEveryPieceIsInOneGroupAndNoTwoDifferTooMuch(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		ps, tol := dyed(t, 40), tolerance(t)
		s := shade.Sort(ps, tol)
		in, beyond := map[string]int{}, 0
		for k, g := range s.Groups {
			if k > 0 && len(g.Members) > len(s.Groups[k-1].Members) {
				t.Fatal("a larger group comes after a smaller one")
			}
			spread := 0.0
			for _, m := range g.Members {
				in[m.Tag]++
				worst := 0.0
				for _, n := range g.Members {
					if d := colour.CIEDE2000(m.Colour, n.Colour); m.Tag != n.Tag && !tol.Allows(d) {
						t.Fatalf("%s and %s are %v apart in one group", m.Tag, n.Tag, d)
					} else if m.Tag != n.Tag {
						worst = max(worst, d)
					}
				}
				if m.Difference != worst || (m.Worst == "") != (len(g.Members) == 1) {
					t.Fatalf("%s: worst %v to %q, want %v", m.Tag, m.Difference, m.Worst, worst)
				}
				spread = max(spread, worst)
			}
			if g.Spread != spread {
				t.Fatalf("spread %v, want %v", g.Spread, spread)
			}
		}
		for i, p := range ps {
			if in[p.Tag] != 1 {
				t.Fatalf("%s is in %d groups", p.Tag, in[p.Tag])
			}
			for _, q := range ps[:i] {
				if !tol.Allows(colour.CIEDE2000(p.Colour, q.Colour)) {
					beyond++
				}
			}
		}
		if len(in) != len(ps) || s.Beyond != beyond || s.Pairs != len(ps)*(len(ps)-1)/2 {
			t.Fatalf("%d tags of %d pieces, %d beyond, want %d", len(in), len(ps), s.Beyond, beyond)
		}
		if n := linked(ps, tol.Allows); len(s.Groups) > n || s.Linked != n {
			t.Fatalf("%d groups, and complete linkage makes %d", len(s.Groups), n)
		}
		mutuallyApart(t, ps, tol, s)
		if diff := cmp.Diff(s, shade.Sort(ps, tol)); diff != "" {
			t.Fatalf("sorted twice, and differently:\n%s", diff)
		}
	})
}

// mutuallyApart: the pieces that prove a bound are each too far from the others.
func mutuallyApart(t *rapid.T, ps []shade.Piece, tol lot.Tolerance, s shade.Sorted) {
	at := map[string]colour.Lab{}
	for _, p := range ps {
		at[p.Tag] = p.Colour
	}
	for i, a := range s.Mutual {
		for _, b := range s.Mutual[:i] {
			if tol.Allows(colour.CIEDE2000(at[a], at[b])) {
				t.Fatalf("%s and %s may hang together", a, b)
			}
		}
	}
	if len(s.Mutual) > len(s.Groups) {
		t.Fatalf("%d pieces apart from each other in %d groups", len(s.Mutual), len(s.Groups))
	}
}

// What is called proved is what trying every partition finds; of eight pieces
// the search always ends.
func TestProvedIsTheFewestByTryingAll(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		ps, tol := dyed(t, 8), tolerance(t)
		s := shade.Sort(ps, tol)
		if want := fewestByTrying(ps, tol.Allows); !s.Proved || len(s.Groups) != want {
			t.Fatalf("%d groups, proved %v; trying all finds %d", len(s.Groups), s.Proved, want)
		}
	})
}

// fewestByTrying puts each piece into each group that it may be in.
func fewestByTrying(ps []shade.Piece, allows func(float64) bool) int {
	best := len(ps)
	var groups [][]shade.Piece
	var put func(i int)
	put = func(i int) {
		if i == len(ps) {
			best = min(best, len(groups))
			return
		}
		for k := range groups {
			fits := true
			for _, q := range groups[k] {
				fits = fits && allows(colour.CIEDE2000(ps[i].Colour, q.Colour))
			}
			if fits {
				groups[k] = append(groups[k], ps[i])
				put(i + 1)
				groups[k] = groups[k][:len(groups[k])-1]
			}
		}
		groups = append(groups, []shade.Piece{ps[i]})
		put(i + 1)
		groups = groups[:len(groups)-1]
	}
	put(0)
	return best
}

// The fewest groups are the chromatic number of the conflicts: held against the
// exact DSATUR of gonum v0.17.0, a library of others.
func TestProvedIsWhatAnotherLibraryColours(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		ps, tol := dyed(t, 16), tolerance(t)
		g := simple.NewUndirectedGraph()
		for i := range ps {
			g.AddNode(simple.Node(i))
			for j := range i {
				if !tol.Allows(colour.CIEDE2000(ps[i].Colour, ps[j].Colour)) {
					g.SetEdge(simple.Edge{F: simple.Node(i), T: simple.Node(j)})
				}
			}
		}
		want, _, err := coloring.DsaturExact(nil, g)
		if err != nil {
			t.Fatal(err)
		}
		if s := shade.Sort(ps, tol); !s.Proved || len(s.Groups) != want {
			t.Fatalf("%d groups, proved %v; gonum has %d", len(s.Groups), s.Proved, want)
		}
	})
}

// Sixty garments of a run are sorted well within a second, whatever the
// tolerance (under the race detector too).
func TestSixtyGarmentsAreQuick(t *testing.T) {
	t.Parallel()
	for _, tol := range []lot.Tolerance{300, 700, 1000, 1500, 2500} {
		ps := make([]shade.Piece, 60)
		for i := range ps { // a quasi-random cloud: multiples of three irrationals
			at := func(step float64) float64 { f := step * float64(i+1); return f - float64(int(f)) }
			ps[i] = shade.Piece{Tag: fmt.Sprintf("T%02d", i), Colour: colour.Lab{L: 48 + 6*at(0.8191725134), A: 2 + 4*at(0.6710436067), B: 18 + 7*at(0.5497004779)}}
		}
		began := time.Now()
		s := shade.Sort(ps, tol)
		took := time.Since(began)
		t.Logf("tolerance %s: %d groups (linkage %d, apart %d), proved %v, %v", tol, len(s.Groups), s.Linked, len(s.Mutual), s.Proved, took)
		if took > 10*time.Second {
			t.Errorf("%v at tolerance %s", took, tol)
		}
	}
}
