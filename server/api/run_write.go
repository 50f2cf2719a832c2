package api

import (
	"fmt"
	"maps"
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// stagesOf turns a recipe into the stages that planning lays over lots, and
// lists the items that they take.
func stagesOf(tx *store.Tx, v store.RecipeVersion) (stages []lot.Stage, items []int64, err error) {
	for _, s := range v.Stages {
		for _, d := range s.Doses {
			items = append(items, d.ItemID)
		}
	}
	known, err := tx.ItemsByID(items)
	if err != nil {
		return nil, nil, err
	}
	for _, s := range v.Stages {
		kind, err := lot.KindOf(s.Kind)
		if err != nil {
			return nil, nil, err
		}
		stage := lot.Stage{Position: s.Position, Kind: kind, Shared: s.Shared, Celsius: s.Celsius, Minutes: s.Minutes, Ratio: s.Ratio,
			PHLow: hundredths(s.PHLow), PHHigh: hundredths(s.PHHigh), Note: s.Note}
		for _, d := range s.Doses {
			stage.Lines = append(stage.Lines, lot.Line{Item: known[d.ItemID], Ask: d.Ask})
		}
		stages = append(stages, stage)
	}
	return stages, items, nil
}

func hundredths(p *recipe.PH) *int {
	if p == nil {
		return nil
	}
	n := int(*p)
	return &n
}

// write stores a laid and filled run with its promises, and shows it as the
// books now have it.
func (p planned) write(tx *store.Tx, run lot.Run, lots []lot.Lot, garments []lot.Garment, baths []lot.Bath, shelf *lot.Shelf) (*dyelotv1.Run, error) {
	id, err := tx.AddRun(run)
	if err != nil {
		return nil, err
	}
	tied, err := p.forCollection(tx, id, run)
	if err != nil {
		return nil, err
	}
	lotIDs, err := tx.AddLots(id, lots)
	if err != nil {
		return nil, err
	}
	for i := range lots {
		lots[i].ID = lotIDs[i]
	}
	if err := tx.AddLeftOut(lots); err != nil {
		return nil, err
	}
	fresh, err := addGarments(tx, garments, lotIDs, run.PlannedAt)
	if err != nil {
		return nil, err
	}
	for i := range baths {
		for j := range baths[i].Lots {
			baths[i].Lots[j].LotID = lotIDs[baths[i].Lots[j].LotID]
		}
	}
	if err := tx.AddBaths(id, baths); err != nil {
		return nil, err
	}
	promises, err := p.clothPromises(tx, fresh, lotIDs, shelf.Today)
	if err != nil {
		return nil, err
	}
	if _, err := tx.MakePromises(append(promises, dosePromises(baths)...)); err != nil {
		return nil, err
	}
	book, err := loadRun(tx, id)
	if err != nil {
		return nil, err
	}
	notes, err := book.planNotes(baths)
	if err != nil {
		return nil, err
	}
	more, err := book.setNotes(tx, shelf)
	if err != nil {
		return nil, err
	}
	m := book.encode()
	m.Warnings = append(append(append(m.Warnings, notes...), more...), encodeWarnings(tied)...)
	return m, nil
}

// addGarments writes fresh garments and returns them; those that were in a lot
// before are planned into their next one.
func addGarments(tx *store.Tx, garments []lot.Garment, lotIDs []int64, at time.Time) ([]lot.Garment, error) {
	var fresh, again []lot.Garment
	for _, g := range garments {
		if g.ID != 0 {
			g.Next = lotIDs[g.Next]
			again = append(again, g)
			continue
		}
		g.LotID = lotIDs[g.LotID]
		fresh = append(fresh, g)
	}
	if len(again) > 0 {
		if err := tx.PlanAgain(again, at); err != nil {
			return nil, err
		}
	}
	if len(fresh) == 0 {
		return nil, nil
	}
	return fresh, tx.AddGarments(fresh, at)
}

// clothPromises keep blanks and witness cloth aside for each lot. They were
// chosen by name, so what is not there is refused.
func (p planned) clothPromises(tx *store.Tx, garments []lot.Garment, lotIDs []int64, today time.Time) ([]stock.Promise, error) {
	type from struct{ lot, parcel int64 }
	pieces := map[from]int64{}
	var order []from
	for _, g := range garments {
		k := from{g.LotID, g.ParcelID}
		if pieces[k] == 0 {
			order = append(order, k)
		}
		pieces[k]++
	}
	var promises []stock.Promise
	for _, k := range order {
		promises = append(promises, stock.Promise{ParcelID: k.parcel, LotID: k.lot, Outstanding: quantity.Pieces(pieces[k])})
	}
	if p.witness != 0 {
		for _, id := range lotIDs {
			promises = append(promises, stock.Promise{ParcelID: p.witness, LotID: id, Outstanding: p.witnessEach})
		}
	}
	return promises, mayPromise(tx, promises, today)
}

// mayPromise refuses promises that their parcels, locked, do not hold.
func mayPromise(tx *store.Tx, promises []stock.Promise, today time.Time) error {
	asked := map[int64]quantity.Amount{}
	for _, p := range promises {
		asked[p.ParcelID] = asked[p.ParcelID].Add(p.Outstanding)
	}
	parcels, err := tx.LockParcels(slices.Collect(maps.Keys(asked)))
	if err != nil {
		return err
	}
	for _, p := range parcels {
		if err := stock.MayPromise(p, asked[p.ID], today); err != nil {
			return err
		}
	}
	return nil
}

func dosePromises(baths []lot.Bath) []stock.Promise {
	var promises []stock.Promise
	for _, b := range baths {
		for _, d := range b.Doses {
			for _, pick := range d.Picks {
				promises = append(promises, stock.Promise{ParcelID: pick.ParcelID, DoseID: d.ID, Outstanding: pick.Amount})
			}
		}
	}
	return promises
}

// planNotes are what to mind of this plan beyond its recipe: iron as it will
// add up, cloth of another fibre than the recipe's, a pot kept for iron.
func (b *runBook) planNotes(baths []lot.Bath) ([]*dyelotv1.Warning, error) {
	var notes []recipe.Warning
	add := func(w recipe.Warning) {
		for _, had := range notes {
			if had.Text == w.Text {
				return
			}
		}
		notes = append(notes, w)
	}
	for _, g := range b.garments {
		item := b.parcels[g.ParcelID].Item
		for _, w := range item.Warnings() {
			add(w)
		}
		if !madeOf(item, b.run.Fibre) {
			add(recipe.Warning{Key: "other-fibre", Source: recipe.Source{Mark: recipe.Practice},
				Text: "the recipe is for " + b.run.Fibre + " and " + item.Name + " has none of it: expect another shade"})
		}
	}
	for _, bath := range baths {
		for _, w := range bath.Vessel.Warnings(bath.Kind) {
			add(w)
		}
	}
	var most recipe.Iron // lots differ by no more than the scale's steps
	for _, l := range b.lots {
		for _, x := range l.LeftOut {
			add(recipe.Warning{Key: "left-out", Source: recipe.Source{Mark: recipe.Practice},
				Text: fmt.Sprintf("lot %s leaves stage %d, %s, out: %s", l.Code, x.Position, x.Kind.Name, x.Why)})
		}
		iron, err := lot.PlannedIron(b.baths, l.ID, b.parcels)
		if err != nil {
			return nil, err
		}
		most = recipe.Iron{Copperas: max(most.Copperas, iron.Copperas), Unknown: most.Unknown || iron.Unknown}
	}
	said := b.recipe.Warnings(stageKind)
	for _, w := range b.lives.past(b.run.Fibre, b.lotIDs()...).Warnings(b.fibres(b.lotIDs()), most) {
		if most != (recipe.Iron{}) && !slices.Contains(said, w) {
			add(w)
		}
	}
	return encodeWarnings(notes), nil
}

func madeOf(item stock.Item, fibre string) bool {
	for _, f := range item.Fibres {
		if f.Fibre == fibre {
			return true
		}
	}
	return false
}

// stageKind tells the recipe's rules what this house knows of a kind.
func stageKind(key string) (recipe.StageKind, error) {
	k, err := lot.KindOf(key)
	return recipe.StageKind{Key: k.Key, Name: k.Name, Doses: k.Doses, Bath: k.Bath, Brews: k.Brews, Dyes: k.Dyes}, err
}
