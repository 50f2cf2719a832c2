package days

import "slices"

// pile is a load being filled; its pot is the smallest that takes it.
type pile struct {
	fibre, liquor int64
	sets          []int
}

// both is the branch and bound over mass and liquor.
type both struct {
	l      *laying
	order  []int // largest first
	piles  []pile
	best   []pile
	loads  int   // of the best
	volume int64 // of the best
	least  int
	budget *budget
}

func (l *laying) byBoth(limit Limit) Loads {
	b := &both{l: l, order: slices.Clone(l.in), loads: len(l.in) + 1, budget: limit.budget()}
	sortBy(b.order, func(i int) int64 { return -l.sets[i].Liquor().N })
	b.least = l.least(l.in)
	whole := b.search(0)
	if b.best == nil { // the limit came before the first laying: each set by itself
		for _, i := range l.in {
			b.best = append(b.best, pile{l.sets[i].Fibre.N, l.sets[i].Liquor().N, []int{i}})
		}
	}
	for _, p := range b.best {
		slices.Sort(p.sets)
		pot, _ := l.smallest(p)
		l.add(pot, p.sets)
	}
	l.out.Optimal = whole
	if l.out.Fewest = min(b.least, len(b.best)); whole {
		l.out.Fewest = len(b.best)
	}
	return l.out
}

// smallest is the pot of least volume that takes a pile.
func (l *laying) smallest(p pile) (pot int, ok bool) {
	pot = -1
	for k, c := range l.pots {
		if l.fits(c, p.fibre, p.liquor) && (pot < 0 || c.Liquor.N < l.pots[pot].Liquor.N) {
			pot = k
		}
	}
	return pot, pot >= 0
}

// volume is of the smallest pots for the piles so far, which only grow.
func (b *both) volumeNow() (sum int64) {
	for _, p := range b.piles {
		pot, _ := b.l.smallest(p)
		sum += b.l.pots[pot].Liquor.N
	}
	return sum
}

// search lays the sets from place k on into the piles or a new one; false where
// the budget ended.
func (b *both) search(k int) bool {
	if !b.budget.spend(1) {
		return false
	}
	v := b.volumeNow()
	if len(b.piles) > b.loads || len(b.piles) == b.loads && v >= b.volume {
		return true
	}
	if k == len(b.order) {
		b.loads, b.volume = len(b.piles), v
		b.best = nil
		for _, p := range b.piles {
			b.best = append(b.best, pile{p.fibre, p.liquor, slices.Clone(p.sets)})
		}
		return true
	}
	i := b.order[k]
	s := b.l.sets[i]
	type sum struct{ fibre, liquor int64 }
	var seen []sum
	for n := range b.piles {
		was := b.piles[n]
		if slices.Contains(seen, sum{was.fibre, was.liquor}) {
			continue
		}
		seen = append(seen, sum{was.fibre, was.liquor})
		next := pile{was.fibre + s.Fibre.N, was.liquor + s.Liquor().N, append(was.sets, i)}
		if _, ok := b.l.smallest(next); !ok {
			continue
		}
		b.piles[n] = next
		whole := b.search(k + 1)
		b.piles[n] = was
		if !whole {
			return false
		}
	}
	b.piles = append(b.piles, pile{s.Fibre.N, s.Liquor().N, []int{i}})
	whole := b.search(k + 1)
	b.piles = b.piles[:len(b.piles)-1]
	return whole
}
