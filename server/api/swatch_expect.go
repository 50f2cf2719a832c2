package api

import (
	"context"
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/swatch"
	"dyelot/server/store"
)

// ExpectFor shows how swatches of the same fibre, plant and metals wore, for a
// colourway by its newest recipe, for a lot by its own version of it.
func (s *SwatchServer) ExpectFor(ctx context.Context, req *dyelotv1.ExpectForRequest) (*dyelotv1.ExpectForResponse, error) {
	if (req.GetColourwayCode() == "") == (req.GetLotCode() == "") {
		return nil, fault.BadField("colourway_code", "name a colourway or a lot, one of the two")
	}
	var lotID int64
	if req.GetLotCode() != "" {
		var err error
		if lotID, err = store.ID('L', "lot_code", req.GetLotCode()); err != nil {
			return nil, err
		}
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ExpectForResponse, error) {
		v, err := recipeOf(tx, req.GetColourwayCode(), lotID)
		if err != nil {
			return nil, err
		}
		like := swatch.LikeRecipe(v.Recipe)
		resp := &dyelotv1.ExpectForResponse{Plants: like.Plants, Fibre: like.Fibre, Metals: like.Metals}
		grades, count, err := tx.GradesOfLike(like.Fibre, like.Plants, like.Metals)
		if err != nil {
			return nil, err
		}
		rows, err := tx.HouseRows(time.Time{})
		resp.Swatches = int32(count)
		for _, e := range swatch.Expect(grades) {
			resp.Expected = append(resp.Expected, encodeExpected(e, rows))
		}
		return resp, err
	})
}

func recipeOf(tx *store.Tx, colourway string, lotID int64) (v store.RecipeVersion, err error) {
	if lotID == 0 {
		c, err := tx.ColourwayByCode(colourway)
		if err != nil {
			return v, onField("colourway_code", err)
		}
		return tx.RecipeVersion(c.RecipeCode, 0)
	}
	l, err := tx.Lot(lotID)
	if err != nil {
		return v, onField("lot_code", err)
	}
	run, err := tx.Run(l.RunID)
	if err != nil {
		return v, err
	}
	return tx.RecipeVersionByID(run.VersionID)
}

func encodeExpected(e swatch.Expected, rows []fastness.Row) *dyelotv1.ExpectedGrade {
	m := &dyelotv1.ExpectedGrade{Kind: e.Kind.Key, Title: e.Kind.Title, Worst: e.Scale.Text(e.Worst()), Middle: e.Scale.Text(e.Middle()),
		Count: int32(len(e.Grades)), Text: e.String()}
	for _, r := range rows {
		if r.Active && r.Kind == e.Kind.Key && r.Scale == e.Scale {
			m.HouseRows = append(m.HouseRows, r.Key)
		}
	}
	for _, g := range e.Grades {
		if !slices.Contains(m.SwatchCodes, g.Page) {
			m.SwatchCodes = append(m.SwatchCodes, g.Page)
		}
	}
	return m
}
