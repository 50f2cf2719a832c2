package days

// inHand are the groups begun and not placed whole, with when each begins.
type inHand struct {
	began map[int]Minute
	first Minute
}

// floor is when the next group may begin: not before any that is in hand, so that
// nobody looks for room in weeks that are full. While there are few it is 0.
func (h *inHand) floor() Minute {
	first := Never
	for _, at := range h.began {
		first = min(first, at)
	}
	if first < Never {
		h.first = max(h.first, first)
	}
	return h.first
}

// groups are blocks that hang together: a lot from its scour to its look over, or
// a run that shares its baths. They are begun one after another, so that a season
// is not scoured in its first week, and none is weighed up before its time.
type groups struct {
	of    []int
	in    [][]int
	order []int // by the least rank in each
}

func (w *builder) groups(rank []int64) groups {
	if w.hang.of == nil {
		w.hang = w.hanging()
	}
	g := w.hang
	least := make([]int64, len(g.in))
	g.order = make([]int, len(g.in))
	for k, in := range g.in {
		g.order[k], least[k] = k, rank[in[0]]
		for _, b := range in {
			least[k] = min(least[k], rank[b])
		}
	}
	sortBy(g.order, func(k int) int64 { return least[k] })
	return g
}

func (w *builder) hanging() groups {
	g := groups{of: make([]int, len(w.next))}
	beside := make([][]int, len(w.next))
	for from, list := range w.next {
		g.of[from] = -1
		for _, to := range list {
			beside[from], beside[to] = append(beside[from], to), append(beside[to], from)
		}
	}
	for k := range g.of {
		if g.of[k] >= 0 {
			continue
		}
		n := len(g.in)
		in := []int{k}
		g.of[k] = n
		for j := 0; j < len(in); j++ {
			for _, b := range beside[in[j]] {
				if g.of[b] < 0 {
					g.of[b] = n
					in = append(in, b)
				}
			}
		}
		g.in = append(g.in, in)
	}
	return g
}
