package lot_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
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
