package season

import (
	"cmp"
	"slices"
)

// plan is one order of the steps on every machine, with the times that follow
// when each step starts as early as that order allows.
type plan struct {
	*shop
	row      [][]int // the steps of each machine, in the order they are done
	place    []int   // where in its row a step stands
	head     []int64 // start of each step
	tail     []int64 // longest time from the end of a step to the end of all
	makespan int64
	waits    []int8 // scratch: how many neighbours a step still waits for
	sorted   []int  // scratch: steps, each after all that it waits for
}

func newPlan(s *shop) *plan {
	n := len(s.dur)
	p := &plan{
		shop: s, place: make([]int, n), head: make([]int64, n), tail: make([]int64, n),
		waits: make([]int8, n), sorted: make([]int, 0, n),
	}
	for _, q := range s.queue {
		p.row = append(p.row, slices.Clone(q))
	}
	return p
}

// adopt copies the order of given rows and times it.
func (p *plan) adopt(rows [][]int) {
	for m, r := range rows {
		copy(p.row[m], r)
		p.number(m, 0, len(r)-1)
	}
	p.time()
}

// follow takes the order of given starts and times it.
func (p *plan) follow(starts []int64) {
	for m, r := range p.row {
		slices.SortFunc(r, func(a, b int) int {
			// A step of no length that starts together with another one goes first;
			// of two such in one job, the earlier one.
			return cmp.Or(cmp.Compare(starts[a], starts[b]), cmp.Compare(p.dur[a], p.dur[b]), cmp.Compare(a, b))
		})
		p.number(m, 0, len(r)-1)
	}
	p.time()
}

func (p *plan) number(m, from, to int) {
	for k := from; k <= to; k++ {
		p.place[p.row[m][k]] = k
	}
}

// ahead is the step before i on its machine, or none.
func (p *plan) ahead(i int) int {
	if k := p.place[i]; k > 0 {
		return p.row[p.machine[i]][k-1]
	}
	return none
}

// behind is the step after i on its machine, or none.
func (p *plan) behind(i int) int {
	if r := p.row[p.machine[i]]; p.place[i]+1 < len(r) {
		return r[p.place[i]+1]
	}
	return none
}

// done is the time at which step i ends; 0 for none.
func (p *plan) done(i int) int64 {
	if i == none {
		return 0
	}
	return p.head[i] + p.dur[i]
}

// rest is the longest time from the start of step i to the end of all; 0 for none.
func (p *plan) rest(i int) int64 {
	if i == none {
		return 0
	}
	return p.dur[i] + p.tail[i]
}

// time works out heads, tails and makespan. It is false when the order goes
// in a circle; then the times mean nothing.
func (p *plan) time() bool {
	if !p.sort() {
		return false
	}
	p.makespan = 0
	for _, i := range p.sorted {
		p.head[i] = max(p.done(p.prev[i]), p.done(p.ahead(i)))
		p.makespan = max(p.makespan, p.done(i))
	}
	for k := len(p.sorted) - 1; k >= 0; k-- {
		i := p.sorted[k]
		p.tail[i] = max(p.rest(p.next[i]), p.rest(p.behind(i)))
	}
	return true
}

// sort lists the steps so that each stands after all that it waits for.
func (p *plan) sort() bool {
	p.sorted = p.sorted[:0]
	for i := range p.dur {
		p.waits[i] = 0
		if p.prev[i] != none {
			p.waits[i]++
		}
		if p.place[i] > 0 {
			p.waits[i]++
		}
		if p.waits[i] == 0 {
			p.sorted = append(p.sorted, i)
		}
	}
	for k := 0; k < len(p.sorted); k++ {
		i := p.sorted[k]
		for _, n := range [2]int{p.next[i], p.behind(i)} {
			if n == none {
				continue
			}
			if p.waits[n]--; p.waits[n] == 0 {
				p.sorted = append(p.sorted, n)
			}
		}
	}
	return len(p.sorted) == len(p.dur)
}
