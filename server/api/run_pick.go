package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// PickRun picks what is short, from the shelf as it is now.
func (s *RunServer) PickRun(ctx context.Context, req *dyelotv1.PickRunRequest) (*dyelotv1.PickRunResponse, error) {
	id, err := store.ID('R', "run_code", req.GetRunCode())
	if err != nil {
		return nil, err
	}
	wish := map[string]int64{}
	for item, parcel := range req.GetParcels() {
		if wish[item], err = store.ID('P', "parcels["+item+"]", parcel); err != nil {
			return nil, err
		}
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.PickRunResponse, error) {
		b, err := lockRun(tx, id)
		if err != nil {
			return nil, err
		}
		if b.run.CommissionID != 0 {
			if err := tx.LockCommission(b.run.CommissionID); err != nil {
				return nil, err
			}
		}
		if err := b.pick(tx, wish); err != nil {
			return nil, err
		}
		after, err := loadRun(tx, id)
		if err != nil {
			return nil, err
		}
		return &dyelotv1.PickRunResponse{Run: after.encode()}, nil
	})
}

// lockRun locks the run's lots, which every act on it does first, and loads it.
func lockRun(tx *store.Tx, id int64) (*runBook, error) {
	lots, err := tx.LotsOfRuns(id)
	if err != nil {
		return nil, err
	}
	ids := make([]int64, len(lots))
	for i, l := range lots {
		ids[i] = l.ID
	}
	if _, err := tx.LockLots(ids); err != nil {
		return nil, err
	}
	b, err := loadRun(tx, id)
	if err == nil && !b.run.CancelledAt.IsZero() {
		err = fault.Refuse("RUN_CANCELLED", "run %s was cancelled: %s", store.Code('R', id), b.run.CancelReason)
	}
	return b, err
}

// pick fills the open doses whose stage is not recorded, nor begun: of a bath
// that some lots had, what the others get is said when they get it. A dose that
// is moved to a parcel named by the caller gives its old promises back first, as
// does what no lot waits for any more.
func (b *runBook) pick(tx *store.Tx, wish map[string]int64) error {
	baths := cloneBaths(b.baths)
	var items []int64
	anew := map[int64]bool{}
	released := lot.Unneeded(b.baths, b.waits)
	for i := range baths {
		for j := range baths[i].Doses {
			d := &baths[i].Doses[j]
			if b.recorded(baths[i]) || b.begun(baths[i]) {
				d.Short = d.Item.Zero()
				continue
			}
			parcel, named := wish[d.Item.Code]
			if d.Short.IsZero() && (!named || d.OnlyFrom(parcel)) {
				continue
			}
			items = append(items, d.Item.ID)
			for _, p := range d.Promises {
				if p.Outstanding.N > 0 {
					released = append(released, stock.PromiseEntry{PromiseID: p.ID, Delta: -p.Outstanding.N, Why: stock.Released})
				}
			}
			d.Short, d.Picks = d.Amount, nil
			anew[d.ID] = true
		}
	}
	if err := tx.AddPromiseEntries(released); err != nil {
		return err
	}
	if len(items) == 0 {
		return b.nothingToPick(wish)
	}
	shelf, err := shelfOf(tx, items, true)
	if err != nil {
		return err
	}
	prefer, err := preferredParcels(wish, shelf)
	if err != nil {
		return err
	}
	if err := forSet(tx, shelf, b.run); err != nil {
		return err
	}
	if err := lot.Fill(baths, shelf, b.run.MatchedSet, prefer); err != nil {
		return err
	}
	return keepPicks(tx, baths, anew)
}

func (b *runBook) nothingToPick(wish map[string]int64) error {
	for item := range wish {
		return fault.BadField("parcels["+item+"]", "nothing of it is left to pick in run %s", store.Code('R', b.run.ID))
	}
	return nil
}

// keepPicks promises what was picked anew and writes what each dose came to.
func keepPicks(tx *store.Tx, baths []lot.Bath, anew map[int64]bool) error {
	var fresh []lot.Bath
	for _, bath := range baths {
		only := lot.Bath{}
		for _, d := range bath.Doses {
			if anew[d.ID] && d.Short.IsZero() {
				only.Doses = append(only.Doses, d)
			}
		}
		for _, d := range only.Doses {
			if err := tx.SetDoseAmount(d.ID, d.Amount); err != nil {
				return err
			}
		}
		fresh = append(fresh, only)
	}
	_, err := tx.MakePromises(dosePromises(fresh))
	return err
}

// CancelRun frees every promise of a run of which nothing has been issued.
func (s *RunServer) CancelRun(ctx context.Context, req *dyelotv1.CancelRunRequest) (*dyelotv1.CancelRunResponse, error) {
	id, err := store.ID('R', "run_code", req.GetRunCode())
	if err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CancelRunResponse, error) {
		b, err := lockRun(tx, id)
		if err != nil {
			return nil, err
		}
		if err := b.cancel(tx, req.GetReason()); err != nil {
			return nil, err
		}
		after, err := loadRun(tx, id)
		if err != nil {
			return nil, err
		}
		return &dyelotv1.CancelRunResponse{Run: after.encode()}, nil
	})
}

func (b *runBook) cancel(tx *store.Tx, reason string) error {
	states := map[int64]lot.State{}
	for _, l := range b.lots {
		next, err := lot.Next(l.Code, l.State, lot.Cancel)
		if err != nil {
			return err
		}
		states[l.ID] = next
	}
	promises, err := tx.PromisesOfLots(b.lotIDs())
	if err != nil {
		return err
	}
	for _, bath := range b.baths {
		for _, d := range bath.Doses {
			promises = append(promises, d.Promises...)
		}
	}
	var released []stock.PromiseEntry
	for _, p := range promises {
		if p.Outstanding.N > 0 {
			released = append(released, stock.PromiseEntry{PromiseID: p.ID, Delta: -p.Outstanding.N, Why: stock.Released})
		}
	}
	if err := tx.AddPromiseEntries(released); err != nil {
		return err
	}
	for _, l := range b.lots {
		if err := tx.PlaceGarments(l.ID, []lot.Place{lot.PlacePlanned}, lot.PlaceGone, "cancelled", tx.Now, tx.By.Name, reason); err != nil {
			return err
		}
	}
	if err := tx.GiveUpAgain(b.lotIDs(), reason); err != nil {
		return err
	}
	if err := tx.SetLotStates(states); err != nil {
		return err
	}
	return tx.CancelRun(b.run.ID, reason)
}
