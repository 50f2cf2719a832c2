package trace

import "slices"

// Above is a look-up of what parcels are made of, at any depth, for many lots at
// once.
type Above struct {
	parents map[int64][]int64
	known   map[int64][]int64
	given   map[int64][]int64 // by lot; no blanks
}

// Ancestry makes the look-up of a history. The books' makings have no cycle (law
// 4); were there one, each parcel of it is met once.
func (h History) Ancestry() *Above {
	a := &Above{parents: map[int64][]int64{}, known: map[int64][]int64{}, given: map[int64][]int64{}}
	for _, m := range h.Makings {
		a.parents[m.Child] = append(a.parents[m.Child], m.Parent)
	}
	for _, g := range h.Given {
		if !g.Blanks {
			a.given[g.Lot] = append(a.given[g.Lot], g.Parcel)
		}
	}
	return a
}

// Parcel is a parcel and all that was made into it, by id.
func (a *Above) Parcel(id int64) []int64 {
	if all, is := a.known[id]; is {
		return all
	}
	seen := map[int64]bool{id: true}
	for open := []int64{id}; len(open) > 0; {
		next := open[len(open)-1]
		open = open[:len(open)-1]
		for _, p := range a.parents[next] {
			if !seen[p] {
				seen[p] = true
				open = append(open, p)
			}
		}
	}
	a.known[id] = idsOf(seen)
	return a.known[id]
}

// Lot is every parcel above what a lot got from its baths, by id; its blanks are
// each garment's own.
func (a *Above) Lot(id int64) []int64 {
	seen := map[int64]bool{}
	for _, p := range a.given[id] {
		for _, above := range a.Parcel(p) {
			seen[above] = true
		}
	}
	return idsOf(seen)
}

func idsOf(seen map[int64]bool) []int64 {
	all := make([]int64, 0, len(seen))
	for id := range seen {
		all = append(all, id)
	}
	slices.Sort(all)
	return all
}
