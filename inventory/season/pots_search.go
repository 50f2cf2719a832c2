package season

// packer searches for a packing in so many pots of so much capacity together:
// it fills a pot around the largest set left, and then the next.
type packer struct {
	*stock
	relax  *relax
	budget *budget
	left   []int
	loads  []pattern
	failed map[string]space // what is left and surely does not go into the space
	dice   dice

	nodes  int  // nodes left for this search
	guided bool // by the fractional packing, which costs time at every node
	shaken bool // the guide's order is shaken, to look elsewhere this time
}

// space is what may still be used.
type space struct {
	loads    int
	capacity int64
}

// maxFailed bounds the memory of what failed.
const maxFailed = 1 << 18

func newPacker(s *stock, b *budget) *packer {
	return &packer{stock: s, relax: newRelax(s, b), budget: b, failed: map[string]space{}, dice: 1}
}

// try looks for a packing in the space and leaves it in loads.
func (p *packer) try(s space, nodes int) answer {
	p.left, p.loads, p.nodes = append(p.left[:0], p.count...), nil, nodes
	return p.search(s)
}

func (p *packer) search(s space) answer {
	if !p.tick() {
		return gaveUp
	}
	first := p.firstLeft()
	if first == none {
		return isPlan
	}
	mass := p.mass(p.left)
	if mass > s.capacity || mass > int64(s.loads)*p.largest() {
		return noPlan
	}
	k := key(p.left)
	if f, known := p.failed[k]; known && s.loads <= f.loads && s.capacity <= f.capacity {
		return noPlan
	}
	a := p.branch(first, mass, s)
	if a == noPlan && len(p.failed) < maxFailed {
		p.failed[k] = s
	}
	return a
}

// tick counts a node; false when the search must end.
func (p *packer) tick() bool {
	p.nodes--
	return p.nodes >= 0 && !p.budget.spent()
}

func (p *packer) firstLeft() int {
	for i, n := range p.left {
		if n > 0 {
			return i
		}
	}
	return none
}

// branch tries every filling around the first set left, those of the
// fractional packing before all others.
func (p *packer) branch(first int, mass int64, s space) answer {
	if p.guided {
		lower, parts := p.relax.bound(p.left, s.loads, s.capacity)
		if lower > s.capacity {
			return noPlan
		}
		for _, u := range p.shake(parts) {
			if u.pieces[0].size != first {
				continue
			}
			if a := p.descend(p.topUp(u.pattern), s); a != noPlan {
				return a
			}
		}
	}
	for k, holds := range p.pots {
		if holds > s.capacity {
			break
		}
		// The pot is the smallest that takes its load; no more room stays empty
		// than there is to spare, in all pots and in this one.
		least := max(holds-(s.capacity-mass), mass-int64(s.loads-1)*p.largest())
		if k > 0 {
			least = max(least, p.pots[k-1]+1)
		}
		if holds < p.sizes[first] {
			continue
		}
		result := gaveUp
		f := filling{stock: p.stock, left: p.left, holds: holds, least: least, tick: p.walk(), visit: func(q pattern) bool {
			result = p.descend(q, s)
			return result == noPlan
		}}
		if !f.around(first) {
			return result
		}
	}
	return noPlan
}

// walk counts a node for every so many steps of listing fillings.
func (p *packer) walk() func() bool {
	steps := 0
	return func() bool {
		steps++
		return steps%1000 != 0 || p.tick()
	}
}

func (p *packer) shake(parts []used) []used {
	if p.shaken {
		for i := range parts {
			parts[i].part *= 0.2 + float64(p.dice.roll(100))/100
		}
		sortParts(parts)
	}
	return parts
}

// descend fills one pot and searches on.
func (p *packer) descend(q pattern, s space) answer {
	holds := p.pots[q.pot]
	if holds > s.capacity {
		return noPlan
	}
	q.take(p.left, 1)
	p.loads = append(p.loads, q)
	a := p.search(space{s.loads - 1, s.capacity - holds})
	if a != isPlan {
		q.take(p.left, -1)
		p.loads = p.loads[:len(p.loads)-1]
	}
	return a
}

// topUp adds what still goes into the pattern's pot, the largest first.
func (p *packer) topUp(q pattern) pattern {
	n := make([]int, len(p.sizes))
	for _, c := range q.pieces {
		n[c.size] = c.n
	}
	room := p.pots[q.pot] - p.load(q)
	for i, l := range p.left {
		if more := min(int64(l-n[i]), room/p.sizes[i]); more > 0 {
			n[i] += int(more)
			room -= more * p.sizes[i]
		}
	}
	return p.gather(n)
}
