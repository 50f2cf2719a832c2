package days

// Bound is a time before which no plan can end, and the reason in words.
type Bound struct {
	At  Minute
	Why string
}

// bound finds the best of several: the longest chain of stages by the
// calendar; for each group of vessels, hands, burners and racks, what they
// must do at the least over what they can do, from the soonest that any of it
// can begin to the least that follows the last of it. Each asks less than a plan
// does, so none can be above the shortest plan.
func (p *Problem) bound(order []int) Bound {
	r := newRelaxed(p, order)
	best := r.chain()
	for _, b := range append(r.vesselGroups(), r.work()...) {
		if b.At > best.At {
			best = b
		}
	}
	return best
}

// relaxed is the problem with nothing in anyone's way: the soonest that each
// task can begin and end.
type relaxed struct {
	p           *Problem
	order       []int
	head, ended []Minute
	after       [][]int
	spans       map[Minute]int64 // nights by length, as they were asked
	tail        []Minute         // the least time from a task's end to the end of what follows
}

func newRelaxed(p *Problem, order []int) *relaxed {
	r := &relaxed{p: p, order: order, head: make([]Minute, len(p.Tasks)), ended: make([]Minute, len(p.Tasks)), after: p.followers(), spans: map[Minute]int64{}}
	for _, i := range order {
		t := &p.Tasks[i]
		at := t.Release
		for _, w := range t.After {
			at = max(at, r.ended[w.Task]+w.Least)
		}
		r.head[i], r.ended[i] = r.run(i, at)
	}
	r.tail = p.tails(order)
	for i := range r.tail {
		r.tail[i] -= p.Tasks[i].least()
	}
	return r
}

// clean is the least clean-down before a task, of which nothing is spared.
func (r *relaxed) clean(t *Task) Minute {
	if r.p.Hours == nil || len(t.Vessels) == 0 || t.front() == 0 {
		return 0
	}
	return r.p.RinseOut
}

// run is the soonest start and end of a task from a time on, alone in the studio.
func (r *relaxed) run(i int, at Minute) (start, end Minute) {
	t := &r.p.Tasks[i]
	if f := t.Fixed; f != nil {
		end = f.Start + t.front() + t.Soak + t.End
		if f.Until != 0 {
			end = f.Until
		}
		return f.Start, end
	}
	return r.alone(t.front()+r.clean(t), t.Soak, t.End, at)
}

func (r *relaxed) alone(front, soak, lift, at Minute) (start, end Minute) {
	start = at
	if r.p.Hours == nil {
		return start, start + front + soak + lift
	}
	if front > 0 {
		start = r.p.Hours.fit(start, front)
	}
	if end = start + front + soak; lift > 0 {
		end = r.p.Hours.fit(end, lift)
	}
	return start, min(end+lift, Never)
}

// chain is the end of the longest chain.
func (r *relaxed) chain() Bound {
	b := Bound{0, "nothing is left to do"}
	for i, e := range r.ended {
		if e > b.At {
			b = Bound{e, "the longest chain of stages, to " + r.p.Tasks[i].Name}
		}
	}
	return b
}

// follow is the soonest end of all that follows a task that ends then.
func (r *relaxed) follow(i int, end Minute) Minute {
	last := end
	for _, j := range r.after[i] {
		for _, w := range r.p.Tasks[j].After {
			if w.Task != i {
				continue
			}
			_, e := r.run(j, max(end+w.Least, r.head[j]))
			last = max(last, r.follow(j, e))
		}
	}
	return last
}

// soonest is the least follow over some tasks, one of which ends at or after a
// time.
func (r *relaxed) soonest(tasks []int, end Minute) Minute {
	least := Never
	for _, i := range tasks {
		if r.tail[i] < least-end {
			least = min(least, r.follow(i, end))
		}
	}
	return least
}
