package api

import (
	"context"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// GetCommission shows a commission with its lots, what its customer brought,
// where its dyestuffs come from, and what holds it back.
func (s *CommissionServer) GetCommission(ctx context.Context, req *dyelotv1.GetCommissionRequest) (*dyelotv1.GetCommissionResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetCommissionResponse, error) {
		c, err := tx.CommissionByCode("code", req.GetCode())
		if err != nil {
			return nil, err
		}
		sets, err := tx.SetLots(c.ID)
		if err != nil {
			return nil, err
		}
		lots := sets[c.ID]
		all := lot.Tally(lots, 0)
		resp := &dyelotv1.GetCommissionResponse{Commission: encodeCommission(c, lots), Asked: int32(c.Asked()), Passed: int32(all.Passed), Planned: int32(all.Planned)}
		for _, l := range lots {
			t := lot.Tally([]lot.SetLot{l}, 0)
			resp.Lots = append(resp.Lots, &dyelotv1.CommissionLot{LotCode: l.Code, RunCode: store.Code('R', l.RunID), State: string(l.State), Pieces: int32(t.Count), Passed: int32(t.Passed)})
		}
		if resp.SetText, resp.HeldBack, err = heldBack(tx, c, lots); err != nil {
			return nil, err
		}
		if err := showOwn(tx, c, resp); err != nil {
			return nil, err
		}
		return resp, showDyestuffs(tx, c, resp)
	})
}

// heldBack is the set's own row in words, and why no piece of it leaves.
func heldBack(tx *store.Tx, c lot.Commission, lots []lot.SetLot) (set, why string, err error) {
	if f, no := fault.Of(c.Whole(lots)); no {
		why = f.Say
	}
	for _, l := range lots {
		_, j, err := judged(tx, l.ID)
		if err != nil {
			return "", "", err
		}
		if j.Set == nil {
			continue // it has left its set
		}
		if f, no := fault.Of(j.SetStands()); no && why == "" {
			why = f.Say
		}
		return j.Set.Text, why, nil
	}
	return "", why, nil
}

func showOwn(tx *store.Tx, c lot.Commission, resp *dyelotv1.GetCommissionResponse) error {
	held, err := tx.HeldFor(c.ID)
	for _, h := range held {
		resp.CustomersOwn = append(resp.CustomersOwn, &dyelotv1.CustomersOwn{ParcelCode: store.Code('P', h.ParcelID), ItemCode: h.ItemCode, MightNotTake: h.Why,
			Held: encode(quantity.Pieces(h.OnHand)), InLots: int32(h.InLots), GivenBack: int32(h.GivenBack)})
	}
	return err
}

func showDyestuffs(tx *store.Tx, c lot.Commission, resp *dyelotv1.GetCommissionResponse) error {
	taken, err := tx.DyestuffParcels(c.ID, 0)
	if err != nil {
		return err
	}
	var ids []int64
	for id := range taken {
		ids = append(ids, id)
	}
	items, err := tx.ItemsByID(ids)
	slices.Sort(ids)
	for _, id := range ids {
		resp.Dyestuffs = append(resp.Dyestuffs, &dyelotv1.CommissionDyestuff{ItemCode: items[id].Code, ParcelCodes: parcelCodes(taken[id])})
	}
	resp.Warnings = encodeWarnings(twoHarvests(c, taken, func(id int64) string { return items[id].Name }))
	return err
}

func parcelCodes(ids []int64) []string {
	codes := make([]string, len(ids))
	for i, id := range ids {
		codes[i] = store.Code('P', id)
	}
	return codes
}

// twoHarvests says of a set that what was poured in broke its one harvest of a
// dyestuff: it is in the pot all the same.
func twoHarvests(c lot.Commission, taken map[int64][]int64, name func(int64) string) []recipe.Warning {
	var found []recipe.Warning
	for item, parcels := range taken {
		if len(parcels) > 1 {
			found = append(found, recipe.Warning{Key: "two-harvests", Source: recipe.Source{Mark: recipe.Practice},
				Text: "the set of " + c.Code() + " has " + name(item) + " of " + strings.Join(parcelCodes(parcels), " and ") + ": a matched set takes one harvest of each dyestuff, so hold its lots against each other before anything is promised"})
		}
	}
	slices.SortFunc(found, func(a, b recipe.Warning) int { return strings.Compare(a.Text, b.Text) })
	return found
}

// wholeSets is nil where the commissions of some lots may go whole, as far as
// the verdicts on their lots are concerned.
func wholeSets(tx *store.Tx, lots []lot.Lot) error {
	runs, err := tx.RunsOfLots(lots)
	if err != nil {
		return err
	}
	var ids []int64
	for _, r := range runs {
		if r.CommissionID != 0 && !slices.Contains(ids, r.CommissionID) {
			ids = append(ids, r.CommissionID)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	slices.Sort(ids)
	sets, err := tx.SetLots(ids...)
	if err != nil {
		return err
	}
	for _, id := range ids {
		c, err := tx.Commission(id)
		if err != nil {
			return err
		}
		if err := c.Whole(sets[id]); err != nil {
			return err
		}
	}
	return nil
}
