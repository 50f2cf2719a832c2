package api

import (
	"context"
	"fmt"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/server/store"
)

// planned is a decoded request to plan a run.
type planned struct {
	colourway   string
	version     int
	loads       []plannedLoad
	blanks      []plannedBlanks
	again       wornAgain
	pots        []string
	witness     int64 // parcel, zero for none
	witnessEach quantity.Amount
	vessels     map[int]string
	matched     bool
	commission  string // code or reference; empty for none
	collection  string // code; empty for none
	due         time.Time
	prefer      map[string]int64 // item code → parcel
	note        string
	at          *timestamppb.Timestamp
}

type plannedLoad struct {
	pot    string
	blanks []plannedBlanks
}

type plannedBlanks struct {
	parcel int64
	masses []quantity.Amount
	count  int
}

// maxPieces of one run: beyond that a person has typed a mass for a count.
const maxPieces = 2000

// PlanRun: see the contract.
func (s *RunServer) PlanRun(ctx context.Context, req *dyelotv1.PlanRunRequest) (*dyelotv1.PlanRunResponse, error) {
	p, err := decodePlan(req)
	if err != nil {
		return nil, err
	}
	fn := func(tx *store.Tx) (*dyelotv1.PlanRunResponse, error) {
		run, err := p.plan(tx)
		if err != nil {
			return nil, err
		}
		return &dyelotv1.PlanRunResponse{Run: run}, nil
	}
	if !req.GetDryRun() {
		return change(ctx, s.store, req, fn)
	}
	resp, err := preview(ctx, s.store, fn)
	if err == nil {
		resp.Run.Code = ""
	}
	return resp, err
}

func decodePlan(req *dyelotv1.PlanRunRequest) (p planned, err error) {
	p = planned{colourway: req.GetColourwayCode(), version: int(req.GetRecipeVersion()), pots: req.GetPotCodes(), matched: req.GetMatchedSet(), commission: req.GetCommissionCode(), collection: req.GetCollectionCode(), note: req.GetNote(), at: req.GetHappenedAt(),
		vessels: map[int]string{}, prefer: map[string]int64{}}
	for i, l := range req.GetLoads() {
		blanks, err := decodeBlanks(fmt.Sprintf("loads[%d].blanks", i), l.GetBlanks())
		if err != nil {
			return p, err
		}
		p.loads = append(p.loads, plannedLoad{l.GetVesselCode(), blanks})
	}
	if p.blanks, err = decodeBlanks("blanks", req.GetBlanks()); err != nil {
		return p, err
	}
	if p.again, err = decodeAgain(req); err != nil {
		return p, err
	}
	some := len(p.blanks)+len(p.again.of[-1])+len(p.again.lots) > 0
	switch {
	case p.version < 0:
		return p, fault.BadField("recipe_version", "%d is not a version", p.version)
	case len(p.loads) > 0 && (some || len(p.pots) > 0):
		return p, fault.BadField("loads", "give either loads, or garments with the pots to choose from, not both")
	case len(p.loads) == 0 && !some:
		return p, fault.BadField("blanks", "is needed: which garments, and what each weighs scoured and air-dry; or the tags or lots of what was dyed before")
	case len(p.loads) == 0 && len(p.pots) == 0:
		return p, fault.BadField("pot_codes", "is needed: the pots to choose from")
	}
	if req.GetWitnessParcelCode() != "" {
		if p.witness, err = store.ID('P', "witness_parcel_code", req.GetWitnessParcelCode()); err != nil {
			return p, err
		}
		if p.witnessEach, err = amount("witness_each", req.GetWitnessEach(), quantity.Mass); err != nil {
			return p, err
		}
	}
	for position, vessel := range req.GetSharedVessels() {
		p.vessels[int(position)] = vessel
	}
	for item, parcel := range req.GetParcels() {
		if p.prefer[item], err = store.ID('P', "parcels["+item+"]", parcel); err != nil {
			return p, err
		}
	}
	p.due, err = day("due_on", req.GetDueOn())
	return p, err
}

func decodeBlanks(field string, ms []*dyelotv1.Blanks) ([]plannedBlanks, error) {
	var all []plannedBlanks
	pieces := 0
	for i, m := range ms {
		at := fmt.Sprintf("%s[%d]", field, i)
		b := plannedBlanks{count: int(m.GetCount())}
		var err error
		if b.parcel, err = store.ID('P', at+".parcel_code", m.GetParcelCode()); err != nil {
			return nil, err
		}
		for j, mass := range m.GetMasses() {
			a, err := amount(fmt.Sprintf("%s.masses[%d]", at, j), mass, quantity.Mass)
			if err != nil {
				return nil, err
			}
			b.masses = append(b.masses, a)
		}
		switch {
		case b.count < 0:
			return nil, fault.BadField(at+".count", "%d pieces", b.count)
		case (b.count == 0) == (len(b.masses) == 0):
			return nil, fault.BadField(at, "give each piece's mass, or a count of pieces at the item's piece mass")
		}
		if pieces += b.count + len(b.masses); pieces > maxPieces {
			return nil, fault.BadField(field, "more than %d pieces in one run", maxPieces)
		}
		all = append(all, b)
	}
	return all, nil
}
