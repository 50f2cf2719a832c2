package days

import "slices"

// LayRuns lays each run of a season into pots, count[k] of pots[k], so that the
// pots are through as soon as can be: a load takes its pot for a day, whatever
// is in it, so the largest pot must not be asked for all of them. Run by run it
// weighs up laying into all pots, or into none above one of them, and takes what
// keeps the busiest group of pots the least busy, then the fewest loads.
//
// Within a run each answer is that of Lay for the pots it was given; a set that
// fits none of all pots is Unfit. fault.Invalid as Lay.
func LayRuns(pots []Pot, count []int, runs [][]Set, limit Limit) ([]Loads, error) {
	sizes := sizesOf(pots)
	asked := make([]int, len(sizes)) // loads that need at least this size
	room := make([]int, len(sizes))
	for k, p := range pots {
		for s, size := range sizes {
			if p.Liquor.N >= size {
				room[s] += max(1, count[k])
			}
		}
	}
	all := make([]Loads, len(runs))
	for r, sets := range runs {
		var best Loads
		var bestAsked []int
		for _, size := range sizes {
			l, err := layBelow(pots, sets, size, limit)
			if err != nil {
				return nil, err
			}
			if bestAsked != nil && len(l.Unfit) > len(best.Unfit) {
				continue
			}
			next := slices.Clone(asked)
			for _, load := range l.Loads {
				for s := range sizes {
					if load.Liquor.N > 0 && pots[load.Pot].Liquor.N >= sizes[s] {
						next[s]++
					}
				}
			}
			if bestAsked == nil || busier(bestAsked, next, room) || !busier(next, bestAsked, room) && len(l.Loads) < len(best.Loads) {
				best, bestAsked = l, next
			}
		}
		all[r], asked = best, bestAsked
	}
	return all, nil
}

// sizesOf is each liquor that a pot may hold, the largest first.
func sizesOf(pots []Pot) []int64 {
	var sizes []int64
	for _, p := range pots {
		sizes = append(sizes, p.Liquor.N)
	}
	slices.Sort(sizes)
	sizes = slices.Compact(sizes)
	slices.Reverse(sizes)
	return sizes
}

// busier compares the busiest group of pots: loads over pots.
func busier(a, b, room []int) bool {
	worst := func(asked []int) (n, of int) {
		n, of = 0, 1
		for s := range asked {
			if asked[s]*of > n*room[s] {
				n, of = asked[s], room[s]
			}
		}
		return n, of
	}
	an, ao := worst(a)
	bn, bo := worst(b)
	return an*bo > bn*ao
}

// layBelow lays into the pots up to a size.
func layBelow(pots []Pot, sets []Set, size int64, limit Limit) (Loads, error) {
	var some []Pot
	var which []int
	for k, p := range pots {
		if p.Liquor.N <= size {
			some, which = append(some, p), append(which, k)
		}
	}
	l, err := Lay(some, sets, limit)
	for k := range l.Loads {
		l.Loads[k].Pot = which[l.Loads[k].Pot]
	}
	return l, err
}
