package api

import (
	"context"
	"fmt"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/depth"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// RecordTestDips keeps a series and answers the strength; where it is asked to,
// and there is one, that becomes the parcel's own.
func (s *DepthServer) RecordTestDips(ctx context.Context, req *dyelotv1.RecordTestDipsRequest) (*dyelotv1.RecordTestDipsResponse, error) {
	asked, err := decodeTestDips(req)
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.RecordTestDipsResponse, error) {
		series := asked.series
		if err := asked.parcels(tx, &series, req); err != nil {
			return nil, err
		}
		if series.HappenedAt, err = happened(tx, "happened_at", req.GetHappenedAt()); err != nil {
			return nil, err
		}
		series.By = otherwise(series.By, tx.By.Name)
		if err := asked.undyed(tx, &series, req); err != nil {
			return nil, err
		}
		found, err := strengthOf(series)
		if err != nil {
			return nil, err
		}
		if req.GetSet() {
			if series.Set, err = found.toSet(series); err != nil {
				return nil, err
			}
		}
		if series.ID, err = tx.AddDipSeries(series); err != nil {
			return nil, err
		}
		series.RecordedAt = tx.Now
		if series.Set != 0 {
			if err := setByDips(tx, series); err != nil {
				return nil, err
			}
		}
		return &dyelotv1.RecordTestDipsResponse{Dips: encodeTestDips(series, found)}, nil
	})
}

// askedDips is a request read as far as it can be without the books.
type askedDips struct {
	series            store.DipSeries
	parcel, reference int64
}

func decodeTestDips(req *dyelotv1.RecordTestDipsRequest) (a askedDips, err error) {
	if a.parcel, err = store.ID('P', "parcel_code", req.GetParcelCode()); err != nil {
		return a, err
	}
	s := &a.series
	s.Reference, s.Mordant, s.Note, s.By = strings.TrimSpace(req.GetReference()), strings.TrimSpace(req.GetMordant()), req.GetNote(), req.GetBy()
	switch code := req.GetReferenceParcelCode(); {
	case code != "" && s.Reference != "":
		return a, fault.BadField("reference", "the reference is a parcel, or it is in words: not both")
	case code == "" && s.Reference == "":
		return a, fault.BadField("reference_parcel_code", "is needed, or reference in words: strength is against something")
	case code != "":
		if a.reference, err = store.ID('P', "reference_parcel_code", code); err != nil {
			return a, err
		}
		if a.reference == a.parcel {
			return a, fault.BadField("reference_parcel_code", "%s is not compared with itself", code)
		}
	}
	if err := needed("fibre", req.GetFibre()); err != nil {
		return a, err
	}
	fibre, err := recipe.FibreOf(req.GetFibre())
	if err != nil {
		return a, err
	}
	s.Fibre = fibre.Key
	if s.Sample, _, err = decodeDips("dips", req.GetDips()); err != nil {
		return a, err
	}
	s.Against, _, err = decodeDips("reference_dips", req.GetReferenceDips())
	return a, err
}

// parcels finds both, and locks the one whose strength is to be set.
func (a askedDips) parcels(tx *store.Tx, s *store.DipSeries, req *dyelotv1.RecordTestDipsRequest) error {
	find := func(field, code string) (stock.Parcel, error) { return tx.ParcelByCode(field, code) }
	if req.GetSet() {
		find = func(field, code string) (stock.Parcel, error) { return locked(tx, field, code) }
	}
	p, err := find("parcel_code", req.GetParcelCode())
	if err != nil {
		return err
	}
	if p.Item.Kind != stock.Dyestuff {
		return fault.BadField("parcel_code", "%s is %s, a %s: test dips are of a dyestuff", store.Code('P', p.ID), p.Item.Code, p.Item.Kind)
	}
	s.ParcelID, s.ItemCode, s.ItemName = p.ID, p.Item.Code, p.Item.Name
	if a.reference == 0 {
		return nil
	}
	r, err := tx.Parcel(a.reference)
	if err != nil {
		return onField("reference_parcel_code", err)
	}
	if r.Item.ID != p.Item.ID && (p.Item.Plant == "" || plantWord(r.Item.Plant) != plantWord(p.Item.Plant)) {
		return fault.BadField("reference_parcel_code", "%s is %s and %s is %s: strength is between parcels of one dyestuff", store.Code('P', r.ID), r.Item.Code, store.Code('P', p.ID), p.Item.Code)
	}
	s.ReferenceID, s.ReferenceStrength = r.ID, r.Strength
	return nil
}

func (a askedDips) undyed(tx *store.Tx, s *store.DipSeries, req *dyelotv1.RecordTestDipsRequest) error {
	given, _, err := undyedGiven(tx, req.GetGround(), req.GetGroundItemCode())
	if err != nil {
		return err
	}
	if given == nil {
		return fault.BadField("ground", "is needed, or an item whose undyed cloth was read: depth is counted from undyed cloth")
	}
	s.Ground, s.GroundSpecular = *given, req.GetGround().GetSpecular()
	return nil
}

// found is a strength with what it was read from.
type found struct {
	depth.Strength
	nm                float64
	sample, reference []depth.Point
}

// strengthOf reckons a series, kept or about to be.
func strengthOf(s store.DipSeries) (f found, err error) {
	undyed, err := s.Ground.Spectrum("ground")
	if err != nil {
		return f, err
	}
	sample, err := spectraOf("dips", s.Sample)
	if err != nil {
		return f, err
	}
	reference, err := spectraOf("reference_dips", s.Against)
	if err != nil {
		return f, err
	}
	if f.nm, f.sample, f.reference, err = depth.ReadDips(sample, reference, undyed); err != nil {
		return f, err
	}
	f.Strength, err = depth.Compare(f.sample, f.reference)
	return f, err
}

func spectraOf(field string, dips []store.Dip) ([]depth.Dip, error) {
	read := make([]depth.Dip, len(dips))
	for i, d := range dips {
		var s colour.Spectrum
		var err error
		if s, err = d.Read.Spectrum(fmt.Sprintf("%s[%d].spectrum", field, i)); err != nil {
			return nil, err
		}
		read[i] = depth.Dip{WOF: d.WOF, Read: s}
	}
	return read, nil
}

// tenth of a per cent: dips repeat no better, and a dose is not weighed finer.
const tenth = quantity.Percent(1000)

// parcelStrength is against full strength: by what the reference stood at.
func (f found) parcelStrength(s store.DipSeries) quantity.Percent {
	of := 100.0
	if s.ReferenceStrength > 0 {
		of = float64(s.ReferenceStrength) / float64(quantity.WholePercent(1))
	}
	return quantity.Percent(quantity.RoundTo(int64(depth.Percent(f.Percent*of/100)), int64(tenth)))
}

func (f found) toSet(s store.DipSeries) (quantity.Percent, error) {
	if f.Refused != "" {
		return 0, fault.Refuse("NO_STRENGTH_FOUND", "there is no strength to set: %s", f.Refused)
	}
	p := f.parcelStrength(s)
	return p, onField("set", stock.CheckStrength(stock.Item{Kind: stock.Dyestuff, Unit: quantity.Mass, Code: s.ItemCode}, p))
}

// setByDips writes the parcel's strength, dated by the day of the dips where the
// studio is, as SetStrength does.
func setByDips(tx *store.Tx, s store.DipSeries) error {
	zone, err := tx.Zone()
	if err != nil {
		return err
	}
	y, m, d := s.HappenedAt.In(zone).Date()
	basis := fmt.Sprintf("test dips %s against %s", s.Code(), referenceName(s))
	return tx.SetStrength(s.ParcelID, s.Set, basis, time.Date(y, m, d, 0, 0, 0, 0, time.UTC))
}

func referenceName(s store.DipSeries) string {
	if s.ReferenceID != 0 {
		return store.Code('P', s.ReferenceID)
	}
	return s.Reference
}
