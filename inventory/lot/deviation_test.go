package lot_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

func TestDeviations(t *testing.T) {
	t.Parallel()
	b := choir(t)
	for i := range b.baths {
		if b.baths[i].Position == 1 {
			b.baths[i].Celsius, b.baths[i].Minutes, b.baths[i].PHLow, b.baths[i].PHHigh = 50, 60, new(350), new(450)
		}
	}
	fresh, old, tartar := *b.parcel(2), *b.parcel(1), bag(8, soap, g(100), g(0))
	for _, c := range []struct {
		what string
		done lot.Done
		want []string
	}{
		{"as planned", lot.Done{Used: used(fresh, g(162)), Vessel: tub, Celsius: 50, Minutes: 60, PH: new(400)}, nil},
		{"nothing else is said", lot.Done{Used: used(fresh, g(162))}, nil},
		{"at the very limits", lot.Done{Used: used(fresh, g(162)), PH: new(450)}, nil},
		{"too little", lot.Done{Used: used(fresh, g(150))}, []string{"dose; alum: 150 g instead of 162 g (-12 g)"}},
		{"nothing at all", lot.Done{}, []string{"dose; alum: 0 g instead of 162 g (-162 g)"}},
		{"from the old bag", lot.Done{Used: used(old, g(162))}, []string{"parcel; alum: from P1 instead of P2"}},
		{"from both", lot.Done{Used: append(used(old, g(100)), used(fresh, g(62))...)}, []string{"parcel; alum: from P1, P2 instead of P2"}},
		{"something more", lot.Done{Used: append(used(fresh, g(162)), used(tartar, g(5))...)}, []string{"extra; soap: 5 g, which the plan does not have"}},
		{"in another vessel, hotter, longer, too sour", lot.Done{Used: used(fresh, g(162)), Vessel: potA, Celsius: 60, Minutes: 75, PH: new(349)},
			[]string{"vessel; vessel: K1 instead of T1", "temperature; temperature: 60 °C instead of 50 °C", "time; time: 75 min instead of 60 min", "ph; pH 3.49 instead of pH 3.5 to 4.5"}},
	} {
		dec, err := lot.Record(b.before(1, 1, 2), c.done)
		if diff := cmp.Diff(c.want, texts(dec.Deviations)); diff != "" || err != nil {
			t.Errorf("%s: %v %s", c.what, err, diff)
		}
	}
	dec, err := lot.Record(b.before(1, 1, 2), lot.Done{Used: used(fresh, g(162)), PH: new(900)})
	want := []lot.Deviation{{Key: "ph", Planned: "pH 3.5 to 4.5", Actual: "pH 9", Text: "pH 9 instead of pH 3.5 to 4.5"}}
	if diff := cmp.Diff(want, dec.Deviations); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	for i := range b.baths {
		b.baths[i].PHLow = nil
	}
	if dec, _ = lot.Record(b.before(1, 1, 2), lot.Done{Used: used(fresh, g(162)), PH: new(900)}); dec.Deviations[0].Planned != "at most pH 4.5" {
		t.Errorf("%+v", dec.Deviations)
	}
	for i := range b.baths {
		b.baths[i].PHLow, b.baths[i].PHHigh = new(350), nil
	}
	if dec, _ = lot.Record(b.before(1, 1, 2), lot.Done{Used: used(fresh, g(162)), PH: new(300)}); dec.Deviations[0].Text != "pH 3 instead of at least pH 3.5" {
		t.Errorf("%+v", dec.Deviations)
	}
}

// Lots recorded together that were planned in pots of their own: whoever was in
// another's pot was elsewhere than planned.
func TestTwoLotsInOnePot(t *testing.T) {
	t.Parallel()
	b := choir(t)
	for _, c := range []struct {
		in   lot.Pot
		want string
	}{{potA, "vessel; vessel: K1 instead of K2"}, {potB, "vessel; vessel: K2 instead of K1"}, {tub, "vessel; vessel: T1 instead of K1, K2"}} {
		dec, err := lot.Record(b.before(3, 1, 2), lot.Done{Vessel: c.in})
		if diff := cmp.Diff([]string{c.want}, texts(dec.Deviations)); diff != "" || err != nil {
			t.Errorf("%v %s", err, diff)
		}
	}
	b.baths[slices.IndexFunc(b.baths, func(bath lot.Bath) bool { return bath.Vessel == potB })].Vessel = potA
	if dec, _ := lot.Record(b.before(3, 1, 2), lot.Done{Vessel: tub}); texts(dec.Deviations)[0] != "vessel; vessel: T1 instead of K1" {
		t.Errorf("both were to be in one pot, one after the other: %v", dec.Deviations)
	}
	both := lot.Done{Used: used(*b.parcel(4), mL(54))}
	dec, err := lot.Record(b.before(4, 1, 2), both)
	if err != nil || dec.Deviations != nil || len(dec.Promises) != 2 {
		t.Errorf("54 mL for both after-dips: %+v %v", dec, err)
	}
}

// A dose that was picked from several parcels, used from all of them.
func TestAsPlannedFromSeveralParcels(t *testing.T) {
	t.Parallel()
	parcels := []stock.Parcel{bag(1, alum, g(90), g(0)), bag(2, alum, g(100), g(0))}
	b, err := open([]lot.Lot{lotOf(1, potA, g(800), g(0))}, []lot.Stage{stage(1, "mordant", false, lot.Line{Item: alum, Ask: wof("15")})}, nil, parcels, false)
	if err != nil {
		t.Fatal(err)
	}
	b.lots[0].State = lot.InWork
	dec := b.recorded(t, 1, b.asPlanned(1, 1), 1)
	want := []stock.PromiseEntry{{PromiseID: 1, Delta: -g(90).N, Why: stock.Used}, {PromiseID: 2, Delta: -g(30).N, Why: stock.Used}}
	if diff := cmp.Diff(want, dec.Promises); diff != "" || dec.Deviations != nil || dec.States[1] != lot.WaitingForTests {
		t.Errorf("%+v %s", dec, diff)
	}
}

// One item twice in a bath is one dose to the scale, and a dose that was never
// picked has no parcel to differ from.
func TestOneItemTwiceAndOneNeverPicked(t *testing.T) {
	t.Parallel()
	bath := oneBath(lot.Line{Item: alum, Ask: wof("10")}, lot.Line{Item: alum, Ask: wof("5")}, lot.Line{Item: weld, Ask: wof("20")})
	baths := filled(t, []lot.Bath{bath}, shelfOf(bag(1, alum, g(500), g(0))), false, nil)
	before := lot.Before{Lots: []lot.Lot{{ID: 1, Code: "L1", State: lot.InWork, GarmentMass: g(1000)}}, Baths: baths, Open: map[int64]int{1: 2}}
	dec, err := lot.Record(before, lot.Done{Used: append(used(bag(1, alum, g(500), g(0)), g(150)), used(bag(5, weld, g(500), g(0)), g(200))...)})
	if err != nil || dec.Deviations != nil {
		t.Errorf("%v %+v", err, dec.Deviations)
	}
	dec, _ = lot.Record(before, lot.Done{Used: used(bag(1, alum, g(500), g(0)), g(149))})
	if diff := cmp.Diff([]string{"dose; alum: 149 g instead of 150 g (-1 g)", "dose; weld: 0 g instead of 200 g (-200 g)"}, texts(dec.Deviations)); diff != "" {
		t.Error(diff)
	}
}

// The vessel and what the gauges showed: warned of, and recorded all the same.
// Iron stays in its pot; 80 °C for silk, 100 or so for any open pot, and a vat
// at pH 9 to 9.5 for silk are the recipe package's lines (common practice and,
// for the vat, from memory).
func TestWarningsOfVesselAndGauges(t *testing.T) {
	t.Parallel()
	b := choir(t)
	b.fibres = []string{"silk", "polyester"} // its thread; that it will not take the dye is said elsewhere
	keys := func(ws []recipe.Warning) (ks []string) {
		for _, w := range ws {
			ks = append(ks, w.Key+"; "+w.Text)
		}
		return ks
	}
	for _, c := range []struct {
		position int
		done     lot.Done
		want     []string
	}{
		{3, lot.Done{Vessel: potA, Celsius: 80}, nil},
		{3, lot.Done{Vessel: rust, Celsius: 80}, []string{"iron-pot; K9 is kept for iron: it will sadden the colour"}},
		{3, lot.Done{Vessel: potA, Celsius: 90}, []string{"too-hot; 90 °C is above 80 °C for silk"}},
		{4, lot.Done{Vessel: rust, Used: used(*b.parcel(4), mL(27))}, nil},
		{5, lot.Done{Vessel: rust}, nil},
		{5, lot.Done{Celsius: 150}, nil},
	} {
		dec, err := lot.Record(b.before(c.position, 1), c.done)
		if diff := cmp.Diff(c.want, keys(dec.Warnings)); diff != "" || err != nil {
			t.Errorf("stage %d: %v %s", c.position, err, diff)
		}
	}
	dec, err := lot.Record(b.before(3, 1), lot.Done{Vessel: potA, Celsius: 150})
	if err != nil || len(dec.Warnings) != 1 || dec.Warnings[0].Key != "too-hot" {
		t.Errorf("hotter than any open pot: %+v %v", dec.Warnings, err)
	}
	b.baths[slices.IndexFunc(b.baths, func(bath lot.Bath) bool { return bath.Position == 3 })].Kind = kind("vat-dip")
	dec, err = lot.Record(b.before(3, 1), lot.Done{Vessel: potA, PH: new(1100)})
	if err != nil || len(dec.Warnings) != 1 || dec.Warnings[0].Key != "vat-ph" {
		t.Errorf("a vat that would ruin silk: %+v %v", dec.Warnings, err)
	}
}
