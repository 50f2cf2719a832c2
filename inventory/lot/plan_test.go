package lot_test

import (
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// The choir's baths: 1080 g at 1 : 40 is 43.2 L in the 60 L tub; 21.64 L and
// 21.56 L in the pots.
func TestTheChoirsBaths(t *testing.T) {
	t.Parallel()
	baths, err := lot.Baths(choirStages(), oneToForty, choirLots(), map[int]lot.Pot{1: tub})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, b := range baths {
		volume := ""
		if b.Volume.N > 0 {
			volume = b.Volume.String()
		}
		got = append(got, b.Kind.Key+" "+b.Fibre().String()+" "+volume+" "+b.Vessel.Code)
	}
	want := []string{
		"mordant 1080 g 43.2 L T1", "brew 1080 g 43.2 L ",
		"dye 541 g 21.64 L K1", "dye 539 g 21.56 L K2",
		"after-dip 541 g 21.64 L ", "after-dip 539 g 21.56 L ",
		"look-over 541 g  ", "look-over 539 g  ",
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("bath %d is %q, want %q", i, got[i], want[i])
		}
	}
	if len(got) != len(want) || baths[0].Lots[1] != (lot.BathLot{LotID: 1, Fibre: g(539)}) {
		t.Errorf("%d baths, the first with %v", len(got), baths[0].Lots)
	}
}

func TestBathsOfTheirOwnRatioAndVessel(t *testing.T) {
	t.Parallel()
	rinse := stage(2, "rinse", false)
	rinse.Ratio = 60_000
	shirt := []lot.Lot{lotOf(1, potA, g(240), g(0))}
	baths, err := lot.Baths([]lot.Stage{stage(1, "vat-dip", true), rinse}, oneToForty, shirt, nil)
	if err != nil || baths[0].Vessel != potA || !baths[0].Shared || baths[1].Volume != mL(14_400) || baths[1].Vessel.ID != 0 {
		t.Errorf("a shared vat of one lot is in its pot, and a rinse of 240 g at 1 : 60 is 14.4 L: %+v %v", baths, err)
	}
	baths, err = lot.Baths([]lot.Stage{stage(1, "vat-dip", true)}, oneToForty, choirLots(), nil)
	if err != nil || baths[0].Vessel.ID != 0 {
		t.Errorf("a vat that two lots share is in neither's pot: %+v %v", baths, err)
	}
}

func TestBathsRefuse(t *testing.T) {
	t.Parallel()
	_, err := lot.Baths(choirStages(), oneToForty, choirLots(), map[int]lot.Pot{1: potA})
	wantFault(t, err, fault.Refused, "VESSEL_TOO_SMALL", "a bath of 43.2 L does not go into K1, which may hold 32 L")
	for _, position := range []int{3, 9} {
		_, err = lot.Baths(choirStages(), oneToForty, choirLots(), map[int]lot.Pot{1: tub, position: tub})
		wantFault(t, err, fault.Invalid, "INVALID_FIELD", "shared_vessels: names a stage that is not shared")
	}
	deep := stage(1, "dye", false)
	deep.Ratio = 80_000
	_, err = lot.Baths([]lot.Stage{deep}, oneToForty, choirLots(), nil)
	wantFault(t, err, fault.Refused, "VESSEL_TOO_SMALL", "a bath of 43.28 L does not go into K1")
}

// What decides how much a pot takes is the deepest bath that is done in it.
func TestTheRatioThatAPotMustHaveRoomFor(t *testing.T) {
	t.Parallel()
	of := func(key string, ratio quantity.Ratio) lot.Stage {
		s := stage(1, key, false)
		s.Ratio = ratio
		return s
	}
	for _, c := range []struct {
		stages []lot.Stage
		want   quantity.Ratio
	}{
		{choirStages(), 40_000},
		{nil, 40_000},
		{[]lot.Stage{of("dye", 60_000), of("vat-dip", 20_000), of("rinse", 90_000)}, 60_000},
		{[]lot.Stage{of("dye", 20_000)}, 20_000},
		{[]lot.Stage{of("dye", 20_000), of("vat-dip", 0)}, 40_000},
		{[]lot.Stage{of("rinse", 90_000)}, 40_000},
	} {
		if got := lot.PotRatio(c.stages, oneToForty); got != c.want {
			t.Errorf("%v: %s, want %s", c.stages, got, c.want)
		}
	}
}

func TestDivide(t *testing.T) {
	t.Parallel()
	choir := []lot.BathLot{{LotID: 1, Fibre: g(541)}, {LotID: 2, Fibre: g(539)}}
	for _, c := range []struct {
		what  string
		total quantity.Amount
		step  quantity.Amount
		want  [2]string
	}{
		{"weld, by whole grams", g(720), g(1), [2]string{"361 g", "359 g"}},
		{"copperas, by whole millilitres", mL(54), mL(1), [2]string{"27 mL", "27 mL"}},
		{"alum, by tenths", g(162), mg(100), [2]string{"81.2 g", "80.8 g"}},
		{"what is finer than the scale goes to the heavier lot", quantity.Amount{N: 720_400_000, Unit: quantity.Mass}, g(1), [2]string{"361.4 g", "359 g"}},
		{"less than a step", mL(1), mL(5), [2]string{"1 mL", "0 mL"}},
		{"nothing", g(0), g(1), [2]string{"0 g", "0 g"}},
	} {
		got := lot.Divide(c.total, choir, c.step)
		if len(got) != 2 || got[0].String() != c.want[0] || got[1].String() != c.want[1] {
			t.Errorf("%s: %v, want %v", c.what, got, c.want)
		}
	}
}

// Law 4: a bath divided among pots is divided by fibre mass, and the shares sum
// to it. Each is within a step of its exact part, apart from what is finer than
// a step.
func TestLaw4SharesSumToTheBath(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		total := quantity.Amount{N: rapid.Int64Range(0, 1e12).Draw(t, "total"), Unit: quantity.Mass}
		step := quantity.Amount{N: rapid.SampledFrom([]int64{0, 1, 1000, 100_000, 1_000_000}).Draw(t, "step"), Unit: quantity.Mass}
		var lots []lot.BathLot
		fibre := 0.0
		for range rapid.IntRange(1, 8).Draw(t, "lots") {
			lots = append(lots, lot.BathLot{Fibre: quantity.Amount{N: rapid.Int64Range(1, 1e12).Draw(t, "fibre"), Unit: quantity.Mass}})
			fibre += float64(lots[len(lots)-1].Fibre.N)
		}
		sum := quantity.Amount{Unit: quantity.Mass}
		for i, share := range lot.Divide(total, lots, step) {
			exact := float64(total.N) * float64(lots[i].Fibre.N) / fibre
			if off := float64(share.N) - exact; off > 2*float64(step.N)+1 || off < -2*float64(step.N)-1 {
				t.Fatalf("%d of %d for %d of %g: %g is exact", share.N, total.N, lots[i].Fibre.N, fibre, exact)
			}
			sum = sum.Add(share)
		}
		if sum != total {
			t.Fatalf("%v of %v is shared out", sum, total)
		}
	})
}
