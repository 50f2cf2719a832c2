package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// SwatchServer answers SwatchService: the swatch book.
type SwatchServer struct {
	dyelotv1.UnsafeSwatchServiceServer
	store *store.Store
	near  *swatchIndexes
}

// NewSwatchServer answers from a store.
func NewSwatchServer(s *store.Store) *SwatchServer {
	return &SwatchServer{store: s, near: newSwatchIndexes()}
}

// AddSwatch writes a page, from words or from a lot.
func (s *SwatchServer) AddSwatch(ctx context.Context, req *dyelotv1.AddSwatchRequest) (*dyelotv1.AddSwatchResponse, error) {
	asked, err := decodeSwatch(req.GetSwatch())
	if err != nil {
		return nil, fault.In("swatch", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.AddSwatchResponse, error) {
		page, err := completeSwatch(tx, asked, req.GetSwatch())
		if err != nil {
			return nil, fault.In("swatch", err)
		}
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		checked, warnings, err := page.Page.Check(today)
		if err != nil {
			return nil, fault.In("swatch", err)
		}
		page.Page = checked
		ids, err := tx.AddSwatches([]store.Swatch{page})
		if err != nil {
			return nil, err
		}
		written, err := tx.Swatch(ids[0])
		return &dyelotv1.AddSwatchResponse{Swatch: encodeSwatch(written), Warnings: encodeWarnings(warnings)}, err
	})
}

// StrikeSwatch takes a page out of every search.
func (s *SwatchServer) StrikeSwatch(ctx context.Context, req *dyelotv1.StrikeSwatchRequest) (*dyelotv1.StrikeSwatchResponse, error) {
	id, err := store.ID('T', "swatch_code", req.GetSwatchCode())
	if err != nil {
		return nil, err
	}
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.StrikeSwatchResponse, error) {
		page, err := tx.Swatch(id)
		if err != nil {
			return nil, err
		}
		if err := page.Unstruck(); err != nil {
			return nil, err
		}
		if err := tx.StrikeSwatch(id, otherwise(req.GetBy(), tx.By.Name), req.GetReason()); err != nil {
			return nil, err
		}
		page, err = tx.Swatch(id)
		return &dyelotv1.StrikeSwatchResponse{Swatch: encodeSwatch(page)}, err
	})
}

// GetSwatch shows a page whole, struck or not.
func (s *SwatchServer) GetSwatch(ctx context.Context, req *dyelotv1.GetSwatchRequest) (*dyelotv1.GetSwatchResponse, error) {
	id, err := store.ID('T', "swatch_code", req.GetSwatchCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetSwatchResponse, error) {
		page, err := tx.Swatch(id)
		return &dyelotv1.GetSwatchResponse{Swatch: encodeSwatch(page)}, err
	})
}
