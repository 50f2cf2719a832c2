package season

import (
	"math"
	"slices"
)

// view is one machine's steps laid out for a deduction, in the order of their
// opening. Seen forward a step opens at its earliest start and shuts at its
// latest end; seen backward time is negated and the two change places, so
// that one piece of reasoning serves both ends.
type view struct {
	steps  []int
	opens  []int64
	shuts  []int64
	length []int64
	gains  []int64 // the later opening that is deduced
	reach  []int64 // scratch of the edge finder
	before int8    // what order says of a step that comes first in this view
}

// look holds a window's two views of each machine.
type look struct{ forward, backward []*view }

func newLook(s *shop) look {
	var l look
	for _, q := range s.queue {
		for _, side := range []struct {
			to     *[]*view
			before int8
		}{{&l.forward, 1}, {&l.backward, -1}} {
			n := len(q)
			*side.to = append(*side.to, &view{
				steps: slices.Clone(q), opens: make([]int64, n), shuts: make([]int64, n), length: make([]int64, n),
				gains: make([]int64, n), reach: make([]int64, n), before: side.before,
			})
		}
	}
	return l
}

// refresh reads the window again. The steps are nearly in order from last
// time, so sorting by insertion is the quick way.
func (v *view) refresh(w *window) {
	opens, shuts, sign := w.early, w.late, int64(v.before)
	if sign < 0 {
		opens, shuts = w.late, w.early
	}
	for a, i := range v.steps {
		at := sign * opens[i]
		for ; a > 0 && v.opens[a-1] > at; a-- {
			v.steps[a], v.opens[a] = v.steps[a-1], v.opens[a-1]
		}
		v.steps[a], v.opens[a] = i, at
	}
	for a, i := range v.steps {
		v.shuts[a], v.length[a], v.gains[a] = sign*shuts[i], w.dur[i], v.opens[a]
	}
}

// apply tells the window what was gained.
func (v *view) apply(w *window) bool {
	for a, i := range v.steps {
		if v.gains[a] == v.opens[a] {
			continue
		}
		if v.before > 0 && !w.raise(i, v.gains[a]) || v.before < 0 && !w.lower(i, -v.gains[a]) {
			return false
		}
	}
	return true
}

// deduce draws every conclusion it knows how to draw; false on a contradiction.
func (w *window) deduce() bool {
	for w.stale > 0 {
		for m := range w.dirty {
			if !w.dirty[m] {
				continue
			}
			w.dirty[m] = false
			w.stale--
			if !w.pairs(m) {
				return false
			}
			for _, v := range [2]*view{w.forward[m], w.backward[m]} {
				if v.refresh(w); !v.queueUp(w) || !v.apply(w) {
					return false
				}
			}
			for _, v := range [2]*view{w.forward[m], w.backward[m]} {
				if v.refresh(w); !v.edges(w) || !v.apply(w) {
					return false
				}
			}
		}
	}
	return true
}

// pairs settles each open pair of a machine of which only one order fits.
func (w *window) pairs(m int) bool {
	q := w.queue[m]
	for a, i := range q {
		open := w.before[m][a*len(q) : (a+1)*len(q)]
		for b := a + 1; b < len(q); b++ {
			if open[b] != 0 {
				continue
			}
			j, room := q[b], w.dur[i]+w.dur[q[b]]
			first, second := w.late[j]-w.early[i] >= room, w.late[i]-w.early[j] >= room
			switch {
			case !first && !second:
				w.failed = i
				return false
			case !first:
				w.settle(j, i)
			case !second:
				w.settle(i, j)
			}
		}
	}
	return true
}

const never = math.MinInt64 / 4

// queueUp opens each step only when all that are known to come before it can
// be through, one after the other.
func (v *view) queueUp(w *window) bool {
	if len(v.steps) < 2 {
		return true
	}
	m := w.machine[v.steps[0]]
	for a, j := range v.steps {
		k := len(v.steps)
		row := w.before[m][w.rank[j]*k : (w.rank[j]+1)*k]
		through := int64(never)
		for b, i := range v.steps {
			if row[w.rank[i]] == -v.before {
				through = max(through, v.opens[b]) + v.length[b]
			}
		}
		v.gains[a] = max(v.opens[a], through)
	}
	return true
}

// edges is the edge finder of Carlier and Pinson (Management Science 35,
// 1989) in the quadratic form of Baptiste, Le Pape and Nuijten
// (Constraint-Based Scheduling, 2001). For every shutting time it takes the
// steps that must be through by then. If they cannot, in any order and even
// with interruptions (Jackson's preemptive bound), there is no plan. If they
// cannot once another step is put among them, that one comes after them all.
func (v *view) edges(w *window) bool {
	k := len(v.steps)
	opens, shuts, length, reach, gains := v.opens[:k], v.shuts[:k], v.length[:k], v.reach[:k], v.gains[:k]
	for last, end := range shuts {
		// reach: when those of the group that open no sooner than a are through.
		work, through := int64(0), int64(never)
		for a := k - 1; a >= 0; a-- {
			if shuts[a] <= end {
				work += length[a]
				through = max(through, opens[a]+work)
			}
			reach[a] = through
		}
		if through > end {
			w.failed = v.steps[last]
			return false
		}
		all := through
		through = never
		for a := range opens {
			if shuts[a] <= end {
				through = max(through, opens[a]+work)
				work -= length[a]
				continue
			}
			if work > 0 && opens[a]+work+length[a] > end { // it opens before the rest of the group
				gains[a] = max(gains[a], reach[a])
			}
			if through+length[a] > end { // some of the group open before it
				gains[a] = max(gains[a], all)
			}
		}
	}
	return true
}
