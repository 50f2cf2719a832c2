package season

import (
	"fmt"

	"dyelot/inventory/fault"
)

// Step is one step of a job: it holds one machine for a time. In the studio a
// job is a lot and a machine a pot, tub, line or pair of hands.
type Step struct {
	Machine  int   // counted from 0
	Duration int64 // >= 0, in any unit, the same for all
}

// Timetable says when each step starts.
type Timetable struct {
	Makespan   int64     // end of the last step, counted from 0
	Starts     [][]int64 // of each step, in the shape of the jobs
	LowerBound int64     // no timetable ends sooner: proved
	Optimal    bool      // no timetable ends sooner than this one: proved
}

// The most that Schedule takes on: far more than a studio's season, and
// little enough that no sum of times overflows.
const (
	maxSteps = 4000
	maxTotal = 1 << 60
)

// What the first round of a search may cost. Each further round may cost
// double, so that an easy case pays little and a hard one wastes at most half.
const (
	firstMoves    = 20000
	firstBranches = 2000
)

// Schedule orders the steps of jobs on machines so that the last one ends as
// soon as it can be found to. Each job's steps are done in their order, a
// machine does one step at a time, and a step once begun is finished (a job
// shop without preemption). A job may pass a machine by, or come back to it;
// jobs may differ in length or have no steps. A step of no length takes its
// turn like any other: it never falls inside another step of its machine.
//
// A tabu search finds good timetables; a branch and bound with edge finding
// improves them and proves the bound. When the limit ends the search, the best
// timetable so far comes back with the best bound, and Optimal is false unless
// the two meet. The answer depends on nothing but the arguments, and on when
// limit.Stop says stop.
//
// Schedule refuses, naming the field, a machine that is not there, a negative
// duration, more than 4000 steps, and durations that add up to more than 2^60.
func Schedule(machines int, jobs [][]Step, limit Limit) (Timetable, error) {
	if err := checkJobs(machines, jobs); err != nil {
		return Timetable{}, err
	}
	h := newHunt(newShop(jobs), limit)
	h.tighten()
	for effort := 1; !h.over(); effort *= 2 {
		h.tabu.search(firstMoves*effort, h.bound, &h.budget)
		for !h.over() && h.prove(h.tabu.span-1, firstBranches*effort) == isPlan {
		}
		h.lift(firstBranches * effort / 4)
	}
	return h.timetable(jobs), nil
}

func checkJobs(machines int, jobs [][]Step) error {
	if machines < 1 {
		return fault.BadField("machines", "at least 1 machine is needed, not %d", machines)
	}
	steps, total := 0, int64(0)
	for j, job := range jobs {
		for k, s := range job {
			if s.Machine < 0 || s.Machine >= machines {
				return fault.BadField(stepField(j, k, "machine"), "machines are numbered from 0 to %d, not %d", machines-1, s.Machine)
			}
			if s.Duration < 0 {
				return fault.BadField(stepField(j, k, "duration"), "a duration is 0 or more, not %d", s.Duration)
			}
			if steps++; steps > maxSteps {
				return fault.BadField("jobs", "at most %d steps can be scheduled together", maxSteps)
			}
			if s.Duration > maxTotal-total {
				return fault.BadField(stepField(j, k, "duration"), "all durations together are above %d of the smallest unit", int64(maxTotal))
			}
			total += s.Duration
		}
	}
	return nil
}

func stepField(job, step int, name string) string {
	return fmt.Sprintf("jobs[%d][%d].%s", job, step, name)
}

// hunt is one search for a timetable: what was found and what was proved.
type hunt struct {
	*shop
	tabu   *tabu
	bound  int64     // no timetable ends sooner
	weight []float64 // where contradictions showed, kept from one branch and bound to the next
	budget budget
}

func newHunt(s *shop, limit Limit) *hunt {
	h := &hunt{shop: s, tabu: newTabu(s), bound: s.plainBound(), budget: budget{limit: limit}}
	for range s.dur {
		h.weight = append(h.weight, 1)
	}
	return h
}

// over says whether nothing is left to find, or nothing to search with.
func (h *hunt) over() bool { return h.bound >= h.tabu.span || h.budget.over }

// tighten raises the bound to the earliest horizon that deduction alone does
// not refute. It is at least the greatest of the machines' preemptive bounds.
func (h *hunt) tighten() {
	for horizon := h.tabu.span; h.bound < horizon && !h.budget.spent(); {
		middle := h.bound + (horizon-h.bound)/2
		if newWindow(h.shop, middle).open() {
			horizon = middle
		} else {
			h.bound = middle + 1
		}
	}
}

// prove looks for a timetable that ends by the horizon, or for the proof that
// there is none, and keeps either.
func (h *hunt) prove(horizon int64, nodes int) answer {
	b := &branch{window: newWindow(h.shop, horizon), weight: h.weight, guide: h.starts(), nodes: nodes, budget: &h.budget}
	found := noPlan
	if b.open() {
		found = b.search()
	}
	switch found {
	case noPlan:
		h.bound = max(h.bound, horizon+1)
	case isPlan:
		h.tabu.follow(b.early)
		h.tabu.record()
	}
	return found
}

// lift raises the bound by refuting horizons far below the best timetable,
// which is easier than refuting the next shorter one.
func (h *hunt) lift(nodes int) {
	for horizon := h.tabu.span - 1; h.bound < horizon && !h.over(); {
		middle := h.bound + (horizon-h.bound)/2
		if h.prove(middle, nodes) != noPlan {
			horizon = middle
		}
	}
}

// starts times the best plan so far.
func (h *hunt) starts() []int64 {
	best := newPlan(h.shop)
	best.adopt(h.tabu.best)
	return best.head
}

func (h *hunt) timetable(jobs [][]Step) Timetable {
	t := Timetable{Makespan: h.tabu.span, LowerBound: h.bound, Optimal: h.bound == h.tabu.span}
	starts := h.starts()
	for _, job := range jobs {
		t.Starts = append(t.Starts, starts[:len(job):len(job)])
		starts = starts[len(job):]
	}
	return t
}
