package api

import (
	"context"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// ReceiveDelivery books what a supplier sent as a parcel of its own.
func (s *StockServer) ReceiveDelivery(ctx context.Context, req *dyelotv1.ReceiveDeliveryRequest) (*dyelotv1.ReceiveDeliveryResponse, error) {
	cost, err := decodeCost("cost", req.GetCost())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.ReceiveDeliveryResponse, error) {
		p := stock.Parcel{Origin: stock.FromDelivery, Supplier: req.GetSupplier(), SupplierLot: req.GetSupplierLot(), Cost: cost, Note: req.GetNote()}
		got, err := decodeDelivery(tx, req, &p)
		if err != nil {
			return nil, err
		}
		order, err := onOrder(tx, req, &p, got)
		if err != nil {
			return nil, err
		}
		if p.ID, err = tx.AddParcel(p); err != nil {
			return nil, err
		}
		m := stock.Movement{Kind: stock.ActDelivery, HappenedAt: p.ArrivedAt, Legs: []stock.Leg{{ParcelID: p.ID, From: stock.Supplier, To: stock.Shelf, Amount: got}}}
		if m, _, err = book(tx, m, nil); err != nil {
			return nil, err
		}
		resp := &dyelotv1.ReceiveDeliveryResponse{Movement: encodeMovement(m, tx.By.Name)}
		warned := onArrival(p)
		if order != nil {
			if resp.OrderLine, err = order.book(tx, p.ID, m.ID, got); err != nil {
				return nil, err
			}
			warned = append(warned, order.warnings(p, got)...)
		}
		resp.Warnings = encodeWarnings(warned)
		resp.Parcel, err = shown(tx, p.ID)
		return resp, err
	})
}

func decodeDelivery(tx *store.Tx, req *dyelotv1.ReceiveDeliveryRequest, p *stock.Parcel) (got quantity.Amount, err error) {
	if p.Item, err = tx.ItemByCode(req.GetItemCode()); err != nil {
		return got, err
	}
	if got, err = amount("amount", req.GetAmount(), p.Item.Unit); err != nil {
		return got, err
	}
	if p.ArrivedAt, err = happened(tx, "happened_at", req.GetHappenedAt()); err != nil {
		return got, err
	}
	if p.UsableUntil, err = keepsUntil(req.GetUsableUntil(), p.ArrivedAt); err != nil {
		return got, err
	}
	if p.Concentration, err = decodeConcentration(req.GetGramsPerLitre()); err != nil {
		return got, err
	}
	if p.PieceMass, err = amountOrNone("piece_mass", req.GetPieceMass(), quantity.Mass); err != nil {
		return got, err
	}
	p.StrengthUnknown = p.Item.Kind == stock.Solution && p.Concentration == 0
	return got, stock.CheckBought(p.Item, p.Concentration, p.PieceMass)
}

// decodeCost reads what was paid; absent is no currency.
func decodeCost(field string, m *dyelotv1.Money) (quantity.Money, error) {
	if m == nil || (m.GetValue() == "" && m.GetCurrency() == "") {
		return quantity.Money{}, nil
	}
	cost, err := quantity.ParseMoney(m.GetValue(), m.GetCurrency())
	if err == nil && cost.Micro < 0 {
		err = fault.BadField("value", "%s is below zero", cost)
	}
	return cost, fault.In(field, err)
}

// decodeConcentration reads grams a litre; empty is none.
func decodeConcentration(s string) (quantity.Concentration, error) {
	if s == "" {
		return 0, nil
	}
	c, err := quantity.ParseConcentration(s)
	if err == nil && c <= 0 {
		err = fault.BadField("grams_per_litre", "%s is not above zero", c)
	}
	return c, err
}

// keepsUntil reads the last day of use, which is not before the parcel came.
func keepsUntil(s string, arrived time.Time) (time.Time, error) {
	until, err := day("usable_until", s)
	if err == nil && !until.IsZero() && until.Before(arrived.Truncate(24*time.Hour)) {
		err = fault.BadField("usable_until", "%s is before it came, on %s", s, arrived.Format(time.DateOnly))
	}
	return until, err
}

// onArrival is what to mind, and what to look for, when a parcel comes in.
func onArrival(p stock.Parcel) []recipe.Warning {
	found := append(p.Item.Warnings(), stock.LiquorWarnings(p)...)
	if p.Item.Kind == stock.Blank {
		found = append(found, recipe.Warning{Key: "look-at-the-thread", Source: recipe.Source{Mark: recipe.Practice},
			Text: "look for polyester thread and labels, which stay white, and for softener, which the dye does not get through"})
	}
	return found
}
