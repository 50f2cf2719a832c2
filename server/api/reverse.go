package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// ReverseMovement books the opposite of a movement. Of two who ask at once, the
// second finds it reversed: its row can be pointed at once.
func (s *StockServer) ReverseMovement(ctx context.Context, req *dyelotv1.ReverseMovementRequest) (*dyelotv1.ReverseMovementResponse, error) {
	id, err := store.ID('M', "movement_code", req.GetMovementCode())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.ReverseMovementResponse, error) {
		was, err := tx.Movement(id)
		if err != nil {
			return nil, err
		}
		var ids []int64
		for parcel := range stock.OnShelf(was.Legs) {
			ids = append(ids, parcel)
		}
		parcels, err := tx.LockParcels(ids)
		if err != nil {
			return nil, err
		}
		back, err := stock.Reverse(was, parcels, req.GetReason())
		if err != nil {
			return nil, err
		}
		back.HappenedAt = tx.Now
		back, struck, err := book(tx, back, parcels)
		if err != nil {
			return nil, err
		}
		late, err := overtaken(tx, was.HappenedAt, parcels)
		return &dyelotv1.ReverseMovementResponse{Movement: encodeMovement(back, tx.By.Name), Shortages: struck, Warnings: encodeWarnings(late)}, err
	})
}
