package api

import (
	"fmt"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// plan is one transaction: load what the rules need, lay the lots, reckon the
// doses, pick, and write it all.
func (p planned) plan(tx *store.Tx) (*dyelotv1.Run, error) {
	today, err := tx.Today()
	if err != nil {
		return nil, err
	}
	if !p.due.IsZero() && p.due.Before(today) {
		return nil, fault.BadField("due_on", "%s is past: today is %s", showDay(p.due), showDay(today))
	}
	at, err := happened(tx, "happened_at", p.at)
	if err != nil {
		return nil, err
	}
	way, err := tx.ColourwayByCode(p.colourway)
	if err != nil {
		return nil, err
	}
	commission, err := p.forCommission(tx, way.Code)
	if err != nil {
		return nil, err
	}
	version, err := tx.RecipeVersion(way.RecipeCode, p.version)
	if err != nil {
		return nil, err
	}
	if err := p.again.load(tx, at); err != nil {
		return nil, err
	}
	cloth, err := p.loadCloth(tx)
	if err != nil {
		return nil, err
	}
	if err := cloth.mayBeDyed(commission.ID); err != nil {
		return nil, err
	}
	stages, items, err := stagesOf(tx, version)
	if err != nil {
		return nil, err
	}
	lots, garments, err := p.lay(tx, cloth, lot.PotRatio(stages, version.Ratio))
	if err != nil {
		return nil, err
	}
	notes, err := p.again.leaveOut(tx, stages, lots, garments)
	if err != nil {
		return nil, err
	}
	vessels, err := p.sharedVessels(tx)
	if err != nil {
		return nil, err
	}
	baths, err := lot.Baths(stages, version.Ratio, lots, vessels)
	if err != nil {
		return nil, err
	}
	if err := nothingLeft(lots, baths); err != nil {
		return nil, err
	}
	shelf, err := shelfOf(tx, append(items, cloth.items()...), true)
	if err != nil {
		return nil, err
	}
	prefer, err := p.preferred(shelf)
	if err != nil {
		return nil, err
	}
	run := lot.Run{ColourwayID: way.ID, VersionID: version.ID, StandardID: way.StandardID, MatchedSet: p.matched, CommissionID: commission.ID, DueOn: p.due, Note: p.note, PlannedAt: at}
	if err := forSet(tx, shelf, run); err != nil {
		return nil, err
	}
	if err := lot.Fill(baths, shelf, p.matched, prefer); err != nil {
		return nil, err
	}
	planned, err := p.write(tx, run, lots, garments, baths, shelf)
	if err == nil {
		planned.Warnings = append(planned.Warnings, encodeWarnings(notes)...)
	}
	return planned, err
}

// cloth is the parcels that the garments and the witness cloth come from.
type cloth map[int64]stock.Parcel

func (c cloth) items() []int64 {
	var ids []int64
	for _, p := range c {
		ids = append(ids, p.Item.ID)
	}
	return ids
}

func (p planned) allBlanks() []plannedBlanks {
	all := slices.Clone(p.blanks)
	for _, l := range p.loads {
		all = append(all, l.blanks...)
	}
	return all
}

func (p planned) loadCloth(tx *store.Tx) (cloth, error) {
	var ids []int64
	for _, b := range p.allBlanks() {
		ids = append(ids, b.parcel)
	}
	if p.witness != 0 {
		ids = append(ids, p.witness)
	}
	parcels, err := tx.ParcelsByID(ids)
	if err != nil {
		return nil, err
	}
	for _, b := range p.allBlanks() {
		q, ok := parcels[b.parcel]
		switch {
		case !ok:
			return nil, fault.Missing("parcel", store.Code('P', b.parcel))
		case q.Item.Kind != stock.Blank:
			return nil, fault.BadField("blanks", "%s is %s, which is no blank", q.Code(), q.Item.Name)
		}
	}
	if w, ok := parcels[p.witness]; p.witness != 0 {
		switch {
		case !ok:
			return nil, fault.Missing("parcel", store.Code('P', p.witness))
		case w.Item.Kind != stock.WitnessCloth:
			return nil, fault.BadField("witness_parcel_code", "%s is %s, which is no witness cloth", w.Code(), w.Item.Name)
		}
	}
	return parcels, nil
}

// pieces are the garments of some blanks, in the order given.
func (c cloth) pieces(blanks []plannedBlanks) []lot.Garment {
	var gs []lot.Garment
	for _, b := range blanks {
		for range b.count {
			gs = append(gs, lot.Garment{ParcelID: b.parcel, Dry: c[b.parcel].OnePiece()})
		}
		for _, m := range b.masses {
			gs = append(gs, lot.Garment{ParcelID: b.parcel, Dry: m})
		}
	}
	return gs
}

// lay puts the garments into pots: as the dyer did, or into the fewest.
// Garments carry their lot's place in the list.
func (p planned) lay(tx *store.Tx, c cloth, ratio quantity.Ratio) ([]lot.Lot, []lot.Garment, error) {
	if len(p.loads) > 0 {
		return p.layAsGiven(tx, c, ratio)
	}
	garments := append(c.pieces(p.blanks), p.again.chosen()...)
	pots := make([]lot.Pot, len(p.pots))
	masses := make([]quantity.Amount, len(garments))
	for i, code := range p.pots {
		v, err := tx.Vessel(code)
		if err != nil {
			return nil, nil, fault.In(fmt.Sprintf("pot_codes[%d]", i), err)
		}
		pots[i] = v.Pot()
	}
	for i, g := range garments {
		masses[i] = g.Dry
	}
	shares, err := lot.Split(masses, p.witnessMass(), pots, ratio)
	if err != nil {
		return nil, nil, err
	}
	var lots []lot.Lot
	at := 0
	for i, sh := range shares {
		lots = append(lots, p.lot(pots[sh.Pot], garments[at:at+sh.Garments], ratio, i))
		at += sh.Garments
	}
	return lots, garments, nil
}

func (p planned) layAsGiven(tx *store.Tx, c cloth, ratio quantity.Ratio) ([]lot.Lot, []lot.Garment, error) {
	var lots []lot.Lot
	var garments []lot.Garment
	for i, l := range p.loads {
		at := fmt.Sprintf("loads[%d]", i)
		v, err := tx.Vessel(l.pot)
		if err != nil {
			return nil, nil, fault.In(at, err)
		}
		own := append(c.pieces(l.blanks), p.again.inLoad(i)...)
		if len(own) == 0 {
			return nil, nil, fault.BadField(at+".blanks", "is needed: a lot has at least one garment")
		}
		one := p.lot(v.Pot(), own, ratio, i)
		if err := v.Pot().Fits(one.Fibre(), ratio); err != nil {
			return nil, nil, fault.In(at, err)
		}
		lots, garments = append(lots, one), append(garments, own...)
	}
	return lots, garments, nil
}

// lot sums its garments up and tells them their place in the list of lots.
func (p planned) lot(pot lot.Pot, garments []lot.Garment, ratio quantity.Ratio, place int) lot.Lot {
	l := lot.Lot{Pot: pot, GarmentMass: quantity.Amount{Unit: quantity.Mass}, WitnessMass: p.witnessMass(), WitnessParcel: p.witness, State: lot.Planned}
	for i := range garments {
		if garments[i].ID != 0 { // of another lot until this one is issued
			garments[i].Next = int64(place)
		} else {
			garments[i].LotID = int64(place)
		}
		l.GarmentMass = l.GarmentMass.Add(garments[i].Dry)
	}
	l.Bath = ratio.Bath(l.Fibre())
	return l
}

func (p planned) witnessMass() quantity.Amount {
	return quantity.Amount{N: p.witnessEach.N, Unit: quantity.Mass}
}

func (p planned) sharedVessels(tx *store.Tx) (map[int]lot.Pot, error) {
	pots := map[int]lot.Pot{}
	for position, code := range p.vessels {
		v, err := tx.Vessel(code)
		if err != nil {
			return nil, fault.In(fmt.Sprintf("shared_vessels[%d]", position), err)
		}
		pots[position] = v.Pot()
	}
	return pots, nil
}

// preferred turns item codes into item ids; each parcel must be one of its item.
func (p planned) preferred(shelf *lot.Shelf) (map[int64]int64, error) {
	return preferredParcels(p.prefer, shelf)
}

func preferredParcels(wish map[string]int64, shelf *lot.Shelf) (map[int64]int64, error) {
	prefer := map[int64]int64{}
	for code, parcel := range wish {
		item := int64(0)
		for id, parcels := range shelf.Parcels {
			for _, q := range parcels {
				if q.Item.Code != code || q.ID != parcel {
					continue
				}
				if item = id; q.Blocked != "" {
					return nil, fault.Refuse("PARCEL_BLOCKED", "%s is blocked: %s", q.Code(), q.Blocked).With("parcel", q.Code())
				}
			}
		}
		if item == 0 {
			return nil, fault.BadField("parcels["+code+"]", "%s is not a parcel of an item %q that this run needs", store.Code('P', parcel), code)
		}
		prefer[item] = parcel
	}
	return prefer, nil
}
