package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// CountParcel sets the book to what was counted.
func (s *StockServer) CountParcel(ctx context.Context, req *dyelotv1.CountParcelRequest) (*dyelotv1.CountParcelResponse, error) {
	if req.GetCounted() == nil {
		return nil, fault.BadField("counted", "is needed; 0 where nothing is left")
	}
	counted, err := amountOrNone("counted", req.GetCounted())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CountParcelResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		m, difference, err := stock.Count(p, counted)
		if err != nil {
			return nil, err
		}
		if m.HappenedAt, err = happened(tx, "happened_at", req.GetHappenedAt()); err != nil {
			return nil, err
		}
		resp := &dyelotv1.CountParcelResponse{Difference: encode(difference)}
		if m.Reason = req.GetReason(); len(m.Legs) > 0 {
			if m, resp.Shortages, err = book(tx, m, []stock.Parcel{p}); err != nil {
				return nil, err
			}
			resp.Movement = encodeMovement(m, tx.By.Name)
		}
		resp.Parcel, err = shown(tx, p.ID)
		return resp, err
	})
}

// WriteOffParcel takes what is spoiled off the shelf, or sends it back.
func (s *StockServer) WriteOffParcel(ctx context.Context, req *dyelotv1.WriteOffParcelRequest) (*dyelotv1.WriteOffParcelResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.WriteOffParcelResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		var gone quantity.Amount // absent: all of it
		if req.GetAmount() != nil {
			if gone, err = amount("amount", req.GetAmount(), p.Item.Unit); err != nil {
				return nil, err
			}
		}
		m, err := stock.WriteOff(p, gone, req.GetReason(), req.GetSendBack())
		if err != nil {
			return nil, err
		}
		if m.HappenedAt, err = happened(tx, "happened_at", req.GetHappenedAt()); err != nil {
			return nil, err
		}
		m, struck, err := book(tx, m, []stock.Parcel{p})
		if err != nil {
			return nil, err
		}
		parcel, err := shown(tx, p.ID)
		return &dyelotv1.WriteOffParcelResponse{Parcel: parcel, Movement: encodeMovement(m, tx.By.Name), Shortages: struck}, err
	})
}
