package season

import (
	"cmp"
	"math"
	"slices"
)

// relax bounds a packing from below by letting patterns be used in part
// (Gilmore and Gomory, Operations Research 9, 1961). Patterns are found as
// they are needed and kept for later questions.
type relax struct {
	worth
	pool   []pattern
	scale  int64 // whole-number prices are capacities times this
	budget *budget
}

// used is a pattern and how much of it a fractional packing uses.
type used struct {
	pattern
	part float64
}

// maxCapacity keeps prices, with penalty and scale, within 64 bits.
const maxCapacity = 1 << 40

func newRelax(s *stock, b *budget) *relax {
	r := &relax{budget: b, scale: maxCapacity / s.largest()}
	r.worth = worth{stock: s, value: make([]int64, len(s.sizes))}
	for _, c := range s.pots {
		r.price = append(r.price, c*r.scale)
	}
	return r
}

// bound returns a capacity below which what is left cannot be packed in so
// many pots, and the fractional packing that guides the search. It stops
// early once the bound is above enough, or once it cannot become so.
func (r *relax) bound(left []int, loads int, enough int64) (lower int64, parts []used) {
	m := newMaster(r.stock, left, loads)
	var pool []pattern
	for _, p := range r.pool {
		if p.in(left) {
			pool = append(pool, p)
		}
	}
	lower = r.mass(left)
	target := float64(enough) / float64(r.largest()) * (1 + 1e-9)
	// The limit is far off; it is there because floats promise nothing.
	for pivots := 1000 + 100*len(m.rows); pivots > 0 && m.cost() > target && !r.budget.spent(); pivots-- {
		next, reduced := m.slack()
		consider := func(p pattern) {
			if v := m.reduced(p); v < reduced {
				next, reduced = m.part(p), v
			}
		}
		for _, p := range pool {
			consider(p)
		}
		if reduced > -1e-7 { // the patterns at hand are used up
			proved, fresh := r.exact(m, left, loads)
			if lower = max(lower, proved); lower > enough {
				break
			}
			r.pool, pool = append(r.pool, fresh...), append(pool, fresh...)
			for _, p := range fresh {
				consider(p)
			}
		}
		if reduced > -1e-9 || !m.pivot(next) {
			break
		}
	}
	return lower, m.parts()
}

// exact turns the duals into whole-number values. If no pot can gain more
// than g by them, then so many pots hold at least the value of all sets less
// g a pot: that is proved, however rough the duals. The contents that gain
// are patterns the master should know.
func (r *relax) exact(m *master, left []int, loads int) (lower int64, fresh []pattern) {
	unit := float64(r.largest()) * float64(r.scale)
	whole := func(dual float64) int64 { return int64(min(max(dual, 0), 2*penalty) * unit) }
	var sum int64
	clear(r.value)
	for k, i := range m.rows {
		r.value[i] = whole(m.dual[k])
		sum += r.value[i] * int64(left[i])
	}
	r.left = left
	gain, fresh, ok := r.best(whole(-m.dual[len(m.rows)]) + 1)
	if !ok || gain > math.MaxInt64/2/int64(loads) {
		return 0, fresh
	}
	sum -= gain * int64(loads)
	return (sum + r.scale - 1) / r.scale, fresh
}

// parts lists the patterns in use, the most used first.
func (m *master) parts() []used {
	var list []used
	for r, c := range m.basis {
		if c.kind == patternPart && m.x[r] > 1e-6 {
			list = append(list, used{c.pattern, m.x[r]})
		}
	}
	sortParts(list)
	return list
}

func sortParts(list []used) {
	slices.SortStableFunc(list, func(a, b used) int { return cmp.Compare(b.part, a.part) })
}
