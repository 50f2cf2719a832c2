package api

import (
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// shownPurchase is an order as it stands now.
func shownPurchase(tx *store.Tx, id int64) (*dyelotv1.Purchase, error) {
	today, err := tx.Today()
	if err != nil {
		return nil, err
	}
	times, err := tx.Punctuality()
	if err != nil {
		return nil, err
	}
	p, err := tx.Purchase(id)
	return encodePurchase(p, times, today), err
}

func encodePurchase(p stock.Purchase, times store.Punctuality, today time.Time) *dyelotv1.Purchase {
	m := &dyelotv1.Purchase{Code: p.Code(), Supplier: p.Supplier, OrderedOn: showDay(p.OrderedOn), PromisedOn: showDay(p.PromisedOn), Open: p.Open(),
		DaysLate: int32(p.DaysLate(today)), By: p.By, Note: p.Note, RecordedAt: stamp(p.RecordedAt)}
	if p.Open() {
		m.ExpectedOn = showDay(times.Expected(p.Supplier, p.PromisedOn, today))
	}
	if cost := p.Cost(); cost.Currency != "" {
		m.Cost = encodeMoney(cost)
	}
	for _, l := range p.Lines {
		m.Lines = append(m.Lines, encodePurchaseLine(p, l))
	}
	return m
}

func encodePurchaseLine(p stock.Purchase, l stock.PurchaseLine) *dyelotv1.PurchaseLine {
	m := &dyelotv1.PurchaseLine{OrderCode: p.Code(), Line: int32(l.Line), ItemCode: l.Item.Code, ItemName: l.Item.Name, Ordered: encode(l.Ordered), Received: encode(l.Received()),
		Left: encode(l.Left()), Over: encode(l.Over()), State: string(l.State()), ClosedReason: l.Closed, ClosedBy: l.ClosedBy, Text: l.Text()}
	if l.Cost.Currency != "" {
		m.Cost = encodeMoney(l.Cost)
	}
	for _, r := range l.Receipts {
		m.Receipts = append(m.Receipts, &dyelotv1.PurchaseReceipt{ParcelCode: store.Code('P', r.ParcelID), MovementCode: store.Code('M', r.MovementID), Amount: encode(r.Amount),
			ArrivedOn: showDay(r.ArrivedOn), Days: int32(stock.Days(p.OrderedOn, r.ArrivedOn)), Reversed: r.Reversed})
	}
	return m
}
