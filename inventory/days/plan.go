package days

import (
	"fmt"
	"slices"

	"dyelot/inventory/fault"
)

// Plan is a time for each task.
type Plan struct {
	Placed   []Placed // by task
	Makespan Minute   // the end of the last
	Bound    Bound    // no plan ends sooner: proved
	Optimal  bool     // no plan ends sooner than this one: proved
	Late     []Late   // tasks that end after they are due, the latest first
	Clashes  []Clash  // what pinned or begun tasks make impossible to keep
}

// Late is a task that ends after it is due.
type Late struct {
	Task int
	By   Minute
}

// Clash is a wait that could not be kept, since one or both of its tasks are not
// to be moved.
type Clash struct {
	Task, Before int
	Early        Minute // so much sooner than Before allows
	Over         Minute // so much longer than the longest wait
}

// Make lays all tasks over the studio's time: none late if that can be found,
// and then the last one ended as soon as can be found.
//
// Several priority rules build a plan forward in time; the best is improved by
// building again with some ranks changed, within the limit (iterated greedy,
// after Ruiz and Stützle, European Journal of Operational Research 177, 2007). A
// branch and bound over the order in which stages begin and end proves small
// problems; a job shop without hours goes to season.Schedule. The answer
// depends on nothing but the arguments, and on when limit.Stop says stop.
//
// fault.Invalid names the field of what no plan can hold; fault.Refused,
// NO_ROOM, where the calendar ends before the work does.
func Make(p *Problem, limit Limit) (Plan, error) {
	if err := p.Validate(); err != nil {
		return Plan{}, err
	}
	order, _ := p.order()
	s := &search{p: p, order: order, budget: limit.budget(), bound: p.bound(order)}
	if s.shop() {
		return s.plan(), nil
	}
	if err := s.rules(); err != nil {
		return Plan{}, err
	}
	s.prove()
	s.improve()
	return s.plan(), nil
}

// search is one hunt for a plan.
type search struct {
	p      *Problem
	order  []int
	budget *budget
	bound  Bound
	best   []Placed
	worth  worth
	how    way
	build  *builder
}

// worth is what a plan is judged by: what cannot be kept, minutes late in all,
// and its end.
type worth struct{ clash, late, span Minute }

func (a worth) less(b worth) bool {
	if a.clash != b.clash {
		return a.clash < b.clash
	}
	if a.late != b.late {
		return a.late < b.late
	}
	return a.span < b.span
}

func (p *Problem) worth(at []Placed) (w worth) {
	for i, t := range p.Tasks {
		w.span = max(w.span, at[i].End)
		if t.Due > 0 {
			w.late += max(0, at[i].End-t.Due)
		}
		if t.Fixed == nil {
			continue
		}
		for _, a := range t.After {
			w.clash += max(0, at[a.Task].End+a.Least-at[i].Start)
		}
	}
	return w
}

// keep takes a plan if it is the best so far.
func (s *search) keep(at []Placed, how way) bool {
	w := s.p.worth(at)
	if s.best != nil && !w.less(s.worth) {
		return false
	}
	s.best, s.worth, s.how = slices.Clone(at), w, how
	return true
}

// perfect says that nothing is left to find.
func (s *search) perfect() bool {
	return s.best != nil && s.worth.late == 0 && s.worth.clash == 0 && s.worth.span <= s.bound.At
}

func (s *search) plan() Plan {
	pl := Plan{Placed: s.best, Makespan: s.worth.span, Bound: s.bound, Optimal: s.worth.span <= s.bound.At}
	pl.Bound.At = min(pl.Bound.At, pl.Makespan) // a clash can end sooner than the rules allow
	for i, t := range s.p.Tasks {
		if by := s.best[i].End - t.Due; t.Due > 0 && by > 0 {
			pl.Late = append(pl.Late, Late{i, by})
		}
		for _, a := range t.After {
			c := Clash{Task: i, Before: a.Task, Early: s.best[a.Task].End + a.Least - s.best[i].Start}
			if a.Most < Never {
				c.Over = s.best[i].Start - s.best[a.Task].End - a.Most
			}
			if c.Early > 0 || c.Over > 0 {
				pl.Clashes = append(pl.Clashes, c)
			}
		}
	}
	slices.SortStableFunc(pl.Late, func(a, b Late) int { return int(b.By - a.By) })
	return pl
}

// usualWindow is how many lots not yet begun are weighed up at once: more than a
// studio has pots, and few enough that a long season costs no more a lot than a
// short one.
const usualWindow = 24

func (s *search) rules() error {
	s.build = newBuilder(s.p, s.budget)
	only, even := s.p.spread(s.order)
	for _, grain := range []Minute{Day, 1, 120} {
		s.try(way{rank: s.build.b.ofBlocks(even), grain: grain, window: usualWindow, only: only})
	}
	for _, grain := range []Minute{1, 120, Day} {
		for _, rank := range s.p.rules(s.order) {
			s.try(way{rank: s.build.b.ofBlocks(rank), grain: grain, window: usualWindow})
		}
	}
	if s.best == nil {
		return noRoom(s.p)
	}
	return nil
}

// try builds one plan, unless nothing is left to find.
func (s *search) try(how way) {
	if s.perfect() {
		return
	}
	how.first = s.best == nil
	if at, ok := s.build.build(how); ok {
		s.keep(at, how)
	}
}

func noRoom(p *Problem) error {
	if p.Hours == nil {
		return fault.Refuse("NO_ROOM", "no plan was found within the limit")
	}
	last := Minute(0)
	if n := len(p.Hours); n > 0 {
		last = p.Hours[n-1].To
	}
	return fault.Refuse("NO_ROOM", "%d stages do not fit into %d working days", len(p.Tasks), len(p.Hours)).With("minutes", fmt.Sprint(last))
}
