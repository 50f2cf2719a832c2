package days

// Reason is what a task could not have begun before.
type Reason struct {
	Kind  string // "first", "release", "after", "rest", "vessel", "hours", "hands", "burner", "rack", "pinned", "begun", "kept"
	Task  int    // the one it follows, or that has its vessel; -1 where none
	Until Minute // from when that was out of the way
}

// Why says, of each task of a plan, what holds it: the last thing that had to be
// out of its way. A plan may begin a task later than it must, to have it follow
// in time; then the reason is "kept".
func Why(p *Problem, pl Plan) []Reason {
	board := newBoard(p)
	for i := range p.Tasks {
		board.book(i, pl.Placed[i], true)
	}
	reasons := make([]Reason, len(p.Tasks))
	for i := range p.Tasks {
		reasons[i] = p.why(board, pl, i)
	}
	return reasons
}

func (p *Problem) why(b *board, pl Plan, i int) Reason {
	t, at := &p.Tasks[i], pl.Placed[i]
	if t.Fixed != nil {
		if t.Fixed.Begun {
			return Reason{"begun", -1, at.Start}
		}
		return Reason{"pinned", -1, at.Start}
	}
	r := Reason{"first", -1, 0}
	last := func(kind string, task int, until Minute) {
		if until <= at.Start && until > r.Until {
			r = Reason{kind, task, until}
		}
	}
	last("release", -1, t.Release)
	for _, w := range t.After {
		kind := "after"
		if w.Least > 0 {
			kind = "rest"
		}
		last(kind, w.Task, pl.Placed[w.Task].End+w.Least)
	}
	if at.Vessel >= 0 {
		last("vessel", -1, p.Vessels[at.Vessel].Free)
		for _, k := range b.lines[at.Vessel].bookings {
			if k.task != i {
				last("vessel", k.task, k.end)
			}
		}
	}
	if r.Until == at.Start {
		return r
	}
	return p.lacking(b, t, at, r)
}

// lacking says which of hours, hands, burner or rack was missing just before a
// task began.
func (p *Problem) lacking(b *board, t *Task, at Placed, r Reason) Reason {
	before := at.Start - 1
	if b.hands != nil {
		b.hands.reach(at.Start)
	}
	if p.Hours != nil && t.front() > 0 {
		if p.Hours.fit(before, at.Clean+t.front()) != before {
			return Reason{"hours", r.Task, at.Start}
		}
		if b.hands.free[b.hands.index(before)] < t.hands() {
			return Reason{"hands", r.Task, at.Start}
		}
	}
	if b.burners != nil && t.Burner && b.burners.free[b.burners.index(before)] < 1 {
		return Reason{"burner", r.Task, at.Start}
	}
	if b.rack != nil && t.Rack > 0 && b.rack.free[b.rack.index(before)] < t.Rack {
		return Reason{"rack", r.Task, at.Start}
	}
	return Reason{"kept", r.Task, at.Start}
}
