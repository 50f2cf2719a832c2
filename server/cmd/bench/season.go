package main

import (
	"context"
	"fmt"
	"time"

	"dyelot/inventory/days"
	"dyelot/inventory/days/large"
)

// seasonGarments is the demo's large season; its seed is fixed.
const seasonGarments = 2000

// season is the lower bound of a large season's makespan over the plan found:
// 1 where no plan can be shorter. It is the same in every round; what varies is
// the time it takes, which is printed.
func (b *bench) season(_ context.Context, _ string) error {
	var ratios, bound, plan []float64
	var took []float64
	for range b.rounds {
		began := time.Now()
		p, lots, err := large.New(seasonGarments).Problem()
		if err != nil {
			return err
		}
		pl, err := days.Make(p, days.Limit{})
		if err != nil {
			return err
		}
		if len(took) == 0 {
			fmt.Printf("%d garments in %d lots, %d stages; bound by %s\n", seasonGarments, lots, len(p.Tasks), pl.Bound.Why)
		}
		took = append(took, time.Since(began).Seconds())
		ratios = append(ratios, float64(pl.Bound.At)/float64(pl.Makespan))
		bound, plan = append(bound, float64(pl.Bound.At)/float64(days.Day)), append(plan, float64(pl.Makespan)/float64(days.Day))
	}
	fmt.Printf("planned in %.3g s (median)\n", median(took))
	b.report("season_vs_bound", ratios, "days", bound, plan)
	return nil
}
