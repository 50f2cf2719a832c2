package api

import (
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// usualWitness is what a lot's witness cloth weighs where no lot had any: 0.2 m²
// of a cloth of 100 g a square metre (common practice).
var usualWitness = quantity.Grams(20)

// habits is what the studio plans by, from its own books.
func (p *seasonPlan) habits(tx *store.Tx, parcels []stock.Parcel, ask seasonAsk) (h season.Habits, err error) {
	if h.Losses, err = tx.Losses(); err != nil {
		return h, err
	}
	vessels, err := tx.Vessels()
	if err != nil {
		return h, err
	}
	for _, v := range vessels {
		if slices.Contains(v.Uses, "dye") {
			h.Pots = append(h.Pots, lot.Pot{ID: v.ID, Code: v.Code, Brim: v.Volume, Fill: v.Fill})
		}
	}
	p.pots = len(h.Pots)
	if h.Witness, err = p.witness(tx, ask.witness); err != nil {
		return h, err
	}
	if h.Dosed, err = p.dosed(tx, parcels); err != nil {
		return h, err
	}
	h.Kept = map[int64]quantity.Percent{}
	for code, share := range ask.kept {
		id, known := p.itemOf(code)
		if !known {
			return h, fault.Missing("item", code).At("kept_percent[" + code + "]")
		}
		if share > quantity.WholePercent(99) {
			return h, fault.BadField("kept_percent["+code+"]", "%s: 0 to 99 %% of a dose can be left in a kept bath", share)
		}
		h.Kept[id] = share
	}
	return h, nil
}

func (p *seasonPlan) itemOf(code string) (int64, bool) {
	for id, it := range p.items {
		if it.Code == code {
			return id, true
		}
	}
	return 0, false
}

// witness is the cloth of each fibre: as the newest lot had it, else the first
// item of that fibre and the usual mass.
func (p *seasonPlan) witness(tx *store.Tx, each quantity.Amount) (map[string]season.Witness, error) {
	by := map[string]season.Witness{}
	for _, id := range p.allItems() {
		it := p.items[id]
		if it.Kind != stock.WitnessCloth || it.Unit != quantity.Mass {
			continue
		}
		for _, f := range it.Fibres {
			if _, had := by[f.Fibre]; !had {
				by[f.Fibre] = season.Witness{Item: it, Each: usualWitness, Basis: "no history yet: 0.2 m² of 100 g a square metre"}
			}
		}
	}
	last, err := tx.LastWitnesses()
	for _, w := range last {
		if it := p.items[w.ItemID]; it.Unit == quantity.Mass {
			by[w.Fibre] = season.Witness{Item: it, Each: quantity.Amount{N: w.UG, Unit: quantity.Mass}, Basis: "as in " + store.Code('L', w.LotID)}
		}
	}
	if each.N > 0 {
		for fibre, w := range by {
			w.Each, w.Basis = each, "as you said"
			by[fibre] = w
		}
	}
	return by, err
}

// dosed tells of every item how it is measured: by the usable parcel that holds
// most, a solution that is out by the newest that was made.
func (p *seasonPlan) dosed(tx *store.Tx, parcels []stock.Parcel) (map[int64]season.Dosed, error) {
	by := map[int64]season.Dosed{}
	for id, it := range p.items {
		by[id] = season.Dosed{Item: it}
	}
	last, err := tx.LastStrengths()
	if err != nil {
		return nil, err
	}
	for _, l := range last {
		d := by[l.ItemID]
		d.Concentration, d.From = l.Concentration, store.Code('P', l.ParcelID)
		by[l.ItemID] = d
	}
	most := map[int64]int64{}
	for _, q := range parcels {
		if q.Usable(p.today) != nil || q.Customers() || q.Free().N <= most[q.Item.ID] || q.Item.Unit == quantity.Volume && q.Concentration == 0 {
			continue
		}
		most[q.Item.ID] = q.Free().N
		d := by[q.Item.ID]
		d.Strength, d.Concentration, d.From = q.Strength, q.Concentration, q.Code()
		by[q.Item.ID] = d
	}
	for id, d := range by {
		if d.Item.Kind == stock.Solution && d.Concentration == 0 {
			d.Solute = p.soluteOf(d.Item)
			by[id] = d
		}
	}
	return by, nil
}

// soluteOf is the weighed item of a solution's substance.
func (p *seasonPlan) soluteOf(solution stock.Item) *stock.Item {
	s, err := recipe.Lookup(solution.Substance)
	if err != nil || !s.HasFormula() {
		return nil
	}
	for _, id := range p.allItems() {
		it := p.items[id]
		if it.Unit != quantity.Mass || it.Substance == "" {
			continue
		}
		if o, err := recipe.Lookup(it.Substance); err == nil && o.HasFormula() && o.Formula.Same(s.Formula) {
			return &it
		}
	}
	return nil
}
