package api

import (
	"fmt"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// Nobody reads more in a day at the bench; a typed list that is longer is a slip.
const (
	mostMeasurements = 500
	mostSpots        = 100
)

// asking is a measurement as it was asked for, as far as it can be read without
// the books.
type asking struct {
	m       *dyelotv1.Measurement
	reading lot.Reading
	serial  int64 // of the garment; zero: the lot's witness cloth
	file    store.File
	named   colour.View // where light or eye were named
}

func decodeMeasurements(ms []*dyelotv1.Measurement) ([]asking, error) {
	if len(ms) == 0 {
		return nil, fault.BadField("measurements", "is empty: nothing was measured")
	}
	if len(ms) > mostMeasurements {
		return nil, fault.BadField("measurements", "has %d entries, at most %d are taken at once", len(ms), mostMeasurements)
	}
	asked := make([]asking, len(ms))
	for i, m := range ms {
		var err error
		if asked[i], err = decodeMeasurement(m); err != nil {
			return nil, fault.In(at(i), err)
		}
	}
	return asked, nil
}

func decodeMeasurement(m *dyelotv1.Measurement) (a asking, err error) {
	a.m = m
	if n := len(m.GetSpots()); n == 0 || n > mostSpots {
		return a, fault.BadField("spots", "has %d entries: from 1 to %d are taken", n, mostSpots)
	}
	// What a reading and a measurement have in common is read once.
	a.reading, a.serial, err = decodeReading(&dyelotv1.Reading{
		LotCode: m.GetLotCode(), Tag: m.GetTag(), Condition: m.GetCondition(), Rested: m.GetRested(), By: m.GetBy(), Instrument: m.GetInstrument(), Note: m.GetNote(),
		Colour: &dyelotv1.Lab{Illuminant: m.GetIlluminant(), Observer: m.GetObserver()},
	})
	if f, bad := fault.Of(err); bad && f.Field == "colour.illuminant" || bad && f.Field == "colour.observer" {
		return a, f.At(f.Field[len("colour."):])
	}
	if err != nil {
		return a, err
	}
	a.named = a.reading.View
	if a.file, err = decodeFile("file", m.GetFile()); err != nil {
		return a, err
	}
	_, err = a.spots(a.named) // what is no spectrum and no colour is refused before the books are asked
	return a, err
}

// view is the light and the eye of the standard, unless others were named.
func (a asking) view(standard colour.View) colour.View {
	if a.m.GetIlluminant() != "" {
		standard.Illuminant = a.named.Illuminant
	}
	if a.m.GetObserver() != 0 {
		standard.Observer = a.named.Observer
	}
	return standard
}

// spots sees each spot in a view.
func (a asking) spots(v colour.View) ([]colour.Spot, error) {
	spots := make([]colour.Spot, len(a.m.GetSpots()))
	for i, m := range a.m.GetSpots() {
		var err error
		if spots[i], err = decodeSpot(m, v); err != nil {
			return nil, fault.In(fmt.Sprintf("spots[%d]", i), err)
		}
	}
	return spots, nil
}

func decodeSpot(m *dyelotv1.Spot, v colour.View) (s colour.Spot, err error) {
	switch {
	case (m.GetSpectrum() == nil) == (m.GetLab() == nil):
		return s, fault.BadField("spectrum", "one of the two is needed: its reflectances, or its L*a*b*")
	case m.GetSpectrum() != nil:
		c, _, err := decodeCurve("spectrum", m.GetSpectrum())
		if err != nil {
			return s, err
		}
		s, err = colour.NewSpot("spectrum", m.GetPlace(), c, v)
		s.LeftOut = m.GetLeftOut()
		return s, err
	}
	lab := m.GetLab()
	s = colour.Spot{Place: m.GetPlace(), LeftOut: m.GetLeftOut()}
	s.Lab, _, err = decodeLab(&dyelotv1.Lab{L: lab.GetL(), A: lab.GetA(), B: lab.GetB()})
	return s, fault.In("lab", err)
}

// subjectsOf finds the garments and the lots that were measured, and locks the
// lots.
func subjectsOf(tx *store.Tx, asked []asking) ([]store.Measurement, []lot.Garment, error) {
	var serials []int64
	for _, a := range asked {
		if a.serial != 0 {
			serials = append(serials, a.serial)
		}
	}
	garments, err := garmentsByTag(tx, serials)
	if err != nil {
		return nil, nil, err
	}
	ms := make([]store.Measurement, len(asked))
	var lots []int64
	for i, a := range asked {
		ms[i] = store.Measurement{Reading: a.reading, File: a.file}
		if err := ofGarment(&ms[i], a.serial, garments); err != nil {
			return nil, nil, fault.In(at(i), err)
		}
		lots = append(lots, ms[i].LotID)
	}
	return ms, garmentsIn(garments), lockMeasurable(tx, lots)
}

func garmentsByTag(tx *store.Tx, serials []int64) (map[string]lot.Garment, error) {
	by := map[string]lot.Garment{}
	if len(serials) == 0 {
		return by, nil
	}
	gs, err := tx.GarmentsBySerial(serials)
	for _, g := range gs {
		by[g.Tag] = g
	}
	return by, err
}

func garmentsIn(by map[string]lot.Garment) (gs []lot.Garment) {
	for _, g := range by {
		gs = append(gs, g)
	}
	return gs
}

func ofGarment(m *store.Measurement, serial int64, by map[string]lot.Garment) error {
	if serial == 0 {
		return nil
	}
	tag, err := trace.Tag(serial)
	if err != nil {
		return onField("tag", err)
	}
	g, ok := by[tag]
	switch {
	case !ok:
		return onField("tag", fault.Missing("garment", tag))
	case m.LotID != 0 && m.LotID != g.LotID:
		return fault.BadField("tag", "%s is of lot %s, not of %s", g.Tag, store.Code('L', g.LotID), store.Code('L', m.LotID))
	}
	m.LotID, m.GarmentID, m.Tag = g.LotID, g.ID, g.Tag
	return nil
}

// lockMeasurable locks lots, and refuses those of which there is no dyed cloth.
func lockMeasurable(tx *store.Tx, ids []int64) error {
	slices.Sort(ids)
	lots, err := tx.LockLots(slices.Compact(ids))
	if err != nil {
		return fault.In("measurements", err)
	}
	for _, l := range lots {
		if err := l.State.Measurable(l.Code); err != nil {
			return err
		}
	}
	return nil
}
