package season

import "slices"

// sums are the capacities that a number of pots can have together.
type sums struct {
	list []int64 // rising; or, where there are too many,
	base int64   // all base + n·step
	step int64
}

// maxSums is where listing the sums stops being worth it, and maxAdded how many
// additions it may take to get there: some two seconds, in which nobody asks
// whether the search is to stop, and for hundreds of kinds of pots would be
// gigabytes.
const (
	maxSums  = 50_000
	maxAdded = 20_000_000
)

// sumsOf lists the capacities of exactly n pots.
func sumsOf(pots []int64, n int) sums {
	s := sums{base: pots[0] * int64(n)}
	for _, c := range pots[1:] {
		s.step = common(s.step, c-pots[0])
	}
	s.list = []int64{0}
	for added := 0; n > 0; n-- {
		if added += len(s.list) * len(pots); added > maxAdded {
			s.list = nil
			break
		}
		next := make([]int64, 0, len(s.list)*len(pots))
		for _, c := range pots {
			for _, v := range s.list {
				next = append(next, v+c)
			}
		}
		slices.Sort(next)
		if s.list = slices.Compact(next); len(s.list) > maxSums {
			s.list = nil
			break
		}
	}
	return s
}

// manyOf are the capacities of any number of pots of one kind.
func manyOf(pot int64) sums { return sums{step: pot} }

// up is the least sum that is v or more.
func (s sums) up(v int64) int64 {
	if s.list != nil {
		k, _ := slices.BinarySearch(s.list, v)
		return s.list[min(k, len(s.list)-1)]
	}
	if s.step == 0 {
		return s.base
	}
	return s.base + max(0, (v-s.base+s.step-1)/s.step)*s.step
}

// below is the greatest sum that is less than v, or v−1 where there is none.
func (s sums) below(v int64) int64 {
	if s.list != nil {
		k, _ := slices.BinarySearch(s.list, v)
		if k == 0 {
			return v - 1
		}
		return s.list[k-1]
	}
	if s.step == 0 || v <= s.base {
		return v - 1
	}
	return s.base + (v-1-s.base)/s.step*s.step
}
