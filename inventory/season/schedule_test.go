package season_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// jobsOf reads a row a job, "machine duration" pairs, as the classic
// instances are printed.
func jobsOf(t *testing.T, rows string) (machines int, jobs [][]season.Step) {
	t.Helper()
	for _, row := range strings.Split(strings.TrimSpace(rows), "\n") {
		var job []season.Step
		for in := strings.NewReader(row); in.Len() > 0; {
			var s season.Step
			if _, err := fmt.Fscan(in, &s.Machine, &s.Duration); err != nil {
				t.Fatalf("row %q: %v", row, err)
			}
			machines = max(machines, s.Machine+1)
			job = append(job, s)
		}
		jobs = append(jobs, job)
	}
	return machines, jobs
}

type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

// holds fails unless the timetable is one: each job in order, no machine
// doing two steps at a time, the makespan the last end, the bound not above it.
func holds(t fataler, jobs [][]season.Step, got season.Timetable) {
	t.Helper()
	type turn struct{ start, end int64 }
	turns := map[int][]turn{}
	var last int64
	for j, job := range jobs {
		free := int64(0)
		if len(got.Starts[j]) != len(job) {
			t.Fatalf("job %d has %d steps and %d starts", j, len(job), len(got.Starts[j]))
		}
		for k, s := range job {
			start := got.Starts[j][k]
			if start < free {
				t.Fatalf("job %d step %d starts at %d, before %d", j, k, start, free)
			}
			free = start + s.Duration
			last = max(last, free)
			for _, o := range turns[s.Machine] {
				if start < o.end && o.start < free || o.start < start && free < o.end || start < o.start && o.end < free {
					t.Fatalf("machine %d does %d–%d and %d–%d at once", s.Machine, start, free, o.start, o.end)
				}
			}
			turns[s.Machine] = append(turns[s.Machine], turn{start, free})
		}
	}
	if got.Makespan != last {
		t.Fatalf("makespan %d, but the last step ends at %d", got.Makespan, last)
	}
	if got.LowerBound > got.Makespan || got.Optimal != (got.LowerBound == got.Makespan) {
		t.Fatalf("bound %d, makespan %d, optimal %v", got.LowerBound, got.Makespan, got.Optimal)
	}
}

// The instances and optima of Fisher and Thompson 1963 (in Muth and Thompson,
// Industrial Scheduling), Lawrence 1984, Adams, Balas and Zawack 1988, and
// Applegate and Cook 1991, as the collection of classic job shops gives them;
// coinor-cbc proves ft06 too (TestCbcProvesFisherAndThompsonToo).
var classics = []struct {
	name    string
	optimum int64
	rows    string
}{
	{"ft06", 55, `
2 1 0 3 1 6 3 7 5 3 4 6
1 8 2 5 4 10 5 10 0 10 3 4
2 5 3 4 5 8 0 9 1 1 4 7
1 5 0 5 2 5 3 3 4 8 5 9
2 9 1 3 4 5 5 4 0 3 3 1
1 3 3 3 5 9 0 10 4 4 2 1`},
	{"ft10", 930, `
0 29 1 78 2 9 3 36 4 49 5 11 6 62 7 56 8 44 9 21
0 43 2 90 4 75 9 11 3 69 1 28 6 46 5 46 7 72 8 30
1 91 0 85 3 39 2 74 8 90 5 10 7 12 6 89 9 45 4 33
1 81 2 95 0 71 4 99 6 9 8 52 7 85 3 98 9 22 5 43
2 14 0 6 1 22 5 61 3 26 4 69 8 21 7 49 9 72 6 53
2 84 1 2 5 52 3 95 8 48 9 72 0 47 6 65 4 6 7 25
1 46 0 37 3 61 2 13 6 32 5 21 9 32 8 89 7 30 4 55
2 31 0 86 1 46 5 74 4 32 6 88 8 19 9 48 7 36 3 79
0 76 1 69 3 76 5 51 2 85 9 11 6 40 7 89 4 26 8 74
1 85 0 13 2 61 6 7 8 64 9 76 5 47 3 52 4 90 7 45`},
	{"ft20", 1165, `
0 29 1 9 2 49 3 62 4 44
0 43 1 75 3 69 2 46 4 72
1 91 0 39 2 90 4 12 3 45
1 81 0 71 4 9 2 85 3 22
2 14 1 22 0 26 3 21 4 72
2 84 1 52 4 48 0 47 3 6
1 46 0 61 2 32 3 32 4 30
2 31 1 46 0 32 3 19 4 36
0 76 3 76 2 85 1 40 4 26
1 85 2 61 0 64 3 47 4 90
1 78 3 36 0 11 4 56 2 21
2 90 0 11 1 28 3 46 4 30
0 85 2 74 1 10 3 89 4 33
2 95 0 99 1 52 3 98 4 43
0 6 1 61 4 69 2 49 3 53
1 2 0 95 3 72 4 65 2 25
0 37 2 13 1 21 3 89 4 55
0 86 1 74 4 88 2 48 3 79
1 69 2 51 0 11 3 89 4 74
0 13 1 7 2 76 3 52 4 45`},
	{"la02", 655, `
0 20 3 87 1 31 4 76 2 17
4 25 2 32 0 24 1 18 3 81
1 72 2 23 4 28 0 58 3 99
2 86 1 76 4 97 0 45 3 90
4 27 0 42 3 48 2 17 1 46
1 67 0 98 4 48 3 27 2 62
4 28 1 12 3 19 0 80 2 50
1 63 0 94 2 98 3 50 4 80
4 14 0 75 2 50 1 41 3 55
4 72 2 18 1 37 3 79 0 61`},
	{"abz6", 943, `
7 62 8 24 5 25 3 84 4 47 6 38 2 82 0 93 9 24 1 66
5 47 2 97 8 92 9 22 1 93 4 29 7 56 3 80 0 78 6 67
1 45 7 46 6 22 2 26 9 38 0 69 4 40 3 33 8 75 5 96
4 85 8 76 5 68 9 88 3 36 6 75 2 56 1 35 0 77 7 85
8 60 9 20 7 25 3 63 4 81 0 52 1 30 5 98 6 54 2 86
3 87 9 73 5 51 2 95 4 65 1 86 6 22 8 58 0 80 7 65
5 81 2 53 7 57 6 71 9 81 0 43 4 26 8 54 3 58 1 69
4 20 6 86 5 21 8 79 9 62 2 34 0 27 1 81 7 30 3 46
9 68 6 66 5 98 8 86 7 66 0 56 3 82 1 95 4 47 2 78
0 30 3 50 7 34 2 58 1 77 5 34 8 84 4 40 9 46 6 44`},
	{"orb07, with a step of no length", 397, `
0 32 1 14 2 15 3 37 4 18 5 43 6 19 7 27 8 28 9 31
0 8 3 12 4 49 8 24 9 52 6 19 7 23 5 19 2 17 1 32
0 25 7 19 3 27 2 45 6 21 4 15 1 13 5 16 8 43 9 19
0 24 1 18 3 41 8 29 5 14 2 17 4 23 7 15 6 18 9 23
0 27 6 29 1 39 3 21 5 15 2 15 9 25 7 26 8 44 4 20
4 17 0 15 6 51 8 17 2 46 3 16 9 33 7 25 5 30 1 25
4 15 3 31 0 25 9 12 2 13 1 51 8 19 7 21 6 12 5 26
4 8 6 29 9 25 3 15 8 17 2 22 7 32 5 20 0 11 1 28
2 41 6 10 8 32 7 5 4 21 9 59 3 26 1 10 5 16 0 29
2 20 9 7 5 44 8 22 6 33 3 25 7 29 4 12 1 14 0 0`},
}

func TestClassicJobShopsAreProved(t *testing.T) {
	t.Parallel()
	for _, c := range classics {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			machines, jobs := jobsOf(t, c.rows)
			got, err := season.Schedule(machines, jobs, season.Limit{})
			if err != nil {
				t.Fatal(err)
			}
			holds(t, jobs, got)
			if got.Makespan != c.optimum || !got.Optimal {
				t.Errorf("makespan %d, optimal %v; published: %d", got.Makespan, got.Optimal, c.optimum)
			}
		})
	}
}

func TestSchedulesOfFewJobs(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		machines int
		jobs     [][]season.Step
		want     season.Timetable
	}{
		{"none", 1, nil, season.Timetable{Optimal: true}},
		{"a job without steps", 1, [][]season.Step{{}, {{0, 4}}}, season.Timetable{Makespan: 4, LowerBound: 4, Starts: [][]int64{{}, {0}}, Optimal: true}},
		{"a machine passed by", 9, [][]season.Step{{{0, 4}, {8, 3}}}, season.Timetable{Makespan: 7, LowerBound: 7, Starts: [][]int64{{0, 4}}, Optimal: true}},
		// Dipping, airing and dipping again: the vat is free for the other lot meanwhile.
		{"a job that comes back", 2, [][]season.Step{{{0, 2}, {1, 3}, {0, 2}}, {{0, 3}}}, season.Timetable{Makespan: 7, LowerBound: 7, Starts: [][]int64{{0, 2, 5}, {2}}, Optimal: true}},
		{"no step has a length", 2, [][]season.Step{{{0, 0}, {1, 0}}, {{1, 0}, {0, 0}}}, season.Timetable{Starts: [][]int64{{0, 0}, {0, 0}}, Optimal: true}},
		// The step of no length may not fall inside the long one: 5 after it, or before.
		{"a step of no length waits its turn", 2, [][]season.Step{{{0, 5}}, {{1, 2}, {0, 0}, {1, 4}}}, season.Timetable{Makespan: 7, LowerBound: 7, Starts: [][]int64{{2}, {0, 2, 2}}, Optimal: true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got, err := season.Schedule(c.machines, c.jobs, season.Limit{})
			if err != nil {
				t.Fatal(err)
			}
			holds(t, c.jobs, got)
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("want − got +\n%s", diff)
			}
		})
	}
}

func TestScheduleRefuses(t *testing.T) {
	t.Parallel()
	one := func(machine int, duration int64) [][]season.Step {
		return [][]season.Step{{{0, 1}, {machine, duration}}}
	}
	for _, c := range []struct {
		machines int
		jobs     [][]season.Step
		field    string
	}{
		{0, nil, "machines"},
		{2, one(2, 1), "jobs[0][1].machine"},
		{2, one(-1, 1), "jobs[0][1].machine"},
		{2, one(1, -1), "jobs[0][1].duration"},
		{2, one(1, 1<<60), "jobs[0][1].duration"},
		{1, [][]season.Step{make([]season.Step, 4001)}, "jobs"},
	} {
		_, err := season.Schedule(c.machines, c.jobs, season.Limit{})
		if f, ok := fault.Of(err); !ok || f.Kind != fault.Invalid || f.Field != c.field {
			t.Errorf("%v; want a fault of %s", err, c.field)
		}
	}
}

// drawJobs draws a small shop: machines passed by, come back to, steps of no
// length, jobs without steps.
func drawJobs(t *rapid.T, steps int) (machines int, jobs [][]season.Step) {
	machines = rapid.IntRange(1, 3).Draw(t, "machines")
	step := rapid.Custom(func(t *rapid.T) season.Step {
		return season.Step{Machine: rapid.IntRange(0, machines-1).Draw(t, "machine"), Duration: rapid.Int64Range(0, 9).Draw(t, "duration")}
	})
	return machines, rapid.SliceOfN(rapid.SliceOfN(step, 0, steps), 1, 3).Draw(t, "jobs")
}

func TestScheduleAgreesWithTryingEverything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		machines, jobs := drawJobs(t, 4)
		got, err := season.Schedule(machines, jobs, season.Limit{})
		if err != nil {
			t.Fatal(err)
		}
		holds(t, jobs, got)
		best := int64(1 << 60)
		everyOrder(machines, jobs, func(makespan int64) { best = min(best, makespan) })
		if got.Makespan != best || !got.Optimal {
			t.Fatalf("makespan %d, optimal %v; trying everything gives %d", got.Makespan, got.Optimal, best)
		}
	})
}

// everyOrder starts the steps one at a time in every order the jobs allow,
// each as early as those started before let it. One of these is optimal.
func everyOrder(machines int, jobs [][]season.Step, see func(makespan int64)) {
	at, free, idle := make([]int, len(jobs)), make([]int64, len(jobs)), make([]int64, machines)
	var next func(makespan int64)
	next = func(makespan int64) {
		through := true
		for j, job := range jobs {
			if at[j] == len(job) {
				continue
			}
			through = false
			s := job[at[j]]
			wasFree, wasIdle := free[j], idle[s.Machine]
			end := max(wasFree, wasIdle) + s.Duration
			at[j]++
			free[j], idle[s.Machine] = end, end
			next(max(makespan, end))
			at[j]--
			free[j], idle[s.Machine] = wasFree, wasIdle
		}
		if through {
			see(makespan)
		}
	}
	next(0)
}

func TestScheduleEndsWhereItIsTold(t *testing.T) {
	t.Parallel()
	machines, jobs := jobsOf(t, classics[1].rows)
	var before season.Timetable
	for _, nodes := range []int{1, 100, 3000} {
		got, err := season.Schedule(machines, jobs, season.Limit{Nodes: nodes})
		if err != nil {
			t.Fatal(err)
		}
		holds(t, jobs, got)
		again, _ := season.Schedule(machines, jobs, season.Limit{Nodes: nodes})
		if !reflect.DeepEqual(got, again) {
			t.Errorf("%d nodes: two answers to one question", nodes)
		}
		if before.Makespan > 0 && (got.Makespan > before.Makespan || got.LowerBound < before.LowerBound) {
			t.Errorf("%d nodes: %d ≥ %d, worse than with fewer: %d ≥ %d", nodes, got.Makespan, got.LowerBound, before.Makespan, before.LowerBound)
		}
		before = got
	}
	asked := 0
	got, err := season.Schedule(machines, jobs, season.Limit{Stop: func() bool { asked++; return asked > 500 }})
	if err != nil || asked != 501 || got.Optimal {
		t.Errorf("asked %d times whether to stop, optimal %v, error %v; want 501, false, none", asked, got.Optimal, err)
	}
	holds(t, jobs, got)
}

// Two lots share one dye pot (0) and one rinsing tub (1), minutes each: weld
// goes first, since it leaves the pot sooner and rinses longer.
func ExampleSchedule() {
	weld := []season.Step{{Machine: 0, Duration: 60}, {Machine: 1, Duration: 90}}
	madder := []season.Step{{Machine: 0, Duration: 120}, {Machine: 1, Duration: 30}}
	plan, err := season.Schedule(2, [][]season.Step{madder, weld}, season.Limit{})
	fmt.Println(plan.Makespan, plan.Starts, plan.Optimal, err)
	// Output: 210 [[60 180] [0 60]] true <nil>
}
