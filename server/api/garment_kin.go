package api

import (
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/inventory/stock"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// mostCousins are listed; a person reads no more, and the parcel's own trace
// lists every one.
const mostCousins = 200

// cousins are the garments of other lots that were in the same baths or have
// the same colouring parcels in them, with what both share and what not.
func (p *past) cousins(tx *store.Tx) ([]*dyelotv1.Relative, int32, error) {
	of := store.KinOf{Lot: p.lot.ID, Limit: mostCousins}
	for _, s := range p.sources {
		if colours(p.parcels[s.Parcel]) {
			of.Parcels = append(of.Parcels, s.Parcel)
		}
	}
	for _, r := range p.records {
		if !r.Undone && !r.Skipped && r.Kind.Bath {
			of.Records = append(of.Records, r.ID)
		}
	}
	kin, total, err := tx.Kin(of)
	if err != nil || total == 0 {
		return nil, 0, err
	}
	pasts, err := p.pastsOf(tx, kin)
	if err != nil {
		return nil, 0, err
	}
	mine := pasts[0]
	var cousins []*dyelotv1.Relative
	for _, k := range kin {
		r := &dyelotv1.Relative{Garment: encodeGarment(k.Garment)}
		if slices.Contains(p.lots, k.Lot) { // sisters once, until one of them was dyed over
			r.Shared, r.Apart = []string{"lot " + store.Code('L', k.Lot)}, []string{"lot " + store.Code('L', p.lot.ID) + "/" + store.Code('L', k.Garment.LotID)}
		} else {
			r.Shared, r.Apart = trace.Kin(mine, pasts[k.Lot])
		}
		if k.Garment.ParcelID == p.garment.ParcelID {
			r.Shared = append(r.Shared, "blanks "+store.Code('P', p.garment.ParcelID))
		}
		cousins = append(cousins, r)
	}
	return cousins, int32(total), nil
}

// colours is true of what makes lots kin: what changes a colour, and cloth that
// was worked on before it was issued.
func colours(p stock.Parcel) bool {
	switch p.Item.Kind {
	case stock.Dyestuff, stock.Mordant, stock.Solution:
		return true
	}
	return p.Origin == stock.FromMaking
}

// pastsOf loads what the lots of some kin went through, by lot, and under 0
// what the traced garment itself went through.
func (p *past) pastsOf(tx *store.Tx, kin []store.Kin) (map[int64]trace.Past, error) {
	ids := slices.Clone(p.lots)
	for _, k := range kin {
		ids = append(ids, k.Lot)
	}
	slices.Sort(ids)
	ids = slices.Compact(ids)
	lots, err := tx.LotsByID(ids)
	if err != nil {
		return nil, err
	}
	touches, err := tx.Touches(ids)
	if err != nil {
		return nil, err
	}
	h, err := tx.Above(ids...)
	if err != nil {
		return nil, err
	}
	sources := map[int64][]trace.Source{0: p.sources}
	var parcels []int64
	for _, id := range ids {
		if sources[id], err = withoutBlanks(h.OfLot(id)).Sources(); err != nil {
			return nil, err
		}
		for _, s := range sources[id] {
			parcels = append(parcels, s.Parcel)
		}
	}
	slices.Sort(parcels)
	known, err := tx.ParcelsByID(slices.Compact(parcels))
	if err != nil {
		return nil, err
	}
	pasts := map[int64]trace.Past{0: {Run: store.Code('R', p.lot.RunID), Pot: p.lot.Pot.Code, Baths: bathsOf(touches, p.lots...), Parts: partsOf(sources[0], p.parcels)}}
	for _, l := range lots {
		pasts[l.ID] = trace.Past{Run: store.Code('R', l.RunID), Pot: l.Pot.Code, Baths: bathsOf(touches, l.ID), Parts: partsOf(sources[l.ID], known)}
	}
	return pasts, nil
}

// withoutBlanks is a lot's history as all its garments have it; cloth that was
// worked on before stays, since that is what makes its garments kin.
func withoutBlanks(h trace.History) trace.History {
	h.Given = slices.DeleteFunc(h.Given, func(g trace.Given) bool {
		made := slices.ContainsFunc(h.Makings, func(m trace.Making) bool { return m.Child == g.Parcel })
		return g.Blanks && !made
	})
	return h
}

// liquors are kinds of bath whose own name does not say that it is one.
var liquors = map[string]string{"scour": "scour bath", "tannin": "tannin bath", "mordant": "mordant bath", "dye": "dye bath", "neutralise": "neutralising bath"}

func bathsOf(touches []store.Touch, lots ...int64) []trace.Touch {
	var baths []trace.Touch
	for _, t := range touches {
		kind, err := lot.KindOf(t.Kind)
		if err != nil || !kind.Bath || !slices.Contains(lots, t.Lot) {
			continue
		}
		baths = append(baths, trace.Touch{Record: store.Code('S', t.Record), Position: t.Position, Name: otherwise(liquors[kind.Key], kind.Name), Unusual: t.Unusual})
	}
	return baths
}

// partsOf names the parcels of a past. Cloth is left out: of blanks each garment
// says its own, and the witness cloth is in none of them.
func partsOf(sources []trace.Source, parcels map[int64]stock.Parcel) []trace.Part {
	var parts []trace.Part
	for _, s := range sources {
		p := parcels[s.Parcel]
		cloth := p.Item.Kind == stock.Blank || p.Item.Kind == stock.WitnessCloth
		if cloth && p.Origin != stock.FromMaking {
			continue
		}
		part := trace.Part{Parcel: p.Code(), Item: p.Item.Code, Name: p.Item.Name, Direct: s.Depth == 0, Colours: colours(p)}
		for _, id := range s.Into {
			part.Into = append(part.Into, store.Code('P', id))
		}
		parts = append(parts, part)
	}
	return parts
}
