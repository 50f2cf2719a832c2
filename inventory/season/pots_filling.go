package season

// filling lists the ways to fill one pot around a given set that are worth a
// try. A pot is filled to the brim: what was left out would no longer go in.
// And it holds nothing that could be swapped for a larger set left out: the
// smaller ones would go where that one was (the dominance of Martello and
// Toth, Discrete Applied Mathematics 28, 1990).
type filling struct {
	*stock
	left  []int
	holds int64   // what the pot holds
	least int64   // a load below this is of no use
	below []int64 // mass left of all sets smaller than each
	n     []int   // the filling at hand
	tick  func() bool
	visit func(pattern) bool
}

// around lists the fillings with one set of the given mass, the largest left,
// and stops when visit or tick is false; then it is false too.
func (f *filling) around(first int) bool {
	k := len(f.sizes)
	f.n, f.below = make([]int, k), make([]int64, k+1)
	for i := k - 1; i >= first; i-- {
		f.below[i] = f.below[i+1] + int64(f.left[i])*f.sizes[i]
	}
	f.n[first] = 1
	f.below[first] -= f.sizes[first]
	const nothing = maxCapacity + 1
	return f.from(first, f.holds-f.sizes[first], nothing)
}

// from decides how many sets of mass i and smaller go into the room; omitted
// is the smallest mass of which a set was left out.
func (f *filling) from(i int, room, omitted int64) bool {
	if !f.tick() {
		return false
	}
	if r := max(0, room-f.below[i]); r >= omitted || f.holds-r < f.least {
		return true // even with all the rest in, too much room stays
	}
	if i == len(f.sizes) {
		return f.swappable(room) || f.visit(f.gather(f.n))
	}
	had := f.n[i]
	for n := min(f.left[i], had+int(room/f.sizes[i])); n >= had; n-- {
		f.n[i] = n
		o := omitted
		if n < f.left[i] {
			o = f.sizes[i]
		}
		if !f.from(i+1, room-int64(n-had)*f.sizes[i], o) {
			return false
		}
	}
	f.n[i] = had
	return true
}

// swappable says whether one set, or two, could make way for a larger one.
func (f *filling) swappable(room int64) bool {
	larger := func(than int, mass int64) bool {
		for j := than - 1; j >= 0 && f.sizes[j] <= mass+room; j-- {
			if f.sizes[j] >= mass && f.left[j] > f.n[j] {
				return true
			}
		}
		return false
	}
	for a, n := range f.n {
		if n == 0 {
			continue
		}
		if larger(a, f.sizes[a]) {
			return true
		}
		for b := a; b < len(f.n); b++ {
			if (b > a && f.n[b] > 0 || b == a && n > 1) && larger(a, f.sizes[a]+f.sizes[b]) {
				return true
			}
		}
	}
	return false
}
