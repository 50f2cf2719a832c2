package api

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

func encodeRunHead(r lot.Run, lots []lot.Lot) *dyelotv1.Run {
	return &dyelotv1.Run{
		Code: store.Code('R', r.ID), ColourwayCode: r.ColourwayCode, ColourwayName: r.ColourwayName,
		RecipeCode: r.RecipeCode, RecipeVersion: int32(r.RecipeVersion), StandardCode: r.StandardCode,
		MatchedSet: r.MatchedSet, DueOn: showDay(r.DueOn), State: r.StateOf(lots), PlannedAt: stamp(r.PlannedAt), PlannedBy: r.PlannedBy, Note: r.Note, CommissionCode: codeOr('W', r.CommissionID), CollectionCode: r.CollectionCode,
	}
}

func encodeLot(l lot.Lot, r lot.Run, garments []lot.Garment) *dyelotv1.Lot {
	m := &dyelotv1.Lot{
		Code: l.Code, RunCode: store.Code('R', l.RunID), VesselCode: l.Pot.Code, State: string(l.State),
		GarmentMass: encode(l.GarmentMass), WitnessMass: encode(l.WitnessMass), FibreMass: encode(l.Fibre()), BathVolume: encode(l.Bath),
		Issued: !l.IssuedAt.IsZero(), ColourwayCode: r.ColourwayCode, Fibre: r.Fibre, RecipeCode: r.RecipeCode, RecipeVersion: int32(r.RecipeVersion),
	}
	for _, g := range garments {
		if g.In(l.ID) {
			m.Garments = append(m.Garments, encodeGarment(g))
		}
	}
	return m
}

func encodeGarment(g lot.Garment) *dyelotv1.Garment {
	m := &dyelotv1.Garment{
		Tag: g.Tag, LotCode: store.Code('L', g.LotID), ItemCode: g.ItemCode, Style: g.Style, Size: g.Size, DryMass: encode(g.Dry),
		ParcelCode: store.Code('P', g.ParcelID), Place: string(g.Place), OrderRef: g.OrderRef, CustomersCommissionCode: codeOr('W', g.CommissionID),
	}
	if g.Next != 0 {
		m.NextLotCode = store.Code('L', g.Next)
	}
	return m
}

func encodeLeftOut(left []lot.LeftOut) []*dyelotv1.LeftOutStage {
	var ms []*dyelotv1.LeftOutStage
	for _, x := range left {
		ms = append(ms, &dyelotv1.LeftOutStage{Position: int32(x.Position), Kind: x.Kind.Key, KindName: x.Kind.Name, Reason: x.Why})
	}
	return ms
}

// encode writes the whole run.
func (b *runBook) encode() *dyelotv1.Run {
	m := encodeRunHead(b.run, b.lots)
	for _, l := range b.lots {
		one := encodeLot(l, b.run, b.garments)
		one.Earlier, one.LeftOut = b.lives.earlier(l.ID), encodeLeftOut(l.LeftOut)
		m.Lots = append(m.Lots, one)
	}
	for _, bath := range b.baths {
		m.Stages = append(m.Stages, b.encodeBath(bath))
		if b.run.CancelledAt.IsZero() && !b.recorded(bath) {
			m.Shortages = append(m.Shortages, shortagesOf(bath)...)
		}
	}
	m.Warnings = encodeWarnings(b.recipe.Warnings(stageKind))
	return m
}

func (b *runBook) stagesOf(lotID int64) []*dyelotv1.PlannedStage {
	var stages []*dyelotv1.PlannedStage
	for _, bath := range b.baths {
		if serves(bath, lotID) {
			stages = append(stages, b.encodeBath(bath))
		}
	}
	return stages
}

// shortagesOf are a bath's short doses, each told once of all its lots.
func shortagesOf(bath lot.Bath) []*dyelotv1.Shortage {
	var found []*dyelotv1.Shortage
	for _, d := range bath.Doses {
		if d.Short.IsZero() {
			continue
		}
		short := d.Lacks
		if short.IsZero() {
			short = d.Short
		}
		found = append(found, &dyelotv1.Shortage{Of: strings.Join(lotCodes(bath.Lots), ", "), ItemCode: d.Item.Code, Short: encode(short),
			Text: otherwise(d.Note, fmt.Sprintf("%s is promised from no parcel", d.Short))})
	}
	return found
}

func otherwise(s, instead string) string {
	if s == "" {
		return instead
	}
	return s
}

func lotCodes(lots []lot.BathLot) []string {
	codes := make([]string, len(lots))
	for i, l := range lots {
		codes[i] = store.Code('L', l.LotID)
	}
	return codes
}

func (b *runBook) encodeBath(bath lot.Bath) *dyelotv1.PlannedStage {
	m := &dyelotv1.PlannedStage{
		Position: int32(bath.Position), Kind: bath.Kind.Key, KindName: bath.Kind.Name, LotCodes: lotCodes(bath.Lots), VesselCode: bath.Vessel.Code,
		FibreMass: encode(bath.Fibre()), Celsius: int32(bath.Celsius), Minutes: int32(bath.Minutes), PhLow: showPH(bath.PHLow), PhHigh: showPH(bath.PHHigh),
		Note: bath.Note, Shared: bath.Shared,
	}
	if bath.Volume.N > 0 {
		m.BathVolume = encode(bath.Volume)
	}
	for _, d := range bath.Doses {
		m.Doses = append(m.Doses, b.encodeDose(bath, d))
		if len(bath.Lots) > 1 {
			m.Shares = append(m.Shares, sharesOf(bath, d)...)
		}
	}
	if bath.Kind.Dyes {
		m.Brewed = b.brewed(bath)
		m.BrewedLiquor = b.brewedLiquor(bath)
	}
	if r, ok := b.standing(bath.Position, bath.Lots[0].LotID); ok {
		m.Record = b.encodeRecord(r)
		m.Additions = b.additions(r.ID)
	}
	return m
}

func sharesOf(bath lot.Bath, d lot.Dose) []*dyelotv1.LotShare {
	var shares []*dyelotv1.LotShare
	for i, part := range lot.Divide(d.Amount, bath.Lots, d.Item.Resolution) {
		shares = append(shares, &dyelotv1.LotShare{LotCode: store.Code('L', bath.Lots[i].LotID), ItemCode: d.Item.Code, Amount: encode(part)})
	}
	return shares
}

// brewed is this lot's share of the brew that was drawn before its dye bath.
func (b *runBook) brewed(dye lot.Bath) []*dyelotv1.LotShare {
	var shares []*dyelotv1.LotShare
	for _, bath := range b.baths {
		if !bath.Kind.Brews || bath.Position > dye.Position || !serves(bath, dye.Lots[0].LotID) {
			continue
		}
		for _, d := range bath.Doses {
			for _, s := range sharesOf(bath, d) {
				if s.GetLotCode() == store.Code('L', dye.Lots[0].LotID) {
					shares = append(shares, s)
				}
			}
		}
	}
	return shares
}

func (b *runBook) encodeDose(bath lot.Bath, d lot.Dose) *dyelotv1.PlannedDose {
	m := &dyelotv1.PlannedDose{ItemCode: d.Item.Code, ItemName: d.Item.Name, Asked: d.Ask.String(), Amount: encode(d.Amount), Note: d.Note}
	for _, p := range d.Picks {
		m.Picks = append(m.Picks, &dyelotv1.Taken{ParcelCode: p.Code, Amount: encode(p.Amount)})
	}
	if !d.Short.IsZero() {
		m.Short = encode(d.Short)
	}
	if d.Ask.Basis == recipe.InBath { // g/L is easily muddled with % WOF, so it is said even of what is short
		m.WofPercent = quantity.PercentOf(d.Ask.PerLitre.MassIn(bath.Volume), bath.Fibre()).Decimal()
	}
	if len(d.Picks) > 0 {
		var used []lot.Taken
		for _, p := range d.Picks {
			used = append(used, lot.Taken{ParcelID: p.ParcelID, Amount: p.Amount})
		}
		solute, wof := b.offered(used, bath.Lots)
		m.WofPercent = wof
		if d.Item.Unit == quantity.Volume && solute.N > 0 {
			m.Solute = encode(solute)
		}
	}
	return m
}

// offered is the acting mass of what was taken and its % WOF; absent and empty
// where nobody can say (a liquor of unknown strength, pieces).
func (b *runBook) offered(taken []lot.Taken, lots []lot.BathLot) (mass quantity.Amount, wof string) {
	sum := quantity.Amount{Unit: quantity.Mass}
	for _, t := range taken {
		m := b.parcels[t.ParcelID].ActingMass(t.Amount)
		if m.Unit == 0 {
			return quantity.Amount{}, ""
		}
		sum = sum.Add(m)
	}
	return sum, quantity.PercentOf(sum, lot.Bath{Lots: lots}.Fibre()).Decimal()
}

func (b *runBook) encodeRecord(r lot.Standing) *dyelotv1.StageRecord {
	m := &dyelotv1.StageRecord{
		Code: store.Code('S', r.ID), Kind: r.Kind.Key, Position: int32(r.Position), LotCodes: lotCodes(r.Lots), VesselCode: r.Vessel.Code, By: r.By,
		HappenedAt: stamp(r.HappenedAt), RecordedAt: stamp(r.RecordedAt), StartedAt: stamp(r.StartedAt), FinishedAt: stamp(r.FinishedAt),
		Celsius: int32(r.Celsius), Minutes: int32(r.Minutes), Ph: showPH(r.PH), Note: r.Note, Skipped: r.Skipped, Reason: r.Reason,
		Undone: r.Undone, UndoneReason: r.UndoneWhy, OverrideBy: r.Override.By, OverrideReason: r.Override.Reason,
	}
	if r.Corrects != 0 {
		m.Corrects = store.Code('S', r.Corrects)
	}
	if r.Corrected != 0 {
		m.CorrectedBy = store.Code('S', r.Corrected)
	}
	if r.BathID != 0 {
		m.BathCode, m.BathUse = store.Code('B', r.BathID), int32(r.BathUse)
	}
	encodePot(m, r)
	if r.Volume.N > 0 {
		m.BathVolume = encode(r.Volume)
	}
	for _, u := range r.Used {
		m.Used = append(m.Used, b.encodeUsed(u, r))
		if len(r.Lots) > 1 {
			p := b.parcels[u.ParcelID]
			for i, part := range lot.Divide(u.Amount, r.Lots, p.Item.Resolution) {
				m.Shares = append(m.Shares, &dyelotv1.LotShare{LotCode: store.Code('L', r.Lots[i].LotID), ItemCode: p.Item.Code, Amount: encode(part)})
			}
		}
	}
	for _, d := range r.Deviations {
		m.Deviations = append(m.Deviations, &dyelotv1.Deviation{Key: d.Key, Planned: d.Planned, Actual: d.Actual, Text: d.Text, Reason: r.Reason})
	}
	return m
}

func (b *runBook) encodeUsed(u lot.Taken, r lot.Standing) *dyelotv1.Used {
	p := b.parcels[u.ParcelID]
	_, wof := b.offered([]lot.Taken{u}, r.Lots)
	m := &dyelotv1.Used{ParcelCode: p.Code(), ItemCode: p.Item.Code, ItemName: p.Item.Name, Amount: encode(u.Amount), WofPercent: wof}
	if u.Found.N > 0 {
		m.Found = encode(u.Found)
	}
	return m
}

func showPH(ph *int) string {
	if ph == nil {
		return ""
	}
	return recipe.PH(*ph).Decimal()
}

func encodeStruck(struck []stock.Struck, parcels map[int64]stock.Parcel) []*dyelotv1.Shortage {
	var found []*dyelotv1.Shortage
	for _, s := range struck {
		p := parcels[s.Promise.ParcelID]
		found = append(found, &dyelotv1.Shortage{Of: s.Promise.Of(), ItemCode: p.Item.Code, ParcelCode: p.Code(), Short: encode(s.Short),
			Text: fmt.Sprintf("%s of %s was promised from %s and is gone: pick again from another parcel", s.Short, p.Item.Name, p.Code())})
	}
	return found
}
