package api

import (
	"context"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/days"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/server/store"
)

// PinStage sets a stage to a time, whatever the plan would say.
func (s *DaysServer) PinStage(ctx context.Context, req *dyelotv1.PinStageRequest) (*dyelotv1.PinStageResponse, error) {
	if req.GetStartsAt() == nil || req.GetStartsAt().CheckValid() != nil {
		return nil, fault.BadField("starts_at", "is needed: when the stage is to begin")
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.PinStageResponse, error) {
		w, open, lotID, err := stageToPin(tx, req.GetLotCode(), req.GetPosition())
		if err != nil {
			return nil, err
		}
		at := req.GetStartsAt().AsTime()
		if w.minute(at) < w.now {
			return nil, fault.BadField("starts_at", "%s has passed: it is %s now", w.said(w.minute(at)), w.said(w.now))
		}
		if at.After(tx.Now.AddDate(0, 0, ahead)) {
			return nil, fault.BadField("starts_at", "%s is more than %d days ahead", showDay(at), ahead)
		}
		pin := store.StagePin{StartsAt: at, Reason: req.GetReason()}
		if code := req.GetVesselCode(); code != "" {
			v, err := tx.Vessel(code)
			if err != nil {
				return nil, err
			}
			if err := mayServe(open, v); err != nil {
				return nil, err
			}
			pin.VesselID = v.ID
		}
		if err := tx.AddPin(lotID, open.Position, pin); err != nil {
			return nil, err
		}
		task, err := replanned(tx, lotID, open.Position)
		return &dyelotv1.PinStageResponse{Task: task}, err
	})
}

// UnpinStage gives a stage back to the plan.
func (s *DaysServer) UnpinStage(ctx context.Context, req *dyelotv1.UnpinStageRequest) (*dyelotv1.UnpinStageResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.UnpinStageResponse, error) {
		_, open, lotID, err := stageToPin(tx, req.GetLotCode(), req.GetPosition())
		if err != nil {
			return nil, err
		}
		var lots []int64
		for _, l := range open.Lots {
			lots = append(lots, l.ID)
		}
		was, err := tx.DropPins(lots, open.Position, req.GetReason())
		if err != nil {
			return nil, err
		}
		if !was {
			return nil, fault.Refuse("NOT_PINNED", "stage %d of %s is not pinned", open.Position, req.GetLotCode()).With("lot", req.GetLotCode())
		}
		task, err := replanned(tx, lotID, open.Position)
		return &dyelotv1.UnpinStageResponse{Task: task}, err
	})
}

// stageToPin locks the lot and finds its open stage.
func stageToPin(tx *store.Tx, code string, position int32) (w *week, open store.OpenStage, lotID int64, err error) {
	if lotID, err = store.ID('L', "lot_code", code); err != nil {
		return nil, open, 0, err
	}
	locked, err := tx.LockLots([]int64{lotID})
	if err != nil {
		return nil, open, 0, err
	}
	if st := locked[0].State; st != lot.Planned && st != lot.InWork {
		return nil, open, 0, fault.Refuse("LOT_STATE", "lot %s is %s: no stage of it is planned any more", locked[0].Code, st.Words()).With("lot", locked[0].Code)
	}
	if w, err = loadWeek(tx); err != nil {
		return nil, open, 0, err
	}
	for _, o := range w.open {
		has := func(id int64) bool { return id == lotID }
		if o.Position != int(position) || !slices.ContainsFunc(o.Lots, func(l store.OpenLot) bool { return has(l.ID) }) {
			continue
		}
		if slices.ContainsFunc(o.Done, func(d store.StageDone) bool { return has(d.LotID) }) {
			return nil, open, 0, fault.Refuse("RECORDED_ALREADY", "stage %d of %s is recorded already", position, locked[0].Code).With("lot", locked[0].Code)
		}
		return w, o, lotID, nil
	}
	return nil, open, 0, fault.BadField("position", "lot %s has no stage %d", locked[0].Code, position)
}

// mayServe refuses a vessel that the bath does not go into, or that would sadden
// it.
func mayServe(o store.OpenStage, v store.Vessel) error {
	kind, err := lot.KindOf(o.Kind)
	switch {
	case err != nil:
		return err
	case !kind.Bath:
		return fault.BadField("vessel_code", "%s needs no vessel", kind.Name)
	case v.Pot().IsIron && kind.Uses != "iron" && o.VesselID != v.ID:
		return fault.BadField("vessel_code", "%s is kept for iron: it would sadden a %s", v.Code, kind.Name)
	}
	if err := v.Pot().Holds(o.Bath); err != nil {
		return err
	}
	return nil
}

// replanned is one stage as the plan has it now.
func replanned(tx *store.Tx, lotID int64, position int) (*dyelotv1.WeekTask, error) {
	w, err := loadWeek(tx)
	if err != nil {
		return nil, err
	}
	if err := w.plan(); err != nil {
		return nil, err
	}
	why := days.Why(&w.draft.Problem, w.result)
	for i := range w.draft.Problem.Tasks {
		if w.openOf(i).Position == position && slices.Contains(w.lotCodes(i), store.Code('L', lotID)) {
			return w.encodeTask(i, why[i]), nil
		}
	}
	return nil, nil
}
