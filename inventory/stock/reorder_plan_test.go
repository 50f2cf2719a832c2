package stock_test

import (
	"testing"

	"dyelot/inventory/stock"
)

// 2 kg of alum are wanted by spring-27 on 12 May, and 500 g are free: the
// collection is named like a run is, and the first need is R2's.
func TestCollectionsAreOrderedForToo(t *testing.T) {
	t.Parallel()
	it := kept(g(0), g(1000), 7)
	it.OnHand, it.Promised, it.Usable = g(500), g(0), g(500)
	needs := []stock.Need{{ItemID: 1, DueOn: day("2026-06-12"), Short: g(2000), For: "spring-27"}, {ItemID: 1, RunID: 2, DueOn: day("2026-06-01"), Short: g(100)}}
	got := stock.Reorder(it, needs, today)
	if got.Order != g(2000) || got.OrderBy != day("2026-06-05") || got.Otherwise != "1600 g of alum is missing at the pot, spring-27 first, due 2026-06-12" {
		t.Errorf("%s by %s: %s", got.Order, got.OrderBy, got.Otherwise)
	}
	if got.Why != "500 g free, open runs and plans lack 2100 g (R2 due 2026-06-01, spring-27 due 2026-06-12): 1600 g missing, 2000 g in packs of 1000 g; it takes 7 days from harbour salts" {
		t.Error(got.Why)
	}
}
