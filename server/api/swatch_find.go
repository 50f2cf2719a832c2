package api

import (
	"context"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/swatch"
	"dyelot/server/store"
)

// ListSwatches lists the pages that a filter looks for, the newest first.
func (s *SwatchServer) ListSwatches(ctx context.Context, req *dyelotv1.ListSwatchesRequest) (*dyelotv1.ListSwatchesResponse, error) {
	f, err := decodeSwatchFilter(req.GetFilter())
	if err != nil {
		return nil, fault.In("filter", err)
	}
	limit, below, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListSwatchesResponse, error) {
		found, err := tx.FindSwatches(f, below, limit+1)
		resp := &dyelotv1.ListSwatchesResponse{Unknown: f.Unknown()}
		if len(found) > limit {
			found = found[:limit]
			resp.NextPageToken = nextPage(strconv.FormatInt(found[limit-1].ID, 10))
		}
		resp.Swatches = encodeSwatches(found)
		return resp, err
	})
}

// AddSwatchGrade keeps how a swatch wore; no judgement of a lot ever sees it.
func (s *SwatchServer) AddSwatchGrade(ctx context.Context, req *dyelotv1.AddSwatchGradeRequest) (*dyelotv1.AddSwatchGradeResponse, error) {
	id, err := store.ID('T', "swatch_code", req.GetSwatchCode())
	if err != nil {
		return nil, err
	}
	test, err := decodeSwatchTest(req)
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.AddSwatchGradeResponse, error) {
		page, err := tx.Swatch(id)
		if err != nil {
			return nil, err
		}
		if err := page.Unstruck(); err != nil {
			return nil, err
		}
		t := test
		if t.Date, err = pastDay(tx, "tested_on", req.GetTestedOn()); err != nil {
			return nil, err
		}
		if t.Date.IsZero() {
			if t.Date, err = tx.Today(); err != nil {
				return nil, err
			}
		}
		if t.Date.Before(page.Dyed) {
			return nil, fault.BadField("tested_on", "%s is before %s was dyed on %s", showDay(t.Date), page.Code(), showDay(page.Dyed))
		}
		grades, err := swatch.Grades(page.Code(), t, otherwise(req.GetAssessor(), tx.By.Name), req.GetEvidence())
		if err != nil {
			return nil, err
		}
		if err := tx.AddGradesOf([]store.Swatch{{ID: id, Grades: grades}}); err != nil {
			return nil, err
		}
		page, err = tx.Swatch(id)
		return &dyelotv1.AddSwatchGradeResponse{Swatch: encodeSwatch(page)}, err
	})
}
