package api

import (
	"context"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/inventory/stock"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// TraceGarment answers what a garment is made of, how its lot was judged, and
// who else has the same.
func (s *GarmentServer) TraceGarment(ctx context.Context, req *dyelotv1.TraceGarmentRequest) (*dyelotv1.TraceGarmentResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.TraceGarmentResponse, error) {
		g, err := tagged(tx, req.GetTag())
		if err != nil {
			return nil, err
		}
		p, err := loadPast(tx, g)
		if err != nil {
			return nil, err
		}
		return p.answer(tx)
	})
}

// past is a garment as the books have it, with everything above it.
type past struct {
	garment lot.Garment
	lot     lot.Lot // that it is of now
	run     lot.Run
	lots    []int64 // every lot that it was issued with
	lives   *lives  // the garment's own, all its lots
	records []lot.Standing
	sources []trace.Source
	parcels map[int64]stock.Parcel // of sources and records
}

func loadPast(tx *store.Tx, g lot.Garment) (*past, error) {
	p := &past{garment: g}
	var err error
	if p.lot, err = tx.Lot(g.LotID); err != nil {
		return nil, err
	}
	if p.run, err = tx.Run(p.lot.RunID); err != nil {
		return nil, err
	}
	if p.lots, err = tx.LotsOfGarment(g.ID); err != nil {
		return nil, err
	}
	if p.records, err = tx.RecordsOfLots(p.lots...); err != nil {
		return nil, err
	}
	h, err := tx.Above(p.lots...)
	if err != nil {
		return nil, err
	}
	if p.sources, err = h.Of(g.ParcelID).Sources(); err != nil {
		return nil, err
	}
	if p.parcels, err = tx.ParcelsByID(p.parcelIDs()); err != nil {
		return nil, err
	}
	zone, err := tx.Zone()
	if err != nil {
		return nil, err
	}
	p.lives, err = lifeOf(g, p.lots, p.records, p.parcels, zone)
	return p, err
}

func (p *past) parcelIDs() []int64 {
	var ids []int64
	for _, s := range p.sources {
		ids = append(ids, s.Parcel)
	}
	for _, r := range p.records {
		for _, u := range r.Used {
			ids = append(ids, u.ParcelID)
		}
		ids = append(ids, r.Liquor...)
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

func (p *past) answer(tx *store.Tx) (*dyelotv1.TraceGarmentResponse, error) {
	sisters, err := tx.GarmentsOfLots(p.lot.ID)
	if err != nil {
		return nil, err
	}
	m := &dyelotv1.TraceGarmentResponse{Garment: encodeGarment(p.garment), Lot: encodeLot(p.lot, p.run, nil), ColourwayName: p.run.ColourwayName, Sisters: p.encodeSisters(sisters)}
	if err := withShades(tx, []lot.Garment{p.garment}, []*dyelotv1.Garment{m.Garment}); err != nil {
		return nil, err
	}
	for _, id := range p.lots {
		m.LotCodes = append(m.LotCodes, store.Code('L', id))
	}
	if m.Events, err = encodeEvents(tx, p.garment.ID); err != nil {
		return nil, err
	}
	book := &runBook{parcels: p.parcels}
	for _, r := range p.records {
		m.Records = append(m.Records, book.encodeRecord(r))
	}
	if m.Parcels, err = p.encodeSources(tx); err != nil {
		return nil, err
	}
	if m.Judgement, err = judgement(tx, p.lot.ID); err != nil {
		return nil, err
	}
	m.Iron = offeredIron(p.garment, p.lives.of(p.garment))
	if m.Actions, err = actionsAbout(tx, []int64{p.garment.ID}, p.parcelIDs(), p.lots); err != nil {
		return nil, err
	}
	if m.FormerLots, err = p.formerLots(tx); err != nil {
		return nil, err
	}
	if m.Recalls, err = recallsOf(tx, p.garment.ID); err != nil {
		return nil, err
	}
	m.Cousins, m.CousinCount, err = p.cousins(tx)
	return m, err
}

// formerLots are those that the garment left, each with its own judgement, since
// every later view shows what was overridden there, and with who was in it.
func (p *past) formerLots(tx *store.Tx) ([]*dyelotv1.FormerLot, error) {
	var former []*dyelotv1.FormerLot
	for _, id := range p.lots {
		if id == p.lot.ID {
			continue
		}
		l, err := tx.Lot(id)
		if err != nil {
			return nil, err
		}
		run, err := tx.Run(l.RunID)
		if err != nil {
			return nil, err
		}
		f := &dyelotv1.FormerLot{Lot: encodeLot(l, run, nil), ColourwayName: run.ColourwayName}
		if f.Judgement, err = judgement(tx, id); err != nil {
			return nil, err
		}
		all, err := tx.GarmentsEverOf(id)
		if err != nil {
			return nil, err
		}
		f.Sisters = p.encodeSisters(all)
		former = append(former, f)
	}
	return former, nil
}

func (p *past) encodeSisters(all []lot.Garment) []*dyelotv1.Relative {
	var sisters []*dyelotv1.Relative
	for _, g := range all {
		if g.ID == p.garment.ID {
			continue
		}
		r := &dyelotv1.Relative{Garment: encodeGarment(g)}
		if g.ParcelID != p.garment.ParcelID {
			r.Apart = append(r.Apart, "blanks "+store.Code('P', p.garment.ParcelID)+"/"+store.Code('P', g.ParcelID))
		}
		sisters = append(sisters, r)
	}
	return sisters
}

func encodeEvents(tx *store.Tx, garmentID int64) ([]*dyelotv1.GarmentEvent, error) {
	events, err := tx.GarmentEvents(garmentID)
	var encoded []*dyelotv1.GarmentEvent
	for _, e := range events {
		encoded = append(encoded, &dyelotv1.GarmentEvent{HappenedAt: stamp(e.HappenedAt), Kind: e.Kind, By: e.By, OrderRef: e.OrderRef, Text: e.Text, LotCode: store.Code('L', e.LotID)})
	}
	return encoded, err
}

func (p *past) encodeSources(tx *store.Tx) ([]*dyelotv1.TracedParcel, error) {
	var above []stock.Parcel
	for _, s := range p.sources {
		above = append(above, p.parcels[s.Parcel])
	}
	encoded, err := withParents(tx, above)
	if err != nil {
		return nil, err
	}
	var traced []*dyelotv1.TracedParcel
	for i, s := range p.sources {
		t := &dyelotv1.TracedParcel{Parcel: encoded[i], Share: encode(s.Share), Depth: int32(s.Depth)}
		for _, n := range s.Through {
			t.Through = append(t.Through, n.String())
		}
		traced = append(traced, t)
	}
	return traced, nil
}
