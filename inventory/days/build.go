package days

import "container/heap"

// way is how a plan is built: what goes first, and where.
type way struct {
	rank   []int64  // of each block: smaller goes first among those that can begin together
	grain  Minute   // what begins within the same grain begins together
	window int      // lots (or runs that share baths) in hand at once
	only   []int    // of each task: the vessel it must have, or -1; nil: any
	floor  []Minute // of each task: not before; nil: none
	first  bool     // there must be a plan, whatever the budget
	in     [][]int  // of each block: its tasks in another order; nil: as they come
}

// builder puts blocks on the board as time goes on.
type builder struct {
	p      *Problem
	b      blocks
	next   [][]int // blocks that wait for a block
	waits  []int   // blocks that a block waits for
	after  [][]int // tasks that wait for a task
	order  []int
	hang   groups
	low    [][]bounds // of the tasks of a block, as far as it was tried in this build
	budget *budget
}

func newBuilder(p *Problem, bud *budget) *builder {
	order, _ := p.order()
	w := &builder{p: p, b: p.blocks(order), after: p.followers(), order: order, budget: bud}
	w.next, w.waits = make([][]int, len(w.b.in)), make([]int, len(w.b.in))
	for i, t := range p.Tasks {
		for _, a := range t.After {
			if from, to := w.b.of[a.Task], w.b.of[i]; from != to && p.Tasks[a.Task].Fixed == nil && t.Fixed == nil {
				w.next[from] = append(w.next[from], to)
				w.waits[to]++
			}
		}
	}
	return w
}

// entry is a block that may be placed, with the time at which it was last seen to
// be able to begin.
type entry struct {
	block int
	at    Minute
	rank  int64
}

type queue struct {
	list  []entry
	grain Minute
}

func (q *queue) Len() int           { return len(q.list) }
func (q *queue) Less(i, j int) bool { return q.before(q.list[i], q.list[j]) }
func (q *queue) Swap(i, j int)      { q.list[i], q.list[j] = q.list[j], q.list[i] }
func (q *queue) Push(x any)         { q.list = append(q.list, x.(entry)) }
func (q *queue) Pop() any {
	n := len(q.list) - 1
	x := q.list[n]
	q.list = q.list[:n]
	return x
}

func (q *queue) before(a, b entry) bool {
	if x, y := floorDiv(a.at, q.grain), floorDiv(b.at, q.grain); x != y {
		return x < y
	}
	if a.rank != b.rank {
		return a.rank < b.rank
	}
	return a.block < b.block
}

func floorDiv(a, b Minute) Minute {
	if b <= 1 {
		return a
	}
	if a < 0 {
		return -((-a + b - 1) / b)
	}
	return a / b
}

// build places every task; ok is false where the budget ended, or a block found
// no place at all before the calendar ends.
func (w *builder) build(how way) ([]Placed, bool) {
	board := newBoard(w.p)
	board.bookFixed(w.order)
	w.low = make([][]bounds, len(w.b.in))
	waits := append([]int(nil), w.waits...)
	q := &queue{grain: how.grain}
	groups := w.groups(how.rank)
	left := make([]int, len(groups.in)) // blocks still to be placed, by group
	placed := 0
	hand := inHand{began: map[int]Minute{}}
	release := func() {
		for ; len(groups.order) > 0 && (len(hand.began) < how.window || q.Len() == 0); groups.order = groups.order[1:] {
			g := groups.order[0]
			left[g] = len(groups.in[g])
			floor := hand.floor()
			for _, k := range groups.in[g] {
				w.low[k] = make([]bounds, len(w.b.in[k]))
				for i := range w.low[k] {
					w.low[k][i].start = floor
				}
				if waits[k] == 0 {
					heap.Push(q, entry{k, floor, how.rank[k]})
				}
			}
			hand.began[g] = Never
		}
	}
	for release(); q.Len() > 0; release() {
		e := heap.Pop(q).(entry)
		if !w.budget.spend(len(w.b.in[e.block])) && !how.first {
			return nil, false
		}
		at, ok := w.place(board, e.block, how)
		if !ok {
			return nil, false
		}
		if e.at = max(e.at, at); q.Len() > 0 && q.before(q.list[0], e) {
			for _, i := range w.b.in[e.block] {
				if w.p.Tasks[i].Fixed == nil {
					board.unbook(i)
				}
			}
			heap.Push(q, e)
			continue
		}
		placed++
		g := groups.of[e.block]
		hand.began[g] = min(hand.began[g], at)
		if left[g]--; left[g] == 0 {
			delete(hand.began, g)
		}
		for _, k := range w.next[e.block] {
			if waits[k]--; waits[k] == 0 {
				heap.Push(q, entry{k, at, how.rank[k]})
			}
		}
	}
	return board.at, placed == len(w.b.in)
}

// inHand are the groups begun and not placed whole, with when each begins.
type inHand struct {
	began map[int]Minute
	first Minute
}

// floor is when the next group may begin: not before any that is in hand, so that
// nobody looks for room in weeks that are full. While there are few it is 0.
func (h *inHand) floor() Minute {
	first := Never
	for _, at := range h.began {
		first = min(first, at)
	}
	if first < Never {
		h.first = max(h.first, first)
	}
	return h.first
}

// groups are blocks that hang together: a lot from its scour to its look over, or
// a run that shares its baths. They are begun one after another, so that a season
// is not scoured in its first week, and none is weighed up before its time.
type groups struct {
	of    []int
	in    [][]int
	order []int // by the least rank in each
}

func (w *builder) groups(rank []int64) groups {
	if w.hang.of == nil {
		w.hang = w.hanging()
	}
	g := w.hang
	least := make([]int64, len(g.in))
	g.order = make([]int, len(g.in))
	for k, in := range g.in {
		g.order[k], least[k] = k, rank[in[0]]
		for _, b := range in {
			least[k] = min(least[k], rank[b])
		}
	}
	sortBy(g.order, func(k int) int64 { return least[k] })
	return g
}

func (w *builder) hanging() groups {
	g := groups{of: make([]int, len(w.next))}
	beside := make([][]int, len(w.next))
	for from, list := range w.next {
		g.of[from] = -1
		for _, to := range list {
			beside[from], beside[to] = append(beside[from], to), append(beside[to], from)
		}
	}
	for k := range g.of {
		if g.of[k] >= 0 {
			continue
		}
		n := len(g.in)
		in := []int{k}
		g.of[k] = n
		for j := 0; j < len(in); j++ {
			for _, b := range beside[in[j]] {
				if g.of[b] < 0 {
					g.of[b] = n
					in = append(in, b)
				}
			}
		}
		g.in = append(g.in, in)
	}
	return g
}

// tries of one block before it is given up: each moves a task later by as much
// as a longest wait asks.
const tries = 400

// place books a block as early as it goes and returns when it begins; its tasks
// are tied by longest waits, so one that would wait too long begins later, or
// soaks on.
func (w *builder) place(board *board, block int, how way) (Minute, bool) {
	in := w.inside(block, how)
	if len(in) == 1 && w.p.Tasks[in[0]].Fixed != nil {
		return board.at[in[0]].Start, true
	}
	low := w.low[block]
	w.look(board, in, low, how)
	for range tries {
		first, placed, ok := Never, 0, true
		for k, i := range in {
			p, found := board.find(i, w.from(board, i, low[k], how), w.vessel(i, how))
			if !found {
				ok = false
				break
			}
			board.book(i, p, false)
			low[k].start = p.Start // what is booked only grows: never sooner than this again
			first = min(first, p.ready())
			placed++
		}
		if !ok {
			w.unplace(board, in[:placed])
			return 0, false
		}
		if !w.tighten(board, in, low) {
			return first, true
		}
		w.unplace(board, in)
		w.budget.spend(len(in))
	}
	return 0, false
}

// inside lists a block's tasks in the order in which they are placed.
func (w *builder) inside(block int, how way) []int {
	if how.in != nil && how.in[block] != nil {
		return how.in[block]
	}
	return w.b.in[block]
}

// look raises the bounds of a block by the room in vessels that are all that a
// task may have: what goes before it by a longest wait need not be tried in the
// weeks before.
func (w *builder) look(board *board, in []int, low []bounds, how way) {
	if len(in) == 1 {
		return
	}
	for k := len(in) - 1; k >= 0; k-- {
		i := in[k]
		t := &w.p.Tasks[i]
		v := w.vessel(i, how)
		if v < 0 && len(t.Vessels) == 1 {
			v = t.Vessels[0]
		}
		if v >= 0 {
			low[k].start = max(low[k].start, board.lines[v].room())
		}
		for _, a := range t.After {
			for m, j := range in[:k] {
				if j == a.Task && a.Most < Never {
					before := &w.p.Tasks[j]
					low[m].end = max(low[m].end, low[k].start-a.Most)
					if before.LongestSoak < Never {
						low[m].start = max(low[m].start, low[m].end-before.front()-before.LongestSoak-before.End-max(w.p.Scrub, w.p.RinseOut))
					}
				}
			}
		}
	}
}

func (w *builder) unplace(board *board, tasks []int) {
	for _, i := range tasks {
		board.unbook(i)
	}
}

func (w *builder) vessel(i int, how way) int {
	if how.only == nil {
		return -1
	}
	return how.only[i]
}

// from is how early a task may begin: its release, and those before it.
func (w *builder) from(board *board, i int, low bounds, how way) bounds {
	t := &w.p.Tasks[i]
	low.start = max(low.start, t.Release)
	if how.floor != nil {
		low.start = max(low.start, how.floor[i])
	}
	for _, a := range t.After {
		if board.done[a.Task] {
			low.start = max(low.start, board.at[a.Task].End+a.Least)
		}
	}
	return low
}

// tighten raises the bounds of tasks whose followers in the block come too late
// for them, and says whether it raised any.
func (w *builder) tighten(board *board, in []int, low []bounds) bool {
	raised := false
	for k, i := range in {
		for _, a := range w.p.Tasks[i].After {
			if a.Most >= Never || w.b.of[a.Task] != w.b.of[in[k]] {
				continue
			}
			before := &w.p.Tasks[a.Task]
			late := board.at[i].Start - a.Most - board.at[a.Task].End
			if late <= 0 {
				continue
			}
			raised = true
			for m, j := range in {
				if j != a.Task {
					continue
				}
				low[m].end = board.at[j].End + late
				if before.LongestSoak < Never {
					stood := board.at[j].Lift - board.at[j].ready() - before.front()
					if spare := before.LongestSoak - stood; spare < late {
						low[m].start = board.at[j].Start + late - max(0, spare)
					}
				}
			}
		}
	}
	return raised
}
