package api

import (
	"context"
	"encoding/hex"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/depth"
	"dyelot/inventory/quantity"
	"dyelot/server/store"
)

// GetTestDips shows a series with the strength that follows from it.
func (s *DepthServer) GetTestDips(ctx context.Context, req *dyelotv1.GetTestDipsRequest) (*dyelotv1.GetTestDipsResponse, error) {
	id, err := store.ID('D', "code", req.GetCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetTestDipsResponse, error) {
		series, err := tx.DipSeriesByID(id)
		if err != nil {
			return nil, err
		}
		f, err := strengthOf(series)
		return &dyelotv1.GetTestDipsResponse{Dips: encodeTestDips(series, f)}, err
	})
}

// ListTestDips lists series, the newest first.
func (s *DepthServer) ListTestDips(ctx context.Context, req *dyelotv1.ListTestDipsRequest) (*dyelotv1.ListTestDipsResponse, error) {
	limit, below, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	var parcel int64
	if req.GetParcelCode() != "" {
		if parcel, err = store.ID('P', "parcel_code", req.GetParcelCode()); err != nil {
			return nil, err
		}
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListTestDipsResponse, error) {
		if parcel != 0 {
			if _, err := tx.Parcel(parcel); err != nil {
				return nil, err
			}
		}
		all, err := tx.DipSeriesList(parcel, below, limit)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListTestDipsResponse{}
		for _, series := range all {
			f, err := strengthOf(series)
			if err != nil {
				return nil, err
			}
			resp.Dips = append(resp.Dips, encodeTestDips(series, f))
		}
		if len(all) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(all[limit-1].ID, 10))
		}
		return resp, nil
	})
}

func encodeTestDips(s store.DipSeries, f found) *dyelotv1.TestDips {
	m := &dyelotv1.TestDips{
		Code: s.Code(), ParcelCode: store.Code('P', s.ParcelID), ItemCode: s.ItemCode, ItemName: s.ItemName, Reference: s.Reference,
		Fibre: s.Fibre, Mordant: s.Mordant, Note: s.Note, By: s.By, HappenedAt: stamp(s.HappenedAt), RecordedAt: stamp(s.RecordedAt), WavelengthNm: f.nm,
		Dips: encodeDips(s.Sample, f.sample), ReferenceDips: encodeDips(s.Against, f.reference), Strength: encodeStrength(s, f),
	}
	if s.ReferenceID != 0 {
		m.ReferenceParcelCode = store.Code('P', s.ReferenceID)
	}
	if s.Set != 0 {
		m.SetPercent = s.Set.Decimal()
	}
	return m
}

func encodeDips(dips []store.Dip, read []depth.Point) []*dyelotv1.TestDip {
	ms := make([]*dyelotv1.TestDip, len(dips))
	for i, d := range dips {
		ms[i] = &dyelotv1.TestDip{PercentWof: d.WOF.Decimal(), Spectrum: encodeReflectance(&d.Read, d.Specular), Ks: read[i].KS}
		if d.FileName != "" || d.FileSample != "" {
			ms[i].File = &dyelotv1.InstrumentFile{Name: d.FileName, Sample: d.FileSample}
			if len(d.FileSHA256) > 0 {
				ms[i].File.Sha256 = hex.EncodeToString(d.FileSHA256)
			}
		}
	}
	return ms
}

func encodeStrength(s store.DipSeries, f found) *dyelotv1.DipStrength {
	m := &dyelotv1.DipStrength{
		Refused: f.Refused, Percent: tenths(f.Percent), LowPercent: tenths(f.Low), HighPercent: tenths(f.High),
		AtKs: f.AtKS, FromKs: f.From, ToKs: f.To, SamplePercentWof: shownDose(f.SampleWOF), ReferencePercentWof: shownDose(f.ReferenceWOF),
		FirstGuessPercent: tenths(f.FirstGuess), FirstGuessPercentWof: shownDose(f.FirstGuessWOF),
		Text: f.Words(store.Code('P', s.ParcelID), referenceName(s)), Warnings: encodeMinds(f.Warnings),
	}
	if s.ReferenceStrength != 0 {
		m.ReferenceStrengthPercent = s.ReferenceStrength.Decimal()
	}
	if f.Refused == "" {
		m.ParcelPercent = f.parcelStrength(s).Decimal()
	}
	return m
}

// tenths writes a per cent to a tenth; nothing for none.
func tenths(v float64) string {
	if v <= 0 {
		return ""
	}
	return quantity.Percent(quantity.RoundTo(int64(depth.Percent(v)), int64(tenth))).Decimal()
}

// shownDose writes % WOF to 0.0001 %; nothing for none.
func shownDose(v float64) string {
	if v <= 0 {
		return ""
	}
	return depth.Percent(v).Decimal()
}
