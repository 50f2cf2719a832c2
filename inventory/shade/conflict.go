package shade

import (
	"math/bits"
	"slices"
)

// set is a set of small whole numbers.
type set []uint64

func newSet(n int) set { return make(set, (n+63)/64) }

func (s set) add(i int)      { s[i/64] |= 1 << (i % 64) }
func (s set) drop(i int)     { s[i/64] &^= 1 << (i % 64) }
func (s set) has(i int) bool { return s[i/64]&(1<<(i%64)) != 0 }

func (s set) count() (n int) {
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// both is what is in s and in t.
func (s set) both(t set) set {
	u := make(set, len(s))
	for i := range s {
		u[i] = s[i] & t[i]
	}
	return u
}

// each lists the numbers, rising.
func (s set) each() []int {
	var all []int
	for i, w := range s {
		for ; w != 0; w &= w - 1 {
			all = append(all, i*64+bits.TrailingZeros64(w))
		}
	}
	return all
}

// conflicts holds, for each piece, those that must not hang beside it.
type conflicts []set

func newConflicts(apart [][]float64, allows func(float64) bool) conflicts {
	g := make(conflicts, len(apart))
	for i := range apart {
		g[i] = newSet(len(apart))
		for j, d := range apart[i] {
			if i != j && !allows(d) {
				g[i].add(j)
			}
		}
	}
	return g
}

// mutual finds many pieces that are each in conflict with all the others: so
// many groups there must be. It is the most there are where the budget of nodes
// suffices, and a true bound in any case.
//
// Source: branch and bound with a greedy colouring as the bound, after Tomita &
// Seki (2003).
func (g conflicts) mutual(budget int) []int {
	best := g.quickly()
	all := newSet(len(g))
	for i := range g {
		all.add(i)
	}
	var grow func(chosen []int, left set)
	grow = func(chosen []int, left set) {
		if budget--; budget < 0 {
			return
		}
		if len(chosen) > len(best) {
			best = append([]int(nil), chosen...)
		}
		order, classes := g.classes(left)
		for i := len(order) - 1; i >= 0; i-- {
			if len(chosen)+classes[i] <= len(best) {
				return
			}
			v := order[i]
			grow(append(chosen[:len(chosen):len(chosen)], v), left.both(g[v]))
			left.drop(v)
		}
	}
	grow(nil, all)
	return best
}

// starts is how many pieces quickly begins from.
const starts = 50

// quickly finds pieces in mutual conflict, beginning from each of those with
// most conflicts and adding the next of them that fits.
func (g conflicts) quickly() (best []int) {
	order, many := make([]int, len(g)), make([]int, len(g))
	for v := range g {
		order[v], many[v] = v, g[v].count()
	}
	slices.SortStableFunc(order, func(a, b int) int { return many[b] - many[a] })
	for _, first := range order[:min(starts, len(order))] {
		chosen, left := []int{first}, append(set(nil), g[first]...)
		for _, v := range order {
			if left.has(v) {
				chosen, left = append(chosen, v), left.both(g[v])
			}
		}
		if len(chosen) > len(best) {
			best = chosen
		}
	}
	return best
}

// classes puts pieces into classes without a conflict, greedily: of the first k
// classes at most k pieces are in mutual conflict.
func (g conflicts) classes(of set) (order, class []int) {
	left := append(set(nil), of...)
	for k := 1; left.count() > 0; k++ {
		free := append(set(nil), left...)
		for _, v := range free.each() {
			if !free.has(v) {
				continue
			}
			order, class = append(order, v), append(class, k)
			left.drop(v)
			for w := range free {
				free[w] &^= g[v][w]
			}
		}
	}
	return order, class
}
