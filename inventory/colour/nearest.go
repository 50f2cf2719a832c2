package colour

import "math"

// Neighbour is one colour found near another: where it stood in the list given
// to NewNearest, counted from 0, and its CIEDE2000 from the colour asked for.
type Neighbour struct {
	Index      int
	Difference float64
}

// Nearest finds the nearest of many colours by CIEDE2000. It never changes once
// made, so that any number of goroutines may ask it at once. A million colours
// take about 32 MB and half a second to take up.
type Nearest struct {
	tree tree
}

// NewNearest takes colours up, all under one illuminant and observer. What Check
// refuses is no colour and is never found. The list is not kept.
func NewNearest(labs []Lab) *Nearest {
	return &Nearest{grow(labs)}
}

// Len is how many colours can be found.
func (n *Nearest) Len() int { return len(n.tree.labs) }

// Find returns the k colours nearest to q, the nearest first; of two that are
// equally far the one with the lower index comes first. Only colours for whose
// index keep says true count; a nil keep keeps all. The answer is exact: that of
// comparing q with every colour. It holds fewer than k where fewer are kept, and
// none where Check refuses q.
//
// Whole boxes of colours are passed over, by a bound that none of them can fall
// below (see facing), so that most questions compare some dozens of a million.
// They take longer the farther q is from all of the colours, and where keep
// leaves few.
func (n *Nearest) Find(q Lab, k int, keep func(i int) bool) []Neighbour {
	k = min(k, n.Len())
	if k < 1 || q.Check() != nil {
		return nil
	}
	s := search{tree: &n.tree, from: ask(q), keep: keep, best: shortlist{heap: make(heap[found], 0, k), wanted: k}}
	s.run()
	return s.best.inOrder()
}

// search is one question on its way through the tree.
type search struct {
	*tree
	from asked
	keep func(i int) bool
	best shortlist
	open heap[branch]
}

// branch is a node still to be looked into and the bound of its cell.
type branch struct {
	floor float64
	node  int
}

func (b branch) above(c branch) bool { return b.floor < c.floor }

// run looks into the cell with the least bound, time and again, until what is
// left lies farther than all that is wanted.
func (s *search) run() {
	s.open = append(make(heap[branch], 0, 64), branch{})
	for len(s.open) > 0 && s.open[0].floor <= s.best.reach() {
		node := s.open.pop().node
		if leaf := node - (s.leaves - 1); leaf >= 0 {
			s.compare(leaf)
			continue
		}
		reach := s.best.reach()
		for child := 2*node + 1; child <= 2*node+2; child++ {
			if floor := s.from.floor(&s.cells[child], reach); floor <= reach {
				s.open.push(branch{floor, child})
			}
		}
	}
}

// compare looks at each colour of a leaf.
func (s *search) compare(leaf int) {
	sieve := s.from.sieve(&s.cells[s.leaves-1+leaf])
	first, end := s.span(leaf)
	reach := s.best.reach()
	for i, c := range s.labs[first:end] {
		if sieve.floor(c) > reach {
			continue
		}
		index := int(s.index[first+i])
		if s.keep == nil || s.keep(index) {
			s.best.offer(found{index, CIEDE2000(s.from.lab, c)})
			reach = s.best.reach()
		}
	}
}

// found is a neighbour while others may still take its place.
type found Neighbour

// above puts the farther first, and of equals the higher index.
func (n found) above(m found) bool {
	if n.Difference != m.Difference {
		return n.Difference > m.Difference
	}
	return n.Index > m.Index
}

// shortlist is the best found so far, the worst of them first.
type shortlist struct {
	heap   heap[found]
	wanted int
}

// slack is how much farther than the worst of the shortlist a bound must lie to
// be heeded, in CIEDE2000 and as a share of it. The rounding of the bounds, which
// square chromas of up to some hundreds, is below a hundredth of it.
const slack = 1e-4

// reach is the square of the distance beyond which nothing is wanted.
func (s *shortlist) reach() float64 {
	if len(s.heap) < s.wanted {
		return math.Inf(1)
	}
	d := s.heap[0].Difference*(1+slack) + slack
	return d * d
}

// offer takes a colour onto the list if it is among the best so far.
func (s *shortlist) offer(n found) {
	if len(s.heap) < s.wanted {
		s.heap.push(n)
	} else if s.heap[0].above(n) {
		s.heap[0] = n
		s.heap.settle()
	}
}

// inOrder empties the list, the nearest first.
func (s *shortlist) inOrder() []Neighbour {
	all := make([]Neighbour, len(s.heap))
	for i := len(all) - 1; i >= 0; i-- {
		all[i] = Neighbour(s.heap.pop())
	}
	return all
}
