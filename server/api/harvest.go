package api

import (
	"context"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// LogHarvest writes a harvest down: damp it holds nothing, dry it is booked.
func (s *StockServer) LogHarvest(ctx context.Context, req *dyelotv1.LogHarvestRequest) (*dyelotv1.LogHarvestResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.LogHarvestResponse, error) {
		it, err := tx.ItemByCode(req.GetItemCode())
		if err != nil {
			return nil, err
		}
		if err := stock.Gathered(it); err != nil {
			return nil, err
		}
		h, err := decodeHarvest(tx, it, req.GetHarvest())
		if err != nil {
			return nil, err
		}
		p := stock.Parcel{Item: it, Origin: stock.FromHarvest, Harvest: h, ArrivedAt: h.PickedOn, Note: req.GetNote()}
		if p.UsableUntil, err = keepsUntil(req.GetUsableUntil(), p.ArrivedAt); err != nil {
			return nil, err
		}
		warnings, err := addHarvest(tx, &p)
		if err != nil {
			return nil, err
		}
		parcel, err := shown(tx, p.ID)
		return &dyelotv1.LogHarvestResponse{Parcel: parcel, Warnings: encodeWarnings(append(it.Warnings(), warnings...))}, err
	})
}

// addHarvest writes the parcel and, where it was weighed dry, books it.
func addHarvest(tx *store.Tx, p *stock.Parcel) (warnings []recipe.Warning, err error) {
	dry := p.Harvest.Dry
	if dry.Unit != 0 {
		if warnings, err = stock.CheckDry(p.Item, p.Harvest, dry); err != nil {
			return nil, fault.In("harvest", err)
		}
	}
	if p.ID, err = tx.AddParcel(*p); err != nil || dry.Unit == 0 {
		return nil, err
	}
	m := stock.Movement{Kind: stock.ActHarvest, HappenedAt: tx.Now, Legs: []stock.Leg{{ParcelID: p.ID, From: stock.Field, To: stock.Shelf, Amount: dry}}}
	_, _, err = book(tx, m, nil)
	return warnings, err
}

func decodeHarvest(tx *store.Tx, it stock.Item, in *dyelotv1.Harvest) (h stock.Harvest, err error) {
	if in == nil {
		return h, fault.BadField("harvest", "is needed: at least the day it was picked and its mass")
	}
	h = stock.Harvest{Part: in.GetPart(), Place: in.GetPlace(), Ripeness: in.GetRipeness(), Permission: in.GetPermission()}
	if h.Part == "" {
		h.Part = it.Part
	}
	if h.PickedOn, err = pastDay(tx, "harvest.picked_on", in.GetPickedOn()); err != nil {
		return h, err
	}
	for _, m := range []struct {
		field string
		in    *dyelotv1.Amount
		out   *quantity.Amount
	}{{"harvest.fresh_mass", in.GetFreshMass(), &h.Fresh}, {"harvest.dry_mass", in.GetDryMass(), &h.Dry}} {
		if m.in == nil {
			continue
		}
		if *m.out, err = amount(m.field, m.in, quantity.Mass); err != nil {
			return h, err
		}
	}
	return h, fault.In("harvest", stock.CheckHarvest(h))
}

// DryHarvest books a damp harvest once it was weighed dry.
func (s *StockServer) DryHarvest(ctx context.Context, req *dyelotv1.DryHarvestRequest) (*dyelotv1.DryHarvestResponse, error) {
	dry, err := amount("dry_mass", req.GetDryMass(), quantity.Mass)
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.DryHarvestResponse, error) {
		p, err := locked(tx, "parcel_code", req.GetParcelCode())
		if err != nil {
			return nil, err
		}
		m, _, err := stock.Dry(p, dry)
		if err != nil {
			return nil, err
		}
		if m.HappenedAt, err = happened(tx, "happened_at", req.GetHappenedAt()); err != nil {
			return nil, err
		}
		if m.HappenedAt.Before(p.Harvest.PickedOn.Add(-oneDay)) {
			return nil, fault.BadField("happened_at", "it was picked on %s, later than that", showDay(p.Harvest.PickedOn))
		}
		if _, _, err = book(tx, m, []stock.Parcel{p}); err != nil {
			return nil, err
		}
		parcel, err := shown(tx, p.ID)
		return &dyelotv1.DryHarvestResponse{Parcel: parcel}, err
	})
}

// oneDay allows for a studio whose day begins before that of UTC.
const oneDay = 24 * time.Hour
