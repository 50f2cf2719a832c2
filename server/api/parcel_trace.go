package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/stock"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// TraceParcel answers what became of a parcel: what was made of it, which lots
// and garments have it in them, and where everything of it went.
func (s *GarmentServer) TraceParcel(ctx context.Context, req *dyelotv1.TraceParcelRequest) (*dyelotv1.TraceParcelResponse, error) {
	id, err := store.ID('P', "parcel_code", req.GetParcelCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.TraceParcelResponse, error) {
		p, err := tx.Parcel(id)
		if err != nil {
			return nil, err
		}
		made, lots, err := tx.Below(id)
		if err != nil {
			return nil, err
		}
		garments, err := tx.GarmentsBelow(id)
		if err != nil {
			return nil, err
		}
		movements, err := tx.MovementsOfParcel(id)
		if err != nil {
			return nil, err
		}
		m := &dyelotv1.TraceParcelResponse{Garments: encodeGarments(garments), Account: encodeAccount(trace.AccountOf(p, movements))}
		for _, l := range lots {
			m.LotCodes = append(m.LotCodes, store.Code('L', l))
		}
		if m.Actions, err = actionsAbout(tx, nil, []int64{id}, nil); err != nil {
			return nil, err
		}
		m.Parcel, m.Descendants, err = encodeFamily(tx, p, made)
		return m, err
	})
}

func encodeFamily(tx *store.Tx, p stock.Parcel, made []int64) (*dyelotv1.Parcel, []*dyelotv1.Parcel, error) {
	family := []stock.Parcel{p}
	if len(made) > 0 {
		known, err := tx.ParcelsByID(made)
		if err != nil {
			return nil, nil, err
		}
		for _, id := range made {
			family = append(family, known[id])
		}
	}
	encoded, err := withParents(tx, family)
	if err != nil {
		return nil, nil, err
	}
	return encoded[0], encoded[1:], nil
}

func encodeAccount(a trace.Account) *dyelotv1.ParcelAccount {
	return &dyelotv1.ParcelAccount{Received: encode(a.Received), Found: encode(a.Found), Used: encode(a.Used), Lost: encode(a.Lost),
		SentBack: encode(a.SentBack), OnHand: encode(a.OnHand), Text: a.String()}
}
