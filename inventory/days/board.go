package days

// board is the studio's time as it is being booked.
type board struct {
	p       *Problem
	hands   *level // nil where there are no working hours
	burners *level // nil where they are not counted
	rack    *level
	lines   []line
	done    []bool
	at      []Placed
}

func newBoard(p *Problem) *board {
	b := &board{p: p, done: make([]bool, len(p.Tasks)), at: make([]Placed, len(p.Tasks))}
	if p.Hours != nil {
		b.hands = handsOf(p.Hours)
	}
	if p.Burners > 0 {
		b.burners = flatLevel(int64(p.Burners))
	}
	if p.Rack > 0 {
		b.rack = flatLevel(p.Rack)
	}
	for _, v := range p.Vessels {
		b.lines = append(b.lines, line{vessel: v, shortest: Never})
	}
	for i := range p.Tasks {
		for _, v := range p.Tasks[i].Vessels {
			b.lines[v].shortest = min(b.lines[v].shortest, p.Tasks[i].least())
		}
	}
	return b
}

// begin is the earliest start, not before t, at which hands, house, burner are
// there for a clean-down and the front of a task.
func (b *board) begin(t *Task, at, clean Minute) Minute {
	attended, front := t.Begin, t.front()
	if b.hands == nil || attended+front == 0 {
		clean = 0 // nobody is counted; nothing is cleaned by nobody
		if b.hands == nil && t.Burner && b.burners != nil {
			return b.burners.earliest(at, front, 1)
		}
		return at
	}
	for s := at; ; {
		from := s
		if s = b.p.Hours.fit(s, clean+front); s >= Never {
			return Never
		}
		if s = b.hands.earliest(s, clean+attended, t.hands()); s >= Never {
			return Never
		}
		if t.Burner && b.burners != nil {
			s = b.burners.earliest(s, clean+front, 1)
		}
		if s == from {
			return s
		}
	}
}

// lift is the earliest time, not before at, at which hands can end it.
func (b *board) lift(t *Task, at Minute) Minute {
	if b.hands == nil || t.End == 0 {
		return at
	}
	return b.hands.earliest(at, t.End, t.hands())
}

// bounds say how early a task may begin and end beside what the board says.
type bounds struct{ start, end Minute }

// within is where a task would stand on vessel v (-1: none) from a time on, in
// the first gap that takes it. Stays false where LongestSoak cannot be kept.
func (b *board) within(i, v int, from bounds) (Placed, bool) {
	t := &b.p.Tasks[i]
	if v < 0 {
		return b.stand(t, v, from, 0, Never)
	}
	l := &b.lines[v]
	for k := l.gapAt(from.start); k <= len(l.bookings); k++ {
		last, free := l.last(k)
		at := bounds{max(from.start, free), from.end}
		until := l.until(k)
		if at.start+t.least() > until || k < len(l.bookings) && b.p.cleanBetween(t.Shade, l.bookings[k].shade) > l.bookings[k].clean {
			continue
		}
		if p, ok := b.stand(t, v, at, b.clean(t, last), until); ok && p.End <= until {
			return p, true
		} else if !ok && k == len(l.bookings) {
			return p, false
		}
	}
	return Placed{}, false
}

func (b *board) clean(t *Task, last Shade) Minute {
	if b.hands == nil || t.front() == 0 {
		return 0
	}
	return b.p.cleanBetween(last, t.Shade)
}

// stand finds start and end in an open gap; it gives up beyond until.
func (b *board) stand(t *Task, v int, from bounds, clean, until Minute) (Placed, bool) {
	for s := from.start; ; {
		if s = b.begin(t, s, clean); s >= Never || s+clean+t.least() > until {
			return Placed{}, false
		}
		cooled := s + clean + t.front() + t.Soak
		lift := b.lift(t, max(cooled, from.end-t.End))
		if lift >= Never {
			return Placed{}, false
		}
		if over := lift - cooled - (t.LongestSoak - t.Soak); t.LongestSoak < Never && over > 0 {
			s += over // it would stand too long: begin later
			continue
		}
		p := Placed{Start: s, Clean: clean, Lift: lift, End: lift + t.End, Vessel: v}
		if b.rack == nil || t.Rack == 0 {
			return p, true
		}
		if again := b.rack.earliest(s, p.End-s, t.Rack); again > s {
			s = again
			continue
		}
		return p, true
	}
}

// find is the earliest place of a task over its vessels: the soonest begun, then
// the soonest ended, then the vessel named first.
func (b *board) find(i int, from bounds, only int) (Placed, bool) {
	t := &b.p.Tasks[i]
	if len(t.Vessels) == 0 {
		return b.within(i, -1, from)
	}
	var best Placed
	found := false
	for _, v := range t.Vessels {
		if only >= 0 && v != only {
			continue
		}
		p, ok := b.within(i, v, from)
		if ok && (!found || p.ready() < best.ready() || p.ready() == best.ready() && p.End < best.End) {
			best, found = p, true
		}
	}
	return best, found
}

// book writes a task down; unbook takes it off again.
func (b *board) book(i int, p Placed, fixed bool) {
	b.move(i, p, 1)
	b.done[i], b.at[i] = true, p
	if p.Vessel >= 0 {
		l := &b.lines[p.Vessel]
		k := l.gapAt(p.Start)
		for fixed && k < len(l.bookings) && l.bookings[k].start < p.Start {
			k++
		}
		l.add(k, booking{i, p.Start, p.End, p.Clean, b.p.Tasks[i].Shade, fixed})
	}
}

func (b *board) unbook(i int) {
	p := b.at[i]
	b.move(i, p, -1)
	b.done[i] = false
	if p.Vessel >= 0 {
		b.lines[p.Vessel].remove(i, p.Start)
	}
}

func (b *board) move(i int, p Placed, sign int64) {
	t := &b.p.Tasks[i]
	begun := t.Fixed != nil && t.Fixed.Begun
	if b.hands != nil {
		if !begun {
			b.hands.take(p.Start, p.ready()+t.Begin, sign*t.hands())
		}
		b.hands.take(p.Lift, p.End, sign*t.hands())
	}
	if b.burners != nil && t.Burner && !begun {
		b.burners.take(p.Start, p.ready()+t.front(), sign)
	}
	if b.rack != nil {
		b.rack.take(p.Start, p.End, sign*t.Rack)
	}
}

// bookFixed writes down what is not to be moved: begun tasks first, then pins as
// they come.
func (b *board) bookFixed(order []int) {
	for _, begun := range []bool{true, false} {
		for _, i := range order {
			t := &b.p.Tasks[i]
			f := t.Fixed
			if f == nil || f.Begun != begun {
				continue
			}
			p := Placed{Start: f.Start, Vessel: f.Vessel}
			if !begun && f.Vessel >= 0 && b.hands != nil && t.front() > 0 {
				p.Clean = b.p.RinseOut
			}
			cooled := p.ready() + t.front() + t.Soak
			if f.Until != 0 {
				cooled = f.Until
			}
			p.Lift = b.lift(t, cooled)
			if begun && cooled < 0 {
				p.Lift = cooled // it was lifted before the plan begins
			}
			p.End = p.Lift + t.End
			b.book(i, p, true)
		}
	}
}
