package api

import (
	"context"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recall"
	"dyelot/server/store"
)

// GetLoss says what was lost with the scrapped garments of a recall or a lot.
func (s *RecallServer) GetLoss(ctx context.Context, req *dyelotv1.GetLossRequest) (*dyelotv1.GetLossResponse, error) {
	code := strings.ToUpper(strings.TrimSpace(req.GetCode()))
	if !strings.HasPrefix(code, "K") && !strings.HasPrefix(code, "L") {
		return nil, fault.BadField("code", "%.40q is neither a recall such as K1 nor a lot such as L2", req.GetCode())
	}
	id, err := store.ID(code[0], "code", code)
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetLossResponse, error) {
		find := scrappedOfLot
		if code[0] == 'K' {
			find = scrappedFor
		}
		ids, err := find(tx, id)
		if err != nil {
			return nil, err
		}
		return lossOf(tx, ids)
	})
}

func scrappedOfLot(tx *store.Tx, id int64) ([]int64, error) {
	if _, err := tx.Lot(id); err != nil {
		return nil, err
	}
	return tx.ScrappedOfLot(id)
}

// scrappedFor are the garments of a recall that are scrapped now and were not
// when they were found.
func scrappedFor(tx *store.Tx, id int64) (ids []int64, err error) {
	if _, err := tx.Recall(id); err != nil {
		return nil, err
	}
	rows, err := tx.ListedRows([]int64{id})
	for _, r := range rows[id] {
		if r.Place == lot.PlaceScrapped && r.FoundPlace != lot.PlaceScrapped {
			ids = append(ids, r.ID)
		}
	}
	return ids, err
}

func lossOf(tx *store.Tx, ids []int64) (*dyelotv1.GetLossResponse, error) {
	gone, err := tx.Scrapped(ids)
	if err != nil {
		return nil, err
	}
	var lots, parcels []int64
	for _, g := range gone {
		lots, parcels = append(lots, g.Lots...), append(parcels, g.Parcel)
	}
	slices.Sort(lots)
	lots = slices.Compact(lots)
	h, err := tx.Above(lots...)
	if err != nil {
		return nil, err
	}
	masses, err := tx.LotMasses(lots)
	if err != nil {
		return nil, err
	}
	for _, x := range h.Given {
		parcels = append(parcels, x.Parcel)
	}
	for _, m := range h.Makings {
		parcels = append(parcels, m.Parent)
	}
	slices.Sort(parcels)
	parcels = slices.Compact(parcels)
	paid, err := tx.PaidFor(parcels)
	if err != nil {
		return nil, err
	}
	loss, err := recall.LossOf(h, gone, masses, paid)
	if err != nil {
		return nil, err
	}
	return encodeLoss(tx, loss, parcels)
}

func encodeLoss(tx *store.Tx, loss recall.Loss, parcels []int64) (*dyelotv1.GetLossResponse, error) {
	known, err := tx.ParcelsByID(parcels)
	m := &dyelotv1.GetLossResponse{Pieces: int32(loss.Pieces), DryMass: encode(loss.Dry)}
	for _, l := range loss.Parcels {
		it := known[l.Parcel].Item
		p := &dyelotv1.LostParcel{ParcelCode: store.Code('P', l.Parcel), ItemCode: it.Code, ItemName: it.Name, Amount: encode(l.Amount)}
		if l.Cost.Currency != "" {
			p.Cost = sumLost(l.Cost)
		}
		m.Parcels = append(m.Parcels, p)
	}
	for _, c := range loss.Costs {
		m.Costs = append(m.Costs, sumLost(c))
	}
	for _, p := range loss.WithoutCost {
		m.WithoutCost = append(m.WithoutCost, store.Code('P', p))
	}
	return m, err
}

func sumLost(m quantity.Money) *dyelotv1.Money {
	return &dyelotv1.Money{Value: m.Decimal(), Currency: m.Currency}
}
