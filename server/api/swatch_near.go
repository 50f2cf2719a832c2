package api

import (
	"context"
	"fmt"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/swatch"
	"dyelot/server/store"
)

const (
	usualNear = 5
	mostNear  = 100
	// mostProbed: while a filter lets enough of the nearest pages through, only
	// those are asked about; beyond this its pages are listed whole.
	mostProbed = 4096
)

// NearestSwatches finds the k pages nearest to a colour by CIEDE2000.
func (s *SwatchServer) NearestSwatches(ctx context.Context, req *dyelotv1.NearestSwatchesRequest) (*dyelotv1.NearestSwatchesResponse, error) {
	q, err := decodeNearest(req)
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.NearestSwatchesResponse, error) {
		q := q
		if err := q.ofBooks(tx, req); err != nil {
			return nil, err
		}
		book, err := s.near.of(q.view).upToDate(ctx, tx)
		if err != nil {
			return nil, err
		}
		found, err := q.among(tx, book)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.NearestSwatchesResponse{Colour: encodeLab(q.lab, q.view), Unknown: q.filter.Unknown()}
		resp.Compared, resp.LeftOut = book.counts()
		resp.Nearest, err = q.encode(tx, book, found)
		return resp, err
	})
}

// nearestCall is what is looked for.
type nearestCall struct {
	lab    colour.Lab
	view   colour.View
	k      int
	filter swatch.Filter
}

func decodeNearest(req *dyelotv1.NearestSwatchesRequest) (q nearestCall, err error) {
	given := 0
	for _, said := range []bool{req.GetColour() != nil, req.GetStandardCode() != "", req.GetLotCode() != ""} {
		if said {
			given++
		}
	}
	if given != 1 {
		return q, fault.BadField("colour", "name a colour, a standard or a lot, one of the three")
	}
	switch q.k = int(req.GetK()); {
	case q.k == 0:
		q.k = usualNear
	case q.k < 0 || q.k > mostNear:
		return q, fault.BadField("k", "%d: from 1 to %d are found at once", q.k, mostNear)
	}
	if req.GetColour() != nil {
		if q.lab, q.view, err = decodeLab(req.GetColour()); err != nil {
			return q, fault.In("colour", err)
		}
	}
	q.filter, err = decodeSwatchFilter(req.GetFilter())
	return q, fault.In("filter", err)
}

// ofBooks finds the colour of a standard, or of a lot by its readings that
// count.
func (q *nearestCall) ofBooks(tx *store.Tx, req *dyelotv1.NearestSwatchesRequest) error {
	switch {
	case req.GetStandardCode() != "":
		std, err := tx.StandardByCode(req.GetStandardCode())
		q.lab, q.view = std.Colour, std.View
		return onField("standard_code", err)
	case req.GetLotCode() != "":
		id, err := store.ID('L', "lot_code", req.GetLotCode())
		if err != nil {
			return err
		}
		c, err := tx.CaseOf(id)
		if err != nil {
			return onField("lot_code", err)
		}
		mean, read := c.Lot.Colour(c.Standard.View)
		if !read {
			return fault.Refuse("NOT_READ", "no reading of lot %s counts yet: it needs one of dry, rested cloth in the standard's light, %s", store.Code('L', id), c.Standard.View).With("lot", store.Code('L', id))
		}
		q.lab, q.view = mean, c.Standard.View
	}
	return nil
}

// among finds the nearest that the filter lets through. It first asks about the
// nearest of all, more of them each time, and lists what the filter lets through
// only where that is rare among those.
func (q nearestCall) among(tx *store.Tx, book swatchShelf) ([]colour.Neighbour, error) {
	if q.filter.Every() {
		return book.find(q.lab, q.k, nil), nil
	}
	for want := 8 * q.k; want <= mostProbed; want *= 8 {
		nearest := book.find(q.lab, want, nil)
		ids := make([]int64, len(nearest))
		for i, n := range nearest {
			ids[i] = book.ids[n.Index]
		}
		let, err := tx.MatchingAmong(q.filter, ids)
		if err != nil {
			return nil, err
		}
		if len(let) >= q.k || len(nearest) < want {
			fits := slices.DeleteFunc(nearest, func(n colour.Neighbour) bool {
				_, fits := slices.BinarySearch(let, book.ids[n.Index])
				return !fits
			})
			return fits[:min(q.k, len(fits))], nil
		}
	}
	let, err := tx.MatchingSwatches(q.filter)
	return book.find(q.lab, q.k, func(i int) bool {
		_, fits := slices.BinarySearch(let, book.ids[i])
		return fits
	}), err
}

func (q nearestCall) encode(tx *store.Tx, book swatchShelf, found []colour.Neighbour) ([]*dyelotv1.NearSwatch, error) {
	ids := make([]int64, len(found))
	for i, n := range found {
		ids[i] = book.ids[n.Index]
	}
	pages, err := tx.SwatchesByID(ids)
	by := map[int64]store.Swatch{}
	for _, p := range pages {
		by[p.ID] = p
	}
	var all []*dyelotv1.NearSwatch
	for _, n := range found {
		all = append(all, &dyelotv1.NearSwatch{Swatch: encodeSwatch(by[book.ids[n.Index]]), Difference: fmt.Sprintf("%.2f", n.Difference), Colour: encodeLab(book.labs[n.Index], q.view)})
	}
	return all, err
}
