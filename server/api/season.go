package api

import (
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// SeasonServer answers SeasonService: collections, and what they need.
type SeasonServer struct {
	dyelotv1.UnsafeSeasonServiceServer
	store *store.Store
}

// NewSeasonServer answers from a store.
func NewSeasonServer(s *store.Store) *SeasonServer { return &SeasonServer{store: s} }

// CreateCollection begins a collection without lines.
func (s *SeasonServer) CreateCollection(ctx context.Context, req *dyelotv1.CreateCollectionRequest) (*dyelotv1.CreateCollectionResponse, error) {
	m := req.GetCollection()
	if err := handCode("collection.code", m.GetCode()); err != nil {
		return nil, err
	}
	if len(m.GetLines()) > 0 {
		return nil, fault.BadField("collection.lines", "are set one by one, once the collection is there")
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.CreateCollectionResponse, error) {
		c := store.Collection{Code: m.GetCode(), Name: m.GetName(), Note: m.GetNote()}
		if c.Name == "" {
			c.Name = c.Code
		}
		return &dyelotv1.CreateCollectionResponse{Collection: encodeCollection(c)}, tx.AddCollection(c)
	})
}

// SetCollectionLine sets, changes or takes out one line.
func (s *SeasonServer) SetCollectionLine(ctx context.Context, req *dyelotv1.SetCollectionLineRequest) (*dyelotv1.SetCollectionLineResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SetCollectionLineResponse, error) {
		c, line, err := lineOf(tx, req)
		if err != nil {
			return nil, err
		}
		before, err := tx.SetCollectionLine(line)
		if err != nil {
			return nil, err
		}
		if before == 0 && line.Pieces == 0 {
			return nil, fault.BadField("line.pieces", "0 takes a line out, and %s has none of %s in %s due %s", c.Code, line.ItemCode, line.ColourwayCode, showDay(line.DueOn))
		}
		all, err := linesOf(tx, []int64{c.ID})
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.SetCollectionLineResponse{Line: encodeLine(line), PiecesBefore: int32(before)}
		for _, n := range all {
			if n.ColourwayID == line.ColourwayID && n.ItemID == line.ItemID && n.DueOn.Equal(line.DueOn) {
				resp.Line = encodeLine(n)
			}
		}
		if c, err = tx.CollectionByCode(c.Code); err != nil {
			return nil, err
		}
		resp.Collection = encodeCollection(c)
		return resp, nil
	})
}

// maxPiecesLine: beyond that a person has typed a mass for a count.
const maxPiecesLine = 100_000

// lineOf reads a line, and refuses it by its fields.
func lineOf(tx *store.Tx, req *dyelotv1.SetCollectionLineRequest) (c store.Collection, line store.CollectionLine, err error) {
	m := req.GetLine()
	if c, err = tx.CollectionByCode(req.GetCollectionCode()); err != nil {
		return c, line, onField("collection_code", err)
	}
	way, err := tx.ColourwayByCode(m.GetColourwayCode())
	if err != nil {
		return c, line, onField("line.colourway_code", err)
	}
	it, err := tx.ItemByCode(m.GetItemCode())
	if err != nil {
		return c, line, onField("line.item_code", err)
	}
	due, err := day("line.due_on", m.GetDueOn())
	if err != nil {
		return c, line, err
	}
	today, err := tx.Today()
	if err != nil {
		return c, line, err
	}
	line = store.CollectionLine{CollectionID: c.ID, ColourwayID: way.ID, ColourwayCode: way.Code, ItemID: it.ID, ItemCode: it.Code, Pieces: int64(m.GetPieces()), DueOn: due}
	switch {
	case it.Kind != stock.Blank:
		return c, line, fault.BadField("line.item_code", "%s is a %s: a collection is of blanks", it.Code, it.Kind)
	case line.Pieces < 0 || line.Pieces > maxPiecesLine:
		return c, line, fault.BadField("line.pieces", "%d: 0 to %d pieces a line are believed", line.Pieces, maxPiecesLine)
	case due.IsZero():
		return c, line, fault.BadField("line.due_on", "is needed: the day that they are to be finished")
	case due.Before(today) && line.Pieces > 0: // a line that is past may still be taken out
		return c, line, fault.BadField("line.due_on", "%s is past: today is %s", showDay(due), showDay(today))
	}
	version, err := tx.RecipeVersion(way.RecipeCode, 0)
	if err != nil {
		return c, line, err
	}
	return c, line, onField("line.colourway_code", season.Suits(version.Recipe, it))
}

// ListCollections lists them by code.
func (s *SeasonServer) ListCollections(ctx context.Context, req *dyelotv1.ListCollectionsRequest) (*dyelotv1.ListCollectionsResponse, error) {
	limit, after, err := page(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListCollectionsResponse, error) {
		all, err := tx.Collections(after, limit)
		resp := &dyelotv1.ListCollectionsResponse{}
		for _, c := range all {
			resp.Collections = append(resp.Collections, encodeCollection(c))
		}
		if len(all) == limit {
			resp.NextPageToken = nextPage(all[limit-1].Code)
		}
		return resp, err
	})
}

// GetCollection shows one with its lines and runs.
func (s *SeasonServer) GetCollection(ctx context.Context, req *dyelotv1.GetCollectionRequest) (*dyelotv1.GetCollectionResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetCollectionResponse, error) {
		c, err := tx.CollectionByCode(req.GetCode())
		if err != nil {
			return nil, err
		}
		lines, err := linesOf(tx, []int64{c.ID})
		if err != nil {
			return nil, err
		}
		runs, err := tx.RunsOfCollection(c.ID)
		m := encodeCollection(c)
		for _, n := range lines {
			m.Lines = append(m.Lines, encodeLine(n))
		}
		for _, id := range runs {
			m.RunCodes = append(m.RunCodes, store.Code('R', id))
		}
		return &dyelotv1.GetCollectionResponse{Collection: m}, err
	})
}

// linesOf loads the lines of some collections, each with what runs took of it.
func linesOf(tx *store.Tx, ids []int64) ([]store.CollectionLine, error) {
	lines, err := tx.CollectionLines(ids)
	if err != nil {
		return nil, err
	}
	taken, err := tx.FilledBy(ids)
	if err != nil {
		return nil, err
	}
	type key struct{ collection, colourway, item int64 }
	at := map[key][]int{}
	for i, n := range lines {
		k := key{n.CollectionID, n.ColourwayID, n.ItemID}
		at[k] = append(at[k], i)
	}
	for _, f := range taken {
		places := at[key{f.CollectionID, f.ColourwayID, f.ItemID}]
		pieces := make([]int64, len(places))
		for j, i := range places {
			pieces[j] = lines[i].Pieces
		}
		for j, n := range season.Allot(pieces, f.Pieces) {
			lines[places[j]].Planned = n
		}
	}
	return lines, nil
}

func encodeCollection(c store.Collection) *dyelotv1.Collection {
	return &dyelotv1.Collection{Code: c.Code, Name: c.Name, Note: c.Note, Pieces: int32(c.Pieces), Planned: int32(c.Planned)}
}

func encodeLine(n store.CollectionLine) *dyelotv1.CollectionLine {
	return &dyelotv1.CollectionLine{ColourwayCode: n.ColourwayCode, ItemCode: n.ItemCode, Pieces: int32(n.Pieces), DueOn: showDay(n.DueOn), Planned: int32(n.Planned)}
}
