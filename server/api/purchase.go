package api

import (
	"context"
	"math"
	"strconv"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// OrderPurchase writes what was ordered: the lines given, or items of the
// reorder list, an order for each supplier.
func (s *PurchaseServer) OrderPurchase(ctx context.Context, req *dyelotv1.OrderPurchaseRequest) (*dyelotv1.OrderPurchaseResponse, error) {
	if len(req.GetLines()) > 0 && len(req.GetReorderItemCodes()) > 0 {
		return nil, fault.BadField("reorder_item_codes", "give either lines, or items of the reorder list")
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.OrderPurchaseResponse, error) {
		d, err := dates(tx, req)
		if err != nil {
			return nil, err
		}
		var orders []stock.Purchase
		if len(req.GetReorderItemCodes()) > 0 {
			orders, err = fromReorder(tx, req, d)
		} else {
			orders, err = fromLines(tx, req, d)
		}
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.OrderPurchaseResponse{}
		for _, p := range orders {
			p.By, p.Note = otherwise(req.GetBy(), tx.By.Name), req.GetNote()
			if err := p.Check(d.today); err != nil {
				return nil, err
			}
			if p.ID, err = tx.AddPurchase(p); err != nil {
				return nil, err
			}
			shown, err := shownPurchase(tx, p.ID)
			if err != nil {
				return nil, err
			}
			resp.Purchases = append(resp.Purchases, shown)
		}
		return resp, nil
	})
}

// purchaseDays are the days of an order; promised is zero where it was not said.
type purchaseDays struct{ today, ordered, promised time.Time }

func dates(tx *store.Tx, req *dyelotv1.OrderPurchaseRequest) (d purchaseDays, err error) {
	if d.today, err = tx.Today(); err != nil {
		return d, err
	}
	if d.ordered, err = pastDay(tx, "ordered_on", req.GetOrderedOn()); err != nil {
		return d, err
	}
	if d.ordered.IsZero() {
		d.ordered = d.today
	}
	d.promised, err = day("promised_on", req.GetPromisedOn())
	return d, err
}

// promisedFor is the day that was said, or the longest lead time after the order.
func (d purchaseDays) promisedFor(leadDays int) time.Time {
	if !d.promised.IsZero() {
		return d.promised
	}
	return d.ordered.AddDate(0, 0, leadDays)
}

func fromLines(tx *store.Tx, req *dyelotv1.OrderPurchaseRequest, d purchaseDays) ([]stock.Purchase, error) {
	p := stock.Purchase{Supplier: supplierName(req.GetSupplier()), OrderedOn: d.ordered}
	if p.Supplier == "" {
		return nil, fault.BadField("supplier", "is needed: who was it ordered from")
	}
	sold, err := catalogue(tx)
	if err != nil {
		return nil, err
	}
	lead, known := 0, false
	for i, l := range req.GetLines() {
		line, days, from, err := sold.line(l, p.Supplier, d.ordered)
		if err != nil {
			return nil, fault.In("lines["+strconv.Itoa(i)+"]", err)
		}
		lead, known = max(lead, days), known || from
		line.Line = i + 1
		p.Lines = append(p.Lines, line)
	}
	if d.promised.IsZero() && !known && len(p.Lines) > 0 {
		return nil, fault.BadField("promised_on", "is needed: no lead time of %s is known for these items", p.Supplier)
	}
	p.PromisedOn = d.promisedFor(lead)
	return []stock.Purchase{p}, nil
}

// wares are all items and the offers that stand for each.
type wares struct {
	items  map[string]stock.Item
	offers map[int64][]season.SupplierOffer
}

func catalogue(tx *store.Tx) (w wares, err error) {
	items, err := tx.Items("", "", math.MaxInt32)
	if err != nil {
		return w, err
	}
	w.items = map[string]stock.Item{}
	for _, it := range items {
		w.items[it.Code] = it
	}
	w.offers, err = offersByItem(tx, items, "")
	return w, err
}

// line reads a line; its cost, where none is given, is what the supplier's
// offer of that day asks. known is true of a lead time of an offer or of the
// item's own terms.
func (w wares) line(l *dyelotv1.PurchaseLineOrder, supplier string, on time.Time) (line stock.PurchaseLine, lead int, known bool, err error) {
	it, ok := w.items[strings.ToLower(strings.TrimSpace(l.GetItemCode()))]
	if line.Item = it; !ok {
		return line, 0, false, fault.Missing("item", l.GetItemCode())
	}
	if line.Ordered, err = amount("amount", l.GetAmount(), it.Unit); err != nil {
		return line, 0, false, err
	}
	if line.Cost, err = decodeCost("cost", l.GetCost()); err != nil {
		return line, 0, false, err
	}
	for _, o := range w.offers[it.ID] {
		if season.SupplierKey(o.Supplier) != season.SupplierKey(supplier) || !o.InForce(on) {
			continue
		}
		if line.Cost.Currency == "" {
			packs := o.PacksFor(line.Ordered)
			if o.Amount(packs) != line.Ordered {
				return line, 0, false, fault.BadField("amount", "%s sells %s in packs of %s, at least %d: order %s, or say what it costs", o.Supplier, it.Code, o.Pack, o.Minimum, o.Amount(packs))
			}
			line.Cost = o.Goods(packs)
		}
		return line, o.LeadDays, true, nil
	}
	return line, it.Terms.LeadDays, season.SupplierKey(it.Terms.Supplier) == season.SupplierKey(supplier), nil
}

func fromReorder(tx *store.Tx, req *dyelotv1.OrderPurchaseRequest, d purchaseDays) ([]stock.Purchase, error) {
	list, err := buyList(tx, season.UsualHolding, supplierName(req.GetSupplier()))
	if err != nil {
		return nil, err
	}
	of := map[string]season.BuyLine{}
	for _, l := range list.lines {
		of[l.Item.Code] = l
	}
	var orders []stock.Purchase
	leads := map[string]int{}
	for i, code := range req.GetReorderItemCodes() {
		at := "reorder_item_codes[" + strconv.Itoa(i) + "]"
		l, ok := of[strings.ToLower(strings.TrimSpace(code))]
		if !ok {
			return nil, fault.Missing("item", code)
		}
		it := l.Item
		from := otherwise(supplierName(req.GetSupplier()), l.From())
		switch {
		case l.Order.Order.N == 0:
			return nil, fault.BadField(at, "%s need not be ordered: %s", it.Code, l.Why)
		case l.NotCompared != "":
			return nil, fault.Refuse("MIXED_CURRENCY", "%s: %s", it.Code, l.NotCompared)
		case from == "":
			return nil, fault.BadField("supplier", "is needed: nobody is known to sell %s", it.Code)
		}
		orders, err = addLine(orders, from, stock.PurchaseLine{Item: it, Ordered: l.Order.Order}, l, d)
		if err != nil {
			return nil, fault.In(at, err)
		}
		key := season.SupplierKey(from)
		leads[key] = max(leads[key], l.Lead.Promised)
	}
	for i := range orders {
		orders[i].PromisedOn = d.promisedFor(leads[season.SupplierKey(orders[i].Supplier)])
	}
	return orders, nil
}

// addLine puts a line on the order of its supplier.
func addLine(orders []stock.Purchase, supplier string, line stock.PurchaseLine, l season.BuyLine, d purchaseDays) ([]stock.Purchase, error) {
	if l.First != nil {
		line.Cost = l.First.Goods
	}
	for i, p := range orders {
		if season.SupplierKey(p.Supplier) != season.SupplierKey(supplier) {
			continue
		}
		for _, had := range p.Lines {
			if had.Item.ID == line.Item.ID {
				return nil, fault.BadField("", "%s is named twice", line.Item.Code)
			}
		}
		line.Line = len(p.Lines) + 1
		orders[i].Lines = append(orders[i].Lines, line)
		return orders, nil
	}
	line.Line = 1
	return append(orders, stock.Purchase{Supplier: supplier, OrderedOn: d.ordered, Lines: []stock.PurchaseLine{line}}), nil
}

// ClosePurchaseLine writes that what is left of a line will not come.
func (s *PurchaseServer) ClosePurchaseLine(ctx context.Context, req *dyelotv1.ClosePurchaseLineRequest) (*dyelotv1.ClosePurchaseLineResponse, error) {
	id, err := store.ID('Q', "order_code", req.GetOrderCode())
	if err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.ClosePurchaseLineResponse, error) {
		p, err := tx.LockPurchase(id)
		if err != nil {
			return nil, err
		}
		l, err := p.MayClose(int(req.GetLine()))
		if err != nil {
			return nil, err
		}
		if err := tx.ClosePurchaseLine(id, l.Line, req.GetReason(), otherwise(req.GetBy(), tx.By.Name)); err != nil {
			return nil, err
		}
		shown, err := shownPurchase(tx, id)
		return &dyelotv1.ClosePurchaseLineResponse{Purchase: shown, Line: int32(l.Line)}, err
	})
}

// GetPurchase shows one order.
func (s *PurchaseServer) GetPurchase(ctx context.Context, req *dyelotv1.GetPurchaseRequest) (*dyelotv1.GetPurchaseResponse, error) {
	id, err := store.ID('Q', "order_code", req.GetCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetPurchaseResponse, error) {
		p, err := shownPurchase(tx, id)
		return &dyelotv1.GetPurchaseResponse{Purchase: p}, err
	})
}

// ListPurchases lists orders, the newest first.
func (s *PurchaseServer) ListPurchases(ctx context.Context, req *dyelotv1.ListPurchasesRequest) (*dyelotv1.ListPurchasesResponse, error) {
	limit, below, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListPurchasesResponse, error) {
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		f := store.PurchaseFilter{Open: req.GetOpen()}
		if req.GetLate() {
			f.LateOn = today
		}
		times, err := tx.Punctuality()
		if err != nil {
			return nil, err
		}
		orders, err := tx.Purchases(f, below, limit)
		resp := &dyelotv1.ListPurchasesResponse{Today: showDay(today)}
		for _, p := range orders {
			resp.Purchases = append(resp.Purchases, encodePurchase(p, times, today))
		}
		if len(orders) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(orders[limit-1].ID, 10))
		}
		return resp, err
	})
}
