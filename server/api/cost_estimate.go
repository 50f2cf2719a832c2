package api

import (
	"slices"
	"time"

	"dyelot/inventory/cost"
	"dyelot/inventory/fastness"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// planTerms is what a plan is priced with.
type planTerms struct {
	rates    cost.Rates
	prices   *prices
	house    []string
	on       time.Time
	currency string
}

// bathLines are what a planned bath costs, whole: its doses, the attended
// minutes, and a pot-day for a bath that needs a vessel.
func (t planTerms) bathLines(b lot.Bath) []cost.Line {
	var lines []cost.Line
	for _, d := range b.Doses {
		lines = append(lines, t.prices.dose(d))
	}
	if n := handsOn(b); n > 0 {
		p := t.rates.Labour(n*1000, t.on)
		lines = append(lines, cost.Line{Kind: cost.Labour, Key: "labour", Name: "labour", Quantity: cost.Minutes(n), Money: p.Money, Unknown: p.Unknown})
	}
	if b.Kind.Bath {
		lines = append(lines, potDay(t.rates.Pot(b.Vessel.Code, t.on), ""))
	}
	return lines
}

// baths shares what planned baths cost among their lots by fibre mass.
func (t planTerms) baths(baths []lot.Bath) map[int64][]cost.Line {
	lines := map[int64][]cost.Line{}
	for _, b := range baths {
		var served []cost.Served
		for _, l := range b.Lots {
			served = append(served, cost.Served{LotID: l.LotID, Fibre: l.Fibre})
		}
		for _, l := range t.bathLines(b) {
			share(lines, cost.Charge{Line: l, Uses: [][]cost.Served{served}}, nil)
		}
	}
	return lines
}

// tests are those that the house standard asks of each lot.
func (t planTerms) tests() []cost.Line {
	var lines []cost.Line
	for _, method := range t.house {
		lines = append(lines, testLine(method, t.rates.Test(method, t.on)))
	}
	return lines
}

// estimates is what each lot of the run was planned to cost.
func (c *costBook) estimates() map[int64]cost.Estimate {
	t := planTerms{c.rates, c.prices, c.house, c.day(c.run.PlannedAt), c.currency}
	lines := t.baths(c.baths)
	all := map[int64]cost.Estimate{}
	for _, l := range c.lots {
		own := append(lines[l.ID], t.tests()...)
		pieces := 0
		for _, g := range c.issued {
			if g.IssuedTo != l.ID {
				continue
			}
			pieces++
			at := c.pieces[g.ID]
			blank := costLine(cost.Blank, c.prices.items[at.ParcelID], 1, c.prices.of(at.ParcelID, 1))
			if g.Before {
				blank.Key, blank.Name, blank.Money, blank.Unknown, blank.Notes = at.ItemCode, at.ItemCode, quantity.Money{Currency: c.currency}, nil, nil
			}
			own = append(own, blank)
		}
		if l.WitnessParcel != 0 {
			own = append(own, costLine(cost.Witness, c.prices.items[l.WitnessParcel], l.WitnessMass.N, c.prices.of(l.WitnessParcel, l.WitnessMass.N)))
		}
		usual, _ := c.rates.Usual(c.kindsOf(l.ID), t.on)
		all[l.ID] = cost.Plan(own, pieces, usual, c.currency)
	}
	return all
}

// houseMethods are the methods of the tests that the house standard asks for of
// each lot: for each row one that another row asked for already, else one that
// has a rate, else the first that answers it.
func houseMethods(tx *store.Tx, rates cost.Rates, on time.Time) ([]string, error) {
	rows, err := tx.HouseRows(time.Time{})
	if err != nil {
		return nil, err
	}
	var chosen []string
	for _, r := range rows {
		if !r.Active || r.Scope != fastness.EachLot {
			continue
		}
		methods := r.Methods
		if len(methods) == 0 {
			methods = methodsOf(r)
		}
		if len(methods) == 0 || slices.ContainsFunc(methods, func(m string) bool { return slices.Contains(chosen, m) }) {
			continue
		}
		pick := methods[0]
		if i := slices.IndexFunc(methods, func(m string) bool { return len(rates.Test(m, on).Unknown) == 0 }); i >= 0 {
			pick = methods[i]
		}
		chosen = append(chosen, pick)
	}
	return chosen, nil
}

// methodsOf are the methods that grade what a row asks about.
func methodsOf(r fastness.Row) []string {
	var keys []string
	for _, m := range fastness.Methods() {
		if slices.ContainsFunc(m.Components, func(c fastness.Component) bool { return c.Kind == r.Kind && c.Scale == r.Scale }) {
			keys = append(keys, m.Key)
		}
	}
	return keys
}

// blankPrice is what a blank of an item costs: the latest known price.
func (t planTerms) blankPrice(item stock.Item, pieces int) cost.Line {
	return costLine(cost.Blank, item, int64(pieces), t.prices.ofItem(item, int64(pieces)))
}
