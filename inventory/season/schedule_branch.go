package season

import "math"

// branch searches a window for a plan: it settles the order of one open pair
// at a time, deduces what follows, and steps back from contradictions.
type branch struct {
	*window
	weight []float64 // how often each step was where a contradiction showed, plus one
	guide  []int64   // starts of the best plan so far: its order is tried first
	nodes  int       // nodes left for this search
	budget *budget
}

// answer is what came of a search.
type answer uint8

const (
	gaveUp answer = iota // out of nodes
	noPlan               // proved: no plan ends by the horizon
	isPlan               // the earliest starts are a plan
)

// search goes on until all pairs are settled or every way is closed.
func (b *branch) search() answer {
	if b.nodes--; b.nodes < 0 || b.budget.spent() {
		return gaveUp
	}
	i, j := b.pick()
	if i == none {
		return isPlan
	}
	mark := len(b.trail)
	for _, pair := range [2][2]int{{i, j}, {j, i}} {
		b.settle(pair[0], pair[1])
		if b.deduce() {
			if a := b.search(); a != noPlan {
				return a
			}
		} else {
			b.weight[b.failed]++
		}
		b.undo(mark)
	}
	return noPlan
}

// pick chooses the open pair with the least room in proportion to the trouble
// its steps have made, in the order the guide has them (after Grimes and
// Hebrard, INFORMS Journal on Computing 27, 2015).
func (b *branch) pick() (i, j int) {
	i, j = none, none
	least := math.Inf(1)
	for m, q := range b.queue {
		for x, a := range q {
			row := b.before[m][x*len(q) : (x+1)*len(q)]
			for y := x + 1; y < len(q); y++ {
				if row[y] != 0 {
					continue
				}
				c := q[y]
				room := b.late[a] - b.early[a] - b.dur[a] + b.late[c] - b.early[c] - b.dur[c]
				if r := float64(room+1) / (b.weight[a] + b.weight[c]); r < least {
					least, i, j = r, a, c
				}
			}
		}
	}
	if i != none && b.guide[j] < b.guide[i] {
		i, j = j, i
	}
	return i, j
}
