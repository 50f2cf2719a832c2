package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// RecordGround keeps how an item's undyed cloth was read. Measurements that are
// looked at from now count their K/S from it.
func (s *MeasureServer) RecordGround(ctx context.Context, req *dyelotv1.RecordGroundRequest) (*dyelotv1.RecordGroundResponse, error) {
	m := req.GetGround()
	g, spectrum, err := decodeGround(m)
	if err != nil {
		return nil, fault.In("ground", err)
	}
	depth, err := spectrum.Depth()
	if err != nil {
		return nil, fault.In("ground", err)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.RecordGroundResponse, error) {
		g := g
		item, err := tx.ItemByCode(m.GetItemCode())
		if err != nil {
			return nil, onField("ground.item_code", err)
		}
		if item.Kind != stock.Blank && item.Kind != stock.WitnessCloth {
			return nil, fault.BadField("ground.item_code", "%s is a %s: undyed cloth is a blank or witness cloth", item.Code, item.Kind)
		}
		if g.HappenedAt, err = happened(tx, "ground.happened_at", m.GetHappenedAt()); err != nil {
			return nil, err
		}
		g.ItemID, g.By = item.ID, otherwise(g.By, tx.By.Name)
		lab := spectrum.Lab(colour.View{})
		return &dyelotv1.RecordGroundResponse{Ground: &dyelotv1.Ground{
			ItemCode: item.Code, Spectrum: encodeCurve(&g.Curve), By: g.By, Instrument: g.Instrument, File: encodeFile(g.File), HappenedAt: stamp(g.HappenedAt),
			Colour: encodeLabValues(lab), Depth: encodeDepth(depth, "", ""),
		}}, tx.AddGround(g)
	})
}

func decodeGround(m *dyelotv1.Ground) (g store.Ground, s colour.Spectrum, err error) {
	if err = needed("item_code", m.GetItemCode()); err != nil {
		return g, s, err
	}
	if m.GetSpectrum() == nil {
		return g, s, fault.BadField("spectrum", "is needed: K/S is counted from reflectances, not from L*a*b*")
	}
	g.By, g.Instrument = m.GetBy(), m.GetInstrument()
	if g.Curve, s, err = decodeCurve("spectrum", m.GetSpectrum()); err != nil {
		return g, s, err
	}
	g.File, err = decodeFile("file", m.GetFile())
	return g, s, err
}
