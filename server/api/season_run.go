package api

import (
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// forCollection ties a planned run to its collection, and warns where that
// wants none of the colourway.
func (p planned) forCollection(tx *store.Tx, runID int64, run lot.Run) ([]recipe.Warning, error) {
	if p.collection == "" {
		return nil, nil
	}
	if run.CommissionID != 0 {
		return nil, fault.BadField("collection_code", "a run is for a commission or for a collection, not for both")
	}
	c, err := tx.CollectionByCode(p.collection)
	if err != nil {
		return nil, onField("collection_code", err)
	}
	lines, err := tx.CollectionLines([]int64{c.ID})
	if err != nil {
		return nil, err
	}
	for _, n := range lines {
		if n.ColourwayID == run.ColourwayID {
			return nil, tx.TieRun(runID, c.ID)
		}
	}
	return []recipe.Warning{{Key: "not-in-collection", Text: c.Code + " has no line of this colourway: the run counts against nothing in it"}}, tx.TieRun(runID, c.ID)
}
