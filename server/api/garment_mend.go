package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// MendGarment notes in a garment's own history that it was mended. Where it is,
// and what was decided about it, stay as they are.
func (s *GarmentServer) MendGarment(ctx context.Context, req *dyelotv1.MendGarmentRequest) (*dyelotv1.MendGarmentResponse, error) {
	serial, err := trace.ParseTag(req.GetTag())
	if err != nil {
		return nil, err
	}
	if err := needed("text", req.GetText()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.MendGarmentResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		garments, _, err := lockGarments(tx, []int64{serial})
		if err != nil {
			return nil, err
		}
		g := garments[0]
		if err := g.MayMend(); err != nil {
			return nil, err
		}
		if err := notBefore(tx, at, garments); err != nil {
			return nil, err
		}
		if err := tx.Mended(g, at, otherwise(req.GetBy(), tx.By.Name), req.GetText()); err != nil {
			return nil, err
		}
		return &dyelotv1.MendGarmentResponse{Garment: encodeGarment(g)}, nil
	})
}
