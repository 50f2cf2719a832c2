package stock_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

func TestPromisesAreRefusedWithWhatIsLeft(t *testing.T) {
	t.Parallel()
	p := bag(1, alum, g(155), g(20)) // the choir's bag: 135 g free
	taken(t, stock.MayPromise(p, g(135), today))
	f := refused(t, stock.MayPromise(p, g(162), today), "STOCK_SHORT")
	want := map[string]string{"parcel": "P1", "asked": "162 g", "free": "135 g", "short": "27 g"}
	if diff := cmp.Diff(want, f.Numbers); diff != "" {
		t.Error(diff)
	}
}

func TestAParcelThatMayNotBeUsedIsNotPromised(t *testing.T) {
	t.Parallel()
	p := bag(1, alum, g(155), g(0))
	p.UsableUntil = today
	taken(t, stock.MayPromise(p, g(1), today)) // the last day counts
	p.UsableUntil = day("2026-05-13")
	refused(t, stock.MayPromise(p, g(1), today), "PARCEL_PAST")
	p.Blocked = "mould"
	refused(t, stock.MayPromise(p, g(1), today), "PARCEL_BLOCKED")
	damp := stock.Parcel{ID: 2, Item: weld, Origin: stock.FromHarvest, Harvest: stock.Harvest{Fresh: g(14600)}}
	refused(t, stock.MayPromise(damp, g(1), today), "PARCEL_DAMP")
}

func TestTheNewestPromiseGivesWayFirst(t *testing.T) {
	t.Parallel()
	promises := []stock.Promise{
		{ID: 2, Outstanding: g(30), LotID: 4, LotIDs: []int64{4}},
		{ID: 9, Outstanding: g(10)},
		{ID: 5, Outstanding: g(20), DoseID: 8, LotIDs: []int64{6, 7}},
	}
	entries, struck := stock.Eat(g(35), promises) // 60 promised, 25 too much
	want := []stock.PromiseEntry{{PromiseID: 9, Delta: -g(10).N, Why: stock.Eaten}, {PromiseID: 5, Delta: -g(15).N, Why: stock.Eaten}}
	if diff := cmp.Diff(want, entries); diff != "" {
		t.Error(diff)
	}
	if struck[0].Promise.Of() != "H9" || struck[1].Promise.Of() != "L6, L7" || struck[1].Short != g(15) {
		t.Errorf("struck: %+v", struck)
	}
	if entries, struck = stock.Eat(g(60), promises); entries != nil || struck != nil {
		t.Errorf("what suffices strikes nobody: %v %v", entries, struck)
	}
}

// 118 g from a jar of 100 g: the bath's own promise of 60 g is fulfilled, and
// the 40 g of somebody else are gone.
func TestAFactEatsOnlyOtherPromises(t *testing.T) {
	t.Parallel()
	p := bag(1, alum, g(100), g(100))
	own, other := stock.Promise{ID: 3, ParcelID: 1, DoseID: 1, Outstanding: g(60)}, stock.Promise{ID: 1, ParcelID: 1, LotID: 2, LotIDs: []int64{2}, Outstanding: g(40)}
	fulfilled := stock.Fulfil([]stock.Promise{own}, map[int64]quantity.Amount{1: g(118)})
	eaten, struck := stock.Settle([]stock.Parcel{p}, stock.Take(p, g(118)), []stock.Promise{own, other}, fulfilled)
	if diff := cmp.Diff([]stock.PromiseEntry{{PromiseID: 3, Delta: -g(60).N, Why: stock.Used}}, fulfilled); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]stock.PromiseEntry{{PromiseID: 1, Delta: -g(40).N, Why: stock.Eaten}}, eaten); diff != "" {
		t.Error(diff)
	}
	if len(struck) != 1 || struck[0].Promise.Of() != "L2" || struck[0].Short != g(40) {
		t.Errorf("struck: %+v", struck)
	}
}

func TestWhatABathDidNotUseGoesFree(t *testing.T) {
	t.Parallel()
	own := []stock.Promise{{ID: 1, ParcelID: 1, Outstanding: g(100)}, {ID: 2, ParcelID: 2, Outstanding: g(50)}, {ID: 3, ParcelID: 1, Outstanding: g(30)}}
	got := stock.Fulfil(own, map[int64]quantity.Amount{1: g(110)})
	want := []stock.PromiseEntry{{1, -g(100).N, stock.Used}, {2, -g(50).N, stock.Unused}, {3, -g(10).N, stock.Used}, {3, -g(20).N, stock.Unused}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestACountSetsTheBookRight(t *testing.T) {
	t.Parallel()
	p := bag(1, alum, g(100), g(0))
	for _, c := range []struct {
		counted, difference quantity.Amount
		legs                []stock.Leg
	}{
		{g(118), g(18), []stock.Leg{{1, stock.Difference, stock.Shelf, g(18)}}},
		{g(0), g(-100), []stock.Leg{{1, stock.Shelf, stock.Difference, g(100)}}},
		{g(100), g(0), nil},
	} {
		m, err := stock.Count(p, stock.Now(p), c.counted)
		taken(t, err)
		if diff := cmp.Diff(c.legs, m.Legs); diff != "" || m.Difference != c.difference {
			t.Errorf("%s: %s %s", c.counted, m.Difference, diff)
		}
	}
	_, err := stock.Count(p, stock.Now(p), pc(3))
	field(t, err, "counted")
	_, err = stock.Count(p, stock.Now(p), g(-1))
	field(t, err, "counted")
}

func TestNobodyWritesOffWhatIsNotThere(t *testing.T) {
	t.Parallel()
	p := bag(1, alum, g(100), g(0))
	m, err := stock.WriteOff(p, quantity.Amount{}, "mould", false)
	taken(t, err)
	if diff := cmp.Diff([]stock.Leg{{1, stock.Shelf, stock.Loss, g(100)}}, m.Legs); diff != "" {
		t.Error(diff)
	}
	m, err = stock.WriteOff(p, g(30), "torn bag", true)
	taken(t, err)
	if m.Kind != stock.ActSendBack || m.Legs[0].To != stock.Supplier {
		t.Errorf("sent back as %+v", m)
	}
	_, err = stock.WriteOff(p, g(118), "mould", false)
	refused(t, err, "STOCK_SHORT")
	_, err = stock.WriteOff(p, g(1), "  ", false)
	field(t, err, "reason")
	_, err = stock.WriteOff(bag(1, alum, g(0), g(0)), quantity.Amount{}, "mould", false)
	refused(t, err, "PARCEL_EMPTY")
	p.Origin = stock.FromHarvest
	_, err = stock.WriteOff(p, g(1), "mould", false)
	refused(t, err, "PARCEL_DAMP")
	_, err = stock.WriteOff(p, g(1), "mould", true)
	refused(t, err, "NOT_DELIVERED")
}

func TestAReversalIsTheMirror(t *testing.T) {
	t.Parallel()
	use := stock.Movement{ID: 5, Kind: stock.ActMaking, Legs: []stock.Leg{{1, stock.Shelf, stock.InMaking, g(118)}, {1, stock.Difference, stock.Shelf, g(18)}, {2, stock.InMaking, stock.Shelf, mL(500)}}}
	shelf := []stock.Parcel{bag(1, copperas, g(0), g(0)), bag(2, liquor, mL(500), mL(0))}
	back, err := stock.Reverse(use, shelf, "wrong jar")
	taken(t, err)
	want := []stock.Leg{{1, stock.InMaking, stock.Shelf, g(118)}, {1, stock.Shelf, stock.Difference, g(18)}, {2, stock.Shelf, stock.InMaking, mL(500)}}
	if diff := cmp.Diff(want, back.Legs); diff != "" || back.ReversesID != 5 || back.ReversesKind != stock.ActMaking {
		t.Errorf("%+v %s", back, diff)
	}
	shelf[1].OnHand = mL(443)
	_, err = stock.Reverse(use, shelf, "wrong jar")
	f := refused(t, err, "STOCK_SHORT")
	if f.Numbers["missing"] != "57 mL" {
		t.Errorf("says %q, missing %s", f.Say, f.Numbers["missing"])
	}
}

func TestWhatIsNotReversed(t *testing.T) {
	t.Parallel()
	for reason, m := range map[string]stock.Movement{
		"REVERSAL_STANDS":  {ID: 5, Kind: stock.ActReversal, ReversesID: 4, ReversesKind: stock.ActCount},
		"REVERSED_ALREADY": {ID: 5, Kind: stock.ActCount, ReversedByID: 6},
		"UNDO_THE_STAGE":   {ID: 5, Kind: stock.ActUse, RecordID: 4},
	} {
		_, err := stock.Reverse(m, nil, "")
		refused(t, err, reason)
	}
	_, err := stock.Reverse(stock.Movement{ID: 5, Kind: stock.ActUse, LotID: 4}, nil, "")
	refused(t, err, "UNDO_THE_STAGE")
}

// 14.6 kg of fresh weld that dries to 2.70 kg is 5.41 : 1 (worked in the trade's
// facts, computed there).
func TestADampHarvestIsBookedWhenItIsDry(t *testing.T) {
	t.Parallel()
	h := stock.Parcel{ID: 3, Item: weld, Origin: stock.FromHarvest, OnHand: g(0), Harvest: stock.Harvest{Fresh: g(14600)}}
	m, warnings, err := stock.Dry(h, g(2700))
	taken(t, err)
	if diff := cmp.Diff([]stock.Leg{{3, stock.Field, stock.Shelf, g(2700)}}, m.Legs); diff != "" || len(warnings) != 0 {
		t.Errorf("%s %v", diff, warnings)
	}
	h.Harvest.Dry = g(2700)
	if got := h.Harvest.FreshToDry(); got != "5.41" {
		t.Errorf("ratio %s", got)
	}
	_, _, err = stock.Dry(h, g(2700))
	refused(t, err, "DRIED_ALREADY")
	h.Harvest.Dry = quantity.Amount{}
	_, _, err = stock.Dry(h, g(14600))
	field(t, err, "dry_mass")
	_, warnings, err = stock.Dry(h, g(7300)) // 2 : 1 of tops
	taken(t, err)
	if len(warnings) != 1 || warnings[0].Key != "still-damp" {
		t.Errorf("2 : 1 of weld tops: %v", warnings)
	}
	_, _, err = stock.Dry(bag(1, weld, g(1), g(0)), g(1))
	refused(t, err, "NOT_A_HARVEST")
}

func TestAHarvestKeepsNoCoordinates(t *testing.T) {
	t.Parallel()
	h := stock.Harvest{PickedOn: today, Fresh: g(100), Place: "lane behind the boathouse, 2nd gate"}
	taken(t, stock.CheckHarvest(h))
	for _, place := range []string{"57.1234, -2.3456", "57.123N 2.345", "57° 12' N"} {
		h.Place = place
		field(t, stock.CheckHarvest(h), "place")
	}
	field(t, stock.CheckHarvest(stock.Harvest{PickedOn: today}), "fresh_mass")
	field(t, stock.CheckHarvest(stock.Harvest{Fresh: g(1)}), "picked_on")
}
