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
