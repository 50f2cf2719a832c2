package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// CreateColourway joins a shade standard and the recipe that reaches it.
func (s *RecipeServer) CreateColourway(ctx context.Context, req *dyelotv1.CreateColourwayRequest) (*dyelotv1.CreateColourwayResponse, error) {
	m := req.GetColourway()
	if err := handCode("colourway.code", m.GetCode()); err != nil {
		return nil, err
	}
	for field, code := range map[string]string{"colourway.standard_code": m.GetStandardCode(), "colourway.recipe_code": m.GetRecipeCode()} {
		if err := needed(field, code); err != nil {
			return nil, err
		}
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CreateColourwayResponse, error) {
		std, err := tx.StandardByCode(m.GetStandardCode())
		if err != nil {
			return nil, onField("colourway.standard_code", err)
		}
		version, err := tx.RecipeVersion(m.GetRecipeCode(), 0)
		if err != nil {
			return nil, onField("colourway.recipe_code", err)
		}
		c := store.Colourway{Code: m.GetCode(), Name: m.GetName(), StandardID: std.ID, StandardCode: std.Code, RecipeID: version.RecipeID, RecipeCode: version.Code}
		if c.Name == "" {
			c.Name = c.Code
		}
		return &dyelotv1.CreateColourwayResponse{Colourway: encodeColourway(c)}, tx.AddColourway(c)
	})
}

// onField says which field of the request a fault is about.
func onField(field string, err error) error {
	if f, ok := fault.Of(err); ok {
		return f.At(field)
	}
	return err
}

func encodeColourway(c store.Colourway) *dyelotv1.Colourway {
	return &dyelotv1.Colourway{Code: c.Code, Name: c.Name, StandardCode: c.StandardCode, RecipeCode: c.RecipeCode}
}

// ListColourways lists every colourway by code.
func (s *RecipeServer) ListColourways(ctx context.Context, _ *dyelotv1.ListColourwaysRequest) (*dyelotv1.ListColourwaysResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListColourwaysResponse, error) {
		all, err := tx.Colourways()
		resp := &dyelotv1.ListColourwaysResponse{}
		for _, c := range all {
			resp.Colourways = append(resp.Colourways, encodeColourway(c))
		}
		return resp, err
	})
}
