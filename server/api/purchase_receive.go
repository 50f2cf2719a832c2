package api

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// orderedLine is the line of a purchase order that a delivery belongs to, as it
// stood before.
type orderedLine struct {
	order stock.Purchase
	line  stock.PurchaseLine
	share quantity.Money
}

// onOrder finds it, locked, and fills in the parcel's supplier and cost where
// the call does not say them; nil where no order is named.
func onOrder(tx *store.Tx, req *dyelotv1.ReceiveDeliveryRequest, p *stock.Parcel, got quantity.Amount) (*orderedLine, error) {
	if req.GetOrderCode() == "" {
		return nil, nil
	}
	id, err := store.ID('Q', "order_code", req.GetOrderCode())
	if err != nil {
		return nil, err
	}
	o := &orderedLine{}
	if o.order, err = tx.LockPurchase(id); err != nil {
		return nil, err
	}
	if o.line, err = o.order.LineFor(p.Item, int(req.GetOrderLine())); err != nil {
		return nil, err
	}
	o.share = o.line.ShareOf(got)
	if p.Supplier == "" {
		p.Supplier = o.order.Supplier
	}
	if p.Cost.Currency == "" && o.share.Micro > 0 {
		p.Cost = o.share
	}
	return o, nil
}

// book writes what came on the line, and shows the line as it stands now.
func (o *orderedLine) book(tx *store.Tx, parcelID, movementID int64, got quantity.Amount) (*dyelotv1.PurchaseLine, error) {
	if err := tx.AddReceipt(o.order.ID, o.line.Line, stock.Receipt{ParcelID: parcelID, MovementID: movementID, Amount: got, Share: o.share.Micro}); err != nil {
		return nil, err
	}
	now, err := tx.Purchase(o.order.ID)
	if err != nil {
		return nil, err
	}
	return encodePurchaseLine(now, now.Lines[o.line.Line-1]), nil
}

// warnings are what differs from the order.
func (o *orderedLine) warnings(p stock.Parcel, got quantity.Amount) []recipe.Warning {
	var found []recipe.Warning
	warn := func(key, text string, args ...any) {
		found = append(found, recipe.Warning{Key: key, Text: fmt.Sprintf(text, args...), Source: recipe.Source{Mark: recipe.Practice}})
	}
	if over := got.Sub(o.line.Left()); over.N > 0 {
		warn("over-delivery", "%s more than %s still had to come: it is booked, and covers none of the order's cost; send it back, or write what it costs", over, o.order.Code())
	}
	if season.SupplierKey(p.Supplier) != season.SupplierKey(o.order.Supplier) {
		warn("other-supplier", "%s was ordered of %s, and this is booked as from %s", o.order.Code(), o.order.Supplier, p.Supplier)
	}
	return found
}
