package season

import "slices"

// dispatch lays a first plan by the rule of Giffler and Thompson (Operations
// Research 8, 1960): of the steps whose jobs have come to them, find the one
// that could end first; on its machine, of all that could start before that
// end, do the one with the most work left in its job.
func (p *plan) dispatch() {
	_, tail := p.alone()
	var front []int // the step each unfinished job has come to
	for i := range p.dur {
		if p.prev[i] == none {
			front = append(front, i)
		}
	}
	idle := make([]int64, len(p.row)) // when each machine is free again
	fill := make([]int, len(p.row))   // how much of each row is laid
	start := func(i int) int64 { return max(p.done(p.prev[i]), idle[p.machine[i]]) }
	work := func(i int) int64 { return p.dur[i] + tail[i] }
	for len(front) > 0 {
		soonest := front[0]
		for _, i := range front {
			if start(i)+p.dur[i] < start(soonest)+p.dur[soonest] {
				soonest = i
			}
		}
		m, end := p.machine[soonest], start(soonest)+p.dur[soonest]
		best := none
		for k, i := range front {
			if (i == soonest || p.machine[i] == m && start(i) < end) && (best == none || work(i) > work(front[best])) {
				best = k
			}
		}
		i := front[best]
		p.head[i] = start(i)
		idle[m] = p.done(i)
		p.row[m][fill[m]] = i
		fill[m]++
		if front[best] = p.next[i]; front[best] == none {
			front = slices.Delete(front, best, best+1)
		}
	}
	for m, r := range p.row {
		p.number(m, 0, len(r)-1)
	}
	p.time()
}
