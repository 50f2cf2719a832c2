package api

import (
	"context"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// CheckArrival records what was seen of blanks when they came. A rejected
// delivery is blocked until it goes back.
func (s *CommissionServer) CheckArrival(ctx context.Context, req *dyelotv1.CheckArrivalRequest) (*dyelotv1.CheckArrivalResponse, error) {
	a, err := decodeArrival(req.GetCheck())
	if err != nil {
		return nil, fault.In("check", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CheckArrivalResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		seen := a
		seen.By = otherwise(a.By, tx.By.Name)
		if seen.HappenedAt, err = happened(tx, "check.happened_at", req.GetCheck().GetHappenedAt()); err != nil {
			return nil, err
		}
		if err := seen.Check(p); err != nil {
			return nil, fault.In("check", err)
		}
		if err := tx.AddArrivalCheck(p.ID, seen); err != nil {
			return nil, err
		}
		if err := decide(tx, p, seen); err != nil {
			return nil, err
		}
		arrival, err := arrivalOf(tx, p.ID)
		return &dyelotv1.CheckArrivalResponse{Arrival: arrival}, err
	})
}

// decide blocks what was rejected, and lifts that block, and no other, from what
// is accepted after all.
func decide(tx *store.Tx, p stock.Parcel, a stock.Arrival) error {
	rejected := strings.HasPrefix(p.Blocked, stock.RejectedWords)
	switch {
	case a.Verdict == stock.Rejected && !rejected:
		why := stock.RejectedWords
		if a.Note != "" {
			why += ": " + a.Note
		}
		return tx.BlockParcel(p.ID, why, false)
	case a.Verdict == stock.Accepted && rejected:
		return tx.BlockParcel(p.ID, "looked at again and accepted", true)
	}
	return nil
}

// GetArrival shows what was seen of a parcel of blanks.
func (s *CommissionServer) GetArrival(ctx context.Context, req *dyelotv1.GetArrivalRequest) (*dyelotv1.GetArrivalResponse, error) {
	id, err := store.ID('P', "parcel_code", req.GetParcelCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetArrivalResponse, error) {
		arrival, err := arrivalOf(tx, id)
		return &dyelotv1.GetArrivalResponse{Arrival: arrival}, err
	})
}

func decodeArrival(m *dyelotv1.ArrivalCheck) (a stock.Arrival, err error) {
	a = stock.Arrival{Brightener: m.GetBrightener(), Thread: m.GetThread(), Buttons: m.GetButtons(), CutOff: m.GetCutOff(), Verdict: m.GetVerdict(), Note: m.GetNote(), By: m.GetBy()}
	if m != nil && m.DropSeconds != nil {
		n := int(m.GetDropSeconds())
		a.Drop = &n
	}
	if a.Before, err = stock.ParseSize("size_before", m.GetSizeBefore().GetLengthCm(), m.GetSizeBefore().GetWidthCm()); err != nil {
		return a, err
	}
	a.After, err = stock.ParseSize("size_after", m.GetSizeAfter().GetLengthCm(), m.GetSizeAfter().GetWidthCm())
	return a, err
}

// arrivalOf is all that was seen of a parcel, as it stands now.
func arrivalOf(tx *store.Tx, id int64) (*dyelotv1.Arrival, error) {
	p, err := tx.Parcel(id)
	if err != nil {
		return nil, err
	}
	if p.Item.Kind != stock.Blank {
		return nil, stock.Arrival{}.Check(p)
	}
	checks, err := tx.ArrivalChecks([]int64{id})
	if err != nil {
		return nil, err
	}
	now, seen := stock.Seen(checks[id])
	m := &dyelotv1.Arrival{ParcelCode: p.Code(), ItemName: p.Item.Name, Warnings: encodeWarnings(now.Warnings(p)), ToSendBack: now.Verdict == stock.Rejected && p.OnHand.N > 0}
	if seen {
		m.Now = encodeArrival(now)
	}
	for _, c := range checks[id] {
		m.Checks = append(m.Checks, encodeArrival(c))
	}
	if length, width, ok := stock.Shrinkage(now.Before, now.After); ok {
		m.ShrinkageLengthPercent, m.ShrinkageWidthPercent = length.Decimal(), width.Decimal()
	}
	return m, nil
}

func encodeArrival(a stock.Arrival) *dyelotv1.ArrivalCheck {
	m := &dyelotv1.ArrivalCheck{SizeBefore: encodeSize(a.Before), SizeAfter: encodeSize(a.After), Brightener: a.Brightener, Thread: a.Thread, Buttons: a.Buttons,
		CutOff: a.CutOff, Verdict: a.Verdict, By: a.By, HappenedAt: stamp(a.HappenedAt), Note: a.Note}
	if a.Drop != nil {
		n := int32(*a.Drop)
		m.DropSeconds = &n
	}
	return m
}

func encodeSize(s stock.Size) *dyelotv1.ClothSize {
	if !s.Known() {
		return nil
	}
	return &dyelotv1.ClothSize{LengthCm: stock.CM(s.Length), WidthCm: stock.CM(s.Width)}
}
