package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// PromiseParcel keeps an amount aside by hand. Of two who want the last gram,
// the second waits for the first one's lock and is told what is left.
func (s *StockServer) PromiseParcel(ctx context.Context, req *dyelotv1.PromiseParcelRequest) (*dyelotv1.PromiseParcelResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.PromiseParcelResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		asked, err := amount("amount", req.GetAmount(), p.Item.Unit)
		if err != nil {
			return nil, err
		}
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		if err := stock.NotCustomers(p, "kept aside for anything else"); err != nil {
			return nil, err
		}
		if err := stock.MayPromise(p, asked, today); err != nil {
			return nil, err
		}
		promise := stock.Promise{ParcelID: p.ID, Purpose: req.GetPurpose(), Outstanding: asked}
		ids, err := tx.MakePromises([]stock.Promise{promise})
		if err != nil {
			return nil, err
		}
		promise.ID = ids[0]
		parcel, err := shown(tx, p.ID)
		return &dyelotv1.PromiseParcelResponse{Promise: encodePromise(promise), Parcel: parcel}, err
	})
}

// ReleasePromise gives back what was kept aside by hand. What a lot holds goes
// with its run.
func (s *StockServer) ReleasePromise(ctx context.Context, req *dyelotv1.ReleasePromiseRequest) (*dyelotv1.ReleasePromiseResponse, error) {
	id, err := store.ID('H', "promise_code", req.GetPromiseCode())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.ReleasePromiseResponse, error) {
		promise, err := tx.Promise(id)
		if err != nil {
			return nil, err
		}
		if _, err := tx.LockParcels([]int64{promise.ParcelID}); err != nil {
			return nil, err
		}
		if promise, err = tx.Promise(id); err != nil { // as it stands now that nobody else changes it
			return nil, err
		}
		entry, err := stock.Release(promise)
		if err != nil {
			return nil, fault.In("promise_code", err)
		}
		if err := tx.AddPromiseEntries([]stock.PromiseEntry{entry}); err != nil {
			return nil, err
		}
		parcel, err := shown(tx, promise.ParcelID)
		return &dyelotv1.ReleasePromiseResponse{Parcel: parcel}, err
	})
}
