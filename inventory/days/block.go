package days

// blocks are tasks that must be placed together, since a longest wait ties them:
// what is lifted hot must find its rinse tub free. of[i] is the block of task i;
// in[k] its tasks, each behind what it waits for.
type blocks struct {
	of []int
	in [][]int
}

func (p *Problem) blocks(order []int) blocks {
	root := make([]int, len(p.Tasks))
	for i := range root {
		root[i] = i
	}
	var find func(int) int
	find = func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for i, t := range p.Tasks {
		for _, w := range t.After {
			if w.Most < Never && t.Fixed == nil && p.Tasks[w.Task].Fixed == nil {
				root[find(i)] = find(w.Task)
			}
		}
	}
	for p.knot(order, find, root) {
	}
	b := blocks{of: make([]int, len(p.Tasks))}
	number := map[int]int{}
	for _, i := range order {
		r := find(i)
		k, seen := number[r]
		if !seen {
			k = len(b.in)
			number[r], b.in = k, append(b.in, nil)
		}
		b.of[i], b.in[k] = k, append(b.in[k], i)
	}
	return b
}

// knot joins blocks that wait for each other in a ring, and says whether it
// found any.
func (p *Problem) knot(order []int, find func(int) int, root []int) bool {
	next := map[int][]int{}
	waits := map[int]int{}
	for _, i := range order {
		waits[find(i)] += 0
		for _, w := range p.Tasks[i].After {
			if a, b := find(w.Task), find(i); a != b {
				next[a] = append(next[a], b)
				waits[b]++
			}
		}
	}
	var free []int
	for _, i := range order {
		if r := find(i); r == i && waits[r] == 0 {
			free = append(free, r)
		}
	}
	for k := 0; k < len(free); k++ {
		for _, r := range next[free[k]] {
			if waits[r]--; waits[r] == 0 {
				free = append(free, r)
			}
		}
	}
	if len(free) == len(waits) {
		return false
	}
	tied := map[int]bool{} // in a ring, or behind one
	for r, n := range waits {
		if n > 0 {
			tied[r] = true
		}
	}
	p.cutTails(tied, next)
	first := -1
	for _, i := range order {
		if r := find(i); tied[r] && r != first {
			if first < 0 {
				first = r
				continue
			}
			root[r] = first
		}
	}
	return first >= 0
}

// cutTails takes out those behind a ring that lead back into none.
func (p *Problem) cutTails(tied map[int]bool, next map[int][]int) {
	for again := true; again; {
		again = false
		for r := range tied {
			leads := false
			for _, n := range next[r] {
				leads = leads || tied[n]
			}
			if !leads {
				delete(tied, r)
				again = true
			}
		}
	}
}
