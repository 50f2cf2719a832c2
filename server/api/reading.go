package api

import (
	"context"
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// RecordReading keeps a measured colour as it was read. Whether it counts for
// the lot's colour, the judgement decides.
func (s *JudgeServer) RecordReading(ctx context.Context, req *dyelotv1.RecordReadingRequest) (*dyelotv1.RecordReadingResponse, error) {
	r, serial, err := decodeReading(req.GetReading())
	if err != nil {
		return nil, fault.In("reading", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.RecordReadingResponse, error) {
		r := r
		garment, err := readingOf(tx, &r, serial)
		if err != nil {
			return nil, fault.In("reading", err)
		}
		lots, err := tx.LockLots([]int64{r.LotID})
		if err != nil {
			return nil, fault.In("reading", err)
		}
		if err := lots[0].State.Measurable(lots[0].Code); err != nil {
			return nil, err
		}
		if r.HappenedAt, err = happened(tx, "reading.happened_at", req.GetReading().GetHappenedAt()); err != nil {
			return nil, err
		}
		r.By = otherwise(r.By, tx.By.Name)
		if r.ID, err = tx.AddReading(r, garment); err != nil {
			return nil, err
		}
		run, err := tx.Run(lots[0].RunID)
		if err != nil {
			return nil, err
		}
		std, err := tx.StandardByID(run.StandardID)
		return &dyelotv1.RecordReadingResponse{Reading: encodeReading(r, std)}, err
	})
}

// decodeReading reads what was measured, and the serial of the garment where
// one was.
func decodeReading(m *dyelotv1.Reading) (r lot.Reading, serial int64, err error) {
	if m.GetColour() == nil {
		return r, 0, fault.BadField("colour", "is needed: L*a*b*, with its illuminant and observer")
	}
	r = lot.Reading{Rested: m.GetRested(), Wet: m.GetCondition() == "wet", By: m.GetBy(), Instrument: m.GetInstrument(), Note: m.GetNote()}
	if r.Colour, r.View, err = decodeLab(m.GetColour()); err != nil {
		return r, 0, fault.In("colour", err)
	}
	switch {
	case m.GetCondition() != "dry" && !r.Wet:
		return r, 0, fault.BadField("condition", "%.40q is neither dry nor wet: wet cloth is not dry cloth", m.GetCondition())
	case r.Wet && r.Rested:
		return r, 0, fault.BadField("rested", "wet cloth has not rested")
	case m.GetLotCode() == "" && m.GetTag() == "":
		return r, 0, fault.BadField("lot_code", "is needed, or the garment's tag")
	}
	if m.GetLotCode() != "" {
		if r.LotID, err = store.ID('L', "lot_code", m.GetLotCode()); err != nil {
			return r, 0, err
		}
	}
	if m.GetTag() != "" {
		serial, err = trace.ParseTag(m.GetTag())
	}
	return r, serial, onField("tag", err)
}

// readingOf finds the garment that was read, and with it the lot.
func readingOf(tx *store.Tx, r *lot.Reading, serial int64) (garmentID int64, err error) {
	if serial == 0 {
		return 0, nil
	}
	tag, err := trace.Tag(serial)
	if err != nil {
		return 0, onField("tag", err)
	}
	g, err := tx.GarmentBySerial(serial, tag)
	if err != nil {
		return 0, onField("tag", err)
	}
	if r.LotID != 0 && r.LotID != g.LotID {
		return 0, fault.BadField("tag", "%s is of lot %s, not of %s", g.Tag, store.Code('L', g.LotID), store.Code('L', r.LotID))
	}
	r.LotID, r.Tag = g.LotID, g.Tag
	return g.ID, nil
}

// encodeReadings shows a lot's readings, each with what its spots say.
func encodeReadings(tx *store.Tx, c store.Case) ([]*dyelotv1.Reading, error) {
	spots, err := tx.SpotsOf(c.Readings)
	if err != nil {
		return nil, err
	}
	var all []*dyelotv1.Reading
	for _, r := range c.Readings {
		m := encodeReading(r, c.Standard)
		if len(spots[r.ID]) > 0 {
			m.Spots = spotsInWords(r, spots[r.ID])
		}
		all = append(all, m)
	}
	return all, nil
}

// spotsInWords is "mean of 4 of 5 spots, at most 0.41 from it, spot 3 stands out".
func spotsInWords(r lot.Reading, spots []colour.Spot) string {
	a, err := colour.Average(r.View, spots)
	if err != nil { // it was refused when it was recorded
		return ""
	}
	text := fmt.Sprintf("mean of %d spots", a.Counted)
	switch {
	case len(spots) == 1:
		return "one spot"
	case a.Counted < len(spots):
		text = fmt.Sprintf("mean of %d of %d spots", a.Counted, len(spots))
	}
	text += fmt.Sprintf(", at most %.2f from it", a.Greatest)
	for _, i := range a.Outliers {
		text += fmt.Sprintf(", spot %d stands out", i+1)
	}
	return text
}

func encodeReading(r lot.Reading, s lot.Standard) *dyelotv1.Reading {
	condition := "dry"
	if r.Wet {
		condition = "wet"
	}
	return &dyelotv1.Reading{
		Code: r.Code(), LotCode: store.Code('L', r.LotID), Tag: r.Tag, Colour: encodeLab(r.Colour, r.View), Condition: condition, Rested: r.Rested,
		By: r.By, Instrument: r.Instrument, HappenedAt: stamp(r.HappenedAt), ToStandard: r.To(s), Note: r.Note, Specular: string(r.Specular),
		WithdrawnBy: r.Withdrawn.By, WithdrawnReason: r.Withdrawn.Reason, WithdrawnAt: stamp(r.Withdrawn.At),
	}
}
