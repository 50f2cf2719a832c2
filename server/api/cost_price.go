package api

import (
	"slices"
	"time"

	"dyelot/inventory/cost"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// prices is a valued part of the ledger.
type prices struct {
	cost.Valued
	items    map[int64]stock.Item // by parcel
	latest   map[int64]int64      // parcel by item: the latest known price
	currency string
}

// loadPrices values some parcels, and the latest of some items: those whose
// dose nobody has picked.
func loadPrices(tx *store.Tx, rates cost.Rates, currency string, today time.Time, parcels, items []int64, by time.Time) (*prices, error) {
	latest, err := tx.LatestPriced(items, by)
	if err != nil {
		return nil, err
	}
	for _, p := range latest {
		parcels = append(parcels, p)
	}
	heaps, err := pooledItems(tx, rates, today)
	if err != nil {
		return nil, err
	}
	paid, postings, err := tx.CostLedger(parcels, heaps)
	if err != nil {
		return nil, err
	}
	p := &prices{items: map[int64]stock.Item{}, latest: latest, currency: currency}
	var harvests []int64
	for _, q := range paid {
		p.items[q.ID] = q.Item
		if q.Origin == stock.FromHarvest {
			harvests = append(harvests, q.ID)
		}
	}
	work, err := tx.Worked(nil, nil, harvests)
	if err != nil {
		return nil, err
	}
	for i := range paid {
		gathering(&paid[i], work, rates, currency)
	}
	p.Valued, err = cost.Value(paid, postings, func(item int64) bool { return slices.Contains(heaps, item) }, currency)
	return p, err
}

// gathering adds the labour of a harvest up. Without minutes it is gathered at
// no price; minutes without a rate are not known.
func gathering(p *cost.Paid, work []store.Work, rates cost.Rates, currency string) {
	for _, w := range work {
		if w.ParcelID != p.ID {
			continue
		}
		paid := rates.Labour(w.Minutes*1000, w.On)
		p.Gathering = quantity.Money{Micro: p.Gathering.Micro + paid.Money.Micro, Currency: currency}
		p.Unrated = append(p.Unrated, paid.Unknown...)
	}
}

// pooledItems are the items whose parcels are one heap today.
func pooledItems(tx *store.Tx, rates cost.Rates, today time.Time) ([]int64, error) {
	var codes []string
	for _, r := range rates.InForce(today) {
		if r.Kind == cost.Pooled && r.On {
			codes = append(codes, r.Subject)
		}
	}
	if len(codes) == 0 {
		return nil, nil
	}
	items, err := tx.ItemsByCode(codes)
	var ids []int64
	for _, code := range sortedKeys(items) {
		ids = append(ids, items[code].ID)
	}
	return ids, err
}

// of is what some steps of a parcel cost, at its price.
func (p *prices) of(parcel, n int64) cost.Priced {
	u, ok := p.Parcels[parcel]
	if !ok {
		return cost.Priced{Money: quantity.Money{Currency: p.currency}, Unknown: []string{store.Code('P', parcel) + " has no price"}}
	}
	return u.Of(n)
}

// ofItem is what some steps of an item cost, at the latest known price.
func (p *prices) ofItem(item stock.Item, n int64) cost.Priced {
	parcel, ok := p.latest[item.ID]
	if !ok {
		return cost.Priced{Money: quantity.Money{Currency: p.currency}, Unknown: []string{item.Code + " has no price: none ever came"}}
	}
	priced := p.of(parcel, n)
	if len(priced.Unknown) == 0 {
		priced.Notes = append(slices.Clone(priced.Notes), item.Code+" at the price of "+store.Code('P', parcel))
	}
	return priced
}

// dose is what a planned dose costs: as picked, and the rest at the latest known
// price.
func (p *prices) dose(d lot.Dose) cost.Line {
	line := costLine(cost.Material, d.Item, 0, cost.Priced{Money: quantity.Money{Currency: p.currency}})
	rest := d.Amount.N
	for _, pick := range d.Picks {
		n := min(pick.Amount.N, rest)
		line = line.And(costLine(cost.Material, d.Item, n, p.of(pick.ParcelID, n)))
		rest -= n
	}
	if rest > 0 {
		line = line.And(costLine(cost.Material, d.Item, rest, p.ofItem(d.Item, rest)))
	}
	return line
}
