package api

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/swatch"
	"dyelot/server/store"
)

// standInCall is what may stand in: so many for each colourway, not farther, and
// of another plant than the one that lacks.
type standInCall struct {
	k       int
	within  float64
	without season.Supply
}

// ListStandIns finds what may stand in for a colourway, or for a plant in each
// colourway that it is for.
func (s *GatherServer) ListStandIns(ctx context.Context, req *dyelotv1.ListStandInsRequest) (*dyelotv1.ListStandInsResponse, error) {
	ask, err := decodeStandIns(req)
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListStandInsResponse, error) {
		ask := ask
		plants, err := plantsOf(tx, 0)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListStandInsResponse{Today: showDay(plants.Today)}
		if code := req.GetColourwayCode(); code != "" {
			c, err := tx.ColourwayByCode(code)
			if err != nil {
				return nil, onField("colourway_code", err)
			}
			fibre := map[string]quantity.Amount{c.Code: {}}
			for _, l := range plants.Lines() {
				if mass, lacks := fibreOf(l.Left)[c.Code]; lacks {
					fibre[c.Code], ask.without = mass, season.Supply{Plant: l.Plant, Part: l.Part}
				}
			}
			resp.Colourways, err = s.standIns(ctx, tx, plants, ask, fibre)
			return resp, err
		}
		fibre, err := lackingPlant(tx, plants, &ask, req)
		if err != nil {
			return nil, err
		}
		resp.Colourways, err = s.standIns(ctx, tx, plants, ask, fibre)
		return resp, err
	})
}

func decodeStandIns(req *dyelotv1.ListStandInsRequest) (ask standInCall, err error) {
	if (req.GetColourwayCode() == "") == (req.GetPlant() == "") {
		return ask, fault.BadField("colourway_code", "name a colourway or a plant, one of the two")
	}
	within := 0.0
	if text := req.GetWithin(); text != "" {
		if within, err = strconv.ParseFloat(text, 64); err != nil || within <= 0 {
			return ask, fault.BadField("within", "%.20q is no difference above 0 such as 6.5", text)
		}
	}
	ask.k, ask.within, err = season.CheckStandIns(int(req.GetK()), within)
	return ask, err
}

// lackingPlant are the colourways that lack a plant, each with the fibre that is
// to be dyed; where none does, those whose newest recipe takes it.
func lackingPlant(tx *store.Tx, plants store.Plants, ask *standInCall, req *dyelotv1.ListStandInsRequest) (map[string]quantity.Amount, error) {
	plant, part, err := plantNamed(plants, req.GetPlant(), req.GetPart(), false)
	if err != nil {
		return nil, err
	}
	ask.without = season.Supply{Plant: plant, Part: part}
	fibre := map[string]quantity.Amount{}
	for _, l := range plants.Lines() {
		if l.Plant != plant || part != "" && l.Part != part {
			continue
		}
		for code, mass := range fibreOf(l.Left) {
			fibre[code] = fibre[code].Add(mass)
		}
	}
	if len(fibre) > 0 {
		return fibre, nil
	}
	codes, err := tx.ColourwaysOfPlant(plant, part)
	for _, code := range codes {
		fibre[code] = quantity.Amount{}
	}
	return fibre, err
}

// fibreOf is what is to be dyed in each colourway; absent where one of its lacks
// does not know.
func fibreOf(lacks []season.Lack) map[string]quantity.Amount {
	of := map[string]quantity.Amount{}
	unknown := map[string]bool{}
	for _, l := range lacks {
		if l.Colourway == "" {
			continue
		}
		of[l.Colourway] = quantity.Amount{N: of[l.Colourway].N + l.Fibre.N, Unit: quantity.Mass}
		unknown[l.Colourway] = unknown[l.Colourway] || l.Fibre.N == 0
	}
	for code := range unknown {
		if unknown[code] {
			of[code] = quantity.Amount{}
		}
	}
	return of
}

func (s *GatherServer) standIns(ctx context.Context, tx *store.Tx, plants store.Plants, ask standInCall, fibre map[string]quantity.Amount) ([]*dyelotv1.ColourwayStandIns, error) {
	var codes []string
	for code := range fibre {
		codes = append(codes, code)
	}
	match, err := tx.ToMatch(codes)
	var all []*dyelotv1.ColourwayStandIns
	for _, c := range match {
		found, err := s.standIn(ctx, tx, plants, ask, c, fibre[c.Code])
		if err != nil {
			return nil, err
		}
		all = append(all, found)
	}
	return all, err
}

// standIn looks through the book from the nearest page on, more of them each
// time, until enough can be had or the rest is too far.
func (s *GatherServer) standIn(ctx context.Context, tx *store.Tx, plants store.Plants, ask standInCall, c store.ToMatch, fibre quantity.Amount) (*dyelotv1.ColourwayStandIns, error) {
	book, err := s.near.of(c.View).upToDate(ctx, tx)
	if err != nil {
		return nil, err
	}
	filter, err := swatch.Filter{Fibre: c.Fibre}.Check()
	if err != nil {
		return nil, err
	}
	m := &dyelotv1.ColourwayStandIns{ColourwayCode: c.Code, StandardCode: c.Standard, Colour: encodeLab(c.Colour, c.View), Fibre: c.Fibre, FibreMass: encode(fibre),
		Within: strconv.FormatFloat(ask.within, 'f', -1, 64)}
	m.Compared, m.LeftOut = book.counts()
	for want, seen := 8*ask.k, 0; ; want *= 8 {
		nearest := book.find(c.Colour, want, nil)
		fresh := nearest[seen:]
		far := slices.IndexFunc(fresh, func(n colour.Neighbour) bool { return n.Difference > ask.within })
		if far >= 0 {
			fresh = fresh[:far]
		}
		if err := ask.take(tx, plants, filter, book, fresh, fibre, m, c.View); err != nil {
			return nil, err
		}
		if seen = len(nearest); len(m.StandIns) == ask.k || far >= 0 || seen < want {
			break
		}
	}
	if len(m.StandIns) == 0 {
		m.NoneText = noneNear(m)
	}
	return m, nil
}

func noneNear(m *dyelotv1.ColourwayStandIns) string {
	text := fmt.Sprintf("no page of the book on %s is within %s of %s with a plant that can be had now", m.GetFibre(), m.GetWithin(), m.GetStandardCode())
	switch n := m.GetPassedOver(); {
	case n == 1:
		text += "; 1 is that near and cannot be had"
	case n > 1:
		text += fmt.Sprintf("; %d are that near and cannot be had", n)
	}
	return text
}

// take adds those of some pages, the nearest first, that are on the fibre and
// whose plant can be had.
func (ask standInCall) take(tx *store.Tx, plants store.Plants, filter swatch.Filter, book swatchShelf, near []colour.Neighbour, fibre quantity.Amount, m *dyelotv1.ColourwayStandIns, v colour.View) error {
	ids := make([]int64, len(near))
	for i, n := range near {
		ids[i] = book.ids[n.Index]
	}
	let, err := tx.MatchingAmong(filter, ids)
	if err != nil {
		return err
	}
	pages, err := tx.SwatchesByID(let)
	by := map[int64]store.Swatch{}
	for _, p := range pages {
		by[p.ID] = p
	}
	for _, n := range near {
		p, on := by[book.ids[n.Index]]
		switch way, say := ask.have(p, plants, fibre); {
		case !on:
		case way == season.NoWay:
			m.PassedOver++
		default:
			one := &dyelotv1.StandIn{Swatch: encodeSwatch(p), Difference: fmt.Sprintf("%.2f", n.Difference), Colour: encodeLab(book.labs[n.Index], v), Way: string(way), WayText: say}
			for _, e := range swatch.Expect(p.Grades) {
				one.Expected = append(one.Expected, encodeExpected(e, nil))
			}
			if m.StandIns = append(m.StandIns, one); len(m.StandIns) == ask.k {
				return err
			}
		}
	}
	return err
}

// have says how a page's plant can be had, which must not be the one that lacks.
func (ask standInCall) have(p store.Swatch, plants store.Plants, fibre quantity.Amount) (season.Way, string) {
	if ask.without.Plant != "" && p.Plant == ask.without.Plant && (p.Part == "" || ask.without.Part == "" || p.Part == ask.without.Part) {
		return season.NoWay, ""
	}
	return season.HowToHave(p.Plant, p.Part, plants.Supplies, p.WOF, fibre, plants.Today)
}
