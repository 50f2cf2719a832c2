package days

import (
	"dyelot/inventory/season"
)

// shop answers a plain job shop by season.Schedule, and says whether it did.
func (s *search) shop() bool {
	jobs, tasks := s.p.jobs(s.order)
	if jobs == nil {
		return false
	}
	t, err := season.Schedule(len(s.p.Vessels), jobs, season.Limit{Stop: s.budget.stop, Nodes: s.budget.left})
	if err != nil {
		return false
	}
	at := make([]Placed, len(s.p.Tasks))
	for j, job := range tasks {
		for k, i := range job {
			start := t.Starts[j][k]
			end := start + s.p.Tasks[i].least()
			at[i] = Placed{Start: start, End: end, Lift: end - s.p.Tasks[i].End, Vessel: s.p.Tasks[i].Vessels[0]}
		}
	}
	s.keep(at, way{})
	s.bound = Bound{max(s.bound.At, t.LowerBound), "no order of the pots ends sooner"}
	return true
}

// jobs reads the problem as a job shop: chains of tasks, each with one vessel
// and nothing else to mind. Nil where it is more than that.
func (p *Problem) jobs(order []int) (jobs [][]season.Step, tasks [][]int) {
	if p.Hours != nil || p.Burners > 0 || p.Rack > 0 {
		return nil, nil
	}
	for _, v := range p.Vessels {
		if v.Free > 0 {
			return nil, nil
		}
	}
	after := p.followers()
	of := make([]int, len(p.Tasks))
	for _, i := range order {
		t := &p.Tasks[i]
		if len(t.Vessels) != 1 || len(t.After) > 1 || len(after[i]) > 1 || t.Release > 0 || t.Due > 0 || t.Fixed != nil || t.least() == 0 {
			return nil, nil
		}
		if len(t.After) == 1 && (t.After[0].Least != 0 || t.After[0].Most < Never) {
			return nil, nil
		}
		if len(t.After) == 0 {
			of[i] = len(jobs)
			jobs, tasks = append(jobs, nil), append(tasks, nil)
		} else {
			of[i] = of[t.After[0].Task]
		}
		j := of[i]
		jobs[j] = append(jobs[j], season.Step{Machine: t.Vessels[0], Duration: t.least()})
		tasks[j] = append(tasks[j], i)
	}
	return jobs, tasks
}
