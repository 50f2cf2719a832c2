package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// RecipeServer answers RecipeService.
type RecipeServer struct {
	dyelotv1.UnsafeRecipeServiceServer
	store *store.Store
}

// NewRecipeServer answers from a store.
func NewRecipeServer(s *store.Store) *RecipeServer { return &RecipeServer{store: s} }

// CreateRecipeVersion writes the next version of a recipe, or its first. There
// is no call that changes a version.
func (s *RecipeServer) CreateRecipeVersion(ctx context.Context, req *dyelotv1.CreateRecipeVersionRequest) (*dyelotv1.CreateRecipeVersionResponse, error) {
	asked, err := decodeRecipe(req.GetRecipe())
	if err != nil {
		return nil, fault.In("recipe", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CreateRecipeVersionResponse, error) {
		r, err := withItems(tx, asked)
		if err != nil {
			return nil, fault.In("recipe", err)
		}
		warnings, err := r.Check(stageKind)
		if err != nil {
			return nil, fault.In("recipe", err)
		}
		id, err := tx.WriteRecipeVersion(r)
		if err != nil {
			return nil, err
		}
		written, err := tx.RecipeVersionByID(id)
		return &dyelotv1.CreateRecipeVersionResponse{Recipe: encodeRecipe(written), Warnings: encodeWarnings(warnings)}, err
	})
}

// GetRecipe shows a version whole, with what the rules say of it today.
func (s *RecipeServer) GetRecipe(ctx context.Context, req *dyelotv1.GetRecipeRequest) (*dyelotv1.GetRecipeResponse, error) {
	if err := needed("code", req.GetCode()); err != nil {
		return nil, err
	}
	if req.GetVersion() < 0 {
		return nil, fault.BadField("version", "%d is not a version: they count from 1", req.GetVersion())
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetRecipeResponse, error) {
		v, err := tx.RecipeVersion(req.GetCode(), int(req.GetVersion()))
		if err != nil {
			return nil, err
		}
		return &dyelotv1.GetRecipeResponse{Recipe: encodeRecipe(v), Warnings: encodeWarnings(v.Warnings(stageKind))}, nil
	})
}

// ListRecipes lists the newest version of each recipe.
func (s *RecipeServer) ListRecipes(ctx context.Context, _ *dyelotv1.ListRecipesRequest) (*dyelotv1.ListRecipesResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListRecipesResponse, error) {
		all, err := tx.NewestVersions()
		resp := &dyelotv1.ListRecipesResponse{}
		for _, v := range all {
			resp.Recipes = append(resp.Recipes, encodeRecipe(v))
		}
		return resp, err
	})
}

// ListStageKinds lists the one table of stages.
func (s *RecipeServer) ListStageKinds(context.Context, *dyelotv1.ListStageKindsRequest) (*dyelotv1.ListStageKindsResponse, error) {
	resp := &dyelotv1.ListStageKindsResponse{}
	for _, k := range lot.Kinds() {
		resp.Kinds = append(resp.Kinds, &dyelotv1.StageKind{Key: k.Key, Name: k.Name, What: k.What})
	}
	return resp, nil
}

// encodeWarnings writes warnings, each with where it is from.
func encodeWarnings(ws []recipe.Warning) []*dyelotv1.Warning {
	var all []*dyelotv1.Warning
	for _, w := range ws {
		all = append(all, &dyelotv1.Warning{Key: w.Key, Text: w.Text, Source: w.Source.String()})
	}
	return all
}
