package lot_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// choirBaths are laid and not yet filled.
func choirBaths(t *testing.T) []lot.Bath {
	t.Helper()
	baths, err := lot.Baths(choirStages(), oneToForty, choirLots(), map[int]lot.Pot{1: tub})
	if err != nil {
		t.Fatal(err)
	}
	return baths
}

func filled(t *testing.T, baths []lot.Bath, shelf *lot.Shelf, matched bool, prefer map[int64]int64) []lot.Bath {
	t.Helper()
	if err := lot.Fill(baths, shelf, matched, prefer); err != nil {
		t.Fatal(err)
	}
	return baths
}

// oneBath is a bath of 1000 g with some doses.
func oneBath(lines ...lot.Line) lot.Bath {
	b := bathOf(g(1000))
	b.Position, b.Kind = 1, kind("dye")
	for _, l := range lines {
		b.Doses = append(b.Doses, lot.Dose{Item: l.Item, Ask: l.Ask})
	}
	return b
}

// Before 14 May the one bag has 135 g free of 155: 27 g short, and nothing is
// taken of it. Then a bag of 500 g comes and gives it all; the old one stays.
func TestTheChoirsAlumIsShortBeforeAnythingIsWet(t *testing.T) {
	t.Parallel()
	shelf := shelfOf(slices.Delete(choirShelf(), 1, 2)...)
	d := filled(t, choirBaths(t), shelf, true, nil)[0].Doses[0]
	if d.Amount != g(162) || d.Short != g(162) || d.Lacks != g(27) || d.Picks != nil {
		t.Errorf("%+v", d)
	}
	if want := "162 g is needed, P1 has 135 g free: 27 g short; 135 g would make 12.5 % WOF, which nobody asked for"; d.Note != want {
		t.Errorf("it says %q, want %q", d.Note, want)
	}
	if shelf.Parcels[alum.ID][0].Promised != g(20) {
		t.Errorf("%s of the old bag is promised", shelf.Parcels[alum.ID][0].Promised)
	}

	shelf = shelfOf(choirShelf()...)
	baths := filled(t, choirBaths(t), shelf, true, nil)
	d = baths[0].Doses[0]
	if diff := cmp.Diff([]lot.Pick{{ParcelID: 2, Code: "P2", Amount: g(162)}}, d.Picks); diff != "" || !d.Short.IsZero() || !d.Lacks.IsZero() || d.Note != "" {
		t.Errorf("%+v %s", d, diff)
	}
	old, fresh := shelf.Parcels[alum.ID][0], shelf.Parcels[alum.ID][1]
	if old.OnHand != g(155) || old.Promised != g(20) || fresh.Free() != g(338) {
		t.Errorf("the old bag has %s with %s promised, the new one %s free", old.OnHand, old.Promised, fresh.Free())
	}
	var got []string
	for _, b := range baths {
		for _, d := range b.Doses {
			got = append(got, d.Amount.String()+" of "+d.Picks[0].Code)
		}
	}
	if diff := cmp.Diff([]string{"162 g of P2", "720 g of P3", "27 mL of P4", "27 mL of P4"}, got); diff != "" {
		t.Error(diff)
	}
}

// The shelf shrinks as it goes: what one dose takes, the next does not find.
func TestTwoDosesDoNotTakeTheSameGrams(t *testing.T) {
	t.Parallel()
	baths := []lot.Bath{oneBath(lot.Line{Item: alum, Ask: wof("10")}), oneBath(lot.Line{Item: alum, Ask: wof("10")})}
	filled(t, baths, shelfOf(bag(1, alum, g(150), g(0))), false, nil)
	first, second := baths[0].Doses[0], baths[1].Doses[0]
	if !first.OnlyFrom(1) || second.Picks != nil || second.Lacks != g(50) || second.Note != "100 g is needed, P1 has 50 g free: 50 g short; 50 g would make 5 % WOF, which nobody asked for" {
		t.Errorf("%+v, then %+v", first, second)
	}
	twice := []lot.Bath{oneBath(lot.Line{Item: alum, Ask: wof("10")}, lot.Line{Item: alum, Ask: wof("5")})}
	filled(t, twice, shelfOf(bag(1, alum, g(100), g(0)), bag(2, alum, g(50), g(0))), false, nil)
	if a, b := twice[0].Doses[0], twice[0].Doses[1]; !a.OnlyFrom(1) || !b.OnlyFrom(2) {
		t.Errorf("in one bath: %+v, then %+v", a, b)
	}
}

func TestADoseFromSeveralParcels(t *testing.T) {
	t.Parallel()
	baths := []lot.Bath{oneBath(lot.Line{Item: alum, Ask: wof("15")})}
	shelf := shelfOf(bag(1, alum, g(90), g(0)), bag(2, alum, g(100), g(0)))
	d := filled(t, baths, shelf, true, nil)[0].Doses[0]
	want := []lot.Pick{{ParcelID: 1, Code: "P1", Amount: g(90)}, {ParcelID: 2, Code: "P2", Amount: g(60)}}
	if diff := cmp.Diff(want, d.Picks); diff != "" || d.Amount != g(150) || d.Note != "no single parcel covers it: 2 together do, the oldest first" {
		t.Errorf("a mordant of a matched set may come from two bags: %+v %s", d, diff)
	}
	if shelf.Parcels[alum.ID][0].Free() != g(0) || shelf.Parcels[alum.ID][1].Free() != g(40) {
		t.Errorf("%+v", shelf.Parcels)
	}
}

// Law 11: a matched set uses one harvest of each dyestuff.
func TestLaw11AMatchedSetTakesOneHarvest(t *testing.T) {
	t.Parallel()
	two := func() []lot.Bath {
		return []lot.Bath{oneBath(lot.Line{Item: weld, Ask: wof("50")}), oneBath(lot.Line{Item: weld, Ask: wof("40")})}
	}
	small, large := bag(1, weld, g(600), g(0)), bag(2, weld, g(1200), g(0))
	small.Strength = quantity.WholePercent(90)
	baths := filled(t, two(), shelfOf(small, large), true, nil)
	if a, b := baths[0].Doses[0], baths[1].Doses[0]; !a.OnlyFrom(2) || !b.OnlyFrom(2) || a.Amount != g(500) || b.Amount != g(400) {
		t.Errorf("only P2 has enough for both: %+v %+v", a, b)
	}
	baths = filled(t, two(), shelfOf(small, large), false, nil)
	if a, b := baths[0].Doses[0], baths[1].Doses[0]; !a.OnlyFrom(1) || a.Amount != g(556) || !b.OnlyFrom(2) || b.Amount != g(400) {
		t.Errorf("lots that need not match take what is oldest: %+v %+v", a, b)
	}

	weak := bag(3, weld, g(990), g(0))
	weak.Strength = quantity.WholePercent(90)
	baths = filled(t, two(), shelfOf(small, weak), true, nil)
	for i, want := range []quantity.Amount{g(556), g(444)} {
		d := baths[i].Doses[0]
		if d.Picks != nil || d.Amount != want || d.Short != want || d.Lacks != g(10) {
			t.Errorf("by the nearest harvest, of 90 %%: %+v", d)
		}
	}
	if says, want := baths[0].Doses[0].Note, "for 2 baths of the set together 1000 g is needed, one parcel must cover it, and of 2 parcels P3 has 990 g free: 10 g short; 990 g would make 49.5 % WOF, which nobody asked for"; says != want {
		t.Errorf("it says %q, want %q", says, want)
	}
}

// One bath alone of a matched set is no reason to mix two harvests in it.
func TestLaw11ASingleBathTakesOneHarvestToo(t *testing.T) {
	t.Parallel()
	for _, matched := range []bool{true, false} {
		baths := []lot.Bath{oneBath(lot.Line{Item: weld, Ask: wof("50")})}
		d := filled(t, baths, shelfOf(bag(1, weld, g(300), g(0)), bag(2, weld, g(300), g(0))), matched, nil)[0].Doses[0]
		if matched != (d.Picks == nil) || !matched && len(d.Picks) != 2 {
			t.Errorf("matched %v: %+v", matched, d)
		}
	}
}

func TestAHarvestThatASetHasBegunDecidesForTheRest(t *testing.T) {
	t.Parallel()
	half := func() []lot.Bath {
		baths := []lot.Bath{oneBath(lot.Line{Item: weld, Ask: wof("50")}), oneBath(lot.Line{Item: weld, Ask: wof("40")})}
		d := &baths[0].Doses[0]
		d.Amount, d.Short, d.Picks = g(500), g(0), []lot.Pick{{ParcelID: 2, Code: "P2", Amount: g(500)}}
		return baths
	}
	shelf := func() *lot.Shelf {
		return shelfOf(bag(1, weld, g(900), g(0)), bag(2, weld, g(900), g(500)))
	}
	if d := filled(t, half(), shelf(), true, nil)[1].Doses[0]; !d.OnlyFrom(2) {
		t.Errorf("%+v", d)
	}
	wantFault(t, lot.Fill(half(), shelf(), true, map[int64]int64{weld.ID: 1}), fault.Refused, "ONE_HARVEST",
		"stage 1, weld: weld of this set comes from P2: a matched set takes one harvest of each dyestuff, so P1 cannot join it")
	if d := filled(t, half(), shelf(), false, map[int64]int64{weld.ID: 1})[1].Doses[0]; !d.OnlyFrom(1) {
		t.Errorf("lots that need not match: %+v", d)
	}
	drawn := stock.Item{ID: 8, Code: "madder-liquor", Name: "madder liquor", Kind: stock.Solution, Unit: quantity.Volume, Plant: "madder", Resolution: mL(1)}
	baths := []lot.Bath{oneBath(lot.Line{Item: drawn, Ask: perKilo(500)}), oneBath(lot.Line{Item: drawn, Ask: perKilo(400)})}
	filled(t, baths, shelfOf(bottle(1, drawn, mL(600), 0), bottle(2, drawn, mL(900), 0)), true, nil)
	if a, b := baths[0].Doses[0], baths[1].Doses[0]; !a.OnlyFrom(2) || !b.OnlyFrom(2) {
		t.Errorf("a liquor of a dye plant is a dyestuff too: %+v %+v", a, b)
	}
}

func TestPreferredParcels(t *testing.T) {
	t.Parallel()
	shelf := func() *lot.Shelf {
		shut := bag(3, alum, g(900), g(0))
		shut.Blocked = "smells of mould"
		return shelfOf(bag(1, alum, g(500), g(0)), bag(2, alum, g(100), g(0)), shut)
	}
	for _, c := range []struct {
		prefer, from int64
		says         string
	}{
		{0, 1, ""},
		{1, 1, ""},
		{2, 0, "150 g is needed, P2 has 100 g free: 50 g short; 100 g would make 10 % WOF, which nobody asked for"},
		{3, 0, "150 g is needed and no parcel may be used; P3 is blocked: smells of mould"},
		{7, 0, "150 g is needed and P7 holds none of this item"},
	} {
		d := filled(t, []lot.Bath{oneBath(lot.Line{Item: alum, Ask: wof("15")})}, shelf(), false, map[int64]int64{alum.ID: c.prefer})[0].Doses[0]
		if d.Note != c.says || c.from != 0 && !d.OnlyFrom(c.from) || c.from == 0 && (d.Picks != nil || d.Short != g(150)) {
			t.Errorf("P%d preferred: %+v", c.prefer, d)
		}
	}
}

// A solution that nobody has made cannot be measured, so the plan says to make
// some first; one that was reckoned once and is used up is short.
func TestSolutionsThatNobodyHasMade(t *testing.T) {
	t.Parallel()
	dose := func() []lot.Bath { return []lot.Bath{oneBath(lot.Line{Item: liquor, Ask: wof("1")})} }
	unknown, strong, weak := bottle(1, liquor, mL(900), 0), bottle(2, liquor, mL(20), 200), bottle(3, liquor, mL(20), 100)
	wantFault(t, lot.Fill(dose(), shelfOf(), false, nil), fault.Refused, "NOT_MADE", "stage 1, iron-liquor: no iron liquor is on the shelf to tell its g/L, so 1 % WOF cannot be measured: make some first")
	wantFault(t, lot.Fill(dose(), shelfOf(unknown), false, nil), fault.Refused, "STRENGTH_UNKNOWN", "stage 1, iron-liquor: P1 (iron liquor) is of unknown strength")
	var d lot.Dose
	for _, order := range [][]stock.Parcel{{strong, unknown}, {unknown, strong}} {
		if d = filled(t, dose(), shelfOf(order...), false, nil)[0].Doses[0]; d.Amount != mL(50) || d.Lacks != mL(30) || d.Picks != nil {
			t.Errorf("%+v", d)
		}
	}
	if d = filled(t, dose(), shelfOf(unknown, strong), false, map[int64]int64{liquor.ID: 1})[0].Doses[0]; d.Amount != mL(50) || d.Picks != nil {
		t.Errorf("the nameless bottle preferred: %+v", d)
	}
	empty := func(p stock.Parcel) stock.Parcel { p.OnHand = mL(0); return p }
	if d = filled(t, dose(), shelfOf(empty(strong), empty(weak), empty(unknown)), false, map[int64]int64{liquor.ID: 1})[0].Doses[0]; d.Amount != mL(100) {
		t.Errorf("by the newest whose g/L is known: %+v", d)
	}
	again := dose()
	again[0].Doses[0].Amount, again[0].Doses[0].Short = mL(50), mL(50)
	d = filled(t, again, shelfOf(), false, nil)[0].Doses[0]
	if d.Amount != mL(50) || d.Short != mL(50) || d.Lacks.Unit != 0 || d.Note != "no iron liquor is on the shelf to tell its g/L, so 1 % WOF cannot be measured: make some first, or book in what there is" {
		t.Errorf("%+v", d)
	}
	swatch := []lot.Bath{oneBath(lot.Line{Item: vinegar, Ask: perKilo(40)})}
	if d = filled(t, swatch, shelfOf(), false, nil)[0].Doses[0]; d.Short != mL(40) || d.Note != "40 mL is needed and none is on the shelf" {
		t.Errorf("mL/kg need no g/L: %+v", d)
	}
}

func TestWhatTheScaleShowsAsNothing(t *testing.T) {
	t.Parallel()
	dose := []lot.Bath{oneBath(lot.Line{Item: alum, Ask: wof("0.005")})}
	wantFault(t, lot.Fill(dose, shelfOf(bag(1, alum, g(90), g(0))), false, nil), fault.Refused, "BELOW_SCALE", "stage 1, alum: 0.05 g rounds to nothing in steps of 0.1 g")
	weak := bag(1, alum, g(90), g(0))
	weak.Strength = quantity.WholePercent(50)
	if d := filled(t, dose, shelfOf(weak), false, nil)[0].Doses[0]; d.Amount != mg(100) || !d.OnlyFrom(1) {
		t.Errorf("of half strength it can be weighed: %+v", d)
	}
}

func TestGivingBackBeforePickingAnew(t *testing.T) {
	t.Parallel()
	shelf := shelfOf(bag(1, alum, g(155), g(120)), bag(2, weld, g(900), g(720)))
	shelf.GiveBack([]stock.Promise{{ParcelID: 1, Outstanding: g(100)}, {ParcelID: 2, Outstanding: g(720)}, {ParcelID: 7, Outstanding: g(1)}})
	if a, w := shelf.Parcels[alum.ID][0].Free(), shelf.Parcels[weld.ID][0].Free(); a != g(135) || w != g(900) {
		t.Errorf("%s of alum and %s of weld are free", a, w)
	}
}

// Nothing that is picked is picked again, whatever the shelf has.
func TestFillLeavesWhatIsPicked(t *testing.T) {
	t.Parallel()
	was := filled(t, choirBaths(t), shelfOf(choirShelf()...), true, nil)
	is := make([]lot.Bath, len(was))
	for i, b := range was {
		is[i] = b
		is[i].Doses = slices.Clone(b.Doses)
	}
	filled(t, is, shelfOf(bag(9, alum, g(9000), g(0))), true, nil)
	if diff := cmp.Diff(was, is); diff != "" {
		t.Error(diff)
	}
}
