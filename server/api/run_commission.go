package api

import (
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// forCommission loads the commission that a run is planned for, and holds off
// whoever plans another run of it. None is the zero Commission.
func (p *planned) forCommission(tx *store.Tx, colourway string) (c lot.Commission, err error) {
	if p.commission == "" {
		return c, nil
	}
	if c, err = tx.CommissionByCode("commission_code", p.commission); err != nil {
		return c, err
	}
	if err := c.MayPlan(colourway); err != nil {
		return c, err
	}
	p.matched, p.again.commission = true, c.ID
	if p.due.IsZero() {
		p.due = c.DueOn
	}
	return c, tx.LockCommission(c.ID)
}

// mayBeDyed refuses a customer's own garments for any run but their
// commission's.
func (c cloth) mayBeDyed(commissionID int64) error {
	for _, p := range c {
		if p.Customers() {
			if err := p.MayBeDyedFor(commissionID); err != nil {
				return err
			}
		}
	}
	return nil
}

// forSet tells a shelf what a matched set may take of it (law 11): which blends
// nobody sampled, and what the other runs of the commission took.
func forSet(tx *store.Tx, shelf *lot.Shelf, run lot.Run) error {
	if !run.MatchedSet {
		return nil
	}
	var made []int64
	for _, parcels := range shelf.Parcels {
		for _, p := range parcels {
			if p.Origin == stock.FromMaking && p.Item.GivesShade() {
				made = append(made, p.ID)
			}
		}
	}
	if len(made) > 0 {
		unsampled, err := tx.UnsampledBlends(made)
		if err != nil {
			return err
		}
		for _, parcels := range shelf.Parcels {
			for i := range parcels {
				parcels[i].Unsampled = unsampled[parcels[i].ID]
			}
		}
	}
	if run.CommissionID == 0 {
		return nil
	}
	var err error
	shelf.Bound, err = tx.DyestuffParcels(run.CommissionID, run.ID)
	return err
}

// setNotes are what to mind of a plan beside its recipe: blanks as they were
// seen on arrival, blends passed over, what might not take, and what is still
// missing of a commission.
func (b *runBook) setNotes(tx *store.Tx, shelf *lot.Shelf) ([]*dyelotv1.Warning, error) {
	notes, err := b.arrivalNotes(tx)
	if err != nil {
		return nil, err
	}
	mind := func(key, text string) {
		notes = append(notes, recipe.Warning{Key: key, Text: text, Source: recipe.Source{Mark: recipe.Practice}})
	}
	for _, passed := range shelf.PassedOver {
		mind("blend-not-sampled", passed)
	}
	if b.run.CommissionID == 0 {
		return encodeWarnings(notes), nil
	}
	c, err := tx.Commission(b.run.CommissionID)
	if err != nil {
		return nil, err
	}
	sets, err := tx.SetLots(c.ID)
	if err != nil {
		return nil, err
	}
	for _, p := range c.Pieces {
		if p.MightNotTake != "" && b.dyes(p.ItemID) {
			mind("might-not-take", fmt.Sprintf("%s might not take: %s; tell the customer's side before it is dyed", p.ItemCode, p.MightNotTake))
		}
	}
	if short := c.Short(sets[c.ID]); short != "" {
		mind("set-incomplete", "for "+c.String()+" "+short)
	}
	return encodeWarnings(notes), nil
}

// dyes is true of an item that the run has garments of.
func (b *runBook) dyes(itemID int64) bool {
	for _, g := range b.garments {
		if b.parcels[g.ParcelID].Item.ID == itemID {
			return true
		}
	}
	return false
}

// arrivalNotes are what was seen, or not looked at, of each parcel of blanks
// that was not made here.
func (b *runBook) arrivalNotes(tx *store.Tx) ([]recipe.Warning, error) {
	var order []int64
	seen := map[int64]bool{}
	for _, g := range b.garments {
		if p := b.parcels[g.ParcelID]; !seen[p.ID] && p.Origin != stock.FromMaking {
			seen[p.ID], order = true, append(order, p.ID)
		}
	}
	checks, err := tx.ArrivalChecks(order)
	var notes []recipe.Warning
	for _, id := range order {
		p := b.parcels[id]
		now, _ := stock.Seen(checks[id])
		notes = append(notes, now.Warnings(p)...)
		if p.MightNotTake != "" {
			notes = append(notes, recipe.Warning{Key: "might-not-take", Source: recipe.Source{Mark: recipe.Practice},
				Text: fmt.Sprintf("%s might not take: %s; tell the customer's side before it is dyed", p.Code(), p.MightNotTake)})
		}
	}
	return notes, err
}

// oneHarvest says of a record of a commission's lot that its set now holds two
// harvests of a dyestuff.
func oneHarvest(tx *store.Tx, run lot.Run) ([]recipe.Warning, error) {
	if run.CommissionID == 0 {
		return nil, nil
	}
	taken, err := tx.DyestuffParcels(run.CommissionID, 0)
	if err != nil {
		return nil, err
	}
	var ids []int64
	for id, parcels := range taken {
		if len(parcels) > 1 {
			ids = append(ids, id)
		}
	}
	if len(ids) == 0 {
		return nil, nil
	}
	items, err := tx.ItemsByID(ids)
	return twoHarvests(lot.Commission{ID: run.CommissionID}, taken, func(id int64) string { return items[id].Name }), err
}
