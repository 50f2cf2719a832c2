package season

// shift takes the step that stands at one place of a machine's row and puts
// it at another place; those between move up by one.
type shift struct{ machine, from, to int }

func (s shift) back() shift { return shift{s.machine, s.to, s.from} }

// shift carries out the shift without timing it.
func (p *plan) shift(s shift) {
	r := p.row[s.machine]
	i := r[s.from]
	if s.from < s.to {
		copy(r[s.from:s.to], r[s.from+1:s.to+1])
	} else {
		copy(r[s.to+1:s.from+1], r[s.to:s.from])
	}
	r[s.to] = i
	p.number(s.machine, min(s.from, s.to), max(s.from, s.to))
}

// passed lists the steps that the shifted step jumps over.
func (p *plan) passed(s shift) []int {
	if s.from < s.to {
		return p.row[s.machine][s.from+1 : s.to+1]
	}
	return p.row[s.machine][s.to:s.from]
}

// fits says whether the shift surely leaves no circle: the conditions of
// Balas and Vazacopoulos (Management Science 44, 1998, propositions 2.2 and
// 2.3), made strict for steps of no length and for jobs that come back.
func (p *plan) fits(s shift) bool {
	r := p.row[s.machine]
	i, j := r[s.from], r[s.to]
	for _, k := range p.passed(s) {
		if p.job[k] == p.job[i] {
			return false
		}
	}
	if s.from < s.to {
		n := p.next[i]
		return n == none || p.rest(j) > p.rest(n) || p.rest(j) == p.rest(n) && p.dur[n] > 0
	}
	b := p.prev[i]
	return b == none || p.done(j) > p.done(b) || p.done(j) == p.done(b) && p.dur[b] > 0
}

// guess estimates the makespan after a shift: the longest path through a step
// that moved, with the times outside the moved stretch left as they are.
func (p *plan) guess(s shift, heads []int64) int64 {
	r := p.row[s.machine]
	lo, hi := min(s.from, s.to), max(s.from, s.to)
	// moved is the step that will stand at place k.
	moved := func(k int) int {
		switch {
		case k == s.to:
			return r[s.from]
		case s.from < s.to:
			return r[k+1]
		}
		return r[k-1]
	}
	var t int64
	if lo > 0 {
		t = p.done(r[lo-1])
	}
	for k := lo; k <= hi; k++ {
		i := moved(k)
		heads[k] = max(t, p.done(p.prev[i]))
		t = heads[k] + p.dur[i]
	}
	t = 0
	if hi+1 < len(r) {
		t = p.rest(r[hi+1])
	}
	var longest int64
	for k := hi; k >= lo; k-- {
		i := moved(k)
		t = max(t, p.rest(p.next[i])) + p.dur[i]
		longest = max(longest, heads[k]+t)
	}
	return longest
}

// shifts lists the moves that can shorten the plan along one critical path,
// given from start to end. A path can only get shorter when, in one of its
// blocks (steps in a row on one machine), some step goes before the first or
// behind the last; at the very start and the very end of the path one of the
// two is of no use. (Neighbourhood N6 of Balas and Vazacopoulos.)
func (p *plan) shifts(path []int, list []shift) []shift {
	add := func(m, from, to int) {
		if s := (shift{m, from, to}); from != to && p.fits(s) {
			list = append(list, s)
		}
	}
	for a, b := 0, 0; a < len(path); a = b {
		for b = a + 1; b < len(path) && p.ahead(path[b]) == path[b-1]; b++ {
		}
		m, lo, hi := p.machine[path[a]], p.place[path[a]], p.place[path[b-1]]
		if b < len(path) {
			for k := lo; k < hi; k++ {
				add(m, k, hi) // behind the last
			}
			for k := lo + 1; k < hi-1; k++ {
				add(m, hi, k) // the last into the block
			}
		}
		if a > 0 {
			for k := lo + 1; k <= hi; k++ {
				add(m, k, lo) // before the first
			}
			for k := lo + 2; k < hi; k++ {
				add(m, lo, k) // the first into the block
			}
		}
	}
	return list
}
