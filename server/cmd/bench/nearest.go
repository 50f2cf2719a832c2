package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"dyelot/inventory/colour"
)

const (
	swatches = 1_000_000
	// wanted is how many neighbours each question asks for.
	wanted = 10
	// asked is how many questions of a kind a round puts to the tree. A scan takes
	// as long for any of them, so that it gets only the first few.
	asked, scanned = 64, 2
)

// nearest is the time to find the nearest of a million swatches by comparing all
// of them with CIEDE2000 over the time the tree takes, all kinds of book and of
// question together, so that the slow kinds count most.
func (b *bench) nearest(context.Context, string) error {
	type kind struct{ book, question string }
	var kinds []kind
	perKind := map[kind]*[2][]float64{}
	var ours, scans []float64
	slowest := time.Duration(0)
	sums := make([][2]float64, b.rounds)
	for _, book := range []string{"dyed", "box"} {
		r := rand.New(rand.NewPCG(2026, uint64(len(book))))
		labs := paint(r, swatches, palettes[book])
		began := time.Now()
		tree := colour.NewNearest(labs)
		fmt.Printf("%-22s a book of %d swatches, %s, taken up in %.2f s\n", "", tree.Len(), book, time.Since(began).Seconds())
		for _, question := range []string{"dyed", "box", "blue", "vivid"} {
			k := kind{book, question}
			kinds, perKind[k] = append(kinds, k), &[2][]float64{}
			for round := range b.rounds {
				tree, scan, worst, err := race(tree, labs, paint(r, asked, palettes[question]))
				if err != nil {
					return fmt.Errorf("nearest_vs_scan, %s among %s: %w", question, book, err)
				}
				slowest = max(slowest, worst)
				perKind[k][0], perKind[k][1] = append(perKind[k][0], tree), append(perKind[k][1], scan)
				sums[round][0], sums[round][1] = sums[round][0]+tree, sums[round][1]+scan
			}
		}
	}
	var ratios []float64
	for _, s := range sums {
		ratios = append(ratios, s[1]/s[0])
		ours, scans = append(ours, s[0]/float64(len(kinds))), append(scans, s[1]/float64(len(kinds)))
	}
	b.report("nearest_vs_scan", ratios, "µs a question", scans, ours)
	for _, k := range kinds {
		tree, scan := median(perKind[k][0]), median(perKind[k][1])
		fmt.Printf("%-22s %.0f  %s asked of %s (median µs: %.0f over %.1f)\n", "", scan/tree, k.question, k.book, scan, tree)
	}
	fmt.Printf("%-22s the slowest of all questions took %.2f ms\n", "", slowest.Seconds()*1000)
	return nil
}

// race puts the questions to the tree, and the first of them to a scan, and
// returns the microseconds a question took of each. The answers must agree.
func race(tree *colour.Nearest, labs, questions []colour.Lab) (ours, scan float64, slowest time.Duration, err error) {
	var found [scanned][]colour.Neighbour
	for i, q := range questions {
		began := time.Now()
		answer := tree.Find(q, wanted, nil)
		took := time.Since(began)
		ours, slowest = ours+micros(took), max(slowest, took)
		if i < scanned {
			found[i] = answer
		}
	}
	for i, q := range questions[:scanned] {
		began := time.Now()
		all := nearestByScan(labs, q)
		scan += micros(time.Since(began))
		if !slices.Equal(all, found[i]) {
			return 0, 0, 0, fmt.Errorf("nearest to %v the tree finds %v, the scan %v", q, found[i], all)
		}
	}
	return ours / float64(len(questions)), scan / scanned, slowest, nil
}

func micros(d time.Duration) float64 { return d.Seconds() * 1e6 }

// nearestByScan compares all, and keeps the best so far in order: past the first
// few thousand colours hardly one is better than the worst of them.
func nearestByScan(labs []colour.Lab, q colour.Lab) []colour.Neighbour {
	best := make([]colour.Neighbour, 0, wanted+1)
	for i, c := range labs {
		d := colour.CIEDE2000(q, c)
		if len(best) == wanted && d >= best[wanted-1].Difference {
			continue
		}
		at := len(best)
		for at > 0 && best[at-1].Difference > d {
			at--
		}
		best = slices.Insert(best, at, colour.Neighbour{Index: i, Difference: d})
		best = best[:min(len(best), wanted)]
	}
	return best
}

func paint(r *rand.Rand, n int, palette func(*rand.Rand) colour.Lab) []colour.Lab {
	labs := make([]colour.Lab, n)
	for i := range labs {
		labs[i] = palette(r)
	}
	return labs
}

// palettes are the books and the questions: what natural dyes give; any colour
// of a box that holds all of them and much else; blues, where CIEDE2000 turns chroma
// into hue; and vivid colours no natural dye reaches.
var palettes = map[string]func(*rand.Rand) colour.Lab{
	"dyed": dyed,
	"box": func(r *rand.Rand) colour.Lab {
		return colour.Lab{L: 100 * r.Float64(), A: 200*r.Float64() - 100, B: 200*r.Float64() - 100}
	},
	"blue": func(r *rand.Rand) colour.Lab {
		return colour.LCh{L: 20 + 60*r.Float64(), C: 10 + 60*r.Float64(), H: 260 + 30*r.Float64()}.Lab()
	},
	"vivid": func(r *rand.Rand) colour.Lab {
		return colour.LCh{L: 100 * r.Float64(), C: 80 + 50*r.Float64(), H: 360 * r.Float64()}.Lab()
	},
}

// vats are about where natural dyes lie (invented): weld, onion, madder, cochineal,
// walnut, alder, birch, woad, iron over tannin, green from weld over woad, undyed.
var vats = []colour.Lab{{L: 78, A: -3, B: 62}, {L: 62, A: 14, B: 48}, {L: 45, A: 38, B: 26}, {L: 40, A: 42, B: 4}, {L: 38, A: 9, B: 16}, {L: 62, A: 7, B: 22},
	{L: 74, A: 0, B: 36}, {L: 36, A: -3, B: -27}, {L: 33, A: 1, B: 3}, {L: 48, A: -18, B: 22}, {L: 86, A: 0, B: 11}}

// dyed is a vat at some depth between cloth hardly tinted and past full, and what
// harvest, water and fibre make of it.
func dyed(r *rand.Rand) colour.Lab {
	v, depth := vats[r.IntN(len(vats))], 0.3+0.8*r.Float64()
	return colour.Lab{
		L: min(max(90-(90-v.L)*depth+4*r.NormFloat64(), 0), 100),
		A: v.A*depth + 3*r.NormFloat64(),
		B: v.B*depth + 3*r.NormFloat64(),
	}
}
