package api

import (
	"context"
	"slices"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// ListHouseStandard lists the rows in force, or all.
func (s *JudgeServer) ListHouseStandard(ctx context.Context, req *dyelotv1.ListHouseStandardRequest) (*dyelotv1.ListHouseStandardResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListHouseStandardResponse, error) {
		rows, err := tx.HouseRows(time.Time{})
		resp := &dyelotv1.ListHouseStandardResponse{}
		for _, r := range rows {
			if r.Active || req.GetAll() {
				resp.Rows = append(resp.Rows, encodeHouseRow(r))
			}
		}
		return resp, err
	})
}

// SetHouseRow puts a row in force as it is asked for; the row before it stays
// in the books.
func (s *JudgeServer) SetHouseRow(ctx context.Context, req *dyelotv1.SetHouseRowRequest) (*dyelotv1.SetHouseRowResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SetHouseRowResponse, error) {
		rows, err := tx.HouseRows(time.Time{})
		if err != nil {
			return nil, err
		}
		row, err := houseRow(rows, req.GetKey())
		if err != nil {
			return nil, err
		}
		if m := req.GetMinimum(); m != "" {
			if row.Minimum, err = fastness.Parse(m, row.Scale); err != nil {
				return nil, onField("minimum", err)
			}
		}
		row.Active, row.Scope = req.GetActive(), fastness.Scope(otherwise(req.GetScope(), string(row.Scope)))
		row.Note, row.Edition = otherwise(req.GetNote(), row.Note), otherwise(req.GetEdition(), row.Edition)
		if err := row.Validate(); err != nil {
			return nil, err
		}
		return &dyelotv1.SetHouseRowResponse{Row: encodeHouseRow(row)}, tx.AddHouseRow(row)
	})
}

// houseRow finds a row by its key; a row of the studio's own also answers to
// its key without "own-".
func houseRow(rows []fastness.Row, key string) (fastness.Row, error) {
	for _, k := range []string{key, "own-" + key} {
		if i := slices.IndexFunc(rows, func(r fastness.Row) bool { return r.Key == k }); i >= 0 {
			return rows[i], nil
		}
	}
	var known []string
	for _, r := range rows {
		known = append(known, r.Key)
	}
	return fastness.Row{}, fault.BadField("key", "%.60q is no row of the house standard: use one of %s", key, strings.Join(known, ", "))
}

func encodeHouseRow(r fastness.Row) *dyelotv1.HouseRow {
	m := &dyelotv1.HouseRow{Key: r.Key, Title: r.Kind, Minimum: r.Scale.Text(r.Minimum), Scope: string(r.Scope), Source: r.Source, Edition: r.Edition, Active: r.Active, Note: r.Note}
	if k, err := fastness.KindOf(r.Kind); err == nil {
		m.Title = k.Title
	}
	return m
}
