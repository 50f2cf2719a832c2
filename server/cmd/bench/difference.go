package main

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"github.com/lucasb-eyer/go-colorful"

	"dyelot/inventory/colour"
)

// pairs is how many colours one pass compares, each with the next; they fit in
// the processor's cache on both sides.
const pairs = 4096

// passes is how often the sides take turns within a round, a few milliseconds
// each, so that a busy neighbour slows all of them.
const passes = 40

// difference is go-colorful's nanoseconds for a CIEDE2000 call over ours, for
// the same colours. That library holds colours as RGB and converts both of them
// within each call; how long it takes for its formula alone, on L*a*b* that is
// ready, is its call less that conversion.
func (b *bench) difference(context.Context, string) error {
	theirs, ours := colours(rand.New(rand.NewPCG(2005, 21)))
	if err := sameDifferences(theirs, ours); err != nil {
		return err
	}
	var sink float64
	sides := [3]func(i, j int){
		func(i, j int) { sink += colour.CIEDE2000(ours[i], ours[j]) },
		func(i, j int) { sink += theirs[i].DistanceCIEDE2000(theirs[j]) },
		func(i, j int) {
			l1, _, _ := theirs[i].Lab()
			l2, _, _ := theirs[j].Lab()
			sink += l1 + l2
		},
	}
	var ratios, ready, calls, own, formula []float64
	for range b.rounds {
		var spent [len(sides)]time.Duration
		for range passes {
			for side, compare := range sides {
				began := time.Now()
				for i := range pairs {
					compare(i, (i+1)%pairs)
				}
				spent[side] += time.Since(began)
			}
		}
		us, call, conversion := perCall(spent[0]), perCall(spent[1]), perCall(spent[2])
		own, calls, formula = append(own, us), append(calls, call), append(formula, call-conversion)
		ratios, ready = append(ratios, call/us), append(ready, (call-conversion)/us)
	}
	b.report("difference_vs_colorful", ratios, "ns a call", calls, own)
	fmt.Printf("%-22s %.3f  on ready L*a*b*, the conversion from RGB taken off (median ns a call: %.4g over %.4g)\n", "", median(ready), median(formula), median(own))
	if math.IsNaN(sink) {
		return fmt.Errorf("a difference was no number")
	}
	return nil
}

func perCall(d time.Duration) float64 { return float64(d.Nanoseconds()) / (passes * pairs) }

// colours draws from the cube of RGB, as go-colorful holds them and as we do.
func colours(r *rand.Rand) (theirs []colorful.Color, ours []colour.Lab) {
	for range pairs {
		c := colorful.Color{R: r.Float64(), G: r.Float64(), B: r.Float64()}
		l, a, b := c.Lab()
		theirs, ours = append(theirs, c), append(ours, colour.Lab{L: 100 * l, A: 100 * a, B: 100 * b})
	}
	return theirs, ours
}

// sameDifferences fails unless both sides compute the same.
func sameDifferences(theirs []colorful.Color, ours []colour.Lab) error {
	for i := range pairs {
		j := (i + 1) % pairs
		us, them := colour.CIEDE2000(ours[i], ours[j]), 100*theirs[i].DistanceCIEDE2000(theirs[j])
		if !(math.Abs(us-them) <= 1e-6*(1+them)) {
			return fmt.Errorf("difference_vs_colorful: from %v to %v we say %v, go-colorful says %v", ours[i], ours[j], us, them)
		}
	}
	return nil
}
