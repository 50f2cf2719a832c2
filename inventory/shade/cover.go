package shade

// covering is the search for the fewest groups: the fewest colours in which no
// two pieces in conflict are the same.
type covering struct {
	g      conflicts
	budget int     // nodes left
	bound  int     // so many groups there must be
	group  []int   // of each piece; -1 where it has none yet
	taken  [][]int // taken[v][k]: how many of group k are in conflict with v
	closed []int   // how many groups are closed to v
	best   []int
	fewest int
}

// cover looks for fewer groups than there are, and tells whether the best are
// proved to be the fewest: there are as many pieces in mutual conflict, or all
// else was tried. Deterministic; it ends when the budget of nodes is spent.
//
// Source: branch and bound on the piece with the most groups closed to it,
// after Brélaz, Commun. ACM 22 (1979) 251–256.
func cover(g conflicts, start [][]int, mutual []int, budget int) (groups [][]int, proved bool) {
	n := len(g)
	s := &covering{g: g, budget: budget, bound: len(mutual), fewest: len(start), group: make([]int, n), taken: make([][]int, n), closed: make([]int, n)}
	for v := range s.group {
		s.group[v], s.taken[v] = -1, make([]int, len(start))
	}
	if s.fewest > s.bound {
		for k, v := range mutual { // each has a group of its own, in any case
			s.put(v, k)
		}
		s.search(len(mutual), len(mutual))
	}
	proved = s.fewest == s.bound || s.budget > 0
	if s.best == nil {
		return start, proved
	}
	groups = make([][]int, s.fewest)
	for v, k := range s.best {
		groups[k] = append(groups[k], v)
	}
	return groups, proved
}

func (s *covering) search(done, used int) {
	if s.fewest <= s.bound || used >= s.fewest || s.budget <= 0 {
		return
	}
	if done == len(s.g) {
		s.fewest, s.best = used, append(s.best[:0], s.group...)
		return
	}
	s.budget--
	v := s.tightest()
	for k := 0; k <= used && k < s.fewest-1; k++ {
		if s.taken[v][k] > 0 {
			continue
		}
		s.put(v, k)
		s.search(done+1, max(used, k+1))
		s.back(v)
	}
}

// tightest is the piece without a group to which most groups are closed; of
// equals, the one with the most conflicts, then the first.
func (s *covering) tightest() int {
	best, most := -1, -1
	for v, k := range s.group {
		if k >= 0 || best >= 0 && s.closed[v] < s.closed[best] {
			continue
		}
		c := s.g[v].count()
		if best < 0 || s.closed[v] > s.closed[best] || c > most {
			best, most = v, c
		}
	}
	return best
}

func (s *covering) put(v, k int) {
	s.group[v] = k
	for _, w := range s.g[v].each() {
		if s.taken[w][k]++; s.taken[w][k] == 1 {
			s.closed[w]++
		}
	}
}

func (s *covering) back(v int) {
	k := s.group[v]
	s.group[v] = -1
	for _, w := range s.g[v].each() {
		if s.taken[w][k]--; s.taken[w][k] == 0 {
			s.closed[w]--
		}
	}
}
