package shade_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/colour"
	"dyelot/inventory/shade"
)

// The worked complete-linkage example of a textbook, five objects: Johnson &
// Wichern, Applied Multivariate Statistical Analysis, chapter 12 (from memory,
// table and dendrogram): 3 and 5 join at 2, 2 and 4 at 5, then 1 to those at 9,
// and all at 11.
func TestLinkageOfTheTextbook(t *testing.T) {
	t.Parallel()
	got := shade.Linkage([][]float64{
		{0, 9, 3, 6, 11},
		{9, 0, 7, 5, 10},
		{3, 7, 0, 9, 2},
		{6, 5, 9, 0, 8},
		{11, 10, 2, 8, 0},
	})
	want := []shade.Merge{{A: 2, B: 4, Height: 2}, {A: 1, B: 3, Height: 5}, {A: 0, B: 1, Height: 9}, {A: 0, B: 2, Height: 11}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// By the definition alone: at each step the two heaps whose worst pair is least,
// looked for among all pairs of pieces of all heaps.
func TestLinkageIsItsDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 9).Draw(t, "n")
		apart := make([][]float64, n)
		for i := range apart {
			apart[i] = make([]float64, n)
			for j := range i {
				d := float64(rapid.IntRange(0, 6).Draw(t, "apart")) // few values, so that many are equal
				apart[i][j], apart[j][i] = d, d
			}
		}
		if diff := cmp.Diff(byDefinition(apart), shade.Linkage(apart)); diff != "" {
			t.Fatalf("(-definition +got):\n%s", diff)
		}
	})
}

func byDefinition(apart [][]float64) (merges []shade.Merge) {
	heaps := map[int][]int{}
	for i := range apart {
		heaps[i] = []int{i}
	}
	for len(heaps) > 1 {
		best := shade.Merge{A: -1}
		for a := range len(apart) {
			for b := a + 1; b < len(apart); b++ {
				if heaps[a] == nil || heaps[b] == nil {
					continue
				}
				worst := 0.0
				for _, v := range heaps[a] {
					for _, w := range heaps[b] {
						worst = max(worst, apart[v][w])
					}
				}
				if best.A < 0 || worst < best.Height {
					best = shade.Merge{A: a, B: b, Height: worst}
				}
			}
		}
		merges = append(merges, best)
		heaps[best.A] = append(heaps[best.A], heaps[best.B]...)
		delete(heaps, best.B)
	}
	return merges
}

// linked is how many groups complete linkage alone makes of pieces.
func linked(ps []shade.Piece, allows func(float64) bool) int {
	apart := make([][]float64, len(ps))
	for i := range ps {
		apart[i] = make([]float64, len(ps))
		for j := range ps {
			if i != j {
				apart[i][j] = colour.CIEDE2000(ps[i].Colour, ps[j].Colour)
			}
		}
	}
	n := len(ps)
	for _, m := range shade.Linkage(apart) {
		if !allows(m.Height) {
			break
		}
		n--
	}
	return n
}
