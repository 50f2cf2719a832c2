package colour_test

import (
	"cmp"
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"sync"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/colour"
)

var swatches = flag.Int("swatches", 50_000, "how many colours TestNearestAmongMany compares; try 1000000")

// scan is the answer by the plainest way there is: compare all, sort, cut.
func scan(labs []colour.Lab, q colour.Lab, k int, keep func(int) bool) []colour.Neighbour {
	var all []colour.Neighbour
	for i, c := range labs {
		if keep == nil || keep(i) {
			all = append(all, colour.Neighbour{Index: i, Difference: colour.CIEDE2000(q, c)})
		}
	}
	slices.SortFunc(all, func(x, y colour.Neighbour) int {
		return cmp.Or(cmp.Compare(x.Difference, y.Difference), cmp.Compare(x.Index, y.Index))
	})
	return all[:min(k, len(all))]
}

// agrees fails unless the tree and the scan give the same colours, in the same
// order, at the same distances to the last bit.
func agrees(t failer, n *colour.Nearest, labs []colour.Lab, q colour.Lab, k int, keep func(int) bool) {
	t.Helper()
	got, want := n.Find(q, k, keep), scan(labs, q, k, keep)
	if len(got) == 0 && len(want) == 0 {
		return
	}
	if d := gocmp.Diff(want, got); d != "" {
		t.Fatal("the nearest of ", len(labs), " to ", q, " (-scan +tree):\n", d)
	}
}

// palettes are ways to draw a colour that Check accepts, among them those that
// CIEDE2000 is awkward with.
var palettes = map[string]func(r *rand.Rand) colour.Lab{
	"box": func(r *rand.Rand) colour.Lab {
		return colour.Lab{L: 100 * r.Float64(), A: 200*r.Float64() - 100, B: 200*r.Float64() - 100}
	},
	"dyed": dyed,
	"greys": func(r *rand.Rand) colour.Lab {
		return colour.Lab{L: 100 * r.Float64(), A: r.NormFloat64() * float64(r.IntN(2)), B: r.NormFloat64() * float64(r.IntN(2))}
	},
	"blues":     polar(func(r *rand.Rand) float64 { return 275 + 15*r.NormFloat64() }),
	"reds by 0": polar(func(r *rand.Rand) float64 { return 3 * r.NormFloat64() }),
	"extreme": func(r *rand.Rand) colour.Lab {
		edge := func(lo, hi float64) float64 { return []float64{lo, hi, lo + (hi-lo)*r.Float64()}[r.IntN(3)] }
		return colour.Lab{L: edge(0, 100), A: edge(-300, 300), B: edge(-300, 300)}
	},
	"whole numbers": func(r *rand.Rand) colour.Lab { // many alike, and many half a turn apart
		return colour.Lab{L: float64(40 + r.IntN(3)), A: float64(r.IntN(7) - 3), B: float64(r.IntN(7) - 3)}
	},
	"a hair from grey": func(r *rand.Rand) colour.Lab {
		tiny := math.Pow(10, -320*r.Float64())
		return colour.Lab{L: 50, A: tiny * r.NormFloat64(), B: tiny * r.NormFloat64()}
	},
}

func polar(hue func(r *rand.Rand) float64) func(r *rand.Rand) colour.Lab {
	return func(r *rand.Rand) colour.Lab {
		return colour.LCh{L: 100 * r.Float64(), C: 100 * r.Float64(), H: hue(r)}.Lab()
	}
}

// vats are about where natural dyes lie (invented): weld, onion, madder, cochineal,
// walnut, alder, woad, iron over tannin, undyed wool.
var vats = []colour.Lab{{L: 78, A: -3, B: 62}, {L: 62, A: 14, B: 48}, {L: 45, A: 38, B: 26}, {L: 40, A: 42, B: 4}, {L: 38, A: 9, B: 16},
	{L: 62, A: 7, B: 22}, {L: 36, A: -3, B: -27}, {L: 33, A: 1, B: 3}, {L: 86, A: 0, B: 11}}

func dyed(r *rand.Rand) colour.Lab {
	v := vats[r.IntN(len(vats))]
	depth := 0.3 + 0.8*r.Float64()
	return colour.Lab{
		L: min(max(90-(90-v.L)*depth+4*r.NormFloat64(), 0), 100),
		A: v.A*depth + 3*r.NormFloat64(),
		B: v.B*depth + 3*r.NormFloat64(),
	}
}

func draw(r *rand.Rand, n int, from func(*rand.Rand) colour.Lab) []colour.Lab {
	all := make([]colour.Lab, n)
	for i := range all {
		all[i] = from(r)
	}
	return all
}

// The tree against the scan, for any palettes and any k: what it is for.
func TestNearestIsThatOfTheScan(t *testing.T) {
	t.Parallel()
	names := slices.Sorted(func(yield func(string) bool) {
		for name := range palettes {
			if !yield(name) {
				return
			}
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		labs := draw(r, rapid.IntRange(0, 600).Draw(t, "colours"), palettes[rapid.SampledFrom(names).Draw(t, "palette")])
		labs = append(labs, draw(r, rapid.IntRange(0, 300).Draw(t, "more"), palettes[rapid.SampledFrom(names).Draw(t, "palette of more")])...)
		if len(labs) > 0 {
			for range rapid.IntRange(0, 50).Draw(t, "copies") {
				labs = append(labs, labs[r.IntN(len(labs))])
			}
		}
		var keep func(int) bool
		if every := rapid.IntRange(1, 20).Draw(t, "keep one in"); every > 1 {
			keep = func(i int) bool { return i%every == 1 }
		}
		n := colour.NewNearest(labs)
		if n.Len() != len(labs) {
			t.Fatalf("%d of %d can be found", n.Len(), len(labs))
		}
		ask := palettes[rapid.SampledFrom(names).Draw(t, "palette of the question")]
		for range 5 {
			q := ask(r)
			if len(labs) > 0 && r.IntN(3) == 0 {
				q = labs[r.IntN(len(labs))]
			}
			agrees(t, n, labs, q, rapid.IntRange(1, 40).Draw(t, "k"), keep)
		}
	})
}

// At half a turn the mean hue of CIEDE2000 jumps by half a turn.
func TestNearestAcrossHalfATurn(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(4, 1))
	for range 40 {
		q := palettes["box"](r)
		p := q.LCh()
		labs := []colour.Lab{{L: q.L, A: -q.A, B: -q.B}, {L: q.L, A: -q.A / 2, B: -q.B / 2}}
		for range 300 {
			off := math.Pow(10, -17*r.Float64()) * float64(1-2*r.IntN(2)) * 10
			labs = append(labs, colour.LCh{L: q.L + r.NormFloat64(), C: 120 * r.Float64(), H: p.H + 180 + off}.Lab())
		}
		labs = slices.DeleteFunc(labs, func(c colour.Lab) bool { return c.Check() != nil })
		agrees(t, colour.NewNearest(labs), labs, q, 12, nil)
	}
}

// Sharma, Wu & Dalal (2005), table 1: each pair's second colour is found, alone
// among greys far off, at the distance the table gives; and among all 68 colours
// each one's order is that of the scan. Pairs 10 and 14 sit on |Δh| = 180°.
func TestNearestFindsSharmasPairs(t *testing.T) {
	t.Parallel()
	var all []colour.Lab
	for _, r := range rows(t, "sharma2005.csv", 34) {
		x, y := r.lab(t, "L1", "a1", "b1"), r.lab(t, "L2", "a2", "b2")
		all = append(all, x, y)
		greys := []colour.Lab{{L: 0}, y, {L: 100}}
		got := colour.NewNearest(greys).Find(x, 1, func(i int) bool { return i == 1 })
		if len(got) != 1 || got[0].Index != 1 {
			t.Fatalf("pair %s: found %v", r["pair"], got)
		}
		near(t, "pair "+r["pair"], got[0].Difference, r.num(t, "dE00"), 6e-5)
	}
	n := colour.NewNearest(all)
	for _, q := range all {
		agrees(t, n, all, q, len(all), nil)
	}
}

// As many as -swatches says, from dyed colours and from the whole box.
func TestNearestAmongMany(t *testing.T) {
	t.Parallel()
	for _, data := range []string{"dyed", "box"} {
		t.Run(data, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(5, 2))
			labs := draw(r, *swatches, palettes[data])
			n := colour.NewNearest(labs)
			for _, ask := range []string{"dyed", "box", "blues", "greys", "extreme"} {
				for range 3 {
					agrees(t, n, labs, palettes[ask](r), 10, nil)
				}
			}
		})
	}
}

// The bound must not only hold but spare work: of 50 000 dyed colours few get as
// far as being compared. The counts are three times those seen.
func TestNearestComparesFew(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 3))
	labs := draw(r, 50_000, dyed)
	n := colour.NewNearest(labs)
	for ask, most := range map[string]int{"dyed": 150, "box": 1500, "blues": 600} {
		const questions = 40
		compared := 0
		for range questions {
			n.Find(palettes[ask](r), 10, func(int) bool { compared++; return true })
		}
		if compared > most*questions {
			t.Errorf("%s: %d colours compared a question, at most %d wanted", ask, compared/questions, most)
		}
		t.Log(ask, compared/questions)
	}
}

func TestNearestOfEqualsIsTheLowerIndex(t *testing.T) {
	t.Parallel()
	labs := make([]colour.Lab, 200)
	for i := range labs {
		labs[i] = colour.Lab{L: 50, A: 10, B: 10}
	}
	labs[150] = colour.Lab{L: 50, A: 10, B: 11}
	got := colour.NewNearest(labs).Find(colour.Lab{L: 50, A: 10, B: 11}, 4, nil)
	for i, want := range []int{150, 0, 1, 2} {
		if len(got) != 4 || got[i].Index != want {
			t.Fatalf("found %v", got)
		}
	}
}

func TestNearestOfWhatIsNoColour(t *testing.T) {
	t.Parallel()
	fine := colour.Lab{L: 50, A: 10, B: 10}
	n := colour.NewNearest([]colour.Lab{{L: math.NaN()}, fine, {L: 50, A: 1000}, {L: 50, B: math.Inf(-1)}})
	if n.Len() != 1 {
		t.Errorf("%d can be found", n.Len())
	}
	if got := n.Find(fine, 9, nil); len(got) != 1 || got[0] != (colour.Neighbour{Index: 1}) {
		t.Errorf("found %v", got)
	}
	for what, none := range map[string][]colour.Neighbour{
		"no number":       n.Find(colour.Lab{L: math.NaN()}, 1, nil),
		"too saturated":   n.Find(colour.Lab{A: 301}, 1, nil),
		"none wanted":     n.Find(fine, 0, nil),
		"fewer than none": n.Find(fine, -1, nil),
		"none kept":       n.Find(fine, 1, func(int) bool { return false }),
		"none there":      colour.NewNearest(nil).Find(fine, 1, nil),
	} {
		if len(none) != 0 {
			t.Errorf("%s: found %v", what, none)
		}
	}
}

func TestNearestDoesNotKeepTheList(t *testing.T) {
	t.Parallel()
	labs := []colour.Lab{{L: 10}, {L: 20}}
	n := colour.NewNearest(labs)
	labs[0] = colour.Lab{L: 90}
	if got := n.Find(colour.Lab{L: 10}, 1, nil); got[0] != (colour.Neighbour{}) {
		t.Errorf("found %v", got)
	}
}

// Meant for the race detector.
func TestNearestAnswersManyAtOnce(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 4))
	labs, questions := draw(r, 3000, dyed), draw(r, 20, dyed)
	n := colour.NewNearest(labs)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for _, q := range questions {
				if got := n.Find(q, 5, nil); !slices.Equal(got, scan(labs, q, 5, nil)) {
					t.Errorf("%v: found %v", q, got)
				}
			}
		})
	}
	all.Wait()
}

// BenchmarkNearest asks for the ten nearest of dyed colours, by dyed colours, and
// for scale by a scan of the same.
func BenchmarkNearest(b *testing.B) {
	r := rand.New(rand.NewPCG(8, 5))
	all := draw(r, 1_000_000, dyed)
	questions := draw(r, 256, dyed)
	for n := 1000; n <= len(all); n *= 10 {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			nearest := colour.NewNearest(all[:n])
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				nearest.Find(questions[i%len(questions)], 10, nil)
			}
		})
	}
	b.Run("taking up 1000000", func(b *testing.B) {
		for b.Loop() {
			colour.NewNearest(all)
		}
	})
}
