package api

import (
	"context"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// GiveVerdict decides on a lot, or on single garments of it. A refused verdict
// changes nothing.
func (s *JudgeServer) GiveVerdict(ctx context.Context, req *dyelotv1.GiveVerdictRequest) (*dyelotv1.GiveVerdictResponse, error) {
	id, err := store.ID('L', "lot_code", req.GetLotCode())
	if err != nil {
		return nil, err
	}
	outcome, err := lot.OutcomeOf(req.GetOutcome())
	if err != nil {
		return nil, err
	}
	serials, tags, err := decodeTags(req.GetTags())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.GiveVerdictResponse, error) {
		if _, err := tx.LockLots([]int64{id}); err != nil {
			return nil, err
		}
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		v := store.Verdict{LotID: id, Tags: tags, Outcome: string(outcome.Act), Reason: req.GetReason(), By: otherwise(req.GetBy(), tx.By.Name), HappenedAt: at}
		if err := give(tx, v, outcome, serials); err != nil {
			return nil, err
		}
		after, err := judgement(tx, id)
		return &dyelotv1.GiveVerdictResponse{Verdict: encodeVerdict(v), Judgement: after}, err
	})
}

// give lets the rule decide and writes what it decided.
func give(tx *store.Tx, v store.Verdict, o lot.Outcome, serials []int64) error {
	_, j, err := judged(tx, v.LotID)
	if err != nil {
		return err
	}
	if len(serials) == 0 {
		next, err := j.Give(o, v.Reason)
		if err != nil {
			return err
		}
		if err := tx.LotVerdict(v, next, o.Place); err != nil || next != lot.Scrapped {
			return err
		}
		return freeUnneeded(tx, v.LotID)
	}
	garments, err := tx.GarmentsToJudge(serials)
	if err != nil {
		return err
	}
	for i, tag := range v.Tags {
		if !slices.ContainsFunc(garments, func(g lot.Garment) bool { return g.Tag == tag }) {
			_, err := tx.GarmentBySerial(serials[i], tag)
			return onField("tags", err)
		}
	}
	if err := j.GiveSingle(o, v.Reason, garments, v.LotID); err != nil {
		return err
	}
	return tx.GarmentVerdict(v, garments, o.Place)
}

// freeUnneeded gives back what was promised for stages that a scrapped lot
// will not come to.
func freeUnneeded(tx *store.Tx, lotID int64) error {
	book, err := loadRunOfLot(tx, lotID)
	if err != nil {
		return err
	}
	return tx.AddPromiseEntries(lot.Unneeded(book.baths, book.waits))
}

// decodeTags reads tags as they were typed, each once.
func decodeTags(typed []string) (serials []int64, tags []string, err error) {
	for _, s := range typed {
		serial, err := trace.ParseTag(s)
		if err != nil {
			return nil, nil, onField("tags", err)
		}
		tag, err := trace.Tag(serial)
		if err != nil {
			return nil, nil, onField("tags", err)
		}
		if !slices.Contains(serials, serial) {
			serials, tags = append(serials, serial), append(tags, tag)
		}
	}
	return serials, tags, nil
}

func encodeVerdict(v store.Verdict) *dyelotv1.Verdict {
	return &dyelotv1.Verdict{LotCode: store.Code('L', v.LotID), Tags: v.Tags, Outcome: v.Outcome, Reason: v.Reason, By: v.By, HappenedAt: stamp(v.HappenedAt)}
}

// OverrideRow lets a named person take one row on, with a reason that every
// later view shows.
func (s *JudgeServer) OverrideRow(ctx context.Context, req *dyelotv1.OverrideRowRequest) (*dyelotv1.OverrideRowResponse, error) {
	id, err := store.ID('L', "lot_code", req.GetLotCode())
	if err != nil {
		return nil, err
	}
	if err := needed("row", req.GetRow()); err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.OverrideRowResponse, error) {
		if _, err := tx.LockLots([]int64{id}); err != nil {
			return nil, err
		}
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		_, j, err := judged(tx, id)
		if err != nil {
			return nil, err
		}
		row, err := j.RowOf(req.GetRow())
		if err != nil {
			return nil, err
		}
		if err := j.Overridable(row); err != nil {
			return nil, err
		}
		o := lot.RowOverride{Row: row.Key, Who: otherwise(req.GetBy(), tx.By.Name), Why: req.GetReason(), HappenedAt: at}
		if err := tx.AddOverride(id, o); err != nil {
			return nil, err
		}
		after, err := judgement(tx, id)
		return &dyelotv1.OverrideRowResponse{Judgement: after}, err
	})
}
