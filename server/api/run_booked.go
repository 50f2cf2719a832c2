package api

import (
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// book writes the record and its postings together (law 3) and says what
// became of it.
func (r record) book(tx *store.Tx, b *stageBook, stands lot.Standing, dec lot.Decision, parcels map[int64]stock.Parcel) (*dyelotv1.RecordStageResponse, error) {
	var err error
	if stands.ID, stands.BathID, err = tx.AddRecord(stands); err != nil {
		return nil, err
	}
	if err := labourOf(tx, stands, r.req.GetLabourMinutes()); err != nil {
		return nil, err
	}
	m := stock.Movement{Kind: stock.ActUse, HappenedAt: stands.HappenedAt, ByName: stands.By, RecordID: stands.ID}
	struck, err := settle(tx, &m, parcels, r.taken, dec.Promises)
	if err != nil {
		return nil, err
	}
	if err := tx.SetLotStates(b.moved(dec.States)); err != nil {
		return nil, err
	}
	for _, id := range r.order {
		stands.Used = append(stands.Used, lot.Taken{ParcelID: id, Amount: r.taken[id], Found: stock.Found(m.Legs, id)})
	}
	mixed, err := oneHarvest(tx, b.run)
	if err != nil {
		return nil, err
	}
	book := &runBook{run: b.run, parcels: parcels}
	late, err := overtaken(tx, stands.HappenedAt, inOrder(parcels, r.order))
	if err != nil {
		return nil, err
	}
	resp := &dyelotv1.RecordStageResponse{Record: book.encodeRecord(stands), Shortages: encodeStruck(struck, parcels),
		Warnings: encodeWarnings(slices.Concat(dec.Warnings, unusable(tx, r.used(parcels)), late, mixed))}
	if resp.Parcels, err = r.after(tx); err != nil {
		return nil, err
	}
	resp.Next, err = tx.StageInWords(r.lots[0], b.progress[r.lots[0]].Next)
	return resp, err
}

func inOrder(parcels map[int64]stock.Parcel, order []int64) []stock.Parcel {
	ps := make([]stock.Parcel, len(order))
	for i, id := range order {
		ps[i] = parcels[id]
	}
	return ps
}

// moved leaves out the lots whose state stays.
func (b *stageBook) moved(states map[int64]lot.State) map[int64]lot.State {
	for _, l := range b.Lots {
		if states[l.ID] == l.State {
			delete(states, l.ID)
		}
	}
	return states
}

// after is what the parcels hold now.
func (r record) after(tx *store.Tx) ([]*dyelotv1.Parcel, error) {
	if len(r.order) == 0 {
		return nil, nil
	}
	parcels, err := tx.ParcelsByID(r.order)
	var left []*dyelotv1.Parcel
	for _, id := range r.order {
		left = append(left, encodeParcel(parcels[id]))
	}
	return left, err
}

// unusable says of what was used that it should not have been. It is in the pot
// all the same.
func unusable(tx *store.Tx, used []lot.Used) []recipe.Warning {
	var said []recipe.Warning
	for _, u := range used {
		if err := u.Parcel.Usable(tx.Now); err != nil {
			said = append(said, recipe.Warning{Key: "parcel-not-usable", Text: err.Error() + ", and it was used all the same", Source: recipe.Source{Mark: recipe.Practice}})
		}
	}
	return said
}
