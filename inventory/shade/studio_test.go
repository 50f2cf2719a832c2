package shade_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/colour"
	"dyelot/inventory/lot"
	"dyelot/inventory/shade"
)

// greys are pieces of L* alone, tagged by their place: A, B, C …
func greys(ls ...float64) []shade.Piece {
	ps := make([]shade.Piece, len(ls))
	for i, l := range ls {
		ps[i] = shade.Piece{Tag: string(rune('A' + i)), Lot: "L1", Item: "tunic-m", Style: "tunic", Colour: colour.Lab{L: l}}
	}
	return ps
}

// dyed draws pieces of one colour with the spread of an uneven pot.
func dyed(t *rapid.T, most int) []shade.Piece {
	n := rapid.IntRange(0, most).Draw(t, "pieces")
	ps := make([]shade.Piece, n)
	for i := range ps {
		at := func(mid float64, what string) float64 {
			return mid + float64(rapid.IntRange(-30, 30).Draw(t, what))/10
		}
		ps[i] = shade.Piece{Tag: fmt.Sprintf("T%02d", i), Lot: rapid.SampledFrom([]string{"L1", "L2"}).Draw(t, "lot"), Item: "tunic-m",
			Style: rapid.SampledFrom([]string{"tunic", "scarf"}).Draw(t, "style"), Colour: colour.Lab{L: at(50, "L"), A: at(4, "a"), B: at(20, "b")}}
	}
	return ps
}

func tolerance(t *rapid.T) lot.Tolerance {
	return lot.Tolerance(rapid.IntRange(200, 4000).Draw(t, "tolerance"))
}

func tagsOf(g shade.Group) (tags []string) {
	for _, m := range g.Members {
		tags = append(tags, m.Tag)
	}
	return tags
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if d := got - want; !(d <= within && d >= -within) {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}
