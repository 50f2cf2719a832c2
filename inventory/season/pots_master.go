package season

import "math"

// master is a linear program: with which parts of patterns is what is left
// packed at the least capacity, when a pattern may be used in part? It has a
// row for each mass (at least so many sets) and a last one for the pots (at
// most so many). Costs are in units of the largest pot. It is solved by the
// revised simplex method with the inverse of the basis kept whole.
//
// Its figures are floats and guide the search only: every bound that is
// relied on is worked out again in whole numbers (see relax).
type master struct {
	*stock
	rows  []int       // the mass of each row but the last
	row   []int       // the row of each mass, or none
	basis []column    // one a row
	x     []float64   // how much of each is used
	inv   [][]float64 // inverse of the basis
	dual  []float64   // what one more set of a row's mass would cost
	enter []float64   // scratch: the entering column in terms of the basis
}

// column is one way to use the rows.
type column struct {
	kind    columnKind
	row     int     // of surplus
	pattern pattern // of patternPart
	cost    float64
}

type columnKind uint8

const (
	patternPart columnKind = iota
	surplus                // more sets of a mass than asked
	spare                  // pots not used
	extra                  // pots more than there may be, at a penalty
)

// penalty of one pot too many, in largest pots: enough to show that there is
// no packing, small enough to keep whole-number prices within 64 bits.
const penalty = 64

// newMaster starts from the simplest packing: each mass by itself.
func newMaster(s *stock, left []int, loads int) *master {
	m := &master{stock: s, row: make([]int, len(left))}
	for i, n := range left {
		m.row[i] = none
		if n > 0 {
			m.row[i] = len(m.rows)
			m.rows = append(m.rows, i)
		}
	}
	last := len(m.rows)
	m.basis, m.x = make([]column, last+1), make([]float64, last+1)
	m.dual, m.enter = make([]float64, last+1), make([]float64, last+1)
	m.inv = make([][]float64, last+1)
	for r := range m.inv {
		m.inv[r] = make([]float64, last+1)
	}
	var used float64
	for r, i := range m.rows {
		n := min(int64(left[i]), s.largest()/s.sizes[i])
		m.basis[r] = m.part(pattern{s.smallest(n * s.sizes[i]), []piece{{i, int(n)}}})
		m.inv[r][r] = 1 / float64(n)
		// A touch more than asked, different in each row, keeps the simplex
		// method from going round in circles.
		m.x[r] = (float64(left[i]) + 1e-9*float64(1+r*37%101)) / float64(n)
		used += m.x[r]
	}
	sign := 1.0
	m.basis[last] = column{kind: spare}
	if used > float64(loads) {
		sign, m.basis[last] = -1, column{kind: extra, cost: penalty}
	}
	for r := range m.rows {
		m.inv[last][r] = -sign * m.inv[r][r]
	}
	m.inv[last][last] = sign
	m.x[last] = sign * (float64(loads) - used)
	m.price()
	return m
}

func (m *master) part(p pattern) column {
	return column{kind: patternPart, pattern: p, cost: m.costs(p)}
}

func (m *master) costs(p pattern) float64 {
	return float64(m.pots[p.pot]) / float64(m.largest())
}

// price works out the duals.
func (m *master) price() {
	clear(m.dual)
	for r, c := range m.basis {
		if c.cost == 0 {
			continue
		}
		for k, v := range m.inv[r] {
			m.dual[k] += c.cost * v
		}
	}
}

// cost of the fractional packing at hand.
func (m *master) cost() float64 {
	var v float64
	for r, c := range m.basis {
		v += c.cost * m.x[r]
	}
	return v
}

// reduced is what using one of a pattern would add to the cost; below 0 it helps.
func (m *master) reduced(p pattern) float64 {
	v := m.costs(p) - m.dual[len(m.rows)]
	for _, c := range p.pieces {
		v -= m.dual[m.row[c.size]] * float64(c.n)
	}
	return v
}

// slack returns, of all columns that are no pattern, the one that helps most.
func (m *master) slack() (best column, reduced float64) {
	last := len(m.rows)
	for r, v := range m.dual[:last] {
		if v < reduced {
			best, reduced = column{kind: surplus, row: r}, v
		}
	}
	if v := -m.dual[last]; v < reduced {
		best, reduced = column{kind: spare}, v
	}
	if v := penalty + m.dual[last]; v < reduced {
		best, reduced = column{kind: extra, cost: penalty}, v
	}
	return best, reduced
}

// express writes a column in terms of the basis, into enter.
func (m *master) express(c column) {
	last := len(m.rows)
	for r, inv := range m.inv {
		switch c.kind {
		case surplus:
			m.enter[r] = -inv[c.row]
		case spare:
			m.enter[r] = inv[last]
		case extra:
			m.enter[r] = -inv[last]
		case patternPart:
			v := inv[last]
			for _, p := range c.pattern.pieces {
				v += inv[m.row[p.size]] * float64(p.n)
			}
			m.enter[r] = v
		}
	}
}

// pivot takes a column into the basis; false when the floats no longer let it.
func (m *master) pivot(c column) bool {
	m.express(c)
	out, step := none, math.Inf(1)
	for r, d := range m.enter {
		if d <= 1e-9 {
			continue
		}
		if t := m.x[r] / d; t < step-1e-12 || t < step+1e-12 && d > m.enter[out] {
			out, step = r, t
		}
	}
	if out == none {
		return false
	}
	step = max(step, 0)
	row := m.inv[out]
	for k := range row {
		row[k] /= m.enter[out]
	}
	for r, inv := range m.inv {
		f := m.enter[r]
		if r == out || f == 0 {
			continue
		}
		for k, v := range row {
			inv[k] -= f * v
		}
		m.x[r] -= f * step
	}
	m.x[out], m.basis[out] = step, c
	m.price()
	return true
}
