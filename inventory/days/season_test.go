package days_test

import (
	"fmt"
	"syscall"
	"testing"
	"time"

	"dyelot/inventory/days"
	"dyelot/inventory/days/large"
)

// planned lays a large season into loads and over the days.
func planned(t testing.TB, garments int) (*days.Problem, days.Plan, int) {
	t.Helper()
	p, lots, err := large.New(garments).Problem()
	if err != nil {
		t.Fatal(err)
	}
	pl, err := days.Make(p, days.Limit{Nodes: 20 * len(p.Tasks)})
	if err != nil {
		t.Fatal(err)
	}
	return p, pl, lots
}

// Issue 5: 40 colourways, 25 styles and 2 000 garments plan in under 20 s of one
// core and within 5 % of the lower bound.
func TestALargeSeasonIsPlannedCloseToItsBound(t *testing.T) {
	t.Parallel()
	began := time.Now()
	p, pl, lots := planned(t, 2000)
	took := time.Since(began)
	check(t, p, pl)
	ratio := float64(pl.Bound.At) / float64(pl.Makespan)
	t.Logf("%d lots, %d stages in %v: %.1f days, bound %.1f (%s), ratio %.4f", lots, len(p.Tasks), took, float64(pl.Makespan)/float64(days.Day), float64(pl.Bound.At)/float64(days.Day), pl.Bound.Why, ratio)
	if lots < 150 || lots > 250 || ratio < 0.95 || took > 20*time.Second {
		t.Errorf("%d lots, ratio %.4f, %v", lots, ratio, took)
	}
}

// Loads of the season hold every set once, whole, and no pot is above its liquor.
func TestEverySetOfALargeSeasonIsInOneLoad(t *testing.T) {
	t.Parallel()
	s := large.New(2000)
	all, err := s.Loads()
	if err != nil {
		t.Fatal(err)
	}
	colours, styles, pieces := map[string]bool{}, map[string]bool{}, int64(0)
	for k, l := range all {
		in := map[int]int{}
		for _, load := range l.Loads {
			liquor := int64(0)
			for _, i := range load.Sets {
				in[i]++
				liquor += s.Runs[k].Sets[i].Liquor().N
			}
			if liquor != load.Liquor.N {
				t.Errorf("run %d: %d and %d", k, liquor, load.Liquor.N)
			}
		}
		for i, set := range s.Runs[k].Sets {
			colours[s.Runs[k].Colourway], styles[set.Name] = true, true
			pieces += s.Runs[k].Pieces[i]
			if in[i] != 1 {
				t.Errorf("run %d: set %d is in %d loads", k, i, in[i])
			}
		}
		if len(l.Unfit) > 0 {
			t.Errorf("%v", l.Unfit)
		}
	}
	if len(colours) != 40 || len(styles) != 25 || pieces != 2000 {
		t.Errorf("%d colourways, %d styles, %d pieces", len(colours), len(styles), pieces)
	}
}

// BenchmarkSeason plans seasons of growing size. Nanoseconds a garment grow no
// faster than the logarithm where the whole grows no faster than n log n.
func BenchmarkSeason(b *testing.B) {
	for _, garments := range []int{2000, 5000, 10_000, 20_000} {
		b.Run(fmt.Sprint(garments), func(b *testing.B) {
			before := processor(b)
			for b.Loop() {
				_, pl, lots := planned(b, garments)
				b.ReportMetric(float64(lots), "lots")
				b.ReportMetric(float64(pl.Bound.At)/float64(pl.Makespan), "bound/plan")
			}
			b.ReportMetric(float64((processor(b)-before).Nanoseconds())/float64(b.N)/float64(garments), "cpu-ns/garment")
		})
	}
}

// processor is the time that this process has had, whatever else the machine did.
func processor(t testing.TB) time.Duration {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
