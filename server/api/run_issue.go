package api

import (
	"context"
	"maps"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// IssueLot books a lot's blanks and witness cloth from the shelf into work.
func (s *RunServer) IssueLot(ctx context.Context, req *dyelotv1.IssueLotRequest) (*dyelotv1.IssueLotResponse, error) {
	id, err := store.ID('L', "lot_code", req.GetLotCode())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.IssueLotResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		lots, err := tx.LockLots([]int64{id})
		if err != nil {
			return nil, err
		}
		l := lots[0]
		next, err := lot.Next(l.Code, l.State, lot.Issue)
		if err != nil {
			return nil, err
		}
		garments, err := tx.GarmentsOfLots(id)
		if err != nil {
			return nil, err
		}
		m, err := issue(tx, l, garments, stock.Movement{Kind: stock.ActUse, HappenedAt: at, LotID: id, ByName: tx.By.Name})
		if err != nil {
			return nil, err
		}
		if err := tx.PlaceGarments(id, []lot.Place{lot.PlacePlanned}, lot.PlaceInWork, "issued", at, tx.By.Name, ""); err != nil {
			return nil, err
		}
		if err := tx.SetIssued(id, at); err != nil {
			return nil, err
		}
		if err := tx.SetLotStates(map[int64]lot.State{id: next}); err != nil {
			return nil, err
		}
		book, err := loadRun(tx, l.RunID)
		if err != nil {
			return nil, err
		}
		return &dyelotv1.IssueLotResponse{Lot: lotIn(book.encode(), l.Code), Movement: encodeMovement(m, tx.By.Name)}, nil
	})
}

// issue posts what leaves the shelf, and closes the lot's own promises.
func issue(tx *store.Tx, l lot.Lot, garments []lot.Garment, m stock.Movement) (stock.Movement, error) {
	taken := map[int64]quantity.Amount{}
	for _, g := range garments {
		taken[g.ParcelID] = taken[g.ParcelID].Add(quantity.Pieces(1))
	}
	if l.WitnessParcel != 0 {
		taken[l.WitnessParcel] = l.WitnessMass
	}
	own, err := tx.PromisesOfLots([]int64{l.ID})
	if err != nil {
		return m, err
	}
	ids := make([]int64, 0, len(taken))
	for id := range taken {
		ids = append(ids, id)
	}
	locked, err := tx.LockParcels(ids)
	if err != nil {
		return m, err
	}
	parcels := map[int64]stock.Parcel{}
	for _, p := range locked {
		parcels[p.ID] = p
	}
	_, err = settle(tx, &m, parcels, taken, stock.Fulfil(own, taken))
	return m, err
}

// settle books what was taken out of locked parcels: promises that can no
// longer be kept give way, the entries of promises are written and then the
// movement, whose id it fills in. It returns what was struck.
func settle(tx *store.Tx, m *stock.Movement, parcels map[int64]stock.Parcel, taken map[int64]quantity.Amount, fulfilled []stock.PromiseEntry) ([]stock.Struck, error) {
	if len(taken) == 0 {
		return nil, tx.AddPromiseEntries(fulfilled)
	}
	ids := slices.Sorted(maps.Keys(taken))
	var ordered []stock.Parcel
	for _, id := range ids {
		ordered = append(ordered, parcels[id])
		m.Legs = append(m.Legs, stock.Take(parcels[id], taken[id])...)
	}
	outstanding, err := tx.OutstandingPromises(ids)
	if err != nil {
		return nil, err
	}
	eaten, struck := stock.Settle(ordered, m.Legs, outstanding, fulfilled)
	if err := tx.AddPromiseEntries(append(fulfilled, eaten...)); err != nil {
		return nil, err
	}
	m.RecordedAt = tx.Now
	m.ID, err = tx.Post(*m)
	return struck, err
}
