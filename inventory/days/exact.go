package days

// exactTasks is the most that the branch and bound takes on, and exactShare of
// the budget what it may spend.
const (
	exactTasks = 14
	exactShare = 2
)

// prove searches all orders in which the stages of a small problem can begin and
// be lifted. Its plans are those in which no begin and no lift can be moved
// sooner by itself with the others left alone; the best is among them, in the
// order of their starts. Longest waits are left out, so what it proves for a
// problem that has them is a bound.
func (s *search) prove() {
	free := 0
	for _, t := range s.p.Tasks {
		if t.Fixed == nil {
			free++
		}
	}
	if free > exactTasks || s.perfect() || s.worth.clash > 0 {
		return
	}
	e := &exact{s: s, b: newBoard(s.p), tail: s.p.tails(s.order), after: s.p.followers(), roof: s.worth.span, left: s.budget.left / exactShare}
	e.b.bookFixed(s.order)
	e.stage = make([]int8, len(s.p.Tasks))
	for i, t := range s.p.Tasks {
		if t.Fixed != nil {
			e.stage[i] = ended
			e.end = max(e.end, e.b.at[i].End)
		} else {
			e.open++
		}
	}
	given := e.left
	whole := e.search(-Never)
	s.budget.spend(given - max(0, e.left))
	if whole && e.roof > s.bound.At {
		s.bound = Bound{e.roof, "every order was tried"}
	}
}

const (
	waiting int8 = iota
	standing
	ended
)

// exact is the state of the search. roof is the end that a better one must be
// below.
type exact struct {
	s     *search
	b     *board
	tail  []Minute
	after [][]int
	stage []int8
	open  int // tasks not ended
	end   Minute
	roof  Minute
	left  int
}

// search tries all that can come next, from a time on; false where the budget
// ended before it was through.
func (e *exact) search(now Minute) bool {
	if e.left--; e.left < 0 || e.left%64 == 0 && e.s.budget.stop != nil && e.s.budget.stop() {
		e.left = -1
		return false
	}
	if e.open == 0 {
		if e.end < e.roof {
			e.roof = e.end
			e.take()
		}
		return true
	}
	if e.hopeless(now) {
		return true
	}
	for _, i := range e.s.order {
		switch {
		case e.stage[i] == standing:
			if !e.lift(i, now) {
				return false
			}
		case e.stage[i] == waiting && e.mayBegin(i):
			if !e.begin(i, now) {
				return false
			}
		}
	}
	return true
}

// take keeps the plan if it keeps the longest waits too.
func (e *exact) take() {
	for i, t := range e.s.p.Tasks {
		p := e.b.at[i]
		if t.Fixed == nil && t.LongestSoak < Never && p.Lift-p.ready()-t.front() > t.LongestSoak {
			return
		}
		for _, a := range t.After {
			if a.Most < Never && p.Start-e.b.at[a.Task].End > a.Most {
				return
			}
		}
	}
	e.s.keep(e.b.at, e.s.how)
}

func (e *exact) mayBegin(i int) bool {
	for _, a := range e.s.p.Tasks[i].After {
		if e.stage[a.Task] != ended {
			return false
		}
	}
	return true
}

// hopeless says that some chain still open cannot end below the roof.
func (e *exact) hopeless(now Minute) bool {
	p := e.s.p
	head := make([]Minute, len(p.Tasks))
	for _, i := range e.s.order {
		t := &p.Tasks[i]
		switch e.stage[i] {
		case ended:
			head[i] = e.b.at[i].End
			continue
		case standing:
			at := e.b.at[i]
			head[i] = max(now, at.ready()+t.front()+t.Soak) + t.End
			if head[i]+e.tail[i]-t.least() >= e.roof {
				return true
			}
			continue
		}
		start := max(now, t.Release)
		for _, a := range t.After {
			start = max(start, head[a.Task]+a.Least)
		}
		if t.front() > 0 && p.Hours != nil {
			start = p.Hours.fit(start, t.front())
		}
		if start+e.tail[i] >= e.roof {
			return true
		}
		head[i] = start + t.least()
	}
	return false
}

func (e *exact) begin(i int, now Minute) bool {
	t := &e.s.p.Tasks[i]
	from := bounds{start: t.Release}
	for _, a := range t.After {
		from.start = max(from.start, e.b.at[a.Task].End+a.Least)
	}
	vessels := t.Vessels
	if len(vessels) == 0 {
		vessels = []int{-1}
	}
	for _, v := range vessels {
		p, ok := e.stand(t, v, from.start)
		if !ok || p.Start < now || p.Start+e.tail[i] >= e.roof {
			continue
		}
		if e.b.hands != nil && t.End > 0 {
			p.Lift, p.End = Never, Never
			e.b.book(i, p, false)
			e.stage[i] = standing
			whole := e.search(p.Start)
			e.b.unbook(i)
			e.stage[i] = waiting
			if !whole {
				return false
			}
			continue
		}
		if !e.finish(i, p) {
			return false
		}
	}
	return true
}

// stand is the soonest that a task can begin in a vessel, behind all that is in
// it.
func (e *exact) stand(t *Task, v int, from Minute) (Placed, bool) {
	clean, until := Minute(0), Never
	if v >= 0 {
		l := &e.b.lines[v]
		for k := range len(l.bookings) + 1 {
			if k < len(l.bookings) && !l.bookings[k].fixed {
				continue // behind this one at the soonest
			}
			if e.moved(l, k) {
				continue
			}
			last, free := l.last(k)
			if free >= Never {
				return Placed{}, false
			}
			clean, until = e.b.clean(t, last), l.until(k)
			if k < len(l.bookings) && e.s.p.cleanBetween(t.Shade, l.bookings[k].shade) > l.bookings[k].clean {
				continue
			}
			p, ok := e.at(t, v, max(from, free), clean)
			if ok && p.End <= until {
				return p, true
			}
		}
		return Placed{}, false
	}
	return e.at(t, v, from, 0)
}

// moved says that a use that the search placed stands at k or behind it.
func (e *exact) moved(l *line, k int) bool {
	for ; k < len(l.bookings); k++ {
		if !l.bookings[k].fixed {
			return true
		}
	}
	return false
}

// at is a start from a time on; the end is the soonest possible.
func (e *exact) at(t *Task, v int, s, clean Minute) (Placed, bool) {
	for {
		if s = e.b.begin(t, s, clean); s >= Never {
			return Placed{}, false
		}
		end := s + clean + t.least()
		if e.b.rack != nil && t.Rack > 0 {
			if again := e.b.rack.earliest(s, end-s, t.Rack); again > s {
				if again >= Never {
					return Placed{}, false
				}
				s = again
				continue
			}
		}
		return Placed{Start: s, Clean: clean, Lift: end - t.End, End: end, Vessel: v}, true
	}
}

// lift ends a standing task.
func (e *exact) lift(i int, now Minute) bool {
	t := &e.s.p.Tasks[i]
	open := e.b.at[i]
	lift := e.b.lift(t, open.ready()+t.front()+t.Soak)
	if lift < now || lift+t.End+e.tail[i]-t.least() >= e.roof {
		return true
	}
	e.b.unbook(i)
	p := open
	p.Lift, p.End = lift, lift+t.End
	fits := open.Vessel < 0 || p.End <= e.nextFixed(open)
	if e.b.rack != nil && t.Rack > 0 && e.b.rack.earliest(p.Start, p.End-p.Start, t.Rack) > p.Start {
		fits = false // what is pinned wants the rack before it is taken down
	}
	whole := !fits || e.finish(i, p)
	e.b.book(i, open, false)
	e.stage[i] = standing
	return whole
}

// nextFixed is when the next pinned use of the vessel begins.
func (e *exact) nextFixed(p Placed) Minute {
	for _, b := range e.b.lines[p.Vessel].bookings {
		if b.fixed && b.start >= p.Start {
			return b.start
		}
	}
	return Never
}

// finish books a task whole, searches on, and takes it off again.
func (e *exact) finish(i int, p Placed) bool {
	before := e.stage[i]
	e.b.book(i, p, false)
	e.stage[i] = ended
	e.open--
	end := e.end
	e.end = max(e.end, p.End)
	now := p.Start
	if before == standing {
		now = p.Lift
	}
	whole := e.search(now)
	e.b.unbook(i)
	e.stage[i], e.end = before, end
	e.open++
	return whole
}
