package season_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"

	"dyelot/inventory/season"
)

// packProgram gives each set a load of its own number or a lower one, and
// each load a pot. A load weighs more than any capacity.
func packProgram(pots []season.Pot, sets []season.Set) (program []byte, weight int64) {
	for _, p := range pots {
		weight = max(weight, p.Mass*int64(len(sets))+1)
	}
	var goal, rows, binaries bytes.Buffer
	for s := range sets {
		var one, room bytes.Buffer
		for k, p := range pots {
			fmt.Fprintf(&goal, " + %d z%d_%d", weight+p.Mass, s, k)
			fmt.Fprintf(&one, " + z%d_%d", s, k)
			fmt.Fprintf(&room, " - %d z%d_%d", p.Mass, s, k)
			fmt.Fprintf(&binaries, " z%d_%d\n", s, k)
		}
		fmt.Fprintf(&rows, "%s <= 1\n", &one)
		for i := s; i < len(sets); i++ {
			fmt.Fprintf(&room, " + %d x%d_%d", sets[i].Mass, i, s)
			fmt.Fprintf(&binaries, " x%d_%d\n", i, s)
		}
		fmt.Fprintf(&rows, "%s <= 0\n", &room)
		for i := range s + 1 {
			fmt.Fprintf(&rows, " + x%d_%d", s, i)
		}
		fmt.Fprint(&rows, " = 1\n")
	}
	return fmt.Appendf(nil, "Minimize\n obj:%s\nSubject To\n%sBinaries\n%sEnd\n", &goal, &rows, &binaries), weight
}

func TestPackAgreesWithCbc(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1990, 28))
	for n := range 12 {
		pots := potsOf([]int64{150, 120, 100, 70}[:1+n%4]...)
		var masses []int64
		for range 6 + r.IntN(6) {
			masses = append(masses, 15+r.Int64N(86))
		}
		sets := setsOf(masses...)
		got, err := season.Pack(pots, sets, season.Limit{})
		if err != nil {
			t.Fatal(err)
		}
		holds := packs(t, pots, sets, got)
		program, weight := packProgram(pots, sets)
		if want := cbc(t, program); int64(len(got.Loads))*weight+holds != want || !got.Optimal {
			t.Errorf("case %d: %d loads of %d, optimal %v; cbc finds %d of %d\n%v", n, len(got.Loads), holds, got.Optimal, want/weight, want%weight, masses)
		}
	}
}
