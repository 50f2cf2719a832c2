package season

import (
	"cmp"
	"slices"
)

// worth asks what one pot can gain at most: each set has a value, each pot a
// price, and the gain is the value of what goes in less the price of the pot.
type worth struct {
	*stock
	left   []int   // sets there are
	value  []int64 // of a set of each mass, >= 0
	price  []int64 // of each pot; a larger one is not cheaper
	states []laden
	front  []int32 // states of rising load and value, none of them worse than another
	merged []int32 // scratch
}

// laden is a pot partly filled: the state it grew from by one set of a mass.
type laden struct {
	load, value int64
	from        int32
	size        int32
}

// maxLaden bounds the memory of one question: 24 bytes each.
const maxLaden = 2_000_000

// best returns a gain that no pot exceeds, floor or more, and for each pot
// that gains more than floor the contents that gain the most. It is false when
// the question is too large to answer. (A knapsack solved by lists of states
// that none is better than, after Nemhauser and Ullmann, Management Science
// 15, 1969.)
func (w *worth) best(floor int64) (gain int64, contents []pattern, ok bool) {
	w.states = append(w.states[:0], laden{from: none})
	w.front = append(w.front[:0], 0)
	gain = floor
	for _, i := range w.byDensity() {
		for n := min(int64(w.left[i]), w.largest()/w.sizes[i]); n > 0 && w.grow(i, &gain); n-- {
			if len(w.states) > maxLaden {
				return 0, nil, false
			}
		}
	}
	most := make([]int32, len(w.pots))
	for _, f := range w.front[1:] { // rising value: the last of each pot is its best
		s := w.states[f]
		if k := w.smallest(s.load); s.value-w.price[k] > floor {
			most[k] = f
		}
	}
	for _, f := range most {
		if f != 0 {
			contents = append(contents, w.unload(f))
		}
	}
	return gain, contents, true
}

func (w *worth) density(i int) float64 { return float64(w.value[i]) / float64(w.sizes[i]) }

// byDensity lists the masses that are worth something, the densest first.
func (w *worth) byDensity() []int {
	var order []int
	for i, n := range w.left {
		if n > 0 && w.value[i] > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(w.density(b), w.density(a)) })
	return order
}

// grow merges the front with what becomes of it when one more set of mass i
// goes in, and raises gain; false when nothing new was worth keeping.
func (w *worth) grow(i int, gain *int64) bool {
	old, out, a, before := w.front, w.merged[:0], 0, len(w.states)
	highest := int64(-1)
	keep := func(f int32) {
		if s := w.states[f]; s.value > highest && w.promises(s, i, *gain) {
			highest = s.value
			out = append(out, f)
		}
	}
	for _, f := range old {
		s := w.states[f]
		s = laden{load: s.load + w.sizes[i], value: s.value + w.value[i], from: f, size: int32(i)}
		if s.load > w.largest() {
			break
		}
		for ; a < len(old) && (w.states[old[a]].load < s.load || w.states[old[a]].load == s.load && w.states[old[a]].value >= s.value); a++ {
			keep(old[a])
		}
		*gain = max(*gain, s.value-w.price[w.smallest(s.load)])
		if s.value > highest && w.promises(s, i, *gain) {
			w.states = append(w.states, s)
			keep(int32(len(w.states) - 1))
		}
	}
	for ; a < len(old); a++ {
		keep(old[a])
	}
	w.front, w.merged = out, old
	return len(w.states) > before
}

// promises says whether a pot so laden could still gain as much as gain, with
// the rest of its room filled as densely as by mass i.
func (w *worth) promises(s laden, i int, gain int64) bool {
	if s.load == 0 {
		return true // the empty pot stays at the front of the list
	}
	d := w.density(i) * (1 + 1e-12) // outward, against the rounding of floats
	for k := len(w.pots) - 1; k >= 0 && w.pots[k] >= s.load; k-- {
		if float64(s.value-w.price[k])+float64(w.pots[k]-s.load)*d+1 >= float64(gain) {
			return true
		}
	}
	return false
}

// unload lists what went into a state.
func (w *worth) unload(f int32) pattern {
	n := make([]int, len(w.sizes))
	for ; w.states[f].from != none; f = w.states[f].from {
		n[w.states[f].size]++
	}
	return w.gather(n)
}
