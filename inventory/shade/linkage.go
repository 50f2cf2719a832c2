package shade

import (
	"math"
	"slices"
)

// Merge is one step of complete linkage: the heaps of A and B, each named by its
// first piece, become the heap of A, whose worst pair is Height apart.
type Merge struct {
	A, B   int
	Height float64
}

// Linkage joins n pieces, from their differences, until one heap is left: always
// the two heaps whose worst pair is least; of equals, those whose first pieces
// come first. Heights never fall. The table is symmetric.
//
// Source: the complete-linkage (furthest neighbour) method of Sørensen (1948);
// merging only touches the nearest heap of those that pointed at a merged one,
// since the worst pair to a grown heap never shrinks.
func Linkage(apart [][]float64) []Merge {
	n := len(apart)
	worst := make([][]float64, n)
	alive := make([]int, n)
	for i := range apart {
		worst[i], alive[i] = slices.Clone(apart[i]), i
	}
	nearest := make([]int, n)
	look := func(i int) {
		nearest[i] = -1
		for _, j := range alive {
			if j != i && (nearest[i] < 0 || worst[i][j] < worst[i][nearest[i]]) {
				nearest[i] = j
			}
		}
	}
	for i := range alive {
		look(i)
	}
	var merges []Merge
	for len(alive) > 1 {
		a, least := -1, math.Inf(1)
		for _, i := range alive {
			if h := worst[i][nearest[i]]; a < 0 || h < least {
				a, least = i, h
			}
		}
		b := nearest[a] // after a: else b would have been found first
		merges = append(merges, Merge{a, b, least})
		alive = slices.DeleteFunc(alive, func(i int) bool { return i == b })
		for _, k := range alive {
			worst[a][k] = max(worst[a][k], worst[b][k])
			worst[k][a] = worst[a][k]
		}
		for _, k := range alive {
			if k == a || nearest[k] == a || nearest[k] == b {
				look(k)
			}
		}
	}
	return merges
}

// cut makes heaps of the merges whose worst pair is allowed, in the order of
// their first pieces.
func cut(n int, merges []Merge, allows func(float64) bool) [][]int {
	of := make([][]int, n)
	for i := range of {
		of[i] = []int{i}
	}
	for _, m := range merges {
		if !allows(m.Height) {
			break
		}
		of[m.A], of[m.B] = append(of[m.A], of[m.B]...), nil
	}
	heaps := slices.DeleteFunc(of, func(h []int) bool { return len(h) == 0 })
	for _, h := range heaps {
		slices.Sort(h)
	}
	return heaps
}
