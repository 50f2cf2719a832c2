package days_test

import (
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/days"
	"dyelot/inventory/fault"
)

// every tries every start, vessel, clean-down and lift of every task, minute by
// minute, and says whether any plan ends by the roof. It knows nothing of how
// plans are built.
type every struct {
	p    *days.Problem
	at   []days.Placed
	roof int64
}

func endsBy(p *days.Problem, roof int64) bool {
	return (&every{p, make([]days.Placed, len(p.Tasks)), roof}).fits(0)
}

func (e *every) fits(i int) bool {
	if i == len(e.p.Tasks) {
		return len(broken(e.p, days.Plan{Placed: e.at, Makespan: e.roof})) == 0
	}
	t := &e.p.Tasks[i]
	vessels, cleans := t.Vessels, []int64{e.p.RinseOut, e.p.Scrub}
	if len(vessels) == 0 {
		vessels, cleans = []int{-1}, []int64{0}
	} else if e.p.Hours == nil || t.Begin+t.Heat == 0 {
		cleans = []int64{0}
	}
	for _, v := range vessels {
		for _, clean := range cleans {
			for start := t.Release; start < e.roof; start++ {
				began := start + clean + t.Begin + t.Heat
				for lift := began + t.Soak; lift+t.End <= e.roof && lift-began <= t.LongestSoak; lift++ {
					e.at[i] = days.Placed{Start: start, Clean: clean, Lift: lift, End: lift + t.End, Vessel: v}
					if e.plainly(i) && e.sofar(i) && e.fits(i+1) {
						return true
					}
				}
			}
		}
	}
	return false
}

// plainly is false of what is wrong at a glance; sofar looks at all of it.
func (e *every) plainly(i int) bool {
	t, at := &e.p.Tasks[i], e.at[i]
	for _, w := range t.After {
		if wait := at.Start - e.at[w.Task].End; wait < w.Least || wait > w.Most {
			return false
		}
	}
	for _, b := range e.at[:i] {
		if at.Vessel >= 0 && b.Vessel == at.Vessel && at.Start < b.End && b.Start < at.End {
			return false
		}
	}
	return e.open(at.Start, at.Start+at.Clean+t.Begin+t.Heat) && e.open(at.Lift, at.End)
}

// open is true of a time in which somebody is in the house throughout.
func (e *every) open(from, until int64) bool {
	for _, s := range e.p.Hours {
		if from >= s.From && until <= s.To {
			return true
		}
	}
	return from == until
}

// sofar looks at the first tasks alone; clean-down waits until all stand.
func (e *every) sofar(i int) bool {
	part := *e.p
	part.Tasks = e.p.Tasks[:i+1]
	part.RinseOut, part.Scrub = 0, 0
	return len(broken(&part, days.Plan{Placed: e.at[:i+1], Makespan: e.roof})) == 0
}

func TestSmallProblemsEqualExhaustiveSearch(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := small{tasks: 3, horizon: 60, longest: rapid.Bool().Draw(t, "longest waits")}
		p := draw(t, s)
		pl, err := days.Make(p, days.Limit{})
		if f, ok := fault.Of(err); ok && f.Reason == "NO_ROOM" {
			t.Skip("waits that no calendar keeps")
		}
		if err != nil {
			t.Fatal(err)
		}
		for _, wrong := range broken(p, pl) {
			t.Fatal(wrong)
		}
		if pl.Optimal || !s.longest {
			if !pl.Optimal || endsBy(p, pl.Makespan-1) {
				t.Fatalf("%d, optimal %v, where exhaustive search finds a shorter plan: %v", pl.Makespan, pl.Optimal, endsBy(p, pl.Makespan-1))
			}
		} else if endsBy(p, pl.Bound.At-1) {
			t.Fatalf("there is a plan shorter than the bound, %d (%s)", pl.Bound.At, pl.Bound.Why)
		}
	})
}
