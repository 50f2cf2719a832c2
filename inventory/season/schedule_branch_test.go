package season

import (
	"testing"

	"pgregory.net/rapid"
)

func drawShop(t *rapid.T) [][]Step {
	step := rapid.Custom(func(t *rapid.T) Step {
		return Step{Machine: rapid.IntRange(0, 3).Draw(t, "machine"), Duration: rapid.Int64Range(0, 12).Draw(t, "duration")}
	})
	return rapid.SliceOfN(rapid.SliceOfN(step, 1, 6), 2, 6).Draw(t, "jobs")
}

// The branch and bound, asked without any help from the tabu search, must
// find a plan for each horizon from the optimum on and refute all before.
func TestBranchFindsAndRefutesByItself(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		jobs := drawShop(t)
		best, err := Schedule(4, jobs, Limit{Nodes: 200_000})
		if err != nil {
			t.Fatal(err)
		}
		if !best.Optimal {
			t.Fatalf("no proof within 200000 nodes: %+v", best)
		}
		s := newShop(jobs)
		for horizon := max(0, best.Makespan-3); horizon < best.Makespan+3; horizon++ {
			b := &branch{window: newWindow(s, horizon), weight: make([]float64, len(s.dur)), guide: make([]int64, len(s.dur)), nodes: 200_000, budget: &budget{}}
			for i := range b.weight {
				b.weight[i] = 1
			}
			got := noPlan
			if b.open() {
				got = b.search()
			}
			if want := map[bool]answer{false: noPlan, true: isPlan}[horizon >= best.Makespan]; got != want {
				t.Fatalf("horizon %d of optimum %d: answer %d, want %d", horizon, best.Makespan, got, want)
			}
			if got == isPlan {
				p := newPlan(s)
				if p.follow(b.early); p.makespan > horizon {
					t.Fatalf("the plan for horizon %d ends at %d", horizon, p.makespan)
				}
			}
		}
	})
}

// Every move that fits leaves an order without circles, whatever jobs come
// back to a machine and whatever steps have no length.
func TestShiftsThatFitNeverGoInCircles(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := newTabu(newShop(drawShop(t)))
		for range 60 {
			x.critical()
			if x.moves = x.shifts(x.path, x.moves[:0]); len(x.moves) == 0 {
				return
			}
			for _, s := range x.moves {
				x.shift(s)
				if !x.time() {
					t.Fatalf("%v goes in a circle", s)
				}
				x.shift(s.back())
				x.time()
			}
			x.carry(x.moves[x.dice.roll(len(x.moves))])
			for i := range x.dur {
				if x.head[i]+x.dur[i]+x.tail[i] > x.makespan {
					t.Fatalf("a path through step %d is longer than the makespan", i)
				}
			}
		}
	})
}
