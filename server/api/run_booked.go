package api

import (
	"context"
	"fmt"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// book writes the record and its postings together (law 3) and says what
// became of it.
func (r record) book(tx *store.Tx, stands lot.Standing, dec lot.Decision, used []lot.Used) (*dyelotv1.RecordStageResponse, error) {
	id, err := tx.AddRecord(stands)
	if err != nil {
		return nil, err
	}
	m := stock.Movement{Kind: stock.ActUse, HappenedAt: stands.HappenedAt, ByName: stands.By, RecordID: id}
	parcels, struck, err := settle(tx, &m, r.taken, dec.Promises)
	if err != nil {
		return nil, err
	}
	if err := tx.SetLotStates(dec.States); err != nil {
		return nil, err
	}
	after, err := loadRun(tx, stands.RunID)
	if err != nil {
		return nil, err
	}
	resp := &dyelotv1.RecordStageResponse{Shortages: encodeStruck(struck, parcels), Warnings: encodeWarnings(append(dec.Warnings, unusable(tx, used)...))}
	for _, rec := range after.records {
		if rec.ID == id {
			resp.Record = after.encodeRecord(rec)
		}
	}
	for _, u := range used {
		resp.Parcels = append(resp.Parcels, encodeParcel(after.parcels[u.Parcel.ID]))
	}
	resp.Next = after.next(r.lots[0])
	return resp, nil
}

// unusable says of what was used that it should not have been. It is in the pot
// all the same.
func unusable(tx *store.Tx, used []lot.Used) []recipe.Warning {
	today, err := tx.Today()
	if err != nil {
		return nil
	}
	var said []recipe.Warning
	for _, u := range used {
		if err := u.Parcel.Usable(today); err != nil {
			said = append(said, recipe.Warning{Key: "parcel-not-usable", Text: err.Error() + ", and it was used all the same", Source: recipe.Source{Mark: recipe.Practice}})
		}
	}
	return said
}

// next is the lot's next stage in words; empty when all is done.
func (b *runBook) next(lotID int64) string {
	_, position := b.open(lotID)
	for _, bath := range b.baths {
		if bath.Position != position || !serves(bath, lotID) {
			continue
		}
		s := fmt.Sprintf("stage %d, %s", position, bath.Kind.Name)
		for _, d := range bath.Doses {
			s += fmt.Sprintf(", %s of %s", d.Amount, d.Item.Name)
		}
		if bath.Celsius > 0 {
			s += fmt.Sprintf(", %d °C", bath.Celsius)
		}
		if bath.Minutes > 0 {
			s += fmt.Sprintf(", %d min", bath.Minutes)
		}
		return s
	}
	return ""
}

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
		book, before, err := lockStage(tx, lots, int(req.GetPosition()))
		if err != nil {
			return nil, err
		}
		dec, err := lot.Skip(before)
		if err != nil {
			return nil, err
		}
		id, err := tx.AddRecord(lot.Standing{RunID: book.run.ID, Position: int(req.GetPosition()), Kind: dec.Kind, By: tx.By.Name, HappenedAt: at,
			Skipped: true, Reason: req.GetReason(), Lots: dec.Lots, Deviations: dec.Deviations})
		if err != nil {
			return nil, err
		}
		if _, _, err := settle(tx, &stock.Movement{}, nil, dec.Promises); err != nil {
			return nil, err
		}
		if err := tx.SetLotStates(dec.States); err != nil {
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
		r, err := tx.Record(id)
		if err != nil {
			return nil, err
		}
		if r.Undone {
			return nil, fault.Refuse("UNDONE_ALREADY", "%s has been undone already: %s", store.Code('S', id), r.UndoneWhy)
		}
		var lots []int64
		for _, l := range r.Lots {
			lots = append(lots, l.LotID)
		}
		book, before, err := lockStage(tx, lots, r.Position)
		if err != nil {
			return nil, err
		}
		states, err := lot.UndoStates(before.Lots)
		if err != nil {
			return nil, err
		}
		m, err := takeBack(tx, r, req.GetReason())
		if err != nil {
			return nil, err
		}
		if err := tx.UndoRecord(id, req.GetReason()); err != nil {
			return nil, err
		}
		if err := restore(tx, before, r.Used); err != nil {
			return nil, err
		}
		if err := tx.SetLotStates(states); err != nil {
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
		return resp, nil
	})
}

// takeBack posts the mirror of what a record took; nothing when it took nothing.
func takeBack(tx *store.Tx, r lot.Standing, reason string) (stock.Movement, error) {
	if len(r.Used) == 0 {
		return stock.Movement{}, nil
	}
	was, _, err := tx.MovementOfRecord(r.ID)
	if err != nil {
		return was, err
	}
	var ids []int64
	for _, u := range r.Used {
		ids = append(ids, u.ParcelID)
	}
	parcels, err := tx.LockParcels(ids)
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
