package days_test

import (
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/days"
	"dyelot/inventory/fault"
)

// Every plan of any problem keeps every rule, whatever built it.
func TestEveryPlanKeepsItsRules(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := draw(t, small{tasks: 14, horizon: 400, longest: true, fixed: true})
		pl, err := days.Make(p, days.Limit{Nodes: 3000})
		if f, ok := fault.Of(err); ok && f.Reason == "NO_ROOM" {
			t.Skip("waits that no calendar keeps")
		}
		if err != nil {
			t.Fatal(err)
		}
		for _, wrong := range broken(p, pl) {
			t.Error(wrong)
		}
		if pl.Bound.At > pl.Makespan {
			t.Errorf("bound %d, makespan %d", pl.Bound.At, pl.Makespan)
		}
	})
}
