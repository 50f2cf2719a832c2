package season

import (
	"encoding/binary"
	"slices"
)

// stock is a packing question in its barest form: how many sets there are of
// each mass, and what the pots hold, in the largest unit that divides all.
type stock struct {
	sizes []int64 // masses, falling, all different
	count []int   // sets of each mass
	pots  []int64 // what the pots hold, rising, all different
	unit  int64   // in µg
}

// pattern is what goes into one pot.
type pattern struct {
	pot    int     // in stock.pots, the smallest that takes it
	pieces []piece // of falling mass
}

// piece is n sets of one mass.
type piece struct{ size, n int }

func newStock(pots []Pot, sets []Set) *stock {
	s := &stock{}
	for _, p := range pots {
		s.pots = append(s.pots, p.Mass)
		s.unit = common(s.unit, p.Mass)
	}
	for _, set := range sets {
		s.sizes = append(s.sizes, set.Mass)
		s.unit = common(s.unit, set.Mass)
	}
	for k := range s.pots {
		s.pots[k] /= s.unit
	}
	slices.Sort(s.pots)
	s.pots = slices.Compact(s.pots)
	slices.Sort(s.sizes)
	slices.Reverse(s.sizes)
	for k := range s.sizes {
		if s.sizes[k] /= s.unit; k == 0 || s.sizes[k] != s.sizes[k-1] {
			s.count = append(s.count, 0)
		}
		s.count[len(s.count)-1]++
	}
	s.sizes = slices.Compact(s.sizes)
	return s
}

// common is the greatest common divisor; 0 divides nothing.
func common(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// largest is what the largest pot holds.
func (s *stock) largest() int64 { return s.pots[len(s.pots)-1] }

// onlyLargest is the same question with no pot but the largest.
func (s *stock) onlyLargest() *stock {
	return &stock{sizes: s.sizes, count: s.count, pots: s.pots[len(s.pots)-1:]}
}

// smallest is the smallest pot that takes a load.
func (s *stock) smallest(load int64) int {
	k, _ := slices.BinarySearch(s.pots, load)
	return k
}

// mass of what is left.
func (s *stock) mass(left []int) int64 {
	var sum int64
	for i, n := range left {
		sum += int64(n) * s.sizes[i]
	}
	return sum
}

func (s *stock) load(p pattern) int64 {
	var sum int64
	for _, c := range p.pieces {
		sum += int64(c.n) * s.sizes[c.size]
	}
	return sum
}

// capacity is what the pots of all loads hold together.
func (s *stock) capacity(loads []pattern) int64 {
	var sum int64
	for _, p := range loads {
		sum += s.pots[p.pot]
	}
	return sum
}

// gather makes a pattern of so many sets of each mass.
func (s *stock) gather(n []int) pattern {
	p := pattern{pot: s.smallest(s.mass(n))}
	for i, c := range n {
		if c > 0 {
			p.pieces = append(p.pieces, piece{i, c})
		}
	}
	return p
}

// bestFit is the first packing, all in largest pots: the sets in falling mass,
// each to where it leaves the least room.
func (s *stock) bestFit() []pattern {
	var loads [][]int
	var room []int64
	for i, c := range s.count {
		for ; c > 0; c-- {
			to := none
			for k, r := range room {
				if r >= s.sizes[i] && (to == none || r < room[to]) {
					to = k
				}
			}
			if to == none {
				to = len(room)
				room = append(room, s.largest())
				loads = append(loads, make([]int, len(s.sizes)))
			}
			room[to] -= s.sizes[i]
			loads[to][i]++
		}
	}
	var packed []pattern
	for _, n := range loads {
		packed = append(packed, s.gather(n))
	}
	return packed
}

// in says whether what is left holds all of the pattern.
func (p pattern) in(left []int) bool {
	for _, c := range p.pieces {
		if c.n > left[c.size] {
			return false
		}
	}
	return true
}

// take removes the pattern from what is left, sign 1, or puts it back, −1.
func (p pattern) take(left []int, sign int) {
	for _, c := range p.pieces {
		left[c.size] -= sign * c.n
	}
}

// key is what is left as a map key.
func key(left []int) string {
	b := make([]byte, 0, 2*len(left))
	for _, n := range left {
		b = binary.AppendUvarint(b, uint64(n))
	}
	return string(b)
}
