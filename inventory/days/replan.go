package days

// Replan keeps as much of an earlier plan as what has happened since allows:
// what is begun or pinned stands, the rest stays in its vessel and its order, and
// moves to later only. Where that makes something late that a plan from the
// start does not, the plan from the start is taken.
//
// before is of the same tasks; an entry whose End is 0 says nothing of its task.
func Replan(p *Problem, before []Placed, limit Limit) (Plan, error) {
	if err := p.Validate(); err != nil {
		return Plan{}, err
	}
	order, _ := p.order()
	s := &search{p: p, order: order, budget: limit.budget(), bound: p.bound(order)}
	s.build = newBuilder(p, s.budget)
	how := way{rank: make([]int64, len(s.build.b.in)), grain: 1, window: len(p.Tasks), only: make([]int, len(p.Tasks)), floor: make([]Minute, len(p.Tasks)), first: true}
	for k, in := range s.build.b.in {
		how.rank[k] = Never
		for _, i := range in {
			how.only[i] = -1
			if at := before[i]; at.End != 0 {
				how.rank[k], how.floor[i] = min(how.rank[k], at.Start), at.Start
				how.only[i] = p.still(i, at.Vessel)
			}
		}
	}
	if at, ok := s.build.build(how); ok {
		s.keep(at, how)
	}
	if s.best != nil && s.worth.late == 0 && s.worth.clash == 0 {
		return s.plan(), nil
	}
	fresh, err := Make(p, limit)
	if s.best == nil || err == nil && p.worth(fresh.Placed).less(worth{s.worth.clash, s.worth.late, 0}) {
		return fresh, err
	}
	return s.plan(), nil
}

// still is a vessel while it may yet serve the task; -1 else.
func (p *Problem) still(i, vessel int) int {
	for _, v := range p.Tasks[i].Vessels {
		if v == vessel {
			return v
		}
	}
	return -1
}
