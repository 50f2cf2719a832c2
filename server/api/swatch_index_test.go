package api

import (
	"cmp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/colour"
)

// However much of the book is in the tree and how much came since, whatever is
// struck or kept out, the nearest are those of a full scan; of two equally far the
// older comes first.
func TestTheShelfFindsWhatAFullScanFinds(t *testing.T) {
	t.Parallel()
	lab := rapid.Custom(func(t *rapid.T) colour.Lab { // a coarse grid, so that many are equally far
		at := rapid.IntRange(0, 9)
		return colour.Lab{L: float64(10 * at.Draw(t, "l")), A: float64(8*at.Draw(t, "a") - 40), B: float64(8*at.Draw(t, "b") - 40)}
	})
	rapid.Check(t, func(t *rapid.T) {
		b := swatchShelf{labs: rapid.SliceOfN(lab, 0, 200).Draw(t, "book"), struck: map[int64]bool{}}
		for i := range b.labs {
			b.ids = append(b.ids, int64(3*i+1))
		}
		b.inTree = rapid.IntRange(0, len(b.labs)).Draw(t, "in the tree")
		b.tree = colour.NewNearest(b.labs[:b.inTree])
		for range rapid.IntRange(0, 20).Draw(t, "struck") {
			b.struck[int64(rapid.IntRange(0, 600).Draw(t, "id"))] = true
		}
		last := int64(rapid.IntRange(0, 600).Draw(t, "last"))
		every := rapid.IntRange(1, 4).Draw(t, "every")
		keep := func(i int) bool { return i%every == 0 }
		q, k := lab.Draw(t, "q"), rapid.IntRange(1, 30).Draw(t, "k")

		var want []colour.Neighbour
		for i, c := range b.labs {
			if b.ids[i] <= last && !b.struck[b.ids[i]] && keep(i) {
				want = append(want, colour.Neighbour{Index: i, Difference: colour.CIEDE2000(q, c)})
			}
		}
		slices.SortStableFunc(want, func(x, y colour.Neighbour) int { return cmp.Compare(x.Difference, y.Difference) })
		want = want[:min(k, len(want))]
		if got := b.until(last).find(q, k, keep); !slices.Equal(got, want) {
			t.Fatalf("found %v, a full scan says %v", got, want)
		}
		compared, _ := b.until(last).counts()
		open := 0
		for _, id := range b.ids {
			if id <= last && !b.struck[id] {
				open++
			}
		}
		if compared != int64(open) {
			t.Fatalf("counts %d, there are %d", compared, open)
		}
	})
}

// The views that are kept are those asked last.
func TestTwoViewsAreKept(t *testing.T) {
	t.Parallel()
	all := newSwatchIndexes()
	day := all.of(colour.View{})
	lamp := all.of(colour.View{Illuminant: colour.A})
	if all.of(colour.View{}) != day || len(all.views) != 2 {
		t.Fatal("daylight was forgotten")
	}
	all.of(colour.View{Illuminant: colour.F11})
	if all.of(colour.View{}) != day || all.of(colour.View{Illuminant: colour.A}) == lamp || len(all.views) != mostViews {
		t.Fatal("lamp light should have been the one to go")
	}
}
