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

// costBook is all that the cost of a run's lots is reckoned from.
type costBook struct {
	*runBook
	currency string
	zone     *time.Location
	today    time.Time
	rates    cost.Rates
	rule     cost.Rule
	uses     map[int64][]store.BathUse // by bath
	poured   map[int64][]int64         // dye records, by brew record
	byRecord map[int64]store.BathUse   // one use of each dye record
	fed      []store.Fed
	prices   *prices
	worked   []store.Work
	potUses  []store.PotUse
	tests    []store.LotTest
	issued   []store.LotGarment
	pieces   map[int64]lot.Garment
	house    []string // methods that the house standard asks for of each lot
}

// loadCost loads a run's costs: a fixed number of statements, however many lots
// and records it has.
func loadCost(tx *store.Tx, runID int64, rule cost.Rule) (*costBook, error) {
	run, err := loadRun(tx, runID)
	if err != nil {
		return nil, err
	}
	c := &costBook{runBook: run, rule: rule, pieces: map[int64]lot.Garment{}}
	if err := c.loadTerms(tx); err != nil {
		return nil, err
	}
	if err := c.loadBaths(tx); err != nil {
		return nil, err
	}
	ids := c.lotIDs()
	if c.issued, err = tx.IssuedGarments(ids); err != nil {
		return nil, err
	}
	var garments []int64
	for _, g := range c.issued {
		garments = append(garments, g.ID)
	}
	pieces, err := tx.GarmentsByID(garments)
	for _, g := range pieces {
		c.pieces[g.ID] = g
	}
	if err != nil {
		return nil, err
	}
	if c.potUses, err = tx.PotUses(ids, c.zone); err != nil {
		return nil, err
	}
	if c.tests, err = tx.LotTests(ids); err != nil {
		return nil, err
	}
	var records []int64
	for _, r := range c.records {
		records = append(records, r.ID)
	}
	if c.worked, err = tx.Worked(ids, records, nil); err != nil {
		return nil, err
	}
	c.prices, err = loadPrices(tx, c.rates, c.currency, c.today, c.parcelsAsked(), c.itemsAsked(), c.run.PlannedAt)
	return c, err
}

func (c *costBook) loadTerms(tx *store.Tx) (err error) {
	c.currency, c.zone, c.today, c.rates, c.house, err = costTerms(tx)
	return err
}

// costTerms is what every cost is reckoned with.
func costTerms(tx *store.Tx) (currency string, zone *time.Location, today time.Time, rates cost.Rates, house []string, err error) {
	studio, err := tx.Studio()
	if err != nil {
		return
	}
	if zone, err = tx.Zone(); err != nil {
		return
	}
	if today, err = tx.Today(); err != nil {
		return
	}
	if rates, err = tx.Rates(); err != nil {
		return
	}
	house, err = houseMethods(tx, rates, today)
	return studio.Currency, zone, today, rates, house, err
}

func (c *costBook) lotIDs() []int64 {
	ids := make([]int64, len(c.lots))
	for i, l := range c.lots {
		ids[i] = l.ID
	}
	return ids
}

// loadBaths loads every use of the baths that the lots were in, and of the
// brews that were poured into those, with all that went in.
func (c *costBook) loadBaths(tx *store.Tx) error {
	var baths []int64
	for _, r := range c.records {
		if r.BathID != 0 && !r.Undone && !slices.Contains(baths, r.BathID) {
			baths = append(baths, r.BathID)
		}
	}
	brews, err := tx.PouredFrom(baths)
	if err != nil {
		return err
	}
	for _, b := range brews {
		if !slices.Contains(baths, b) {
			baths = append(baths, b)
		}
	}
	pourings, err := tx.PouringsOf(baths)
	if err != nil {
		return err
	}
	uses, err := tx.BathUses(baths)
	if err != nil {
		return err
	}
	c.uses, c.poured, c.byRecord = map[int64][]store.BathUse{}, map[int64][]int64{}, map[int64]store.BathUse{}
	for _, u := range uses {
		c.uses[u.BathID] = append(c.uses[u.BathID], u)
		c.byRecord[u.RecordID] = u
	}
	for _, p := range pourings {
		c.poured[p.BrewID] = append(c.poured[p.BrewID], p.DyeID)
	}
	c.fed, err = tx.FedInto(baths, c.lotIDs())
	return err
}

// parcelsAsked are those whose price is needed: taken, picked or planned.
func (c *costBook) parcelsAsked() []int64 {
	var ids []int64
	for _, f := range c.fed {
		ids = append(ids, f.Parcel)
	}
	for _, b := range c.baths {
		for _, d := range b.Doses {
			for _, p := range d.Picks {
				ids = append(ids, p.ParcelID)
			}
		}
	}
	for _, g := range c.pieces {
		ids = append(ids, g.ParcelID)
	}
	for _, l := range c.lots {
		if l.WitnessParcel != 0 {
			ids = append(ids, l.WitnessParcel)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

func (c *costBook) itemsAsked() []int64 {
	var ids []int64
	for _, b := range c.baths {
		for _, d := range b.Doses {
			ids = append(ids, d.Item.ID)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// usesFrom are a bath's uses from one on, as a charge shares them.
func (c *costBook) usesFrom(bath int64, from int) [][]cost.Served {
	var all [][]cost.Served
	last := 0
	for _, u := range c.uses[bath] {
		if u.Use < from {
			continue
		}
		if u.Use != last {
			all, last = append(all, nil), u.Use
		}
		all[len(all)-1] = append(all[len(all)-1], cost.Served{LotID: u.LotID, Fibre: u.Fibre(), Later: c.later(u)})
	}
	return all
}

// later are the lots that dyed on in the bath that a lot's share of a brew was
// poured into.
func (c *costBook) later(brew store.BathUse) []cost.Served {
	var after []cost.Served
	for _, dye := range c.poured[brew.RecordID] {
		at, ok := c.byRecord[dye]
		if !ok {
			continue // of another run, whose bath none of these lots was in
		}
		mine := false
		for _, u := range c.uses[at.BathID] {
			mine = mine || u.RecordID == dye && u.LotID == brew.LotID
		}
		for _, u := range c.uses[at.BathID] {
			if mine && u.Use > at.Use {
				after = append(after, cost.Served{LotID: u.LotID, Fibre: u.Fibre()})
			}
		}
	}
	return after
}

// materials are the charges of what went into the baths.
func (c *costBook) materials() []cost.Charge {
	var all []cost.Charge
	for _, f := range c.fed {
		if f.BathID == 0 {
			continue
		}
		item := c.prices.items[f.Parcel]
		all = append(all, cost.Charge{Line: costLine(cost.Material, item, f.N, c.prices.Takings[f.Ref]), Uses: c.usesFrom(f.BathID, f.FromUse)})
	}
	return all
}

func costLine(kind cost.Kind, item stock.Item, n int64, p cost.Priced) cost.Line {
	return cost.Line{Kind: kind, Key: item.Code, Name: item.Name, Quantity: cost.Stock(quantity.Amount{N: n, Unit: item.Unit}), Money: p.Money, Unknown: p.Unknown, Notes: p.Notes}
}

// potDays are the charges of the vessels, a day each, shared by all fibre that
// was in one on that day, of whatever run.
func (c *costBook) potDays() []cost.Charge {
	var all []cost.Charge
	for i := 0; i < len(c.potUses); {
		first := c.potUses[i]
		var served []cost.Served
		for ; i < len(c.potUses) && c.potUses[i].Vessel == first.Vessel && c.potUses[i].On.Equal(first.On); i++ {
			served = append(served, cost.Served{LotID: c.potUses[i].LotID, Fibre: quantity.Amount{N: c.potUses[i].FibreUG, Unit: quantity.Mass}})
		}
		all = append(all, cost.Charge{Line: potDay(c.rates.Pot(first.Vessel, first.On), first.Vessel+" on "+first.On.Format(time.DateOnly)), Uses: [][]cost.Served{served}})
	}
	return all
}

// potDay is one line for all vessels, so that a plan that names none compares.
func potDay(p cost.Priced, note string) cost.Line {
	l := cost.Line{Kind: cost.PotDay, Key: "pot-day", Name: "pot-days", Quantity: cost.PotDays(1), Money: p.Money, Unknown: p.Unknown}
	if note != "" {
		l.Notes = []string{note}
	}
	return l
}
