package season_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"dyelot/inventory/season"
)

// cbc solves a mixed integer program, written in the LP format, with Debian's
// coinor-cbc: another method, other people's code. A machine without it
// cannot run this test, and that is a failure.
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

// shopProgram is Manne's formulation (Operations Research 8, 1960): a start
// for each step, a yes or no for each two steps of a machine.
func shopProgram(jobs [][]season.Step) []byte {
	type at struct{ job, step int }
	users, total := map[int][]at{}, int64(0)
	var rows, binaries bytes.Buffer
	for j, job := range jobs {
		for k, s := range job {
			total += s.Duration
			fmt.Fprintf(&rows, " z - s%d_%d >= %d\n", j, k, s.Duration)
			if k > 0 {
				fmt.Fprintf(&rows, " s%d_%d - s%d_%d >= %d\n", j, k, j, k-1, job[k-1].Duration)
			}
			users[s.Machine] = append(users[s.Machine], at{j, k})
		}
	}
	for _, list := range users {
		for x, a := range list {
			for _, b := range list[x+1:] {
				if a.job == b.job {
					continue
				}
				first := fmt.Sprintf("y%d_%d_%d_%d", a.job, a.step, b.job, b.step)
				fmt.Fprintf(&rows, " s%d_%d - s%d_%d - %d %s >= %d\n", b.job, b.step, a.job, a.step, total, first, jobs[a.job][a.step].Duration-total)
				fmt.Fprintf(&rows, " s%d_%d - s%d_%d + %d %s >= %d\n", a.job, a.step, b.job, b.step, total, first, jobs[b.job][b.step].Duration)
				fmt.Fprintf(&binaries, " %s\n", first)
			}
		}
	}
	return fmt.Appendf(nil, "Minimize\n obj: z\nSubject To\n%sBinaries\n%sEnd\n", rows.Bytes(), binaries.Bytes())
}

func TestScheduleAgreesWithCbc(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1963, 6))
	for n := range 12 {
		jobs := make([][]season.Step, 3+r.IntN(3))
		for j := range jobs {
			for range 2 + r.IntN(4) { // some come back to a machine, some pass one by
				jobs[j] = append(jobs[j], season.Step{Machine: r.IntN(4), Duration: r.Int64N(20)})
			}
		}
		got, err := season.Schedule(4, jobs, season.Limit{})
		if err != nil {
			t.Fatal(err)
		}
		holds(t, jobs, got)
		if want := cbc(t, shopProgram(jobs)); got.Makespan != want || !got.Optimal {
			t.Errorf("case %d: makespan %d, optimal %v; cbc finds %d\n%v", n, got.Makespan, got.Optimal, want, jobs)
		}
	}
}

func TestCbcProvesFisherAndThompsonToo(t *testing.T) {
	t.Parallel()
	_, jobs := jobsOf(t, classics[0].rows)
	if want := cbc(t, shopProgram(jobs)); want != classics[0].optimum {
		t.Errorf("cbc finds %d, published is %d", want, classics[0].optimum)
	}
}
