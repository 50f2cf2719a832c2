package api

import (
	"context"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// BlockParcel keeps a parcel from being picked or promised, or lifts that.
func (s *StockServer) BlockParcel(ctx context.Context, req *dyelotv1.BlockParcelRequest) (*dyelotv1.BlockParcelResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.BlockParcelResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		if err := stock.MayBlock(p, req.GetReason(), req.GetLift()); err != nil {
			return nil, err
		}
		if req.GetLift() {
			checks, err := tx.ArrivalChecks([]int64{p.ID})
			if err != nil {
				return nil, err
			}
			now, _ := stock.Seen(checks[p.ID])
			if err := now.MayUseAgain(p); err != nil {
				return nil, err
			}
		}
		if err := tx.BlockParcel(p.ID, req.GetReason(), req.GetLift()); err != nil {
			return nil, err
		}
		parcel, err := shown(tx, p.ID)
		return &dyelotv1.BlockParcelResponse{Parcel: parcel}, err
	})
}

// SetStrength adds a dated finding about a parcel.
func (s *StockServer) SetStrength(ctx context.Context, req *dyelotv1.SetStrengthRequest) (*dyelotv1.SetStrengthResponse, error) {
	if err := needed("strength_percent", req.GetStrengthPercent()); err != nil {
		return nil, err
	}
	strength, _, err := percent("strength_percent", req.GetStrengthPercent())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SetStrengthResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		if err := stock.CheckStrength(p.Item, strength); err != nil {
			return nil, err
		}
		on, err := pastDay(tx, "measured_on", req.GetMeasuredOn())
		if err != nil {
			return nil, err
		}
		if on.IsZero() {
			if on, err = tx.Today(); err != nil {
				return nil, err
			}
		}
		if err := tx.SetStrength(p.ID, strength, req.GetBasis(), on); err != nil {
			return nil, err
		}
		parcel, err := shown(tx, p.ID)
		return &dyelotv1.SetStrengthResponse{Parcel: parcel}, err
	})
}

// GetParcel shows a parcel with all that happened to it and what is promised.
func (s *StockServer) GetParcel(ctx context.Context, req *dyelotv1.GetParcelRequest) (*dyelotv1.GetParcelResponse, error) {
	id, err := store.ID('P', "code", req.GetCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetParcelResponse, error) {
		parcel, err := shown(tx, id)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.GetParcelResponse{Parcel: parcel}
		movements, err := tx.MovementsOfParcel(id)
		if err != nil {
			return nil, err
		}
		for _, m := range movements {
			resp.Movements = append(resp.Movements, encodeMovement(m, ""))
		}
		promises, err := tx.OutstandingPromises([]int64{id})
		for _, p := range promises {
			resp.Promises = append(resp.Promises, encodePromise(p))
		}
		return resp, err
	})
}

// ListParcels lists parcels in the order in which they were written down.
func (s *StockServer) ListParcels(ctx context.Context, req *dyelotv1.ListParcelsRequest) (*dyelotv1.ListParcelsResponse, error) {
	limit, after, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	if err := knownKind(req.GetKind()); err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListParcelsResponse, error) {
		filter := store.ParcelFilter{Kind: req.GetKind(), Empty: req.GetIncludeEmpty()}
		if req.GetItemCode() != "" {
			it, err := tx.ItemByCode(req.GetItemCode())
			if err != nil {
				return nil, err
			}
			filter.ItemCode = it.Code
		}
		ps, err := tx.ListParcels(filter, after, limit)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListParcelsResponse{}
		if len(ps) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(ps[limit-1].ID, 10))
		}
		resp.Parcels, err = withParents(tx, ps)
		return resp, err
	})
}
