package api

import (
	"context"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/server/store"
)

// ClothServer answers ClothService.
type ClothServer struct {
	dyelotv1.UnsafeClothServiceServer
	store *store.Store
}

// NewClothServer answers from a store.
func NewClothServer(s *store.Store) *ClothServer { return &ClothServer{store: s} }

// ShelveLot ends a lot before it is dyed: its cloth goes to the shelf, and what
// its later stages were promised goes free.
func (s *ClothServer) ShelveLot(ctx context.Context, req *dyelotv1.ShelveLotRequest) (*dyelotv1.ShelveLotResponse, error) {
	id, err := store.ID('L', "lot_code", req.GetLotCode())
	if err != nil {
		return nil, err
	}
	if err := needed("shade", req.GetShade()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.ShelveLotResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		p := store.PartDone{LotID: id, Shade: req.GetShade(), Note: req.GetNote(), By: otherwise(req.GetBy(), tx.By.Name), HappenedAt: at}
		if err := shelve(tx, p); err != nil {
			return nil, err
		}
		cloth, err := encodeCloth(tx, []store.PartDone{p})
		if err != nil {
			return nil, err
		}
		return &dyelotv1.ShelveLotResponse{Cloth: cloth[0]}, nil
	})
}

// shelve lets the rule decide and writes what it decided.
func shelve(tx *store.Tx, p store.PartDone) error {
	lots, err := tx.LockLots([]int64{p.LotID})
	if err != nil {
		return err
	}
	records, err := tx.RecordsOfLots(p.LotID)
	if err != nil {
		return err
	}
	if _, err := lot.ShelveCloth(lots[0], records); err != nil {
		return err
	}
	for _, r := range records {
		if !r.Undone && p.HappenedAt.Before(r.HappenedAt) {
			return fault.BadField("happened_at", "%s is before its %s, at %s", p.HappenedAt.Format("2006-01-02 15:04"), r.Kind.Name, r.HappenedAt.Format("2006-01-02 15:04"))
		}
	}
	if err := tx.ShelveCloth(p); err != nil {
		return err
	}
	book, err := loadRun(tx, lots[0].RunID)
	if err != nil {
		return err
	}
	return tx.AddPromiseEntries(lot.Unneeded(book.baths, book.waits))
}

// ListCloth lists what lies part-done on the shelf.
func (s *ClothServer) ListCloth(ctx context.Context, req *dyelotv1.ListClothRequest) (*dyelotv1.ListClothResponse, error) {
	limit, after, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListClothResponse, error) {
		lots, err := tx.PartDoneLots(after, limit, req.GetIncludeGone())
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListClothResponse{}
		if resp.Cloth, err = encodeCloth(tx, lots); err != nil {
			return nil, err
		}
		if len(lots) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(lots[limit-1].LotID, 10))
		}
		return resp, nil
	})
}

// encodeCloth writes stacks of part-done cloth: what lies there, and what is on
// it already.
func encodeCloth(tx *store.Tx, stacks []store.PartDone) ([]*dyelotv1.Cloth, error) {
	ids := make([]int64, len(stacks))
	for i, p := range stacks {
		ids[i] = p.LotID
	}
	lots, err := tx.LotsByID(ids)
	if err != nil {
		return nil, err
	}
	runs, err := tx.RunsOfLots(lots)
	if err != nil {
		return nil, err
	}
	fibre := map[int64]string{}
	for _, l := range lots {
		fibre[l.ID] = runs[l.RunID].Fibre
	}
	all, err := tx.GarmentsOfLots(ids...)
	if err != nil {
		return nil, err
	}
	var waiting []lot.Garment
	for _, g := range all {
		if g.Place == lot.PlacePartDone {
			waiting = append(waiting, g)
		}
	}
	lives, err := livesOf(tx, waiting, func(lot.Garment) int64 { return 0 }) // their own lot counts too
	if err != nil {
		return nil, err
	}
	var ms []*dyelotv1.Cloth
	for _, p := range stacks {
		m := &dyelotv1.Cloth{LotCode: store.Code('L', p.LotID), Shade: p.Shade, Note: p.Note, HappenedAt: stamp(p.HappenedAt), By: p.By, Fibre: fibre[p.LotID]}
		mass := quantity.Amount{Unit: quantity.Mass}
		var tags []string
		for _, g := range waiting {
			if g.LotID == p.LotID {
				m.Garments, mass, tags = append(m.Garments, encodeGarment(g)), mass.Add(g.Dry), append(tags, g.Tag)
				if len(tags) == 1 {
					m.Earlier = encodeHad(lives.of(g), nil)
				}
			}
		}
		for _, e := range m.Earlier {
			e.Tags = tags
		}
		m.DryMass = encode(mass)
		ms = append(ms, m)
	}
	return ms, nil
}
