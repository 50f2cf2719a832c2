package api

import (
	"context"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/caution"
	"dyelot/inventory/lot"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// ListBaths lists what is kept, or every bath.
func (s *PotServer) ListBaths(ctx context.Context, req *dyelotv1.ListBathsRequest) (*dyelotv1.ListBathsResponse, error) {
	limit, after, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListBathsResponse, error) {
		baths, err := tx.Liquors(after, limit+1, req.GetAll())
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.ListBathsResponse{}
		for i, b := range baths {
			if i == limit {
				resp.NextPageToken = nextPage(strconv.FormatInt(baths[i-1].ID, 10))
				break
			}
			resp.Baths = append(resp.Baths, encodeLiquor(tx, b))
		}
		return resp, nil
	})
}

// GetBath shows a bath's whole life.
func (s *PotServer) GetBath(ctx context.Context, req *dyelotv1.GetBathRequest) (*dyelotv1.GetBathResponse, error) {
	if err := needed("code", req.GetCode()); err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetBathResponse, error) {
		id, err := bathID(tx, "code", req.GetCode())
		if err != nil {
			return nil, err
		}
		b, err := tx.Liquor(id)
		if err != nil {
			return nil, err
		}
		records, err := tx.RecordsOfBath(id)
		if err != nil {
			return nil, err
		}
		book := &runBook{records: records}
		if book.parcels, err = tx.ParcelsByID(book.parcelIDs()); err != nil {
			return nil, err
		}
		fed, err := fedParcels(tx, b.Entries)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.GetBathResponse{Bath: encodeLiquor(tx, b)}
		for _, r := range records {
			resp.Records = append(resp.Records, book.encodeRecord(r))
		}
		for _, e := range b.Entries {
			resp.Entries = append(resp.Entries, encodeBathEntry(e, fed))
		}
		if b.State() == "kept" {
			resp.Cautions = encodeCautions(caution.ForStage("spent-bath", nil, false))
		}
		return resp, nil
	})
}

func encodeLiquor(tx *store.Tx, b lot.Liquor) *dyelotv1.Bath {
	ph, celsius := b.Read()
	m := &dyelotv1.Bath{Code: b.Code, Kind: b.Kind.Key, KindName: b.Kind.Name, VesselCode: b.Vessel.Code, State: b.State(), OpenedAt: stamp(b.OpenedAt),
		AgeDays: int32(b.Days(tx.Now)), Uses: int32(b.Uses()), Litres: encode(b.Litres()), Ph: showPH(ph), Celsius: int32(celsius), Fibre: b.Fibre}
	for _, id := range b.Lots {
		m.LotCodes = append(m.LotCodes, store.Code('L', id))
	}
	return m
}

func encodeBathEntry(e lot.Entry, parcels map[int64]stock.Parcel) *dyelotv1.BathEntry {
	m := &dyelotv1.BathEntry{Code: lot.EntryCode(e.ID), BathCode: store.Code('B', e.BathID), Kind: string(e.Kind), AfterUse: int32(e.AfterUse),
		HappenedAt: stamp(e.HappenedAt), By: e.By, Litres: encode(e.Litres), Ph: showPH(e.PH), Celsius: int32(e.Celsius), Route: e.Route, Note: e.Note,
		Undone: e.Undone, UndoneReason: e.UndoneWhy}
	for _, u := range e.Used {
		p := parcels[u.ParcelID]
		used := &dyelotv1.Used{ParcelCode: p.Code(), ItemCode: p.Item.Code, ItemName: p.Item.Name, Amount: encode(u.Amount)}
		if u.Found.N > 0 {
			used.Found = encode(u.Found)
		}
		m.Used = append(m.Used, used)
	}
	return m
}

// ProposeRecipe reads a lot back into the recipe as it was really dyed.
func (s *PotServer) ProposeRecipe(ctx context.Context, req *dyelotv1.ProposeRecipeRequest) (*dyelotv1.ProposeRecipeResponse, error) {
	id, err := store.ID('L', "lot_code", req.GetLotCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ProposeRecipeResponse, error) {
		book, err := loadRunOfLot(tx, id)
		if err != nil {
			return nil, err
		}
		p := lot.Propose(book.recipe.Stages, book.baths, book.records, book.parcels, id)
		v := book.recipe
		v.Stages, v.Note, v.Used = p.Stages, p.Note(store.Code('L', id), v.Version), false
		m := encodeRecipe(v)
		m.Version, m.WrittenAt, m.WrittenBy = 0, nil, ""
		return &dyelotv1.ProposeRecipeResponse{Recipe: m, Warnings: encodeWarnings(v.Warnings(stageKind))}, nil
	})
}
