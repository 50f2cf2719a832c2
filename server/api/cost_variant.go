package api

import (
	"fmt"
	"slices"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/cost"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// variant is one way laid out and priced.
type variant struct {
	change   *dyelotv1.WhatIfChange
	recipe   store.RecipeVersion
	pieces   int
	lots     []lot.Lot
	needs    []need
	estimate cost.Estimate
	potDays  int
	warnings []recipe.Warning
	said     []string // what was exchanged, and by which rule
	expect   []string
}

// need is so much of an item, and what is missing of it.
type need struct {
	item          stock.Item
	amount, short quantity.Amount
}

func (w whatIf) variant(tx *store.Tx, change *dyelotv1.WhatIfChange) (v variant, err error) {
	v = variant{change: change, pieces: w.pieces}
	if v.pieces = w.pieces; change.GetPieces() != 0 {
		v.pieces = int(change.GetPieces())
	}
	if v.pieces < 1 || v.pieces > maxPieces {
		return v, fault.BadField("pieces", "%d: 1 to %d", v.pieces, maxPieces)
	}
	code, number := w.recipe, w.number
	if change.GetRecipeCode() != "" {
		code, number = change.GetRecipeCode(), 0
	}
	if change.GetRecipeVersion() != 0 {
		number = int(change.GetRecipeVersion())
	}
	if v.recipe, err = tx.RecipeVersion(code, number); err != nil {
		return v, err
	}
	ex := exchange{tx: tx, unknown: map[string]recipe.Line{}}
	if v.recipe.Stages, err = ex.stages(v.recipe.Recipe, change); err != nil {
		return v, err
	}
	v.said = ex.said
	if v.warnings, err = v.recipe.Check(stageKind); err != nil {
		return v, err
	}
	if len(ex.said) == 0 {
		if v.expect, err = expected(tx, v.recipe); err != nil {
			return v, err
		}
	}
	return v, w.lay(tx, &v, ex)
}

// lay splits, doses, picks and prices, and keeps nothing.
func (w whatIf) lay(tx *store.Tx, v *variant, ex exchange) error {
	stages, items, err := ex.laid(v.recipe.Stages)
	if err != nil {
		return err
	}
	pots := w.pots
	if len(v.change.GetPotCodes()) > 0 {
		pots = v.change.GetPotCodes()
	}
	if v.lots, err = w.layLots(tx, v.pieces, pots, lot.PotRatio(stages, v.recipe.Ratio)); err != nil {
		return err
	}
	baths, err := lot.Baths(stages, v.recipe.Ratio, v.lots, nil)
	if err != nil {
		return err
	}
	shelf, err := shelfOf(tx, items, false)
	if err != nil {
		return err
	}
	if err := lot.Fill(baths, shelf, false, nil); err != nil {
		return err
	}
	var picked []int64
	for _, b := range baths {
		for _, d := range b.Doses {
			for _, p := range d.Picks {
				picked = append(picked, p.ParcelID)
			}
		}
	}
	t := w.terms
	if t.prices, err = loadPrices(tx, t.rates, t.currency, t.on, picked, append(items, w.blank.ID), tx.Now); err != nil {
		return err
	}
	parcels, err := tx.ParcelsByID(picked)
	if err != nil {
		return err
	}
	v.price(t, baths, w.blank)
	return v.irons(baths, parcels)
}

// price sums what the whole of it takes and costs.
func (v *variant) price(t planTerms, baths []lot.Bath, blank stock.Item) {
	lines := []cost.Line{t.blankPrice(blank, v.pieces)}
	v.needs = []need{{blank, quantity.Pieces(int64(v.pieces)), quantity.Pieces(max(0, int64(v.pieces)-blank.Free().N))}}
	var kinds []string
	for _, b := range baths {
		lines = append(lines, t.bathLines(b)...)
		kinds = append(kinds, b.Kind.Key)
		if b.Kind.Bath {
			v.potDays++
		}
		for _, d := range b.Doses {
			v.need(d)
		}
	}
	for range v.lots {
		lines = append(lines, t.tests()...)
	}
	usual, _ := t.rates.Usual(kinds, t.on)
	v.estimate = cost.Plan(lines, v.pieces, usual, t.currency)
}

// irons holds what each lot would be offered against its fibre's line.
func (v *variant) irons(baths []lot.Bath, parcels map[int64]stock.Parcel) error {
	for i := range v.lots {
		iron, err := lot.PlannedIron(baths, int64(i), parcels)
		if err != nil {
			return err
		}
		for _, warning := range lot.IronWarnings([]string{v.recipe.Fibre}, iron) {
			if !slices.ContainsFunc(v.warnings, func(w recipe.Warning) bool { return w.Key == warning.Key }) {
				v.warnings = append(v.warnings, warning)
			}
		}
	}
	return nil
}

func (v *variant) need(d lot.Dose) {
	short := d.Short
	if short.Unit == 0 {
		short = quantity.Amount{Unit: d.Amount.Unit}
	}
	if i := slices.IndexFunc(v.needs, func(n need) bool { return n.item.Code == d.Item.Code }); i >= 0 {
		v.needs[i].amount, v.needs[i].short = v.needs[i].amount.Add(d.Amount), v.needs[i].short.Add(short)
		return
	}
	v.needs = append(v.needs, need{d.Item, d.Amount, short})
}

func (v variant) encode(base variant) *dyelotv1.WhatIfVariant {
	m := &dyelotv1.WhatIfVariant{Name: nameOf(v.change), RecipeCode: v.recipe.Code, RecipeVersion: int32(v.recipe.Version), Pieces: int32(v.pieces), Lots: int32(len(v.lots)),
		Estimate: encodeEstimate(v.estimate, v.estimate.Total.Currency), PotDays: int32(v.potDays), Warnings: encodeWarnings(v.warnings), Differs: v.differs(base), Expect: v.expect}
	for _, l := range v.lots {
		m.Pots = append(m.Pots, l.Pot.Code)
	}
	for _, n := range v.needs {
		need := &dyelotv1.WhatIfNeed{ItemCode: n.item.Code, ItemName: n.item.Name, Amount: encode(n.amount), Short: encode(n.short)}
		for _, l := range v.estimate.Lines {
			if l.Key == n.item.Code && (l.Kind == cost.Material || l.Kind == cost.Blank) && len(l.Unknown) == 0 {
				need.Money = encodeMoney(quantity.Money{Micro: l.Money.Micro, Currency: v.estimate.Total.Currency})
			}
		}
		m.Needs = append(m.Needs, need)
	}
	return m
}

// differs tells a variant from the way it is done now.
func (v variant) differs(base variant) []string {
	if v.change == base.change {
		return nil
	}
	said := slices.Clone(v.said)
	d, leftOut := v.estimate.Beside(base.estimate)
	beside := cost.Signed(d) + " a garment"
	switch {
	case d.Micro == 0 && len(leftOut) > 0:
		beside = "what is known of both costs the same"
	case d.Micro == 0:
		beside = "it costs the same"
	}
	if len(leftOut) > 0 {
		beside += "; not compared: " + few(leftOut)
	}
	said = append(said, beside)
	if n := v.potDays - base.potDays; n != 0 {
		said = append(said, fmt.Sprintf("%+d pot-days", n))
	}
	if n := len(v.lots) - len(base.lots); n != 0 {
		said = append(said, fmt.Sprintf("%s instead of %d", countOf(int64(len(v.lots)), "lot"), len(base.lots)))
	}
	said = append(said, v.needsBeside(base)...)
	if len(v.said) > 0 {
		said = append(said, "the books know no lot of it: how it wears is not known")
	}
	return said
}

// needsBeside is what is needed in another amount, or not at all.
func (v variant) needsBeside(base variant) []string {
	var said []string
	for _, n := range v.needs {
		i := slices.IndexFunc(base.needs, func(b need) bool { return b.item.Code == n.item.Code })
		switch {
		case i < 0:
			said = append(said, fmt.Sprintf("%s of %s", n.amount, n.item.Code))
		case base.needs[i].amount != n.amount:
			said = append(said, fmt.Sprintf("%s of %s instead of %s", n.amount, n.item.Code, base.needs[i].amount))
		}
	}
	for _, b := range base.needs {
		if !slices.ContainsFunc(v.needs, func(n need) bool { return b.item.Code == n.item.Code }) {
			said = append(said, fmt.Sprintf("no %s (%s)", b.item.Code, b.amount))
		}
	}
	return said
}
