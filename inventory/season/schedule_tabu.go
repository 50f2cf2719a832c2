package season

import (
	"math"
	"slices"
)

// The tabu search's settings, tried on the classic instances of Fisher and
// Thompson, Lawrence, Adams, Balas and Zawack, and Applegate and Cook.
const (
	tabuStall = 3000 // moves without a gain before it starts from a kept plan again
	tabuKept  = 8    // good plans kept to start from
	tabuKick  = 5    // random moves at the least when starting again
)

// tabu improves a plan by small moves. It always takes the best move it has,
// even a bad one, and for some rounds may not undo it (tabu search after
// Nowicki and Smutnicki, Management Science 42, 1996).
type tabu struct {
	*plan
	best  [][]int   // the shortest plan so far
	span  int64     // its makespan
	until [][]int32 // of each machine of k steps, k×k: the round up to which the row's step may not go before the column's
	round int32
	dice  dice
	kept  []keptPlan
	path  []int   // scratch
	moves []shift // scratch
	heads []int64 // scratch
}

type keptPlan struct {
	rows [][]int
	span int64
}

func newTabu(s *shop) *tabu {
	t := &tabu{plan: newPlan(s), heads: make([]int64, len(s.dur)), dice: 1}
	for _, q := range s.queue {
		t.until = append(t.until, make([]int32, len(q)*len(q)))
	}
	t.dispatch()
	t.best, t.span = copyRows(t.row), t.makespan
	return t
}

func copyRows(rows [][]int) [][]int {
	out := make([][]int, len(rows))
	for m, r := range rows {
		out[m] = slices.Clone(r)
	}
	return out
}

// record keeps the plan at hand if it is the shortest so far.
func (t *tabu) record() {
	if t.makespan < t.span {
		t.best, t.span = copyRows(t.row), t.makespan
	}
}

// search makes up to so many moves, or until the plan is as short as goal.
func (t *tabu) search(moves int, goal int64, budget *budget) {
	local, rows, idle := t.makespan, copyRows(t.row), 0
	for ; moves > 0 && t.span > goal && !budget.spent(); moves-- {
		if !t.move() || idle > tabuStall {
			t.keep(keptPlan{rows, local})
			t.restart()
			local, rows, idle = t.makespan, copyRows(t.row), 0
			continue
		}
		idle++
		if t.makespan < local {
			local, idle = t.makespan, 0
			for m, r := range t.row {
				copy(rows[m], r)
			}
			t.record()
		}
	}
}

// move makes the best move that is not forbidden, or that beats all plans so
// far; when every move is forbidden, any. It is false when there is no move.
func (t *tabu) move() bool {
	t.round++
	t.critical()
	t.moves = t.shifts(t.path, t.moves[:0])
	if len(t.moves) == 0 {
		return false
	}
	choice, ties, low := t.moves[t.dice.roll(len(t.moves))], 0, int64(math.MaxInt64)
	for _, s := range t.moves {
		g := t.guess(s, t.heads)
		if g > low || g >= t.span && t.banned(s) {
			continue
		}
		if g < low {
			low, ties = g, 0
		}
		if ties++; t.dice.roll(ties) == 0 {
			choice = s
		}
	}
	t.carry(choice)
	return true
}

// ban is the round up to which step i may not be put before step j.
func (t *tabu) ban(i, j int) *int32 {
	m := t.machine[i]
	return &t.until[m][t.rank[i]*len(t.queue[m])+t.rank[j]]
}

// carry makes one move, times it and forbids its undoing for a while.
func (t *tabu) carry(s shift) {
	tenure := 10 + len(t.queue[s.machine])/len(t.queue)
	until := t.round + int32(tenure+t.dice.roll(tenure/2+1))
	i := t.row[s.machine][s.from]
	for _, k := range t.passed(s) {
		if s.from < s.to {
			*t.ban(i, k) = until
		} else {
			*t.ban(k, i) = until
		}
	}
	t.shift(s)
	if !t.time() { // fits promises that this never happens
		t.shift(s.back())
		t.time()
	}
}

// banned says whether a move would put a step back before another too soon.
func (t *tabu) banned(s shift) bool {
	i := t.row[s.machine][s.from]
	for _, k := range t.passed(s) {
		if s.from < s.to && *t.ban(k, i) > t.round || s.from > s.to && *t.ban(i, k) > t.round {
			return true
		}
	}
	return false
}

// critical picks one longest path, from its first step to its last.
func (t *tabu) critical() {
	t.path = t.path[:0]
	i, ties := none, 0
	for k := range t.dur {
		if t.done(k) == t.makespan {
			if ties++; t.dice.roll(ties) == 0 {
				i = k
			}
		}
	}
	for i != none {
		t.path = append(t.path, i)
		a, b := t.prev[i], t.ahead(i)
		if t.done(a) != t.head[i] {
			a = none
		}
		if t.done(b) != t.head[i] {
			b = none
		}
		if a == none || b != none && t.dice.roll(2) == 0 {
			a = b
		}
		i = a
	}
	slices.Reverse(t.path)
}

// keep remembers a plan that the search got stuck in; the worst makes room.
func (t *tabu) keep(k keptPlan) {
	t.kept = append(t.kept, k)
	if len(t.kept) > tabuKept {
		worst := 0
		for i := range t.kept {
			if t.kept[i].span > t.kept[worst].span {
				worst = i
			}
		}
		t.kept = slices.Delete(t.kept, worst, worst+1)
	}
}

// restart takes one of the kept plans and shakes it.
func (t *tabu) restart() {
	t.adopt(t.kept[t.dice.roll(len(t.kept))].rows)
	for _, u := range t.until {
		clear(u)
	}
	for n := tabuKick + t.dice.roll(tabuKick+len(t.dur)/5); n > 0; n-- {
		t.critical()
		if t.moves = t.shifts(t.path, t.moves[:0]); len(t.moves) == 0 {
			return
		}
		t.carry(t.moves[t.dice.roll(len(t.moves))])
	}
	t.record()
}

// dice is the generator splitmix64 (Steele, Lea and Flood 2014), always
// started alike: the same question gets the same answer.
type dice uint64

// roll returns one of 0 … n−1.
func (d *dice) roll(n int) int {
	*d += 0x9e3779b97f4a7c15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}
