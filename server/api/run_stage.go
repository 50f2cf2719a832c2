package api

import (
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/recipe"
	"dyelot/server/store"
)

// stageBook is what the books have of one stage of some lots of a run, locked.
type stageBook struct {
	lot.Before
	run      lot.Run
	progress map[int64]store.Progress
}

// lockStage locks the lots of one run and loads what the rule needs to know of
// a stage of theirs.
func lockStage(tx *store.Tx, ids []int64, position int) (*stageBook, error) {
	lots, err := tx.LockLots(ids)
	if err != nil {
		return nil, err
	}
	for _, l := range lots {
		if l.RunID != lots[0].RunID {
			return nil, fault.BadField("lot_codes", "%s and %s are of different runs: record them one by one", lots[0].Code, l.Code)
		}
	}
	b := &stageBook{Before: lot.Before{Lots: lots, Recorded: map[int64]string{}, Open: map[int64]int{}, Scrapped: map[int64]bool{}, Iron: map[int64]recipe.Iron{}, Past: map[int64]lot.Past{}}}
	if b.run, err = tx.Run(lots[0].RunID); err != nil {
		return nil, err
	}
	baths, err := tx.Baths(b.run.ID, position)
	if err != nil {
		return nil, err
	}
	for _, bath := range baths {
		if slices.ContainsFunc(lots, func(l lot.Lot) bool { return serves(bath, l.ID) }) {
			b.Baths = append(b.Baths, bath)
		}
	}
	if b.progress, err = tx.ProgressOfRun(b.run.ID, position); err != nil {
		return nil, err
	}
	for id, p := range b.progress {
		b.Open[id], b.Scrapped[id] = p.Open, p.State.Stopped()
		if p.RecordID != 0 {
			b.Recorded[id] = store.Code('S', p.RecordID)
		}
	}
	return b, nil
}

// loadIron looks back over the lots' records and over the lives of their
// garments, which is needed only when this bath brings iron, or was read, or was
// fed before.
func (b *stageBook) loadIron(tx *store.Tx, done lot.Done, again lot.Liquor) error {
	var lots []lot.BathLot
	var ids []int64
	for _, l := range b.Lots {
		lots, ids = append(lots, lot.BathLot{LotID: l.ID, Fibre: l.Fibre()}), append(ids, l.ID)
	}
	offered, err := lot.Iron(done.Used, lots)
	read := done.Celsius != 0 || done.PH != nil
	if err != nil || offered == (recipe.Iron{}) && !read && again.ID == 0 {
		return err
	}
	past := &runBook{run: b.run, lots: b.Lots}
	if past.garments, err = tx.GarmentsFor(ids...); err != nil {
		return err
	}
	if past.records, err = tx.RecordsOfLots(ids...); err != nil {
		return err
	}
	fed, err := tx.PouredInto(again.ID)
	if err != nil {
		return err
	}
	if past.parcels, err = tx.ParcelsByID(append(past.parcelIDs(), fed...)); err != nil {
		return err
	}
	for _, id := range fed {
		b.Liquor = append(b.Liquor, past.parcels[id])
	}
	b.Fibres = past.fibres(ids)
	before, err := livesOf(tx, past.garments, past.lotOf)
	if err != nil {
		return err
	}
	for _, id := range ids {
		b.Past[id] = before.past(b.run.Fibre, id)
		if b.Iron[id], err = past.iron(id); err != nil {
			return err
		}
	}
	return nil
}
