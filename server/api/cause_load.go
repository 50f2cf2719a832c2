package api

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/cause"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// load reads the whole life of every garment of the population, up to when it
// left for the last time, or came back: a fixed number of statements, however
// many garments there are.
func (q *question) load(tx *store.Tx) (cause.Books, []cause.Piece, error) {
	ids, events := make([]int64, len(q.left)), make([]int64, len(q.left))
	for i, l := range q.left {
		ids[i], events[i] = l.Garment, l.Event
		if b, came := q.returned[l.Garment]; came {
			events[i] = b.Event
		}
	}
	garments, err := tx.GarmentsByID(ids)
	if err != nil {
		return cause.Books{}, nil, err
	}
	lots, err := tx.LotsUntil(ids, events)
	if err != nil {
		return cause.Books{}, nil, err
	}
	shades, err := tx.ShadeGroups(ids)
	if err != nil {
		return cause.Books{}, nil, err
	}
	var all, blanks []int64
	for _, g := range garments {
		all, blanks = append(all, lots[g.ID]...), append(blanks, g.ParcelID)
	}
	books, ancestry, err := readBooks(tx, all, blanks)
	if err != nil {
		return books, nil, err
	}
	pieces := make([]cause.Piece, len(garments))
	for i, g := range garments {
		_, came := q.returned[g.ID]
		p := cause.Piece{ID: g.ID, Tag: g.Tag, Returned: came, Lots: lots[g.ID], Blank: ancestry.Parcel(g.ParcelID)}
		for _, f := range books.Parcels[g.ParcelID].Item.Fibres {
			p.Fibres = append(p.Fibres, f.Fibre)
		}
		if s, sorted := shades[g.ID]; sorted && g.LotID == last(p.Lots) {
			p.Shade = fmt.Sprintf("%d of %s", s.Number, s.Of)
		}
		pieces[i] = p
	}
	return books, pieces, nil
}

func last(ids []int64) int64 {
	if len(ids) == 0 {
		return 0
	}
	return ids[len(ids)-1]
}

// readBooks reads what lots went through; the parcels of blanks are read with
// it.
func readBooks(tx *store.Tx, lotIDs, blanks []int64) (cause.Books, *trace.Above, error) {
	books := cause.Books{Lots: map[int64]cause.LotPast{}}
	slices.Sort(lotIDs)
	lotIDs = slices.Compact(lotIDs)
	lots, err := tx.LotsByID(lotIDs)
	if err != nil {
		return books, nil, err
	}
	runs, err := tx.RunsOfLots(lots)
	if err != nil {
		return books, nil, err
	}
	records, err := tx.RecordsOfLots(lotIDs...)
	if err != nil {
		return books, nil, err
	}
	h, err := tx.Above(lotIDs...)
	if err != nil {
		return books, nil, err
	}
	ancestry := h.Ancestry()
	if books.Parcels, err = tx.ParcelsByID(parcelsIn(h, blanks)); err != nil {
		return books, nil, err
	}
	over, err := tx.OverriddenRows(lotIDs)
	if err != nil {
		return books, nil, err
	}
	if books.Zone, err = tx.Zone(); err != nil {
		return books, nil, err
	}
	if books.Water, err = waterRead(tx); err != nil {
		return books, nil, err
	}
	l := &lives{had: map[int64][]had{}, parcels: books.Parcels, zone: books.Zone}
	if err := l.fill(records, lotIDs); err != nil {
		return books, nil, err
	}
	of := byLot(records)
	for _, x := range lots {
		run := runs[x.RunID]
		past := cause.LotPast{Code: x.Code, Recipe: run.RecipeCode, Version: run.RecipeVersion, Pot: x.Pot.Code, Records: of[x.ID], Parcels: ancestry.Lot(x.ID), Overridden: over[x.ID]}
		for _, one := range l.had[x.ID] {
			past.Iron = past.Iron.Add(one.iron)
		}
		books.Lots[x.ID] = past
	}
	return books, ancestry, nil
}

func byLot(records []lot.Standing) map[int64][]lot.Standing {
	of := map[int64][]lot.Standing{}
	for _, r := range records {
		for _, b := range r.Lots {
			of[b.LotID] = append(of[b.LotID], r)
		}
	}
	return of
}

func parcelsIn(h trace.History, more []int64) []int64 {
	ids := slices.Clone(more)
	for _, g := range h.Given {
		ids = append(ids, g.Parcel)
	}
	for _, m := range h.Makings {
		ids = append(ids, m.Parent, m.Child)
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

func waterRead(tx *store.Tx) ([]cause.WaterRead, error) {
	lines, err := tx.WaterReadings()
	var read []cause.WaterRead
	for _, e := range lines {
		read = append(read, cause.WaterRead{Code: store.Code('J', e.ID), Source: e.Subject, At: e.HappenedAt, Found: e.Text()})
	}
	return read, err
}

const (
	// mostCloths bounds the lots whose witness cloth is looked through.
	mostCloths = 500
	// clothsAround is how long before and after the suspects' own baths a lot may
	// have been dyed to be looked through.
	clothsAround = 90 * 24 * time.Hour
)

// cloths are the kept witness swatches that might tell suspects apart: of lots
// of the population, of others that had a suspected parcel, and of others dyed
// about then.
func (q *question) cloths(tx *store.Tx, books cause.Books, a cause.Answer) ([]cause.Cloth, error) {
	if len(a.Suspects) == 0 {
		return nil, nil
	}
	var parcels, own []int64
	for _, s := range a.Suspects[:min(len(a.Suspects), fewSuspects)] {
		for _, f := range s.Factors {
			if id, err := store.ID('P', "", f.Code); err == nil && !f.Own {
				parcels = append(parcels, id)
			}
		}
	}
	var from, until time.Time
	for id, l := range books.Lots {
		own = append(own, id)
		for _, r := range l.Records {
			if from.IsZero() || r.HappenedAt.Before(from) {
				from = r.HappenedAt
			}
			if r.HappenedAt.After(until) {
				until = r.HappenedAt
			}
		}
	}
	slices.Sort(parcels)
	kept, err := tx.KeptCloths(own, slices.Compact(parcels), from.Add(-clothsAround), until.Add(clothsAround), mostCloths)
	if err != nil || len(kept) == 0 {
		return nil, err
	}
	where := map[int64]string{}
	var ids []int64
	for _, k := range kept {
		where[k.Lot] = lies(k)
		ids = append(ids, k.Lot)
	}
	all, _, err := readBooks(tx, ids, nil)
	if err != nil {
		return nil, err
	}
	return all.Cloths(where), nil
}

// lies says what was kept: "20 g of P5, page T3 of the swatch book, book 3 p. 2".
func lies(k store.KeptCloth) string {
	words := quantity.Amount{N: k.Grams, Unit: quantity.Mass}.String()
	if k.Parcel != 0 {
		words += " of " + store.Code('P', k.Parcel)
	}
	if k.Swatch != 0 {
		words += strings.TrimSuffix(fmt.Sprintf(", page %s of the swatch book, %s", store.Code('T', k.Swatch), k.Page), ", ")
	}
	return words
}
