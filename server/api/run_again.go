package api

import (
	"fmt"
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// wornAgain is which garments of earlier lots a plan is for.
type wornAgain struct {
	commission int64          // that the run is for; zero for none
	serials    []int64        // in the order in which they were named
	lots       []int64        // of which all that may are taken
	once       map[int32]bool // stages to do once more
	of         map[int][]int  // by load of the plan, or -1 for none: places in serials
	loaded     []lot.Garment  // of serials, then of lots
}

// decodeAgain reads the tags of a plan, each once, and its lots.
func decodeAgain(req *dyelotv1.PlanRunRequest) (a wornAgain, err error) {
	a = wornAgain{once: map[int32]bool{}, of: map[int][]int{}}
	add := func(field string, tags []string, load int) error {
		for i, t := range tags {
			at := fmt.Sprintf("%s[%d]", field, i)
			serial, err := trace.ParseTag(t)
			if err != nil {
				return onField(at, err)
			}
			if slices.Contains(a.serials, serial) {
				return fault.BadField(at, "%s is named twice", properTag(serial))
			}
			a.of[load] = append(a.of[load], len(a.serials))
			a.serials = append(a.serials, serial)
		}
		return nil
	}
	if err := add("tags", req.GetTags(), -1); err != nil {
		return a, err
	}
	for i, l := range req.GetLoads() {
		if err := add(fmt.Sprintf("loads[%d].tags", i), l.GetTags(), i); err != nil {
			return a, err
		}
	}
	for i, code := range req.GetLotCodes() {
		id, err := store.ID('L', fmt.Sprintf("lot_codes[%d]", i), code)
		if err != nil {
			return a, err
		}
		if !slices.Contains(a.lots, id) {
			a.lots = append(a.lots, id)
		}
	}
	for i, position := range req.GetAgain() {
		if position < 1 {
			return a, fault.BadField(fmt.Sprintf("again[%d]", i), "%d: a stage's number in the recipe is needed, from 1", position)
		}
		a.once[position] = true
	}
	if len(a.serials) > maxPieces {
		return a, fault.BadField("tags", "more than %d pieces in one run", maxPieces)
	}
	return a, nil
}

func (a wornAgain) any() bool { return len(a.serials)+len(a.lots) > 0 }

// load locks the garments' lots and lets the rule say of each whether it may go
// into a new one.
func (a *wornAgain) load(tx *store.Tx, at time.Time) error {
	a.loaded = nil // the transaction may run again
	if !a.any() {
		return nil
	}
	garments, lots, err := lockGarments(tx, a.serials, a.lots...)
	if err != nil {
		return err
	}
	byTag := map[string]lot.Garment{}
	for _, g := range garments {
		byTag[g.Tag] = g
	}
	for _, serial := range a.serials {
		g := byTag[properTag(serial)]
		if err := a.may(g, lots[g.LotID]); err != nil {
			return err
		}
		a.loaded = append(a.loaded, g)
	}
	for _, id := range a.lots {
		if err := a.loadLot(tx, lots[id], byTag); err != nil {
			return err
		}
	}
	if len(a.loaded) > maxPieces {
		return fault.BadField("lot_codes", "more than %d pieces in one run", maxPieces)
	}
	return notBefore(tx, at, a.loaded)
}

// may is nil where a garment of a lot may go into this run.
func (a *wornAgain) may(g lot.Garment, l lot.Lot) error {
	if err := g.MayDyeAgain(l); err != nil {
		return err
	}
	return g.MayBeDyedFor(a.commission)
}

// loadLot takes all garments of a lot that may go into a new one; where none
// may, the first one's reason stands for all.
func (a *wornAgain) loadLot(tx *store.Tx, l lot.Lot, named map[string]lot.Garment) error {
	garments, err := tx.GarmentsOfLots(l.ID)
	if err != nil {
		return err
	}
	var why error
	found := false
	for _, g := range garments {
		if _, had := named[g.Tag]; had {
			found = true
			continue
		}
		if err := a.may(g, l); err != nil {
			if why == nil {
				why = err
			}
			continue
		}
		found, a.loaded = true, append(a.loaded, g)
	}
	switch {
	case found:
		return nil
	case why != nil:
		return why
	}
	return fault.Refuse("NO_GARMENT", "no garment is of lot %s any more", l.Code).With("lot", l.Code)
}

// chosen are those from which pots are filled.
func (a wornAgain) chosen() []lot.Garment {
	var gs []lot.Garment
	for _, i := range a.of[-1] {
		gs = append(gs, a.loaded[i])
	}
	return append(gs, a.loaded[len(a.serials):]...)
}

// inLoad are those that the dyer laid into one pot.
func (a wornAgain) inLoad(load int) []lot.Garment {
	var gs []lot.Garment
	for _, i := range a.of[load] {
		gs = append(gs, a.loaded[i])
	}
	return gs
}

// leaveOut decides for each lot which stages of the recipe its cloth has had:
// those that all its garments need no more, when all waited part-done. It fills
// them in, and returns what differs.
func (a wornAgain) leaveOut(tx *store.Tx, stages []lot.Stage, lots []lot.Lot, garments []lot.Garment) ([]recipe.Warning, error) {
	if len(a.loaded) == 0 {
		return nil, nil
	}
	lives, err := livesOf(tx, a.loaded, func(lot.Garment) int64 { return 0 })
	if err != nil {
		return nil, err
	}
	var notes []recipe.Warning
	for i := range lots {
		var own []lot.Garment
		waited := true
		for _, g := range garments {
			if int(g.LotID) == i && g.ID == 0 || int(g.Next) == i && g.ID != 0 {
				own, waited = append(own, g), waited && g.Place == lot.PlacePartDone
			}
		}
		if !waited {
			continue
		}
		left, differs := a.sharedBy(own, lives, stages)
		lots[i].LeftOut = left
		for _, text := range differs {
			notes = append(notes, recipe.Warning{Key: "not-the-same", Text: text, Source: recipe.Source{Mark: recipe.Practice}})
		}
	}
	return notes, nil
}

// sharedBy are the stages that every one of some garments leaves out.
func (a wornAgain) sharedBy(own []lot.Garment, lives *lives, stages []lot.Stage) (left []lot.LeftOut, differs []string) {
	for i, g := range own {
		var before []lot.Had
		for _, h := range lives.of(g) {
			before = append(before, h.Had)
		}
		mine, why := lot.LeaveOut(stages, before)
		for _, w := range why {
			if !slices.Contains(differs, w) {
				differs = append(differs, w)
			}
		}
		if i == 0 {
			left = mine
			continue
		}
		left = slices.DeleteFunc(left, func(x lot.LeftOut) bool {
			return !slices.ContainsFunc(mine, func(y lot.LeftOut) bool { return x.Position == y.Position })
		})
	}
	return slices.DeleteFunc(left, func(x lot.LeftOut) bool { return a.once[int32(x.Position)] }), differs
}

// nothingLeft refuses a lot for which the recipe has no stage any more.
func nothingLeft(lots []lot.Lot, baths []lot.Bath) error {
	for i, l := range lots {
		if !slices.ContainsFunc(baths, func(b lot.Bath) bool { return serves(b, int64(i)) }) {
			return fault.Refuse("NOTHING_LEFT", "the cloth for %s has had every stage of this recipe already", l.Pot.Code).With("vessel", l.Pot.Code)
		}
	}
	return nil
}
