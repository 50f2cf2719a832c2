package season

// window holds what is known of a plan that must end by a given time: the
// earliest start and the latest end of each step, and for each two steps of a
// machine which one goes first, once that is settled. A trail of all changes
// lets a search step back.
type window struct {
	*shop
	early  []int64  // earliest start of each step
	late   []int64  // latest end of each step
	before [][]int8 // of each machine of k steps, k×k: 1 when the row's step goes before the column's, −1 after, 0 open
	trail  []change
	dirty  []bool // machines of which something changed
	stale  int    // how many are dirty
	failed int    // the step at which the last contradiction showed
	look          // scratch of the deductions
}

// change is one entry of the trail: early or late of a step with its former
// value, or a settled pair.
type change struct {
	what changed
	a, b int
	was  int64
}

type changed uint8

const (
	earlyRaised changed = iota
	lateLowered
	pairSettled
)

func newWindow(s *shop, horizon int64) *window {
	w := &window{shop: s, dirty: make([]bool, len(s.queue)), look: newLook(s)}
	for _, q := range s.queue {
		w.before = append(w.before, make([]int8, len(q)*len(q)))
	}
	w.early, w.late = s.alone()
	for i, tail := range w.late {
		w.late[i] = horizon - tail
	}
	return w
}

// open deduces all that follows from the horizon and the order inside the
// jobs; false when no plan can end by then.
func (w *window) open() bool {
	for i := range w.dur {
		if w.early[i]+w.dur[i] > w.late[i] {
			return false
		}
	}
	for m, q := range w.queue {
		w.touch(m)
		for a, i := range q { // queues list a job's steps in its order
			for _, j := range q[a+1:] {
				if w.job[i] == w.job[j] {
					w.settle(i, j)
				}
			}
		}
	}
	return w.deduce()
}

func (w *window) touch(m int) {
	if !w.dirty[m] {
		w.dirty[m] = true
		w.stale++
	}
}

// write notes the order of i and j, both on one machine: 1 when i goes first,
// −1 when j does, 0 when that is open again.
func (w *window) write(i, j int, v int8) {
	m := w.machine[i]
	k := len(w.queue[m])
	w.before[m][w.rank[i]*k+w.rank[j]] = v
	w.before[m][w.rank[j]*k+w.rank[i]] = -v
}

// settle puts i before j. What follows from it is left to deduce.
func (w *window) settle(i, j int) {
	w.write(i, j, 1)
	w.trail = append(w.trail, change{what: pairSettled, a: i, b: j})
	w.touch(w.machine[i])
}

// raise lets i start at t at the earliest, and moves what follows in its job;
// false when something would end too late.
func (w *window) raise(i int, t int64) bool {
	for ; i != none && t > w.early[i]; i = w.next[i] {
		if t+w.dur[i] > w.late[i] {
			w.failed = i
			return false
		}
		w.trail = append(w.trail, change{what: earlyRaised, a: i, was: w.early[i]})
		w.early[i] = t
		w.touch(w.machine[i])
		t += w.dur[i]
	}
	return true
}

// lower lets i end at t at the latest, and moves what precedes in its job;
// false when something would have to start too early.
func (w *window) lower(i int, t int64) bool {
	for ; i != none && t < w.late[i]; i = w.prev[i] {
		if t-w.dur[i] < w.early[i] {
			w.failed = i
			return false
		}
		w.trail = append(w.trail, change{what: lateLowered, a: i, was: w.late[i]})
		w.late[i] = t
		w.touch(w.machine[i])
		t -= w.dur[i]
	}
	return true
}

// undo takes back every change after the first mark ones.
func (w *window) undo(mark int) {
	for k := len(w.trail) - 1; k >= mark; k-- {
		switch c := w.trail[k]; c.what {
		case earlyRaised:
			w.early[c.a] = c.was
		case lateLowered:
			w.late[c.a] = c.was
		case pairSettled:
			w.write(c.a, c.b, 0)
		}
	}
	w.trail = w.trail[:mark]
	clear(w.dirty)
	w.stale = 0
}
