package api

import (
	"cmp"
	"context"
	"math"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// GetReorderList says what must be ordered, the most pressing first.
func (s *StockServer) GetReorderList(ctx context.Context, req *dyelotv1.GetReorderListRequest) (*dyelotv1.GetReorderListResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetReorderListResponse, error) {
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		items, err := tx.Items("", "", math.MaxInt32)
		if err != nil {
			return nil, err
		}
		needs, err := tx.OpenNeeds()
		if err != nil {
			return nil, err
		}
		planned, err := collectionNeeds(tx)
		if err != nil {
			return nil, err
		}
		of := map[int64][]stock.Need{}
		for _, n := range append(needs, planned...) {
			of[n.ItemID] = append(of[n.ItemID], n)
		}
		var orders []stock.Order
		for _, it := range items {
			if o := stock.Reorder(it, of[it.ID], today); o.Order.N > 0 || req.GetAll() {
				orders = append(orders, o)
			}
		}
		slices.SortStableFunc(orders, pressing)
		resp := &dyelotv1.GetReorderListResponse{Today: showDay(today)}
		for _, o := range orders {
			resp.Lines = append(resp.Lines, encodeOrder(o))
		}
		return resp, nil
	})
}

// pressing puts the earliest day first, and what need not be ordered last.
func pressing(a, b stock.Order) int {
	if a.OrderBy.IsZero() != b.OrderBy.IsZero() {
		if a.OrderBy.IsZero() {
			return 1
		}
		return -1
	}
	return cmp.Or(a.OrderBy.Compare(b.OrderBy), cmp.Compare(a.Item.Code, b.Item.Code))
}

func encodeOrder(o stock.Order) *dyelotv1.ReorderLine {
	return &dyelotv1.ReorderLine{
		ItemCode: o.Item.Code, ItemName: o.Item.Name, OnHand: encode(o.Item.OnHand), Promised: encode(o.Item.Promised), Free: encode(o.Item.Usable),
		Needed: encode(o.Needed), Minimum: encode(o.Item.Zero().Add(o.Item.Terms.Minimum)), Order: encode(o.Order),
		Supplier: o.Item.Terms.Supplier, LeadDays: int32(o.Item.Terms.LeadDays), OrderBy: showDay(o.OrderBy), Late: o.Late, Why: o.Why, Otherwise: o.Otherwise,
	}
}
