package lot_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
)

// choir is the choir's run, planned and promised, its lots in work.
func choir(t *testing.T) *books {
	t.Helper()
	b, err := open(choirLots(), choirStages(), map[int]lot.Pot{1: tub}, choirShelf(), true)
	if err != nil {
		t.Fatal(err)
	}
	for i := range b.lots {
		b.lots[i].State = lot.InWork
	}
	return b
}

// recorded books a record and fails the test when it is refused.
func (b *books) recorded(t *testing.T, position int, d lot.Done, ids ...int64) lot.Decision {
	t.Helper()
	dec, err := lot.Record(b.before(position, ids...), d)
	if err != nil {
		t.Fatal(err)
	}
	b.write(position, d.Used, dec)
	return dec
}

// asPlanned is what was picked, in the planned vessel.
func (b *books) asPlanned(position int, ids ...int64) lot.Done {
	return lot.Done{Used: b.picked(position, ids...), Vessel: b.before(position, ids...).Baths[0].Vessel}
}

func used(p stock.Parcel, a quantity.Amount) []lot.Used {
	return []lot.Used{{Parcel: p, Amount: a}}
}

func texts(ds []lot.Deviation) []string {
	var all []string
	for _, d := range ds {
		all = append(all, d.Key+"; "+d.Text)
	}
	return all
}

// The choir's whole day: as planned, but for 30 mL in pot B instead of 27.
// Left 500 − 57 = 443 mL, 338 g of the new alum, and the old bag as it was.
func TestTheChoirsDay(t *testing.T) {
	t.Parallel()
	b := choir(t)
	for _, position := range []int{1, 2} {
		dec := b.recorded(t, position, b.asPlanned(position, 1, 2), 1, 2)
		if dec.Deviations != nil || dec.Warnings != nil || dec.States[1] != lot.InWork || dec.States[2] != lot.InWork {
			t.Errorf("stage %d: %+v", position, dec)
		}
	}
	for _, id := range []int64{1, 2} {
		b.recorded(t, 3, b.asPlanned(3, id), id)
	}
	dec := b.recorded(t, 4, b.asPlanned(4, 1), 1)
	if dec.Deviations != nil || dec.Warnings != nil || dec.Kind.Key != "after-dip" {
		t.Errorf("pot A got its 27 mL: %+v", dec)
	}
	dec = b.recorded(t, 4, lot.Done{Used: used(*b.parcel(4), mL(30))}, 2)
	want := []lot.Deviation{{Key: "dose", Planned: "27 mL", Actual: "30 mL", Text: "iron liquor: 30 mL instead of 27 mL (+3 mL)"}}
	if diff := cmp.Diff(want, dec.Deviations); diff != "" || dec.Warnings != nil {
		t.Errorf("pot B got 30 mL, and 2 %% on silk is the line: %+v %s", dec, diff)
	}
	if diff := cmp.Diff([]lot.BathLot{{LotID: 2, Fibre: g(539)}}, dec.Lots); diff != "" {
		t.Error(diff)
	}
	for _, c := range []struct {
		parcel         int64
		onHand, booked string
	}{{1, "155 g", "20 g"}, {2, "338 g", "0 g"}, {3, "180 g", "0 g"}, {4, "443 mL", "0 mL"}} {
		p := b.parcel(c.parcel)
		if p.OnHand.String() != c.onHand || p.Promised.String() != c.booked {
			t.Errorf("P%d holds %s, %s promised; want %s, %s", c.parcel, p.OnHand, p.Promised, c.onHand, c.booked)
		}
	}
	if dec = b.recorded(t, 5, lot.Done{}, 1, 2); dec.States[1] != lot.WaitingForTests || dec.States[2] != lot.WaitingForTests {
		t.Errorf("after the last stage: %+v", dec.States)
	}
}

func TestWhatCannotHaveHappened(t *testing.T) {
	t.Parallel()
	nine := time.Date(2026, 5, 20, 9, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		what   string
		before func(*books) lot.Before
		done   lot.Done
		kind   fault.Kind
		reason string
		says   string
	}{
		{"no such stage", func(b *books) lot.Before { return b.before(9, 1) }, lot.Done{}, fault.Invalid, "INVALID_FIELD", "position: the plan of these lots has no such stage"},
		{"no lots", func(b *books) lot.Before { return b.before(1) }, lot.Done{}, fault.Invalid, "INVALID_FIELD", "position: "},
		{"not this lot's", func(b *books) lot.Before {
			is := b.before(4, 1)
			is.Lots = append(is.Lots, *b.lot(2))
			return is
		}, lot.Done{}, fault.Invalid, "INVALID_FIELD", "position: the plan of lot L2 has no such stage"},
		{"an end before the beginning", func(b *books) lot.Before { return b.before(3, 1) },
			lot.Done{Started: nine, Finished: nine.Add(-time.Minute)}, fault.Invalid, "INVALID_FIELD", "finished_at: 2026-05-20 08:59:00 is before the start at 2026-05-20 09:00:00"},
		{"twice", func(b *books) lot.Before {
			b.records = []written{{position: 3, lots: []int64{1}}}
			return b.before(3, 1)
		}, lot.Done{}, fault.Refused, "RECORDED_ALREADY", "S1 records dye of lot L1 already: undo it first, if it is wrong"},
		{"one of two twice", func(b *books) lot.Before {
			b.records = []written{{position: 1, lots: []int64{2}}}
			return b.before(1, 1, 2)
		}, lot.Done{}, fault.Refused, "RECORDED_ALREADY", "S1 records mordant of lot L2 already"},
		{"still on the shelf", func(b *books) lot.Before {
			b.lots[1].State = lot.Planned
			return b.before(1, 1, 2)
		}, lot.Done{}, fault.Refused, "NOT_ISSUED", "lot L2 has not been issued: take its blanks off the shelf before mordant is recorded"},
		{"after a verdict", func(b *books) lot.Before {
			b.lots[0].State = lot.Passed
			return b.before(5, 1)
		}, lot.Done{}, fault.Refused, "LOT_STATE", "lot L1 is passed: no stage can be recorded"},
		{"cancelled", func(b *books) lot.Before {
			b.lots[0].State = lot.Cancelled
			return b.before(2, 1)
		}, lot.Done{}, fault.Refused, "LOT_STATE", "lot L1 is cancelled: no stage can be recorded"},
	} {
		dec, err := lot.Record(c.before(choir(t)), c.done)
		wantFault(t, err, c.kind, c.reason, c.says)
		if diff := cmp.Diff(lot.Decision{}, dec); diff != "" {
			t.Errorf("%s, and yet it is decided: %s", c.what, diff)
		}
	}
}

func TestAStageThatEndsAsItBegins(t *testing.T) {
	t.Parallel()
	b := choir(t)
	for _, d := range []lot.Done{{Started: may14, Finished: may14}, {Finished: may14}, {Started: may14}} {
		if _, err := lot.Record(b.before(3, 1), d); err != nil {
			t.Error(err)
		}
	}
}

// A brew needs no cloth, so it may be drawn while the blanks lie on the shelf;
// but a lot that waits for nothing else would never come to its end.
func TestABrewBeforeTheBlanksAreIssued(t *testing.T) {
	t.Parallel()
	b := choir(t)
	b.lots[0].State, b.lots[1].State = lot.Planned, lot.InWork
	dec := b.recorded(t, 2, b.asPlanned(2, 1, 2), 1, 2)
	if dec.States[1] != lot.Planned || dec.States[2] != lot.InWork || dec.Deviations != nil {
		t.Errorf("%+v", dec)
	}
	only, err := open(choirLots(), choirStages()[1:2], nil, choirShelf(), false)
	if err != nil {
		t.Fatal(err)
	}
	_, err = lot.Record(only.before(2, 1, 2), only.asPlanned(2, 1, 2))
	wantFault(t, err, fault.Refused, "NOT_ISSUED", "lot L1 has not been issued: take its blanks off the shelf before brew is recorded")
}

// Law 2: what was weighed is in the pot. 118 g from a jar booked at 100 g is
// recorded, and what the book lacked is found in the same act.
func TestLaw2FactsAreNeverRefused(t *testing.T) {
	t.Parallel()
	jar := bag(1, alum, g(100), g(0))
	b, err := open([]lot.Lot{lotOf(1, potA, g(700), g(0))}, []lot.Stage{stage(1, "mordant", false, lot.Line{Item: alum, Ask: wof("10")}), stage(2, "dry", false)}, nil, []stock.Parcel{jar}, false)
	if err != nil {
		t.Fatal(err)
	}
	b.lots[0].State = lot.InWork
	dec := b.recorded(t, 1, lot.Done{Used: used(jar, g(118)), Vessel: potA}, 1)
	if diff := cmp.Diff([]string{"dose; alum: 118 g instead of 70 g (+48 g)"}, texts(dec.Deviations)); diff != "" {
		t.Error(diff)
	}
	if p := b.parcel(1); p.OnHand != g(0) || p.Promised != g(0) {
		t.Errorf("the jar holds %s, %s promised", p.OnHand, p.Promised)
	}
	for what, bad := range map[string]stock.Parcel{
		"blocked":             {ID: 7, Item: alum, Blocked: "mould"},
		"past its date":       {ID: 7, Item: alum, UsableUntil: may14.AddDate(-1, 0, 0)},
		"of an unknown salt":  {ID: 7, Item: stock.Item{ID: 30, Name: "grandmother's salt", Unit: quantity.Mass, Substance: "grandmother's salt"}},
		"iron without a g/L":  {ID: 7, Item: powder, OnHand: g(0)},
		"of no item on paper": {ID: 7},
	} {
		b := choir(t)
		if _, err := lot.Record(b.before(1, 1, 2), lot.Done{Used: used(bad, g(1))}); err != nil {
			t.Errorf("a parcel %s: %v", what, err)
		}
	}
}

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

// The shared brew, drawn in two goes: each lot is held to its share by fibre
// mass, and what is promised stays for the other until both have theirs.
func TestASharedBathRecordedLotByLot(t *testing.T) {
	t.Parallel()
	b := choir(t)
	harvest := *b.parcel(3)
	dec := b.recorded(t, 2, lot.Done{Used: used(harvest, g(361))}, 1)
	if diff := cmp.Diff([]stock.PromiseEntry{{PromiseID: 2, Delta: -g(361).N, Why: stock.Used}}, dec.Promises); diff != "" || dec.Deviations != nil {
		t.Errorf("lot A's share: %+v %s", dec, diff)
	}
	if p := b.parcel(3); p.Promised != g(359) || p.OnHand != g(539) {
		t.Errorf("%s on hand, %s of it for lot B", p.OnHand, p.Promised)
	}
	dec = b.recorded(t, 2, lot.Done{Used: used(harvest, g(350))}, 2)
	want := []stock.PromiseEntry{{PromiseID: 2, Delta: -g(350).N, Why: stock.Used}, {PromiseID: 2, Delta: -g(9).N, Why: stock.Unused}}
	if diff := cmp.Diff(want, dec.Promises); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{"dose; weld: 350 g instead of 359 g (-9 g)"}, texts(dec.Deviations)); diff != "" {
		t.Error(diff)
	}
	if p := b.parcel(3); p.Promised != g(0) || p.OnHand != g(189) {
		t.Errorf("%s on hand, %s promised", p.OnHand, p.Promised)
	}
}

func TestALotThatTakesMoreThanItsShare(t *testing.T) {
	t.Parallel()
	b := choir(t)
	b.recorded(t, 2, lot.Done{Used: used(*b.parcel(3), g(400))}, 1)
	dec := b.recorded(t, 2, lot.Done{Used: used(*b.parcel(3), g(359))}, 2)
	if diff := cmp.Diff([]stock.PromiseEntry{{PromiseID: 2, Delta: -g(320).N, Why: stock.Used}}, dec.Promises); diff != "" || dec.Deviations != nil {
		t.Errorf("%+v %s", dec, diff)
	}
}

// A sister that was scrapped in work never comes to the bath: what she was to
// have goes free with the last that does.
func TestAScrappedSisterIsNotWaitedFor(t *testing.T) {
	t.Parallel()
	b := choir(t)
	b.lots[1].State = lot.Scrapped
	dec := b.recorded(t, 2, lot.Done{Used: used(*b.parcel(3), g(361))}, 1)
	want := []stock.PromiseEntry{{PromiseID: 2, Delta: -g(361).N, Why: stock.Used}, {PromiseID: 2, Delta: -g(359).N, Why: stock.Unused}}
	if diff := cmp.Diff(want, dec.Promises); diff != "" || dec.Deviations != nil {
		t.Errorf("%+v %s", dec, diff)
	}
}

func TestSkip(t *testing.T) {
	t.Parallel()
	b := choir(t)
	dec, err := lot.Skip(b.before(4, 2))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]lot.Deviation{{Key: "skipped", Planned: "after-dip", Actual: "not done", Text: "after-dip was left out"}}, dec.Deviations); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]stock.PromiseEntry{{PromiseID: 4, Delta: -mL(27).N, Why: stock.Unused}}, dec.Promises); diff != "" || dec.Warnings != nil {
		t.Errorf("%+v %s", dec, diff)
	}
	b.write(4, nil, dec)
	_, err = lot.Skip(b.before(4, 2))
	wantFault(t, err, fault.Refused, "RECORDED_ALREADY", "S1 records after-dip of lot L2 already")

	if dec, err = lot.Skip(b.before(1, 1)); err != nil || len(dec.Promises) != 0 {
		t.Errorf("the other lot still waits for the mordant: %+v %v", dec, err)
	}
	b.lots[0].State = lot.Planned
	_, err = lot.Skip(b.before(1, 1, 2))
	wantFault(t, err, fault.Refused, "NOT_ISSUED", "lot L1 has not been issued")
	for _, position := range []int{1, 2, 3} {
		b.lots[0].State = lot.InWork
		if dec, err = lot.Skip(b.before(position, 1, 2)); err != nil {
			t.Fatal(err)
		}
		b.write(position, nil, dec)
	}
	if dec, err = lot.Skip(b.before(5, 2)); err != nil || dec.States[2] != lot.WaitingForTests {
		t.Errorf("skipping what is last ends the work: %+v %v", dec, err)
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
