package api

import (
	"context"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// SkipStage leaves a stage out, with its reason; what was promised for it goes
// free.
func (s *RunServer) SkipStage(ctx context.Context, req *dyelotv1.SkipStageRequest) (*dyelotv1.SkipStageResponse, error) {
	lots, err := decodeLots(req.GetLotCodes())
	if err != nil {
		return nil, err
	}
	if err := stagePosition(req.GetPosition()); err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SkipStageResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		book, err := lockStage(tx, lots, int(req.GetPosition()))
		if err != nil {
			return nil, err
		}
		dec, err := lot.Skip(book.Before)
		if err != nil {
			return nil, err
		}
		id, _, err := tx.AddRecord(lot.Standing{RunID: book.run.ID, Position: int(req.GetPosition()), Kind: dec.Kind, By: tx.By.Name, HappenedAt: at,
			Skipped: true, Reason: req.GetReason(), Lots: dec.Lots, Deviations: dec.Deviations})
		if err != nil {
			return nil, err
		}
		if err := tx.AddPromiseEntries(dec.Promises); err != nil {
			return nil, err
		}
		if err := tx.SetLotStates(book.moved(dec.States)); err != nil {
			return nil, err
		}
		after, err := loadRun(tx, book.run.ID)
		if err != nil {
			return nil, err
		}
		return &dyelotv1.SkipStageResponse{Record: after.recordByID(id)}, nil
	})
}

func (b *runBook) recordByID(id int64) *dyelotv1.StageRecord {
	for _, r := range b.records {
		if r.ID == id {
			return b.encodeRecord(r)
		}
	}
	return nil
}

// UndoStage takes a record back whole: amounts to their parcels, promises to
// their doses as far as the shelf allows, the lots to the state before.
func (s *RunServer) UndoStage(ctx context.Context, req *dyelotv1.UndoStageRequest) (*dyelotv1.UndoStageResponse, error) {
	id, err := store.ID('S', "record_code", req.GetRecordCode())
	if err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.UndoStageResponse, error) {
		book, m, err := undo(tx, id, req.GetReason())
		if err != nil {
			return nil, err
		}
		after, err := loadRun(tx, book.run.ID)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.UndoStageResponse{Record: after.recordByID(id)}
		if m.ID != 0 {
			resp.Movement = encodeMovement(m, tx.By.Name)
		}
		late, err := after.overtakenBy(tx, id)
		resp.Warnings = encodeWarnings(late)
		return resp, err
	})
}

// overtakenBy warns where a record happened before its parcels were counted.
func (b *runBook) overtakenBy(tx *store.Tx, id int64) ([]recipe.Warning, error) {
	i := slices.IndexFunc(b.records, func(r lot.Standing) bool { return r.ID == id })
	if i < 0 {
		return nil, nil
	}
	var used []stock.Parcel
	for _, u := range b.records[i].Used {
		used = append(used, b.parcels[u.ParcelID])
	}
	return overtaken(tx, b.records[i].HappenedAt, used)
}

// undo takes a standing record back, with its amounts and promises; the movement
// has no id where it took nothing.
func undo(tx *store.Tx, id int64, reason string) (*stageBook, stock.Movement, error) {
	none := stock.Movement{}
	r, err := tx.Record(id)
	if err != nil {
		return nil, none, err
	}
	if r.Undone {
		return nil, none, fault.Refuse("UNDONE_ALREADY", "%s has been undone already: %s", store.Code('S', id), r.UndoneWhy)
	}
	var lots []int64
	for _, l := range r.Lots {
		lots = append(lots, l.LotID)
	}
	book, err := lockStage(tx, lots, r.Position)
	if err != nil {
		return nil, none, err
	}
	if err := lastOfBath(tx, r); err != nil {
		return nil, none, err
	}
	states, err := undone(r, book.Lots)
	if err != nil {
		return nil, none, err
	}
	m, err := takeBack(tx, r, reason)
	if err != nil {
		return nil, none, err
	}
	if err := tx.UndoRecord(id, reason); err != nil {
		return nil, none, err
	}
	if r.AdditionTo == 0 { // an addition was promised nothing
		if err := restore(tx, book.Before, r.Used); err != nil {
			return nil, none, err
		}
	}
	return book, m, tx.SetLotStates(book.moved(states))
}

func undone(r lot.Standing, lots []lot.Lot) (map[int64]lot.State, error) {
	if r.AdditionTo != 0 {
		return lot.UndoAddition(lots)
	}
	return lot.UndoStates(lots)
}

// takeBack posts the mirror of what a record took; nothing when it took nothing.
func takeBack(tx *store.Tx, r lot.Standing, reason string) (stock.Movement, error) {
	was, took, err := tx.MovementOfRecord(r.ID)
	if err != nil || !took {
		return stock.Movement{}, err
	}
	return mirror(tx, was, reason)
}

// mirror locks the parcels of a movement and posts its reversal.
func mirror(tx *store.Tx, was stock.Movement, reason string) (stock.Movement, error) {
	var ids []int64
	for _, l := range was.Legs {
		ids = append(ids, l.ParcelID)
	}
	slices.Sort(ids)
	parcels, err := tx.LockParcels(slices.Compact(ids))
	if err != nil {
		return was, err
	}
	m, err := stock.Mirror(was, parcels, reason)
	if err != nil {
		return m, err
	}
	m.HappenedAt, m.RecordedAt, m.ByName = tx.Now, tx.Now, tx.By.Name
	m.ID, err = tx.Post(m)
	return m, err
}

// restore puts the promises of an undone stage back, each as far as its parcel
// is free. What another run was promised meanwhile stays with that run. Where
// another record of its bath stands, only what this one used comes back.
func restore(tx *store.Tx, b lot.Before, used []lot.Taken) error {
	var doses []int64
	var own map[int64]quantity.Amount
	for _, bath := range b.Baths {
		for _, l := range bath.Lots {
			if _, recorded := b.Recorded[l.LotID]; recorded && !slices.ContainsFunc(b.Lots, func(own lot.Lot) bool { return own.ID == l.LotID }) {
				own = map[int64]quantity.Amount{}
			}
		}
		for _, d := range bath.Doses {
			doses = append(doses, d.ID)
		}
	}
	spent, err := tx.SpentPromises(doses)
	if err != nil || len(spent) == 0 {
		return err
	}
	if own != nil {
		for _, u := range used {
			own[u.ParcelID] = u.Amount
		}
	}
	var ids []int64
	for _, p := range spent {
		ids = append(ids, p.ParcelID)
	}
	parcels, err := tx.LockParcels(ids)
	if err != nil {
		return err
	}
	free := map[int64]quantity.Amount{}
	for _, p := range parcels {
		free[p.ID] = p.Free()
	}
	return tx.AddPromiseEntries(lot.Restore(spent, free, own))
}
