package stock_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

func kept(minimum, pack quantity.Amount, lead int) stock.Item {
	it := alum
	it.Terms = stock.Terms{Minimum: minimum, Pack: pack, Supplier: "harbour salts", LeadDays: lead}
	it.OnHand, it.Promised, it.Usable = g(155), g(20), g(135)
	return it
}

// The choir's alum once more: 135 g free, 162 g lacking, 100 g to stay.
func TestAReorderLineSaysWhyInFigures(t *testing.T) {
	t.Parallel()
	got := stock.Reorder(kept(g(100), g(500), 7), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-05-30"), Short: g(162)}}, today)
	want := stock.Order{
		Item: got.Item, Needed: g(162), OnWay: g(0), Order: g(500), OrderBy: day("2026-05-23"),
		Why:       "135 g free, open runs lack 162 g (R2 due 2026-05-30), 100 g is kept as a minimum: 127 g missing, 500 g in packs of 500 g; it takes 7 days from harbour salts",
		Otherwise: "27 g of alum is missing at the pot, R2 first, due 2026-05-30",
		Net:       []stock.Net{{On: day("2026-05-30"), Amount: g(127), For: "R2"}},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestWhenAnOrderMustLeave(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		item  stock.Item
		needs []stock.Need
		by    string
		late  bool
		order quantity.Amount
	}{
		"in time":              {kept(g(0), g(0), 7), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(162)}}, "2026-05-25", false, g(27)},
		"too late":             {kept(g(0), g(0), 21), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(162)}}, "2026-05-11", true, g(27)},
		"today is in time":     {kept(g(0), g(0), 18), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(162)}}, "2026-05-14", false, g(27)},
		"minimum broken":       {kept(g(200), g(50), 7), nil, "2026-05-14", false, g(100)},
		"broken and late":      {kept(g(200), g(0), 30), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(10)}}, "2026-05-02", true, g(75)},
		"run without a day":    {kept(g(0), g(0), 7), []stock.Need{{ItemID: 1, RunID: 2, Short: g(162)}}, "2026-05-14", false, g(27)},
		"the second run lacks": {kept(g(0), g(0), 7), []stock.Need{{ItemID: 1, RunID: 3, DueOn: day("2026-08-01"), Short: g(100)}, {ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(100)}}, "2026-07-25", false, g(65)},
		"just enough for one":  {kept(g(0), g(0), 7), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(135)}, {ItemID: 1, RunID: 3, DueOn: day("2026-08-01"), Short: g(10)}}, "2026-07-25", false, g(10)},
		"minimum after a run":  {kept(g(100), g(0), 7), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(50)}}, "2026-05-25", false, g(15)},
		"whole packs":          {kept(g(0), g(27), 7), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(162)}}, "2026-05-25", false, g(27)},
		"one gram over a pack": {kept(g(0), g(26), 7), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(162)}}, "2026-05-25", false, g(52)},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := stock.Reorder(c.item, c.needs, today)
			if got.OrderBy != day(c.by) || got.Late != c.late || got.Order != c.order || got.Why == "" || got.Otherwise == "" {
				t.Errorf("%s by %s, late %t: %s", got.Order, got.OrderBy, got.Late, got.Why)
			}
		})
	}
}

func TestEnoughIsNotOrdered(t *testing.T) {
	t.Parallel()
	got := stock.Reorder(kept(g(35), g(500), 7), []stock.Need{{ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(100)}}, today)
	if got.Order.N != 0 || !got.OrderBy.IsZero() || got.Late || got.Otherwise != "" {
		t.Errorf("%+v", got)
	}
}

func TestBlockedStockDoesNotCount(t *testing.T) {
	t.Parallel()
	it := kept(g(100), g(0), 7)
	it.Usable = g(30)
	got := stock.Reorder(it, nil, today)
	if got.Order != g(70) || got.Why != "30 g free (105 g more is damp, blocked or out of date), no open run lacks any, 100 g is kept as a minimum: 70 g missing; it takes 7 days from harbour salts" {
		t.Errorf("%s: %s", got.Order, got.Why)
	}
	if got.Otherwise != "30 g of alum is left after open runs, below the minimum of 100 g" {
		t.Error(got.Otherwise)
	}
}
