package api

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// whatIf is how a colourway is dyed now, and what the ways beside it begin from.
type whatIf struct {
	way    store.Colourway
	recipe string
	number int // of the recipe's version; zero: the newest
	blank  stock.Item
	pieces int
	pots   []string
	terms  planTerms
}

// mostVariants beside the way it is done now fit on a screen and in a second.
const mostVariants = 6

// CompareWhatIf lays the same garments another way, side by side. It reads one
// snapshot and writes nothing.
func (s *CostServer) CompareWhatIf(ctx context.Context, req *dyelotv1.CompareWhatIfRequest) (*dyelotv1.CompareWhatIfResponse, error) {
	switch n := len(req.GetChanges()); {
	case (req.GetColourwayCode() == "") == (req.GetRunCode() == ""):
		return nil, fault.BadField("colourway_code", "name a colourway or a run, one of the two")
	case n > mostVariants:
		return nil, fault.BadField("changes", "%d ways: at most %d side by side", n, mostVariants)
	case req.GetPieces() < 0 || req.GetPieces() > maxPieces:
		return nil, fault.BadField("pieces", "%d: 1 to %d", req.GetPieces(), maxPieces)
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.CompareWhatIfResponse, error) {
		w, err := baseOf(tx, req)
		if err != nil {
			return nil, err
		}
		base, err := w.variant(tx, &dyelotv1.WhatIfChange{})
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.CompareWhatIfResponse{ColourwayCode: w.way.Code, BlankItemCode: w.blank.Code, Currency: w.terms.currency, Variants: []*dyelotv1.WhatIfVariant{base.encode(base)}}
		for i, change := range req.GetChanges() {
			v, err := w.variant(tx, change)
			if err != nil {
				return nil, fault.In(fmt.Sprintf("changes[%d]", i), err)
			}
			resp.Variants = append(resp.Variants, v.encode(base))
		}
		return resp, nil
	})
}

// baseOf fills in from the colourway's newest run, or from the run named, what
// the caller left out: the blank, how many, and the pots.
func baseOf(tx *store.Tx, req *dyelotv1.CompareWhatIfRequest) (w whatIf, err error) {
	w = whatIf{pieces: int(req.GetPieces()), pots: req.GetPotCodes()}
	var runID int64
	if req.GetRunCode() != "" {
		if runID, err = store.ID('R', "run_code", req.GetRunCode()); err != nil {
			return w, err
		}
		run, err := tx.Run(runID)
		if err != nil {
			return w, err
		}
		if w.way, err = tx.ColourwayByCode(run.ColourwayCode); err != nil {
			return w, err
		}
		w.recipe, w.number = run.RecipeCode, run.RecipeVersion
	} else {
		if w.way, err = tx.ColourwayByCode(req.GetColourwayCode()); err != nil {
			return w, err
		}
		w.recipe = w.way.RecipeCode
		if runID, err = tx.NewestRunOf(w.way.ID); err != nil {
			return w, err
		}
	}
	blank := req.GetBlankItemCode()
	if runID != 0 {
		if err := w.asRun(tx, runID, &blank); err != nil {
			return w, err
		}
	}
	switch {
	case blank == "":
		return w, fault.BadField("blank_item_code", "is needed: no run of %s says which garments", w.way.Code)
	case w.pieces == 0:
		return w, fault.BadField("pieces", "is needed: how many garments")
	case len(w.pots) == 0:
		return w, fault.BadField("pot_codes", "is needed: the pots to choose from")
	}
	if w.blank, err = tx.ItemByCode(blank); err != nil {
		return w, fault.In("blank_item_code", err)
	}
	if w.blank.Kind != stock.Blank {
		return w, fault.BadField("blank_item_code", "%s is no blank", w.blank.Name)
	}
	w.terms.currency, _, w.terms.on, w.terms.rates, w.terms.house, err = costTerms(tx)
	return w, err
}

// asRun fills in what a run has.
func (w *whatIf) asRun(tx *store.Tx, runID int64, blank *string) error {
	lots, err := tx.LotsOfRuns(runID)
	if err != nil {
		return err
	}
	var ids []int64
	given := len(w.pots) > 0
	for _, l := range lots {
		ids = append(ids, l.ID)
		if !given && !slices.Contains(w.pots, l.Pot.Code) {
			w.pots = append(w.pots, l.Pot.Code)
		}
	}
	garments, err := tx.GarmentsFor(ids...)
	if err != nil || len(garments) == 0 {
		return err
	}
	if *blank == "" {
		*blank = garments[0].ItemCode
	}
	if w.pieces == 0 {
		w.pieces = len(garments)
	}
	return nil
}

// layLots puts so many garments of the blank's piece mass into the pots, as a
// plan would; where they hold them not all at once, a pot is filled as often as
// it takes: the largest, and for the rest the smallest that does. What-if asks
// for no week.
func (w whatIf) layLots(tx *store.Tx, pieces int, codes []string, ratio quantity.Ratio) ([]lot.Lot, error) {
	pots := make([]lot.Pot, len(codes))
	for i, code := range codes {
		v, err := tx.Vessel(code)
		if err != nil {
			return nil, fault.In(fmt.Sprintf("pot_codes[%d]", i), err)
		}
		pots[i] = v.Pot()
	}
	masses := slices.Repeat([]quantity.Amount{w.blank.PieceMass}, pieces)
	shares, err := lot.Split(masses, quantity.Amount{Unit: quantity.Mass}, pots, ratio)
	if f, no := fault.Of(err); no && f.Kind == fault.Refused {
		if again := w.refill(pieces, pots, ratio); again != nil {
			return again, nil
		}
	}
	if err != nil {
		return nil, err
	}
	var lots []lot.Lot
	for _, sh := range shares {
		lots = append(lots, w.lotIn(pots[sh.Pot], sh.Garments, ratio))
	}
	return lots, nil
}

// refill is nil where not one garment goes into a pot.
func (w whatIf) refill(pieces int, pots []lot.Pot, ratio quantity.Ratio) []lot.Lot {
	takes := func(p lot.Pot) int { return int(p.Takes(ratio).N / max(w.blank.PieceMass.N, 1)) }
	byRoom := slices.SortedStableFunc(slices.Values(pots), func(a, b lot.Pot) int { return takes(a) - takes(b) })
	largest := byRoom[len(byRoom)-1]
	if takes(largest) < 1 {
		return nil
	}
	var lots []lot.Lot
	for ; pieces > takes(largest); pieces -= takes(largest) {
		lots = append(lots, w.lotIn(largest, takes(largest), ratio))
	}
	i := slices.IndexFunc(byRoom, func(p lot.Pot) bool { return takes(p) >= pieces })
	return append(lots, w.lotIn(byRoom[i], pieces, ratio))
}

func (w whatIf) lotIn(pot lot.Pot, garments int, ratio quantity.Ratio) lot.Lot {
	l := lot.Lot{Pot: pot, State: lot.Planned, WitnessMass: quantity.Amount{Unit: quantity.Mass}, GarmentMass: quantity.Amount{N: int64(garments) * w.blank.PieceMass.N, Unit: quantity.Mass}}
	l.Bath = ratio.Bath(l.Fibre())
	return l
}

// nameOf says what a change changes.
func nameOf(c *dyelotv1.WhatIfChange) string {
	var parts []string
	if c.GetRecipeCode() != "" || c.GetRecipeVersion() != 0 {
		name := "recipe " + c.GetRecipeCode()
		if c.GetRecipeVersion() != 0 {
			name = strings.TrimSpace(fmt.Sprintf("%s version %d", name, c.GetRecipeVersion()))
		}
		parts = append(parts, name)
	}
	if c.GetMordant() != "" {
		parts = append(parts, "mordant "+c.GetMordant())
	}
	for _, old := range sortedKeys(maps.Clone(c.GetReplace())) {
		parts = append(parts, c.GetReplace()[old]+" instead of "+old)
	}
	if len(c.GetPotCodes()) > 0 {
		parts = append(parts, "in "+strings.Join(c.GetPotCodes(), ", "))
	}
	if c.GetPieces() != 0 {
		parts = append(parts, countOf(int64(c.GetPieces()), "piece"))
	}
	if len(parts) == 0 {
		return "as it is"
	}
	return strings.Join(parts, ", ")
}
