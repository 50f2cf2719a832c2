package api

import (
	"context"
	"fmt"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/days"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/server/store"
)

// maxSets of one call, loadNodes the search over them.
const (
	maxSets   = 500
	loadNodes = 400_000
)

// PlanLoads lays sets into pots at the liquor ratio of a colourway's recipe.
func (s *DaysServer) PlanLoads(ctx context.Context, req *dyelotv1.PlanLoadsRequest) (*dyelotv1.PlanLoadsResponse, error) {
	if len(req.GetSets()) == 0 || len(req.GetSets()) > maxSets {
		return nil, fault.BadField("sets", "%d sets: 1 to %d are laid into pots", len(req.GetSets()), maxSets)
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.PlanLoadsResponse, error) {
		way, err := tx.ColourwayByCode(req.GetColourwayCode())
		if err != nil {
			return nil, err
		}
		v, err := tx.RecipeVersion(way.RecipeCode, 0)
		if err != nil {
			return nil, err
		}
		stages, _, err := stagesOf(tx, v)
		if err != nil {
			return nil, err
		}
		ratio := lot.PotRatio(stages, v.Ratio)
		sets, err := decodeSets(req.GetSets(), ratio)
		if err != nil {
			return nil, err
		}
		vessels, pots, err := potsFor(tx, req.GetPotCodes())
		if err != nil {
			return nil, err
		}
		loads, err := days.Lay(pots, sets, days.Limit{Nodes: loadNodes})
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.PlanLoadsResponse{Fewest: int32(loads.Fewest), Optimal: loads.Optimal, LiquorRatio: ratio.Decimal(), RecipeCode: way.RecipeCode}
		for _, l := range loads.Loads {
			m := &dyelotv1.PotLoad{PotCode: vessels[l.Pot].Code, Fibre: encode(l.Fibre), Liquor: encode(l.Liquor), Room: encode(pots[l.Pot].Liquor)}
			for _, i := range l.Sets {
				m.Sets = append(m.Sets, sets[i].Name)
			}
			resp.Loads = append(resp.Loads, m)
		}
		for _, u := range loads.Unfit {
			resp.Unfit = append(resp.Unfit, u.Words)
		}
		return resp, nil
	})
}

func decodeSets(ms []*dyelotv1.LoadSet, ratio quantity.Ratio) ([]days.Set, error) {
	var sets []days.Set
	for k, m := range ms {
		at := fmt.Sprintf("sets[%d]", k)
		if err := needed(at+".name", m.GetName()); err != nil {
			return nil, err
		}
		if slices.ContainsFunc(sets, func(s days.Set) bool { return s.Name == m.GetName() }) {
			return nil, fault.BadField(at+".name", "%q is there twice", m.GetName())
		}
		fibre, err := amount(at+".fibre", m.GetFibre(), quantity.Mass)
		if err != nil {
			return nil, err
		}
		sets = append(sets, days.Set{Name: m.GetName(), Fibre: fibre, Ratio: ratio})
	}
	return sets, nil
}

// potsFor are the pots named, or all that are kept for dyeing.
func potsFor(tx *store.Tx, codes []string) ([]store.Vessel, []days.Pot, error) {
	all, err := tx.Vessels()
	if err != nil {
		return nil, nil, err
	}
	var vessels []store.Vessel
	var pots []days.Pot
	for _, v := range all {
		if len(codes) == 0 && slices.Contains(v.Uses, "dye") || slices.Contains(codes, v.Code) {
			vessels, pots = append(vessels, v), append(pots, days.Pot{Code: v.Code, Liquor: v.Pot().Liquor()})
		}
	}
	for _, code := range codes {
		if !slices.ContainsFunc(vessels, func(v store.Vessel) bool { return v.Code == code }) {
			return nil, nil, fault.Missing("vessel", code)
		}
	}
	if len(pots) == 0 {
		return nil, nil, fault.BadField("pot_codes", "no vessel is kept for dyeing: add one, or name the pots")
	}
	return vessels, pots, nil
}
