package lot_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// 54 g of weld more on the choir's 541 g are 9.982 % (54 / 541).
func TestAddingToABath(t *testing.T) {
	t.Parallel()
	bag := stock.Parcel{ID: 2, Item: weld, OnHand: g(2000)}
	iron := stock.Parcel{ID: 5, Item: powder, OnHand: g(100)}
	one := lot.Lot{ID: 1, Code: "L1", State: lot.InWork, GarmentMass: g(523), WitnessMass: g(18)}
	main := lot.Standing{ID: 4, Position: 3, Kind: kind("dye"), BathID: 3, BathUse: 1, HappenedAt: day(1), Lots: []lot.BathLot{{LotID: 1, Fibre: g(541)}}}
	bath := lot.Liquor{ID: 3, Code: "B3", Kind: kind("dye"), OpenedAt: day(1), UseAt: []time.Time{day(1)}, LastUse: day(1)}
	more := lot.Done{Used: []lot.Used{{Parcel: bag, Amount: g(54)}}}

	dec, err := lot.Add(lot.Before{Lots: []lot.Lot{one}}, main, bath, day(2), more)
	if err != nil {
		t.Fatal(err)
	}
	want := []lot.Deviation{{Key: "addition", Planned: "none", Actual: "54 g", Text: "weld: 54 g more, 9.982 % WOF"}}
	if diff := cmp.Diff(want, dec.Deviations); diff != "" || dec.States[1] != lot.InWork || len(dec.Promises) != 0 {
		t.Errorf("%s %v", diff, dec)
	}

	entry := func(kind lot.EntryKind, at time.Time) lot.Liquor {
		b := bath
		b.Entries = []lot.Entry{{ID: 6, Kind: kind, AfterUse: 1, HappenedAt: at}}
		return b
	}
	again := bath
	again.UseAt = []time.Time{day(1), day(5)}
	with := func(change func(*lot.Standing)) lot.Standing {
		m := main
		change(&m)
		return m
	}
	passed := one
	passed.State = lot.Passed
	for name, c := range map[string]struct {
		lot    lot.Lot
		main   lot.Standing
		bath   lot.Liquor
		at     time.Time
		done   lot.Done
		reason string
	}{
		"nothing":                    {one, main, bath, day(2), lot.Done{}, "used"},
		"to what was undone":         {one, with(func(m *lot.Standing) { m.Undone = true }), bath, day(2), more, "UNDONE_ALREADY"},
		"to what was left out":       {one, with(func(m *lot.Standing) { m.Skipped, m.BathID = true, 0 }), bath, day(2), more, "NOT_A_BATH"},
		"to an addition":             {one, with(func(m *lot.Standing) { m.AdditionTo = 3 }), bath, day(2), more, "ADD_TO_THE_STAGE"},
		"before the stage":           {one, with(func(m *lot.Standing) { m.StartedAt = day(1) }), bath, day(1).Add(-time.Hour), more, "BATH_EARLIER"},
		"while the cloth was in":     {one, with(func(m *lot.Standing) { m.StartedAt = day(1).Add(-2 * time.Hour) }), bath, day(1).Add(-time.Hour), more, ""},
		"after the next use":         {one, main, again, day(6), more, "BATH_WENT_ON"},
		"before it, written late":    {one, main, again, day(4), more, ""},
		"after it was kept":          {one, main, entry(lot.EntryKept, day(3)), day(4), more, "BATH_WENT_ON"},
		"before that, written late":  {one, main, entry(lot.EntryKept, day(3)), day(2), more, ""},
		"after a note":               {one, main, entry(lot.EntryNote, day(3)), day(4), more, ""},
		"after a verdict":            {passed, main, bath, day(2), more, "LOT_STATE"},
		"iron over the fibre's line": {one, main, bath, day(2), lot.Done{Used: []lot.Used{{Parcel: iron, Amount: g(11)}}}, "OVERRIDE_NEEDED"},
		"taken on by name": {one, main, bath, day(2), lot.Done{Used: []lot.Used{{Parcel: iron, Amount: g(11)}},
			Override: lot.Override{By: "owner", Reason: "a trial"}}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := lot.Add(lot.Before{Lots: []lot.Lot{c.lot}, Fibres: []string{"silk"}}, c.main, c.bath, c.at, c.done)
			if reason := c.reason; reason == "OVERRIDE_NEEDED" {
				refused(t, err, "override_by")
			} else {
				refused(t, err, reason)
			}
		})
	}
}

// A dip that was used before: any iron in it makes the sum unknown, and asks for
// a name; without iron nothing is asked.
func TestIronLeftInALiquor(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		in   []stock.Parcel
		want bool
	}{
		"nothing": {nil, false}, "alum": {[]stock.Parcel{{ID: 1, Item: alum}}, false}, "copperas": {[]stock.Parcel{{ID: 1, Item: alum}, {ID: 5, Item: powder}}, true},
		"vinegar and scrap": {[]stock.Parcel{{ID: 4, Item: vinegar, StrengthUnknown: true}}, true}, "a plant": {[]stock.Parcel{{ID: 2, Item: weld}}, false},
	} {
		if got := lot.IronLeft(c.in); got.Unknown != c.want || got.Copperas != quantity.Percent(0) {
			t.Errorf("%s: %s", name, got)
		}
	}
}

// Three vests, two of them counted in two groups: the third is named (common
// practice: a piece that nobody counted is looked for before it is dry).
func TestUndippedGarmentsAreNamed(t *testing.T) {
	t.Parallel()
	vests := []lot.Garment{{ID: 1, Tag: "1000Q"}, {ID: 2, Tag: "1001R"}, {ID: 3, Tag: "1002S"}}
	for name, c := range map[string]struct {
		groups []lot.Dips
		want   string
	}{
		"none counted":  {nil, ""},
		"the whole lot": {[]lot.Dips{{Dips: 3}}, ""},
		"all, in two":   {[]lot.Dips{{Garments: []int64{1, 3}, Dips: 2}, {Garments: []int64{2}, Dips: 1}}, ""},
		"one left out":  {[]lot.Dips{{Garments: []int64{1}, Dips: 2}, {Garments: []int64{3}, Dips: 1}}, "no dip is counted of 1001R: nothing says that they were in the vat"},
	} {
		got := ""
		for _, w := range lot.Undipped(vests, c.groups) {
			got += w.Text
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}
