package api

import (
	"context"
	"maps"
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// IssueLot books a lot's blanks and witness cloth from the shelf into work, and
// moves garments that are dyed again into it.
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
		l, garments, err := lockIssue(tx, id)
		if err != nil {
			return nil, err
		}
		next, err := lot.Next(l.Code, l.State, lot.Issue)
		if err != nil {
			return nil, err
		}
		again := slices.DeleteFunc(slices.Clone(garments), func(g lot.Garment) bool { return g.Next != id })
		if err := notBefore(tx, at, again); err != nil {
			return nil, err
		}
		m, err := issue(tx, l, garments, stock.Movement{Kind: stock.ActUse, HappenedAt: at, LotID: id, ByName: tx.By.Name})
		if err != nil {
			return nil, err
		}
		if err := tx.PlaceGarments(id, []lot.Place{lot.PlacePlanned}, lot.PlaceInWork, "issued", at, tx.By.Name, ""); err != nil {
			return nil, err
		}
		if err := tx.MoveIn(id, at); err != nil {
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
		resp := &dyelotv1.IssueLotResponse{Lot: lotIn(book.encode(), l.Code)}
		if m.ID != 0 { // a lot of garments that were dyed before takes nothing off the shelf
			resp.Movement = encodeMovement(m, tx.By.Name)
		}
		return resp, nil
	})
}

// lockIssue locks a lot and those that garments come into it from, in ascending
// id, and loads it with its garments as they are then.
func lockIssue(tx *store.Tx, id int64) (lot.Lot, []lot.Garment, error) {
	before, err := tx.GarmentsFor(id)
	if err != nil {
		return lot.Lot{}, nil, err
	}
	ids := []int64{id}
	for _, g := range before {
		if !slices.Contains(ids, g.LotID) {
			ids = append(ids, g.LotID)
		}
	}
	lots, err := tx.LockLots(ids)
	if err != nil {
		return lot.Lot{}, nil, err
	}
	garments, err := tx.GarmentsFor(id)
	return lots[slices.IndexFunc(lots, func(l lot.Lot) bool { return l.ID == id })], garments, err
}

// notBefore refuses a time before the last thing that happened to any of some
// garments.
func notBefore(tx *store.Tx, at time.Time, garments []lot.Garment) error {
	if len(garments) == 0 {
		return nil
	}
	ids := make([]int64, len(garments))
	for i, g := range garments {
		ids[i] = g.ID
	}
	last, err := tx.LastHappened(ids)
	if err == nil && at.Before(last) {
		return fault.BadField("happened_at", "%s is before %s, when something happened last to a garment of these", at.Format(time.RFC3339), last.Format(time.RFC3339))
	}
	return err
}

// issue posts what leaves the shelf, and closes the lot's own promises.
func issue(tx *store.Tx, l lot.Lot, garments []lot.Garment, m stock.Movement) (stock.Movement, error) {
	taken := map[int64]quantity.Amount{}
	for _, g := range garments {
		if g.Next == l.ID {
			continue // its blank left the shelf with its first lot
		}
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
	outstanding, err := tx.OutstandingPromises(tight(ordered, m.Legs))
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

// tight are the parcels that hold less after the act than was promised of them
// before it: only there can a promise have to give way, and only there are the
// promises worth loading.
func tight(parcels []stock.Parcel, legs []stock.Leg) []int64 {
	change := stock.OnShelf(legs)
	var ids []int64
	for _, p := range parcels {
		if p.OnHand.Add(change[p.ID]).N < p.Promised.N {
			ids = append(ids, p.ID)
		}
	}
	return ids
}
