package api

import (
	"context"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// JudgeByEye keeps what eyes said of a lot's cloth or of a garment, and shows what
// the instrument says of the same pair.
func (s *MeasureServer) JudgeByEye(ctx context.Context, req *dyelotv1.JudgeByEyeRequest) (*dyelotv1.JudgeByEyeResponse, error) {
	e, serial, err := decodeEye(req.GetJudgement())
	if err != nil {
		return nil, fault.In("judgement", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.JudgeByEyeResponse, error) {
		e := e
		garment, err := lookedAt(tx, &e, serial)
		if err != nil {
			return nil, fault.In("judgement", err)
		}
		e.By = otherwise(e.By, tx.By.Name)
		if err := e.Check(); err != nil {
			return nil, fault.In("judgement", err)
		}
		if e.HappenedAt, err = happened(tx, "judgement.happened_at", req.GetJudgement().GetHappenedAt()); err != nil {
			return nil, err
		}
		if e.ID, err = tx.AddEye(e, garment); err != nil {
			return nil, err
		}
		c, err := tx.CaseOf(e.LotID)
		if err != nil {
			return nil, err
		}
		shown, err := encodeEyes(tx, c, []lot.EyeJudgement{e})
		if err != nil {
			return nil, err
		}
		return &dyelotv1.JudgeByEyeResponse{Judgement: shown[0], Warnings: encodeWarnings(e.Warnings())}, nil
	})
}

func decodeEye(m *dyelotv1.EyeJudgement) (e lot.EyeJudgement, serial int64, err error) {
	e = lot.EyeJudgement{Directions: m.GetDirections(), Light: m.GetLight(), By: m.GetBy(), Second: m.GetSecondBy(), Rested: m.GetRested(), Note: m.GetNote()}
	if e.Grade, err = fastness.Parse(m.GetGrade(), fastness.GreyChange); err != nil {
		return e, 0, onField("grade", err)
	}
	if m.GetLotCode() == "" && m.GetTag() == "" {
		return e, 0, fault.BadField("lot_code", "is needed, or the garment's tag")
	}
	if m.GetLotCode() != "" {
		if e.LotID, err = store.ID('L', "lot_code", m.GetLotCode()); err != nil {
			return e, 0, err
		}
	}
	if m.GetAgainstLotCode() != "" {
		if e.AgainstLot, err = store.ID('L', "against_lot_code", m.GetAgainstLotCode()); err != nil {
			return e, 0, err
		}
	}
	if m.GetTag() != "" {
		serial, err = trace.ParseTag(m.GetTag())
	}
	return e, serial, onField("tag", err)
}

// lookedAt finds the garment where one was looked at, and locks the lots.
func lookedAt(tx *store.Tx, e *lot.EyeJudgement, serial int64) (garmentID int64, err error) {
	r := lot.Reading{LotID: e.LotID}
	if garmentID, err = readingOf(tx, &r, serial); err != nil {
		return 0, err
	}
	e.LotID, e.Tag = r.LotID, r.Tag
	ids := []int64{e.LotID}
	if e.AgainstLot != 0 && e.AgainstLot != e.LotID {
		ids = append(ids, e.AgainstLot)
	}
	slices.Sort(ids)
	lots, err := tx.LockLots(ids)
	if err != nil {
		return 0, err
	}
	for _, l := range lots {
		if err := l.State.Measurable(l.Code); err != nil {
			return 0, err
		}
	}
	return garmentID, nil
}

// encodeEyes shows what was seen of a lot beside what was read of it.
func encodeEyes(tx *store.Tx, c store.Case, eyes []lot.EyeJudgement) ([]*dyelotv1.EyeJudgement, error) {
	var others []int64
	for _, e := range eyes {
		if e.AgainstLot != 0 {
			others = append(others, e.AgainstLot)
		}
	}
	against := map[int64]lot.Measured{}
	if len(others) > 0 {
		lots, err := tx.LotsByID(others)
		if err != nil {
			return nil, err
		}
		if against, err = tx.MeasuredLots(lots); err != nil {
			return nil, err
		}
	}
	var all []*dyelotv1.EyeJudgement
	for _, e := range eyes {
		all = append(all, encodeEye(e, e.Beside(c.Case.Lot, against[e.AgainstLot], c.Standard), c.Standard.View))
	}
	return all, nil
}

func encodeEye(e lot.EyeJudgement, k lot.Looked, v colour.View) *dyelotv1.EyeJudgement {
	m := &dyelotv1.EyeJudgement{
		Code: e.Code(), LotCode: store.Code('L', e.LotID), Tag: e.Tag, Grade: fastness.GreyChange.Text(e.Grade), Directions: e.Directions, Light: e.Light, By: e.By, SecondBy: e.Second,
		Rested: e.Rested, HappenedAt: stamp(e.HappenedAt), Note: e.Note, WithdrawnBy: e.Withdrawn.By, WithdrawnReason: e.Withdrawn.Reason, WithdrawnAt: stamp(e.Withdrawn.At),
	}
	if e.AgainstLot != 0 {
		m.AgainstLotCode = store.Code('L', e.AgainstLot)
	}
	if k.Measured {
		m.MeasuredDeltaE, m.MeasuredGrade, m.MeasuredCiede2000, m.Disagreements = k.DeltaE, fastness.GreyChange.Text(k.Step), k.CIEDE2000, k.Disagreements
		m.MeasuredIlluminant, m.MeasuredObserver = v.Illuminant.String(), int32(v.Observer.Degrees())
	}
	return m
}
