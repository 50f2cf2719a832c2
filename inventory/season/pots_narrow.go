package season

// What the first round of a search may cost; later rounds cost ever more.
const (
	firstFillings = 2000 // nodes without a guide
	firstGuided   = 20   // nodes with the fractional packing as guide
)

// fewestLoads packs with the largest pot alone: no other can save a load.
func fewestLoads(s *stock, b *budget) ([]pattern, bool) {
	one := s.onlyLargest()
	pot := one.largest()
	loads, proved := newPacker(one, b).narrow(one.bestFit(), manyOf(pot), func(capacity int64) int { return int(capacity / pot) })
	for k := range loads {
		loads[k].pot = s.smallest(s.load(loads[k]))
	}
	return loads, proved
}

// leastCapacity packs into as many loads in pots as small as can be.
func leastCapacity(s *stock, loads []pattern, b *budget) ([]pattern, bool) {
	if len(s.pots) == 1 {
		return loads, true
	}
	n := len(loads)
	return newPacker(s, b).narrow(loads, sumsOf(s.pots, n), func(int64) int { return n })
}

// narrow looks for packings of less and less capacity, and raises what is
// proved to be needed, until the two meet or the budget is used up. Only
// goals are capacities that pots can have together; loads says how many pots
// a goal allows.
func (p *packer) narrow(best []pattern, goals sums, loads func(capacity int64) int) ([]pattern, bool) {
	high := p.capacity(best)
	low := p.tighten(high, goals, loads)
	for effort := 1; low < high && !p.budget.over; effort++ {
		for _, guided := range [2]bool{false, true} {
			nodes := firstFillings * effort
			if guided {
				nodes = firstGuided*effort + 2*len(best)
			}
			p.guided, p.shaken = guided, effort > 1
			try := func(goal int64) answer {
				a := p.try(space{loads(goal), goal}, nodes)
				if a == isPlan {
					best, high = p.loads, p.capacity(p.loads)
				}
				return a
			}
			for low < high && try(low) == noPlan {
				low = goals.up(low + 1)
			}
			for goal := goals.below(high); goal > low; goal = goals.below(high) {
				a := try(goal)
				if a == noPlan {
					low = high
				}
				if a != isPlan {
					break
				}
			}
		}
	}
	return best, low >= high
}

// tighten finds the least goal that the fractional packing does not refute.
func (p *packer) tighten(high int64, goals sums, loads func(capacity int64) int) int64 {
	low := goals.up(p.mass(p.count))
	for low < high {
		middle := goals.below(low + (high-low)/2 + 1)
		if lower, _ := p.relax.bound(p.count, loads(middle), middle); lower > middle {
			low = goals.up(middle + 1)
		} else {
			high = middle
		}
	}
	return low
}
