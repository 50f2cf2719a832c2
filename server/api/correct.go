package api

import (
	"context"
	"fmt"
	"slices"

	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// CorrectStage takes a record back and writes the right one beside it: both
// happen, or neither. What the call does not give stays as the record had it,
// the lots and the time above all.
func (s *LogbookServer) CorrectStage(ctx context.Context, req *dyelotv1.CorrectStageRequest) (*dyelotv1.CorrectStageResponse, error) {
	id, err := store.ID('S', "record_code", req.GetRecordCode())
	if err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	if err := checkNotUsed(req); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CorrectStageResponse, error) {
		was, err := tx.Record(id)
		if err != nil {
			return nil, err
		}
		if was.AdditionTo != 0 {
			return nil, fault.Refuse("ADDITION", "%s is an addition to %s: undo it, and add what is right", store.Code('S', id), store.Code('S', was.AdditionTo)).With("record", store.Code('S', id))
		}
		if was.Skipped {
			return nil, fault.Refuse("NOTHING_TO_CORRECT", "%s says that the stage was left out: undo it, then record what was done", store.Code('S', id)).With("record", store.Code('S', id))
		}
		right, err := corrected(was, req)
		if err != nil {
			return nil, err
		}
		if err := right.lockBoth(tx, was); err != nil {
			return nil, err
		}
		book, back, err := undo(tx, id, req.GetReason())
		if err != nil {
			return nil, err
		}
		recorded, err := right.write(tx)
		if err != nil {
			return nil, err
		}
		after, err := loadRun(tx, book.run.ID)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.CorrectStageResponse{Record: recorded.GetRecord(), Corrected: after.recordByID(id), Warnings: recorded.GetWarnings(),
			Shortages: recorded.GetShortages(), Parcels: recorded.GetParcels(), Next: recorded.GetNext()}
		if back.ID != 0 {
			resp.Reversal = encodeMovement(back, tx.By.Name)
		}
		return resp, nil
	})
}

// checkNotUsed: a parcel was used or it was not.
func checkNotUsed(req *dyelotv1.CorrectStageRequest) error {
	used := map[int64]bool{}
	for i, u := range req.GetUsed() {
		id, err := store.ID('P', fmt.Sprintf("used[%d].parcel_code", i), u.GetParcelCode())
		if err != nil {
			return err
		}
		used[id] = true
	}
	for i, code := range req.GetNotUsed() {
		at := fmt.Sprintf("not_used[%d]", i)
		id, err := store.ID('P', at, code)
		if err != nil {
			return err
		}
		if used[id] {
			return fault.BadField(at, "%s is among what was used too", code)
		}
	}
	return nil
}

// corrected is the request that would have recorded it rightly, decoded.
func corrected(was lot.Standing, c *dyelotv1.CorrectStageRequest) (record, error) {
	q := &dyelotv1.RecordStageRequest{
		LotCodes: lotCodes(was.Lots), Position: int32(was.Position), VesselCode: otherwise(c.GetVesselCode(), was.Vessel.Code), By: otherwise(c.GetBy(), was.By),
		HappenedAt: orStamp(c.GetHappenedAt(), stamp(was.HappenedAt)), StartedAt: orStamp(c.GetStartedAt(), stamp(was.StartedAt)), FinishedAt: orStamp(c.GetFinishedAt(), stamp(was.FinishedAt)),
		Celsius: c.GetCelsius(), Minutes: c.GetMinutes(), Ph: c.GetPh(), BathVolume: c.GetBathVolume(), Note: otherwise(c.GetNote(), was.Note),
		Reason: otherwise(c.GetDeviationReason(), was.Reason), OverrideBy: otherwise(c.GetOverrideBy(), was.Override.By), OverrideReason: otherwise(c.GetOverrideReason(), was.Override.Reason),
	}
	if q.Celsius == 0 {
		q.Celsius = int32(was.Celsius)
	}
	if q.Minutes == 0 {
		q.Minutes = int32(was.Minutes)
	}
	if q.Ph == "" && was.PH != nil {
		q.Ph = recipe.PH(*was.PH).Decimal()
	}
	if q.BathVolume == nil && was.Volume.N > 0 {
		q.BathVolume = encode(was.Volume)
	}
	for _, d := range was.Dips {
		q.Dips = append(q.Dips, &dyelotv1.Dips{Tags: d.Tags, Dips: int32(d.Dips), Airings: int32(d.Airings)})
	}
	var err error
	if q.Used, err = usedAfterAll(was, c); err != nil {
		return record{}, err
	}
	r, err := decodeRecord(q)
	r.wrong = was
	return r, err
}

func orStamp(given, was *timestamppb.Timestamp) *timestamppb.Timestamp {
	if given != nil {
		return given
	}
	return was
}

// usedAfterAll is what the call says, and of the record's other parcels what it
// had.
func usedAfterAll(was lot.Standing, c *dyelotv1.CorrectStageRequest) ([]*dyelotv1.Taken, error) {
	used := slices.Clone(c.GetUsed())
	named := map[int64]bool{}
	for i, u := range used {
		id, err := store.ID('P', fmt.Sprintf("used[%d].parcel_code", i), u.GetParcelCode())
		if err != nil {
			return nil, err
		}
		named[id] = true
	}
	for i, code := range c.GetNotUsed() {
		at := fmt.Sprintf("not_used[%d]", i)
		id, err := store.ID('P', at, code)
		if err != nil {
			return nil, err
		}
		if !slices.ContainsFunc(was.Used, func(u lot.Taken) bool { return u.ParcelID == id }) {
			return nil, fault.BadField(at, "%s used nothing of %s", store.Code('S', was.ID), store.Code('P', id))
		}
		named[id] = true
	}
	for _, u := range was.Used {
		if !named[u.ParcelID] {
			used = append(used, &dyelotv1.Taken{ParcelCode: store.Code('P', u.ParcelID), Amount: encode(u.Amount)})
		}
	}
	return used, nil
}

// lockBoth locks the lots, then the parcels of both records, each in the one
// order, before anything is taken back.
func (r record) lockBoth(tx *store.Tx, was lot.Standing) error {
	if _, err := tx.LockLots(r.lots); err != nil {
		return err
	}
	ids := slices.Clone(r.order)
	for _, u := range was.Used {
		if !slices.Contains(ids, u.ParcelID) {
			ids = append(ids, u.ParcelID)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	_, err := tx.LockParcels(ids)
	return err
}
