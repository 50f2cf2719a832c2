package api

import (
	"context"
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/server/store"
)

// MeasureServer answers MeasureService.
type MeasureServer struct {
	dyelotv1.UnsafeMeasureServiceServer
	store *store.Store
}

// NewMeasureServer answers from a store.
func NewMeasureServer(s *store.Store) *MeasureServer { return &MeasureServer{store: s} }

// RecordMeasurements keeps what an instrument read, spot by spot: each
// measurement becomes a reading, which counts for its lot as every reading does.
func (s *MeasureServer) RecordMeasurements(ctx context.Context, req *dyelotv1.RecordMeasurementsRequest) (*dyelotv1.RecordMeasurementsResponse, error) {
	asked, err := decodeMeasurements(req.GetMeasurements())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.RecordMeasurementsResponse, error) {
		ms, garments, err := subjectsOf(tx, asked)
		if err != nil {
			return nil, err
		}
		b, err := measured(tx, ms, garments)
		if err != nil {
			return nil, err
		}
		for i := range ms {
			if err := complete(tx, &ms[i], asked[i], b.standardOf(ms[i].LotID)); err != nil {
				return nil, fault.In(at(i), err)
			}
		}
		twice, err := readTwice(tx, ms)
		if err != nil {
			return nil, err
		}
		ids, err := tx.AddMeasurements(ms)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.RecordMeasurementsResponse{}
		for i, m := range ms {
			m.ID = ids[i]
			shown := b.encode(m)
			shown.Warnings = append(shown.Warnings, encodeWarnings(twice[i])...)
			resp.Measurements = append(resp.Measurements, shown)
		}
		return resp, nil
	})
}

// readTwice warns, by measurement, of a cloth that was read in from the same file
// before: both readings count, which is right only where it was meant.
func readTwice(tx *store.Tx, ms []store.Measurement) (map[int]warnings, error) {
	var lots []int64
	var hashes []string
	for _, m := range ms {
		if m.File.Hex() != "" {
			lots, hashes = append(lots, m.LotID), append(hashes, m.File.Hex())
		}
	}
	if len(hashes) == 0 {
		return nil, nil
	}
	before, err := tx.ReadingsFromFiles(lots, hashes)
	all := map[int]warnings{}
	for i, m := range ms {
		for _, r := range before {
			if r.LotID == m.LotID && r.Garment == m.GarmentID && r.Hash == m.File.Hex() {
				w := all[i]
				w.add("same-file", "%s of the same cloth came from the same file, and both count: dyelot reading withdraw %s, unless it was meant", store.Code('C', r.ID), store.Code('C', r.ID))
				all[i] = w
			}
		}
	}
	return all, err
}

// complete fills in what the books know: the light and eye of the standard where
// none are named, when and by whom; then it takes the mean.
func complete(tx *store.Tx, m *store.Measurement, a asking, s lot.Standard) (err error) {
	m.View = a.view(s.View)
	if m.Spots, err = a.spots(m.View); err != nil {
		return err
	}
	mean, err := colour.Average(m.View, m.Spots)
	if err != nil {
		return err
	}
	m.Colour, m.Specular = mean.Lab, glossOf(m.Spots)
	if m.HappenedAt, err = happened(tx, "happened_at", a.m.GetHappenedAt()); err != nil {
		return err
	}
	m.RecordedAt, m.By = tx.Now, otherwise(m.By, tx.By.Name)
	return nil
}

// glossOf is what the spots that count say of the gloss; colour.Average has
// refused those that say both.
func glossOf(spots []colour.Spot) (gloss colour.Specular) {
	for _, s := range spots {
		if s.LeftOut == "" && s.Curve != nil && s.Curve.Specular != "" {
			gloss = s.Curve.Specular
		}
	}
	return gloss
}

// GetMeasurement shows a reading with its spots. One that was recorded as a
// single colour has none.
func (s *MeasureServer) GetMeasurement(ctx context.Context, req *dyelotv1.GetMeasurementRequest) (*dyelotv1.GetMeasurementResponse, error) {
	id, err := store.ID('C', "code", req.GetCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetMeasurementResponse, error) {
		m, err := tx.Measurement(id)
		if err != nil {
			return nil, err
		}
		var garments []lot.Garment
		if m.GarmentID != 0 {
			if garments, err = tx.GarmentsByID([]int64{m.GarmentID}); err != nil {
				return nil, err
			}
		}
		b, err := measured(tx, []store.Measurement{m}, garments)
		if err != nil {
			return nil, err
		}
		return &dyelotv1.GetMeasurementResponse{Measurement: b.encode(m)}, nil
	})
}

// at is the field of one measurement of a request.
func at(i int) string { return fmt.Sprintf("measurements[%d]", i) }
