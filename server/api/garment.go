package api

import (
	"context"
	"slices"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// GarmentServer answers GarmentService.
type GarmentServer struct {
	dyelotv1.UnsafeGarmentServiceServer
	store *store.Store
}

// NewGarmentServer answers from a store.
func NewGarmentServer(s *store.Store) *GarmentServer { return &GarmentServer{store: s} }

// ListGarments: see the contract.
func (s *GarmentServer) ListGarments(ctx context.Context, req *dyelotv1.ListGarmentsRequest) (*dyelotv1.ListGarmentsResponse, error) {
	limit, after, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	f := store.GarmentFilter{Place: lot.Place(req.GetPlace()), OrderRef: req.GetOrderRef()}
	if req.GetLotCode() != "" {
		if f.LotID, err = store.ID('L', "lot_code", req.GetLotCode()); err != nil {
			return nil, err
		}
	}
	if f.Place != "" && !slices.Contains(lot.Places(), f.Place) {
		return nil, fault.BadField("place", "%.40q is no place: use one of %v", f.Place, lot.Places())
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListGarmentsResponse, error) {
		if f.LotID != 0 {
			if _, err := tx.Lot(f.LotID); err != nil {
				return nil, err
			}
		}
		garments, err := tx.ListGarments(f, after, limit)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListGarmentsResponse{Garments: encodeGarments(garments)}
		if err := withShades(tx, garments, resp.Garments); err != nil {
			return nil, err
		}
		if len(garments) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(garments[limit-1].ID, 10))
		}
		return resp, nil
	})
}

func encodeGarments(garments []lot.Garment) []*dyelotv1.Garment {
	encoded := make([]*dyelotv1.Garment, len(garments))
	for i, g := range garments {
		encoded[i] = encodeGarment(g)
	}
	return encoded
}

// tagged reads a tag as it was typed and loads its garment.
func tagged(tx *store.Tx, tag string) (lot.Garment, error) {
	serial, err := trace.ParseTag(tag)
	if err != nil {
		return lot.Garment{}, err
	}
	return tx.GarmentBySerial(serial, properTag(serial))
}

// properTag is the one proper form of a tag that was read.
func properTag(serial int64) string {
	tag, _ := trace.Tag(serial) // fails only for serials that ParseTag refuses
	return tag
}
