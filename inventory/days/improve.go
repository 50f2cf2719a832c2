package days

import (
	"slices"
)

// improve builds again and again with some ranks changed.
func (s *search) improve() {
	d := dice(1)
	n := len(s.build.b.in)
	if n < 2 {
		return
	}
	for !s.perfect() && s.budget.spend(1) {
		how := s.how
		how.first, how.rank = false, slices.Clone(how.rank)
		for range 1 + d.roll(1+min(n/8, 12)) {
			a, b := d.roll(n), d.roll(n)
			if d.roll(3) == 0 {
				how.rank[a] = how.rank[b] - 1
			} else {
				how.rank[a], how.rank[b] = how.rank[b], how.rank[a]
			}
		}
		if d.roll(3) == 0 {
			how.in = s.swapped(how, &d)
		}
		if d.roll(8) == 0 {
			how.grain = []Minute{1, 60, 240, Day}[d.roll(4)]
		}
		if at, ok := s.build.build(how); ok && !s.worth.less(s.p.worth(at)) {
			s.best, s.worth, s.how = slices.Clone(at), s.p.worth(at), how
		}
	}
}

// swapped places two neighbours of one block the other way round, where neither
// waits for the other: a mordant and a brew want the same tub.
func (s *search) swapped(how way, d *dice) [][]int {
	k := d.roll(len(s.build.b.in))
	in := s.build.inside(k, how)
	if len(in) < 2 {
		return how.in
	}
	a := d.roll(len(in) - 1)
	for _, w := range s.p.Tasks[in[a+1]].After {
		if w.Task == in[a] {
			return how.in
		}
	}
	all := slices.Clone(how.in)
	if all == nil {
		all = make([][]int, len(s.build.b.in))
	}
	all[k] = slices.Clone(in)
	all[k][a], all[k][a+1] = in[a+1], in[a]
	return all
}
