package days_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"dyelot/inventory/days"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
)

// cbc solves a mixed integer program with Debian's coinor-cbc: another method,
// other people's code. A machine without it cannot run this test, and that is a
// failure.
func cbc(t *testing.T, program []byte) int64 {
	t.Helper()
	path, err := exec.LookPath("cbc")
	if err != nil {
		t.Fatalf("the oracle is missing, install Debian's coinor-cbc: %v", err)
	}
	in, out := filepath.Join(t.TempDir(), "in.lp"), filepath.Join(t.TempDir(), "out.txt")
	if err := os.WriteFile(in, program, 0o600); err != nil {
		t.Fatal(err)
	}
	if log, err := exec.Command(path, in, "solve", "solution", out).CombinedOutput(); err != nil {
		t.Fatalf("cbc: %v\n%s", err, log)
	}
	answer, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var value float64
	if _, err := fmt.Sscanf(string(answer), "Optimal - objective value %g", &value); err != nil {
		t.Fatalf("cbc answered %q\n%s", answer, program)
	}
	return int64(math.Round(value))
}

// shopOf makes a job shop of jobs; with burners counted, of which there are
// enough, it goes through the search of this package and not to season.
func shopOf(machines int, jobs [][]season.Step, here bool) *days.Problem {
	p := &days.Problem{}
	if here {
		p.Burners = 1000
	}
	for m := range machines {
		p.Vessels = append(p.Vessels, days.Vessel{Code: fmt.Sprint("pot-", m)})
	}
	for j, job := range jobs {
		for k, s := range job {
			t := days.Task{Name: fmt.Sprintf("job %d, step %d", j, k), Vessels: []int{s.Machine}, Soak: s.Duration, LongestSoak: s.Duration}
			if k > 0 {
				t.After = []days.Wait{{Task: len(p.Tasks) - 1, Most: days.Never}}
			}
			p.Tasks = append(p.Tasks, t)
		}
	}
	return p
}

// Fisher and Thompson (1963), the 6×6: optimum 55.
func TestFisherAndThompsonsSixBySixTakes55(t *testing.T) {
	t.Parallel()
	rows := [][]int64{
		{2, 1, 0, 3, 1, 6, 3, 7, 5, 3, 4, 6}, {1, 8, 2, 5, 4, 10, 5, 10, 0, 10, 3, 4}, {2, 5, 3, 4, 5, 8, 0, 9, 1, 1, 4, 7},
		{1, 5, 0, 5, 2, 5, 3, 3, 4, 8, 5, 9}, {2, 9, 1, 3, 4, 5, 5, 4, 0, 3, 3, 1}, {1, 3, 3, 3, 5, 9, 0, 10, 4, 4, 2, 1}}
	var jobs [][]season.Step
	for _, r := range rows {
		var job []season.Step
		for k := 0; k < len(r); k += 2 {
			job = append(job, season.Step{Machine: int(r[k]), Duration: r[k+1]})
		}
		jobs = append(jobs, job)
	}
	p := shopOf(6, jobs, false)
	pl, err := days.Make(p, days.Limit{Nodes: 5_000_000})
	if err != nil {
		t.Fatal(err)
	}
	check(t, p, pl)
	if pl.Makespan != 55 || !pl.Optimal {
		t.Errorf("%d, optimal %v", pl.Makespan, pl.Optimal)
	}
	own := shopOf(6, jobs, true)
	if pl, err = days.Make(own, days.Limit{Nodes: 800_000}); err != nil {
		t.Fatal(err)
	}
	check(t, own, pl)
	if pl.Makespan != 55 || pl.Bound.At > 55 {
		t.Errorf("this package's own search: %d, bound %d", pl.Makespan, pl.Bound.At)
	}
}

// Small job shops: this package's own search, season.Schedule and cbc (Manne's
// formulation, Operations Research 8, 1960) agree.
func TestJobShopsAgreeWithSeasonAndCBC(t *testing.T) {
	t.Parallel()
	dice := rand.New(rand.NewPCG(5, 80))
	for round := range 25 {
		machines := 2 + dice.IntN(2)
		var jobs [][]season.Step
		for range 3 {
			var job []season.Step
			for range 1 + dice.IntN(3) {
				job = append(job, season.Step{Machine: dice.IntN(machines), Duration: 1 + dice.Int64N(9)})
			}
			jobs = append(jobs, job)
		}
		shop, err := season.Schedule(machines, jobs, season.Limit{})
		if err != nil {
			t.Fatal(err)
		}
		p := shopOf(machines, jobs, true)
		pl, err := days.Make(p, days.Limit{})
		if err != nil {
			t.Fatal(err)
		}
		check(t, p, pl)
		if pl.Makespan != shop.Makespan || !pl.Optimal {
			t.Errorf("%v: %d, optimal %v; season %d", jobs, pl.Makespan, pl.Optimal, shop.Makespan)
		}
		if round < 8 {
			if best := cbc(t, manne(jobs)); best != pl.Makespan {
				t.Errorf("%v: %d; cbc %d", jobs, pl.Makespan, best)
			}
		}
	}
}

func manne(jobs [][]season.Step) []byte {
	type step struct {
		name string
		season.Step
	}
	var rows, binaries bytes.Buffer
	total := int64(0)
	var all []step
	for j, job := range jobs {
		for k, s := range job {
			total += s.Duration
			all = append(all, step{fmt.Sprintf("s%d_%d", j, k), s})
			fmt.Fprintf(&rows, " z - s%d_%d >= %d\n", j, k, s.Duration)
			if k > 0 {
				fmt.Fprintf(&rows, " s%d_%d - s%d_%d >= %d\n", j, k, j, k-1, job[k-1].Duration)
			}
		}
	}
	for x, a := range all {
		for y, b := range all[:x] {
			if a.Machine != b.Machine {
				continue
			}
			fmt.Fprintf(&rows, " %s - %s + %d y%d_%d >= %d\n", a.name, b.name, total, x, y, b.Duration)
			fmt.Fprintf(&rows, " %s - %s - %d y%d_%d >= %d\n", b.name, a.name, total, x, y, a.Duration-total)
			fmt.Fprintf(&binaries, " y%d_%d\n", x, y)
		}
	}
	return fmt.Appendf(nil, "Minimize\n z\nSubject To\n%sBinaries\n%sEnd\n", rows.Bytes(), binaries.Bytes())
}

// Loads under mass and liquor agree with cbc on the fewest loads, and on the
// least volume of so many.
func TestLoadsAgreeWithCBC(t *testing.T) {
	t.Parallel()
	dice := rand.New(rand.NewPCG(19, 89))
	for range 8 {
		pots := []days.Pot{{Code: "pot-40", Liquor: quantity.Millilitres(32_000), Mass: quantity.Grams(900)}, {Code: "pot-25", Liquor: quantity.Millilitres(20_000), Mass: quantity.Grams(800)}}
		var sets []days.Set
		for k := range 7 {
			sets = append(sets, days.Set{Name: fmt.Sprint("set-", k), Fibre: quantity.Grams(100 + dice.Int64N(400)), Ratio: quantity.Ratio(20_000 + 10_000*dice.Int64N(3))})
		}
		l, err := days.Lay(pots, sets, days.Limit{})
		if err != nil || !l.Optimal {
			t.Fatalf("%v, optimal %v", err, l.Optimal)
		}
		litres := int64(0)
		for _, load := range l.Loads {
			litres += pots[load.Pot].Liquor.N / 1_000_000
		}
		const aLoad = 10_000 // above all litres together
		if best := cbc(t, layings(pots, sets, aLoad)); best != aLoad*int64(len(l.Loads))+litres {
			t.Errorf("%d loads of %d L; cbc %d", len(l.Loads), litres, best)
		}
	}
}

// layings: a binary for each set in each load, and one for each load's pot.
func layings(pots []days.Pot, sets []days.Set, aLoad int64) []byte {
	var goal, rows, binaries bytes.Buffer
	for l := range sets {
		var one, liquor, mass bytes.Buffer
		for k, p := range pots {
			fmt.Fprintf(&goal, " + %d p%d_%d", aLoad+p.Liquor.N/1_000_000, l, k)
			fmt.Fprintf(&one, " + p%d_%d", l, k)
			fmt.Fprintf(&liquor, " - %d p%d_%d", p.Liquor.N/1000, l, k)
			fmt.Fprintf(&mass, " - %d p%d_%d", p.Mass.N/1_000_000, l, k)
			fmt.Fprintf(&binaries, " p%d_%d\n", l, k)
		}
		for i, s := range sets {
			fmt.Fprintf(&liquor, " + %d x%d_%d", s.Liquor().N/1000, i, l)
			fmt.Fprintf(&mass, " + %d x%d_%d", s.Fibre.N/1_000_000, i, l)
			fmt.Fprintf(&binaries, " x%d_%d\n", i, l)
		}
		fmt.Fprintf(&rows, "%s <= 1\n%s <= 0\n%s <= 0\n", one.Bytes(), liquor.Bytes(), mass.Bytes())
	}
	for i := range sets {
		for l := range sets {
			fmt.Fprintf(&rows, " + x%d_%d", i, l)
		}
		fmt.Fprintf(&rows, " = 1\n")
	}
	return fmt.Appendf(nil, "Minimize\n%s\nSubject To\n%sBinaries\n%sEnd\n", goal.Bytes(), rows.Bytes(), binaries.Bytes())
}
