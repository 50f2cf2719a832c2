package api

import (
	"context"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/caution"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// childKg is the body mass for which the swallowing line is reckoned, as in
// McGuigan 1996: a small child.
const childKg = 10

// GetBenchCard gathers everything that the person at the pot needs to read.
func (s *RunServer) GetBenchCard(ctx context.Context, req *dyelotv1.GetBenchCardRequest) (*dyelotv1.GetBenchCardResponse, error) {
	id, err := store.ID('L', "lot_code", req.GetLotCode())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetBenchCardResponse, error) {
		book, err := loadRunOfLot(tx, id)
		if err != nil {
			return nil, err
		}
		run := book.encode()
		_, next := book.open(id)
		resp := &dyelotv1.GetBenchCardResponse{Lot: lotIn(run, store.Code('L', id)), ColourwayName: book.run.ColourwayName, Run: encodeRunHead(book.run, book.lots),
			General: encodeCautions(caution.General()), NextPosition: int32(next)}
		for _, l := range run.GetLots() {
			resp.Run.Lots = append(resp.Run.Lots, &dyelotv1.Lot{Code: l.GetCode(), VesselCode: l.GetVesselCode(), State: l.GetState(), FibreMass: l.GetFibreMass()})
		}
		iron, err := book.iron(id)
		if err != nil {
			return nil, err
		}
		resp.Iron = book.lives.ironSoFar(id, iron)
		for _, bath := range book.baths {
			if !serves(bath, id) {
				continue
			}
			card, sum, err := book.cardStage(id, bath, iron)
			if err != nil {
				return nil, err
			}
			iron = sum
			resp.Stages = append(resp.Stages, card)
		}
		return resp, nil
	})
}

// cardStage is one bath on the card. The iron warning comes before the iron:
// it adds what this bath would offer to what the garments had and will have
// had by then.
func (b *runBook) cardStage(lotID int64, bath lot.Bath, so recipe.Iron) (*dyelotv1.CardStage, recipe.Iron, error) {
	card := &dyelotv1.CardStage{Stage: b.encodeBath(bath)}
	var substances []string
	var strength quantity.Concentration
	unknown := false
	for _, d := range bath.Doses {
		if d.Item.Substance != "" {
			substances = append(substances, d.Item.Substance)
		}
		for _, p := range d.Picks {
			parcel := b.parcels[p.ParcelID]
			unknown = unknown || parcel.StrengthUnknown
			if s, err := recipe.Lookup(d.Item.Substance); err == nil && s.HasIron() {
				strength = max(strength, parcel.Concentration)
			}
		}
	}
	said := caution.ForStage(bath.Kind.Key, substances, unknown)
	if strength > 0 {
		var err error
		if said, err = caution.AtStrength(said, strength, childKg); err != nil {
			return nil, so, err
		}
	}
	card.Cautions = encodeCautions(besides(said, caution.General()))
	if b.recorded(bath) {
		return card, so, nil
	}
	offered, err := bath.Iron(b.parcels)
	if err != nil || offered == (recipe.Iron{}) {
		return card, so, err
	}
	so = so.Add(offered)
	card.Warnings = encodeWarnings(b.lives.past(b.run.Fibre, lotID).Warnings(b.fibres([]int64{lotID}), so))
	return card, so, nil
}

// besides drops what the card says once for all its stages.
func besides(said, general []caution.Caution) []caution.Caution {
	return slices.DeleteFunc(slices.Clone(said), func(c caution.Caution) bool {
		return slices.ContainsFunc(general, func(g caution.Caution) bool { return g.Text == c.Text })
	})
}

func encodeCautions(cs []caution.Caution) []*dyelotv1.Caution {
	var ms []*dyelotv1.Caution
	for _, c := range cs {
		ms = append(ms, &dyelotv1.Caution{Text: c.Text, Source: c.Source.String()})
	}
	return ms
}
