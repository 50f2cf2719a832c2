package large_test

import (
	"testing"
	"time"

	"dyelot/inventory/days"
	"dyelot/inventory/days/large"
)

func TestLook(t *testing.T) {
	for _, n := range []int{2000, 5000} {
		began := time.Now()
		p, lots, err := large.New(n).Problem()
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%d lots, %d tasks, loads in %v", lots, len(p.Tasks), time.Since(began))
		began = time.Now()
		pl, err := days.Make(p, days.Limit{Nodes: 30000})
		t.Logf("one %v %v %.4f", err, time.Since(began), float64(pl.Bound.At)/float64(pl.Makespan))
		began = time.Now()
		pl, err = days.Make(p, days.Limit{})
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("makespan %.2f d bound %.2f d (%s) %v ratio %.4f", float64(pl.Makespan)/1440, float64(pl.Bound.At)/1440, pl.Bound.Why, time.Since(began), float64(pl.Bound.At)/float64(pl.Makespan))
	}
}
