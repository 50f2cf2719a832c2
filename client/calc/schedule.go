package calc

import (
	"fmt"
	"math"
	"math/big"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
)

var schedule = calculation{
	name:  "schedule",
	short: "Say when each lot has each pot",
	long: `When each step of each job starts, so that the last one ends as soon as can be
found. A job's steps are done in their order, a machine (a pot, a tub, a drying
line, a pair of hands) does one step at a time, and a step once begun is
finished. Machines are numbered from 0. With flags a job is MACHINE:DURATION
for each step, commas between, and --jobs is repeated for each job. The search
ends after 18 s with the best it has found, and says so.`,
	example: `dyelot calc schedule --machines 2 --jobs 0:1,1:3 --jobs 1:2,0:1.5 \
--jobs 0:2`,
	says: `All is done after 5, and no plan ends sooner.`,
	document: `{"machines": 2, "jobs": [
  [{"machine": 0, "duration": 1}, {"machine": 1, "duration": 3}],
  [{"machine": 1, "duration": 2}, {"machine": 0, "duration": 1.5}],
  [{"machine": 0, "duration": 2}]]}`,
	ask: func() question { return &scheduleQuestion{} },
}

type scheduleQuestion struct {
	machines int64
	jobs     [][]step
}

type step struct {
	machine  int64
	duration *big.Rat
}

func (s *step) fields() []field {
	return []field{
		need("machine", "its number, from 0", aWhole(&s.machine)),
		need("duration", "how long the step takes, in any one unit", anExact(&s.duration)),
	}
}

func (q *scheduleQuestion) fields() []field {
	return []field{
		need("machines", "how many machines there are", aWhole(&q.machines)),
		need("jobs", "jobs, each a list of steps with machine and duration", value{"steps", q.takeJobs, stepsTold}),
	}
}

func (q *scheduleQuestion) takeJobs(at string, v any) error {
	return eachIn(at, v, 1, func(at string, v any) error {
		var job []step
		if err := objectsIn(at, v, &job, (*step).fields); err != nil {
			return err
		}
		q.jobs = append(q.jobs, job)
		return nil
	})
}

// stepsTold reads "0:1,1:3" for each job.
func stepsTold(texts []string) (any, error) {
	jobs := []any{}
	for i, text := range texts {
		job := []any{}
		for k, word := range strings.Split(text, ",") {
			machine, duration, ok := strings.Cut(word, ":")
			if !ok {
				return nil, fault.BadField(entry(entry("jobs", i), k), "%q is not a step such as 0:1.5, machine and duration", clip(word))
			}
			job = append(job, objectOf("machine", numberOf(machine), "duration", numberOf(duration)))
		}
		jobs = append(jobs, job)
	}
	return jobs, nil
}

func (q *scheduleQuestion) answer(stop func() bool) (answer, error) {
	all, err := q.durations()
	if err != nil {
		return nil, err
	}
	scaled := scaled(all)
	var jobs [][]season.Step
	left := scaled.n
	for _, job := range q.jobs {
		var steps []season.Step
		for _, s := range job {
			steps = append(steps, season.Step{Machine: int(min(max(s.machine, -1), math.MaxInt32)), Duration: left[0]})
			left = left[1:]
		}
		jobs = append(jobs, steps)
	}
	t, err := season.Schedule(int(min(max(q.machines, 0), math.MaxInt32)), jobs, season.Limit{Stop: stop})
	if err != nil {
		return nil, err
	}
	return q.answerOf(t, scaled), nil
}

// durations lists them all, job by job.
func (q *scheduleQuestion) durations() (all []*big.Rat, err error) {
	for j, job := range q.jobs {
		for k, s := range job {
			if s.duration.Sign() < 0 {
				return nil, fault.BadField(entry(entry("jobs", j), k)+".duration", "%s is below zero", num(s.duration))
			}
			all = append(all, s.duration)
		}
	}
	return all, nil
}

// answerOf puts a timetable back into the unit of the durations. Where they
// were rounded up, each step still fits where the rounded one stood; the
// makespan is what it really comes to, and the bound less by what rounding may
// have added: a step for each duration.
func (q *scheduleQuestion) answerOf(t season.Timetable, scaled wholes) *scheduleAnswer {
	a := &scheduleAnswer{asked: *q, Optimal: t.Optimal && scaled.exact}
	makespan := new(big.Rat)
	for j, job := range t.Starts {
		starts := make([]decimal, 0, len(job))
		for k, n := range job {
			start := scaled.worth(n)
			if end := new(big.Rat).Add(start, q.jobs[j][k].duration); end.Cmp(makespan) > 0 {
				makespan = end
			}
			starts = append(starts, decimal{start})
		}
		a.Starts = append(a.Starts, starts)
	}
	bound := t.LowerBound
	if !scaled.exact {
		bound = max(0, bound-int64(len(scaled.n)))
	}
	a.Makespan, a.LowerBound = decimal{makespan}, decimal{scaled.worth(bound)}
	return a
}

type scheduleAnswer struct {
	asked scheduleQuestion

	Makespan   decimal     `json:"makespan"`
	Starts     [][]decimal `json:"starts"`
	Optimal    bool        `json:"optimal"`
	LowerBound decimal     `json:"lower_bound"`
}

func (a *scheduleAnswer) tell(p *page) {
	if a.Optimal {
		p.note("All is done after %s, and no plan ends sooner.", a.Makespan)
	} else {
		p.note("All is done after %s, the best found in the time; no plan ends before %s.", a.Makespan, a.LowerBound)
	}
	var rows [][2]string
	for j, job := range a.asked.jobs {
		var steps []string
		for k, s := range job {
			start := a.Starts[j][k]
			end := new(big.Rat).Add(start.Rat, s.duration)
			steps = append(steps, tight(fmt.Sprintf("on %d from %s to %s", s.machine, start, num(end))))
		}
		rows = append(rows, [2]string{fmt.Sprintf("job %d", j), strings.Join(steps, ", ")})
	}
	p.rows(rows...)
	p.note("Times in the unit of the durations, from 0; jobs and machines are numbered from 0. A step once begun is finished: leave the pot no longer than the recipe says.")
}
