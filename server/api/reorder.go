package api

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// GetReorderList says what must be ordered, the most pressing first.
func (s *StockServer) GetReorderList(ctx context.Context, req *dyelotv1.GetReorderListRequest) (*dyelotv1.GetReorderListResponse, error) {
	holding, given, err := percent("holding_percent", req.GetHoldingPercent())
	if err != nil {
		return nil, err
	}
	if !given {
		holding = season.UsualHolding
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetReorderListResponse, error) {
		only := ""
		if req.GetItemCode() != "" {
			it, err := tx.ItemByCode(req.GetItemCode())
			if err != nil {
				return nil, err
			}
			only = it.Code
		}
		list, err := buyList(tx, holding, "")
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.GetReorderListResponse{Today: showDay(list.today)}
		var shown []season.BuyLine
		for _, l := range list.lines {
			if (only == "" && (l.Order.Order.N > 0 || req.GetAll())) || (only != "" && l.Item.Code == only) {
				shown = append(shown, l)
				resp.Lines = append(resp.Lines, list.encode(l))
			}
		}
		resp.Headline = season.Headline(shown, list.today)
		return resp, nil
	})
}

// reorderList is the list as it stands, the most pressing first, with what is
// on the way to each item.
type reorderList struct {
	today  time.Time
	lines  []season.BuyLine
	coming map[int64][]stock.Coming
}

// buyList works it out; a supplier, where one is named, is the only one whose
// offers are looked at.
func buyList(tx *store.Tx, holding quantity.Percent, supplier string) (reorderList, error) {
	list := reorderList{coming: map[int64][]stock.Coming{}}
	var err error
	if list.today, err = tx.Today(); err != nil {
		return list, err
	}
	items, err := tx.Items("", "", math.MaxInt32)
	if err != nil {
		return list, err
	}
	needs, err := allNeeds(tx)
	if err != nil {
		return list, err
	}
	offers, err := offersByItem(tx, items, supplier)
	if err != nil {
		return list, err
	}
	times, err := tx.Punctuality()
	if err != nil {
		return list, err
	}
	coming, err := tx.Coming(times)
	if err != nil {
		return list, err
	}
	for _, c := range coming {
		list.coming[c.ItemID] = append(list.coming[c.ItemID], c)
	}
	for _, it := range items {
		line, err := season.Buy(season.Buying{Item: it, Needs: needs[it.ID], Coming: list.coming[it.ID], Offers: offers[it.ID], Days: times.Days[it.ID], Holding: holding, Today: list.today})
		if err != nil {
			return list, err
		}
		list.lines = append(list.lines, line)
	}
	slices.SortStableFunc(list.lines, pressing)
	return list, nil
}

func allNeeds(tx *store.Tx) (map[int64][]stock.Need, error) {
	needs, err := tx.OpenNeeds()
	if err != nil {
		return nil, err
	}
	planned, err := collectionNeeds(tx)
	of := map[int64][]stock.Need{}
	for _, n := range append(needs, planned...) {
		of[n.ItemID] = append(of[n.ItemID], n)
	}
	return of, err
}

func offersByItem(tx *store.Tx, items []stock.Item, supplier string) (map[int64][]season.SupplierOffer, error) {
	ids := make([]int64, len(items))
	for i, it := range items {
		ids[i] = it.ID
	}
	offers, err := tx.OffersOf(ids)
	of := map[int64][]season.SupplierOffer{}
	for _, o := range offers {
		if supplier == "" || season.SupplierKey(o.Supplier) == season.SupplierKey(supplier) {
			of[o.Item.ID] = append(of[o.Item.ID], o.SupplierOffer)
		}
	}
	return of, err
}

// pressing puts the earliest day first, and what need not be ordered last.
func pressing(a, b season.BuyLine) int {
	if a.OrderBy.IsZero() != b.OrderBy.IsZero() {
		if a.OrderBy.IsZero() {
			return 1
		}
		return -1
	}
	return cmp.Or(a.OrderBy.Compare(b.OrderBy), cmp.Compare(a.Item.Code, b.Item.Code))
}

func (list reorderList) encode(l season.BuyLine) *dyelotv1.ReorderLine {
	o := l.Order
	m := &dyelotv1.ReorderLine{
		ItemCode: o.Item.Code, ItemName: o.Item.Name, OnHand: encode(o.Item.OnHand), Promised: encode(o.Item.Promised), Free: encode(o.Item.Usable),
		Needed: encode(o.Needed), Minimum: encode(o.Item.Zero().Add(o.Item.Terms.Minimum)), Order: encode(o.Order),
		Supplier: l.From(), LeadDays: int32(o.Item.Terms.LeadDays), OrderBy: showDay(o.OrderBy), Late: o.Late, Why: o.Why, Otherwise: o.Otherwise,
	}
	if l.First != nil {
		m.LeadDays = int32(l.Lead.Used)
	}
	if o.Order.N > 0 || o.OnWay.N > 0 {
		m.Buy = list.encodeBuy(l)
	}
	return m
}

func (list reorderList) encodeBuy(l season.BuyLine) *dyelotv1.Buy {
	m := &dyelotv1.Buy{DaysLate: int32(l.DaysLate), ArrivesOn: showDay(l.Arrives), Method: l.Method, NotCompared: l.NotCompared, OnTheWay: encode(l.OnWay)}
	for _, h := range l.Hurry {
		m.Hurry = append(m.Hurry, h.Text())
	}
	for _, c := range list.coming[l.Item.ID] {
		m.Coming = append(m.Coming, &dyelotv1.ComingDelivery{OrderCode: c.Order, Line: int32(c.Line), Amount: encode(c.Left), PromisedOn: showDay(c.Promised), ExpectedOn: showDay(c.Expected), Supplier: c.Supplier})
	}
	if l.Order.Order.N == 0 {
		return m
	}
	m.Lead = encodeLead(l.Lead)
	if l.First == nil {
		return m
	}
	chosen := l.Offers[l.First.Offer]
	m.Pack, m.Packs, m.Optimal = encode(chosen.Pack), l.First.Packs, l.Plan.Optimal
	m.Goods, m.Carriage, m.Cost = encodeMoney(l.First.Goods), encodeMoney(chosen.Carriage), encodeMoney(l.Cost())
	for _, r := range l.Others {
		m.Others = append(m.Others, &dyelotv1.OtherOffer{Supplier: r.Supplier, Cost: encodeMoney(r.Cost), ArrivesOn: showDay(r.Arrives), InTime: r.InTime, Text: r.Text})
	}
	for _, p := range l.Plan.Orders {
		o := l.Offers[p.Offer]
		cost := quantity.Money{Micro: p.Goods.Micro + o.Carriage.Micro, Currency: p.Goods.Currency}
		m.Orders = append(m.Orders, &dyelotv1.PlannedPurchase{Supplier: o.Supplier, Amount: encode(o.Amount(p.Packs)), Packs: p.Packs, OrderBy: showDay(p.OrderBy), ArrivesOn: showDay(p.Arrives), Cost: encodeMoney(cost)})
	}
	return m
}
