package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/server/store"
)

// CreateShadeStandard keeps the colour of a sealed master. It is dated today
// unless it says so.
func (s *RecipeServer) CreateShadeStandard(ctx context.Context, req *dyelotv1.CreateShadeStandardRequest) (*dyelotv1.CreateShadeStandardResponse, error) {
	std, kept, err := decodeMaster(req.GetStandard())
	if err != nil {
		return nil, fault.In("standard", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CreateShadeStandardResponse, error) {
		dated := std
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		if dated.DatedOn.IsZero() {
			dated.DatedOn = today
		}
		if err := dated.Check(today); err != nil {
			return nil, fault.In("standard", err)
		}
		if err := tx.AddStandard(dated); err != nil {
			return nil, err
		}
		if kept != nil {
			err = tx.AddStandardSpectrum(dated.Code, *kept)
		}
		return &dyelotv1.CreateShadeStandardResponse{Standard: encodeMaster(dated, kept)}, err
	})
}

func decodeStandard(m *dyelotv1.ShadeStandard) (s lot.Standard, err error) {
	if err = handCode("code", m.GetCode()); err != nil {
		return s, err
	}
	if m.GetColour() == nil && m.GetSpectrum() == nil {
		return s, fault.BadField("colour", "is needed: the master's L*a*b*, with its illuminant and observer, or its spectrum")
	}
	s.Code, s.Name, s.Note = m.GetCode(), m.GetName(), m.GetNote()
	if s.Name == "" {
		s.Name = s.Code
	}
	if s.Colour, s.View, err = decodeLab(m.GetColour()); err != nil {
		return s, fault.In("colour", err)
	}
	if s.Tolerance, err = lot.ParseTolerance("tolerance", m.GetTolerance()); err != nil {
		return s, err
	}
	s.SetTolerance = s.Tolerance
	if m.GetSetTolerance() != "" {
		if s.SetTolerance, err = lot.ParseTolerance("set_tolerance", m.GetSetTolerance()); err != nil {
			return s, err
		}
	}
	if s.DatedOn, err = day("dated_on", m.GetDatedOn()); err != nil {
		return s, err
	}
	s.RenewOn, err = day("renew_on", m.GetRenewOn())
	return s, err
}

func encodeStandard(s lot.Standard) *dyelotv1.ShadeStandard {
	return &dyelotv1.ShadeStandard{
		Code: s.Code, Name: s.Name, Colour: encodeLab(s.Colour, s.View), Tolerance: s.Tolerance.Decimal(), SetTolerance: s.SetTolerance.Decimal(),
		DatedOn: showDay(s.DatedOn), RenewOn: showDay(s.RenewOn), Note: s.Note,
	}
}

// ListShadeStandards lists every standard by code.
func (s *RecipeServer) ListShadeStandards(ctx context.Context, _ *dyelotv1.ListShadeStandardsRequest) (*dyelotv1.ListShadeStandardsResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListShadeStandardsResponse, error) {
		all, err := tx.Standards()
		if err != nil {
			return nil, err
		}
		ids := make([]int64, len(all))
		for i, std := range all {
			ids[i] = std.ID
		}
		spectra, err := tx.StandardSpectra(ids)
		resp := &dyelotv1.ListShadeStandardsResponse{}
		for _, std := range all {
			var kept *store.Kept
			if k, ok := spectra[std.ID]; ok {
				kept = &k
			}
			resp.Standards = append(resp.Standards, encodeMaster(std, kept))
		}
		return resp, err
	})
}
