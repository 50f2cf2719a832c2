package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fastness"
	"dyelot/inventory/lot"
	"dyelot/server/store"
)

// GetJudgement shows where a lot stands, with everything that it rests on.
func (s *JudgeServer) GetJudgement(ctx context.Context, req *dyelotv1.GetJudgementRequest) (*dyelotv1.GetJudgementResponse, error) {
	id, err := store.ID('L', "lot_code", req.GetLotCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetJudgementResponse, error) {
		j, err := judgement(tx, id)
		return &dyelotv1.GetJudgementResponse{Judgement: j}, err
	})
}

// judged loads a lot's case and judges it.
func judged(tx *store.Tx, lotID int64) (store.Case, lot.Judgement, error) {
	c, err := tx.CaseOf(lotID)
	if err != nil {
		return c, lot.Judgement{}, err
	}
	j, err := lot.Judge(c.Case)
	return c, j, err
}

// judgement is a lot's judgement whole, as every view shows it: the lot's own,
// the trace of a garment, the answer to a verdict.
func judgement(tx *store.Tx, lotID int64) (*dyelotv1.Judgement, error) {
	c, j, err := judged(tx, lotID)
	if err != nil {
		return nil, err
	}
	m := &dyelotv1.Judgement{LotCode: j.Code, State: string(j.State), Blocking: j.Blocking, MayPass: j.MayPass, MatchedSet: j.Matched, CommissionCode: c.Set}
	for _, r := range append(j.Rows, j.Idle...) {
		m.Rows = append(m.Rows, encodeJudgedRow(r))
	}
	if j.Set != nil {
		m.Set = encodeJudgedRow(*j.Set)
	}
	for _, p := range j.Pairs {
		m.Pairs = append(m.Pairs, &dyelotv1.SetPair{LotCode: p.Lot, OtherLotCode: p.Other, Difference: p.Shown, Within: p.Within})
	}
	for _, v := range c.Verdicts {
		m.Verdicts = append(m.Verdicts, encodeVerdict(v))
	}
	if m.Readings, err = encodeReadings(tx, c); err != nil {
		return nil, err
	}
	eyes, err := tx.EyesOf(lotID)
	if err != nil {
		return nil, err
	}
	if m.Eyes, err = encodeEyes(tx, c, eyes); err != nil {
		return nil, err
	}
	for _, f := range c.Tests {
		m.Tests = append(m.Tests, encodeTest(f))
	}
	return m, nil
}

func encodeJudgedRow(r lot.JudgedRow) *dyelotv1.JudgedRow {
	m := &dyelotv1.JudgedRow{Key: r.Key, Title: r.Title, State: stateWord(r.State), Asked: r.Asked, Found: r.Found, Evidence: r.Evidence, Text: r.Text,
		Specimens: r.Specimens, Disagreements: r.Apart, Scope: string(r.Scope), Source: r.Source, Edition: r.Edition}
	if o := r.Override; o != nil {
		m.OverrideBy, m.OverrideReason, m.OverriddenAt = o.Who, o.Why, stamp(o.HappenedAt)
	}
	return m
}

// stateWord is a row's state for programs.
func stateWord(s fastness.State) string {
	if s == fastness.NotTested {
		return "not-tested"
	}
	return string(s)
}

// setsStand is nil where garments of these lots may leave as far as their
// matched sets are concerned, and otherwise the fault of the first set that is
// apart.
func setsStand(tx *store.Tx, lotIDs []int64) error {
	for _, id := range lotIDs {
		_, j, err := judged(tx, id)
		if err != nil {
			return err
		}
		if err := j.SetStands(); err != nil {
			return err
		}
	}
	return nil
}
