package lot_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

func lacking(id, parcel int64, a quantity.Amount) stock.Promise {
	return stock.Promise{ID: id, ParcelID: parcel, Outstanding: a}
}

func TestRestore(t *testing.T) {
	t.Parallel()
	back := func(id int64, a quantity.Amount) stock.PromiseEntry {
		return stock.PromiseEntry{PromiseID: id, Delta: a.N, Why: stock.Restored}
	}
	for _, c := range []struct {
		what      string
		spent     []stock.Promise
		free, own map[int64]quantity.Amount
		want      []stock.PromiseEntry
	}{
		{"all of it", []stock.Promise{lacking(1, 1, g(162))}, map[int64]quantity.Amount{1: g(500)}, nil, []stock.PromiseEntry{back(1, g(162))}},
		{"another run was promised some meanwhile", []stock.Promise{lacking(1, 1, g(162))}, map[int64]quantity.Amount{1: g(100)}, nil, []stock.PromiseEntry{back(1, g(100))}},
		{"two on one parcel share what is free", []stock.Promise{lacking(1, 1, g(60)), lacking(2, 1, g(60)), lacking(3, 2, g(5))},
			map[int64]quantity.Amount{1: g(100), 2: g(9)}, nil, []stock.PromiseEntry{back(1, g(60)), back(2, g(40)), back(3, g(5))}},
		{"nothing is free", []stock.Promise{lacking(1, 1, g(60))}, map[int64]quantity.Amount{}, nil, nil},
		{"nothing is lacking", []stock.Promise{lacking(1, 1, g(0))}, map[int64]quantity.Amount{1: g(9)}, nil, nil},
		{"the other lot's record stands: only what this one took", []stock.Promise{lacking(2, 3, g(720))}, map[int64]quantity.Amount{3: g(900)},
			map[int64]quantity.Amount{3: g(361)}, []stock.PromiseEntry{back(2, g(361))}},
		{"two promises on one parcel share what this one took", []stock.Promise{lacking(2, 3, g(300)), lacking(3, 3, g(300))}, map[int64]quantity.Amount{3: g(900)},
			map[int64]quantity.Amount{3: g(361)}, []stock.PromiseEntry{back(2, g(300)), back(3, g(61))}},
		{"the other's stands, and this one took nothing", []stock.Promise{lacking(2, 3, g(720))}, map[int64]quantity.Amount{3: g(900)}, map[int64]quantity.Amount{}, nil},
	} {
		free := len(c.free)
		if diff := cmp.Diff(c.want, lot.Restore(c.spent, c.free, c.own)); diff != "" {
			t.Errorf("%s: %s", c.what, diff)
		}
		if len(c.free) != free {
			t.Errorf("%s: the caller's map was written to", c.what)
		}
	}
}

// The brew that both lots drew from, undone for one of them: its grams are
// promised again, the other's are not.
func TestUndoingOneLotOfASharedBath(t *testing.T) {
	t.Parallel()
	b := choir(t)
	b.recorded(t, 2, lot.Done{Used: used(*b.parcel(3), g(361))}, 1)
	b.recorded(t, 2, lot.Done{Used: used(*b.parcel(3), g(359))}, 2)
	if err := b.undo(0); err != nil {
		t.Fatal(err)
	}
	if p := b.parcel(3); p.OnHand != g(541) || p.Promised != g(361) {
		t.Errorf("%s on hand, %s promised", p.OnHand, p.Promised)
	}
	if err := b.undo(1); err != nil {
		t.Fatal(err)
	}
	if p := b.parcel(3); p.OnHand != g(900) || p.Promised != g(720) {
		t.Errorf("%s on hand, %s promised", p.OnHand, p.Promised)
	}
	dec := b.recorded(t, 2, b.asPlanned(2, 1, 2), 1, 2)
	if dec.Deviations != nil || b.parcel(3).Promised != g(0) {
		t.Errorf("done again as planned: %+v", dec)
	}
}

// A lot that is scrapped in work leaves baths that nobody waits for any more:
// its own are freed, the ones it shares are not.
func TestUnneeded(t *testing.T) {
	t.Parallel()
	b := choir(t)
	if got := lot.Unneeded(b.planned(), b.waits); got != nil {
		t.Errorf("all is needed: %v", got)
	}
	b.lots[1].State = lot.Scrapped
	want := []stock.PromiseEntry{{PromiseID: 4, Delta: -mL(27).N, Why: stock.Released}}
	if diff := cmp.Diff(want, lot.Unneeded(b.planned(), b.waits)); diff != "" {
		t.Error(diff)
	}
	b.lots[1].State = lot.InWork
	b.recorded(t, 4, b.asPlanned(4, 2), 2)
	b.lots[1].State = lot.Scrapped
	if got := lot.Unneeded(b.planned(), b.waits); got != nil {
		t.Errorf("used up already: %v", got)
	}
	b.lots[0].State = lot.Scrapped
	if got := lot.Unneeded(b.planned(), b.waits); len(got) != 3 {
		t.Errorf("%v", got)
	}
}
