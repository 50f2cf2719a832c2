package api

import (
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// lives is what some garments had in lots before the one that they are looked
// at in.
type lives struct {
	garments []lot.Garment
	into     func(lot.Garment) int64 // the lot that one is looked at in
	former   map[int64][]int64       // by garment: its lots before, in order
	had      map[int64][]had         // by lot: what stands, in order
	parcels  map[int64]stock.Parcel
	zone     *time.Location // of the studio's days
}

// had is a bath as the books have it, with the iron in it.
type had struct {
	lot.Had
	override lot.Override
	iron     recipe.Iron
}

// livesOf looks back over the lots that garments were issued with, other than
// the one that into says. Of garments that were in none it costs one statement.
func livesOf(tx *store.Tx, garments []lot.Garment, into func(lot.Garment) int64) (*lives, error) {
	l := &lives{garments: garments, into: into, former: map[int64][]int64{}, had: map[int64][]had{}, zone: time.UTC}
	ids := make([]int64, len(garments))
	for i, g := range garments {
		ids[i] = g.ID
	}
	of, err := tx.LotsOfGarments(ids)
	if err != nil {
		return nil, err
	}
	var lots []int64
	for _, g := range garments {
		for _, id := range of[g.ID] {
			if id == into(g) {
				continue
			}
			l.former[g.ID] = append(l.former[g.ID], id)
			if !slices.Contains(lots, id) {
				lots = append(lots, id)
			}
		}
	}
	if len(lots) == 0 {
		return l, nil
	}
	return l, l.load(tx, lots)
}

func (l *lives) load(tx *store.Tx, lots []int64) error {
	records, err := tx.RecordsOfLots(lots...)
	if err != nil {
		return err
	}
	var ids []int64
	for _, g := range l.garments {
		ids = append(ids, g.ParcelID)
	}
	for _, r := range records {
		for _, u := range r.Used {
			ids = append(ids, u.ParcelID)
		}
		ids = append(ids, r.Liquor...)
	}
	slices.Sort(ids)
	if l.parcels, err = tx.ParcelsByID(slices.Compact(ids)); err != nil {
		return err
	}
	if l.zone, err = tx.Zone(); err != nil {
		return err
	}
	return l.fill(records, lots)
}

// fill sorts records by the lots that they are of.
func (l *lives) fill(records []lot.Standing, lots []int64) (err error) {
	for _, r := range records {
		if r.Undone || r.Skipped {
			continue
		}
		one := had{Had: lot.Had{Record: r.ID, Kind: r.Kind, At: r.HappenedAt.In(l.zone), Bath: lot.Bath{Kind: r.Kind, Lots: r.Lots, Volume: r.Volume}}, override: r.Override}
		for _, u := range r.Used {
			one.Used = append(one.Used, lot.Used{Parcel: l.parcels[u.ParcelID], Amount: u.Amount})
		}
		if one.iron, err = lot.Iron(one.Used, r.Lots); err != nil {
			return err
		}
		one.iron = one.iron.Add(lot.IronLeft(l.pouredBefore(r)))
		for _, b := range r.Lots {
			if slices.Contains(lots, b.LotID) && !l.addTo(b.LotID, r.AdditionTo, one) {
				one.Lot = store.Code('L', b.LotID)
				l.had[b.LotID] = append(l.had[b.LotID], one)
			}
		}
	}
	return nil
}

// pouredBefore is what stood in a bath from its earlier uses.
func (l *lives) pouredBefore(r lot.Standing) []stock.Parcel {
	var before []stock.Parcel
	for _, id := range r.Liquor {
		before = append(before, l.parcels[id])
	}
	return before
}

// addTo puts an addition to the bath that it was made to, so that the two count
// as one dose; false where there is none of it.
func (l *lives) addTo(lotID, record int64, more had) bool {
	for i := range l.had[lotID] {
		if of := &l.had[lotID][i]; record != 0 && of.Record == record {
			of.Used, of.iron = append(slices.Clone(of.Used), more.Used...), of.iron.Add(more.iron)
			return true
		}
	}
	return false
}

// lifeOf is what one garment had in all its lots, from records that are at hand.
func lifeOf(g lot.Garment, lots []int64, records []lot.Standing, parcels map[int64]stock.Parcel, zone *time.Location) (*lives, error) {
	l := &lives{garments: []lot.Garment{g}, into: func(lot.Garment) int64 { return 0 }, former: map[int64][]int64{g.ID: lots}, had: map[int64][]had{}, parcels: parcels, zone: zone}
	return l, l.fill(records, lots)
}

// of is all that one garment had, in order.
func (l *lives) of(g lot.Garment) []had {
	var all []had
	for _, id := range l.former[g.ID] {
		all = append(all, l.had[id]...)
	}
	return all
}

// iron is all that one garment was offered in its lots before.
func (l *lives) iron(g lot.Garment) recipe.Iron {
	var sum recipe.Iron
	for _, h := range l.of(g) {
		sum = sum.Add(h.iron)
	}
	return sum
}

// past is the iron that the garments of some lots brought into them; fibre is
// that of the recipe, for cloth whose own nobody wrote down.
func (l *lives) past(fibre string, lotIDs ...int64) lot.Past {
	var p lot.Past
	count := 0
	for _, g := range l.garments {
		if !slices.Contains(lotIDs, l.into(g)) {
			continue
		}
		count++
		iron := l.iron(g)
		if iron == (recipe.Iron{}) {
			continue
		}
		w := lot.Worn{Tag: g.Tag, Dry: g.Dry, Iron: iron}
		for _, f := range l.parcels[g.ParcelID].Item.Fibres {
			w.Fibres = append(w.Fibres, f.Fibre)
		}
		if len(w.Fibres) == 0 {
			w.Fibres = []string{fibre}
		}
		p.Worn = append(p.Worn, w)
	}
	p.All = count > 0 && len(p.Worn) == count
	return p
}

// earlier tells what the garments of a lot had before it, lot by lot.
func (l *lives) earlier(lotID int64) []*dyelotv1.Earlier {
	var order []int64
	tags := map[int64][]string{}
	for _, g := range l.garments {
		if l.into(g) != lotID {
			continue
		}
		for _, id := range l.former[g.ID] {
			if !slices.Contains(order, id) {
				order = append(order, id)
			}
			tags[id] = append(tags[id], g.Tag)
		}
	}
	slices.Sort(order)
	var all []*dyelotv1.Earlier
	for _, id := range order {
		all = append(all, encodeHad(l.had[id], tags[id])...)
	}
	return all
}

func encodeHad(hs []had, tags []string) []*dyelotv1.Earlier {
	var all []*dyelotv1.Earlier
	for _, h := range hs {
		all = append(all, &dyelotv1.Earlier{Tags: tags, LotCode: h.Lot, RecordCode: store.Code('S', h.Record), Kind: h.Kind.Key, HappenedAt: stamp(h.At), Text: h.Words()})
	}
	return all
}

// offeredIron sums up what one garment was offered, bath by bath; nil for none.
func offeredIron(g lot.Garment, hs []had) *dyelotv1.OfferedIron {
	var sum recipe.Iron
	var baths []*dyelotv1.IronBath
	for _, h := range hs {
		if h.iron == (recipe.Iron{}) {
			continue
		}
		sum = sum.Add(h.iron)
		offered := h.iron.String()
		if h.iron.Unknown && h.iron.Copperas == 0 {
			offered = "unknown"
		}
		baths = append(baths, &dyelotv1.IronBath{RecordCode: store.Code('S', h.Record), LotCode: h.Lot, HappenedAt: stamp(h.At), Offered: offered,
			OverrideBy: h.override.By, OverrideReason: h.override.Reason})
	}
	if sum == (recipe.Iron{}) {
		return nil
	}
	m := encodeIron(sum, []string{g.Tag}, g.Dry)
	m.Baths = baths
	return m
}

// encodeIron writes a sum; its grams only where it is of one garment.
func encodeIron(sum recipe.Iron, tags []string, dry quantity.Amount) *dyelotv1.OfferedIron {
	m := &dyelotv1.OfferedIron{Tags: tags, Offered: sum.String(), Unknown: sum.Unknown, IronPercent: sum.Metal().Decimal()}
	if len(tags) == 1 {
		salt, iron := sum.On(dry)
		m.Copperas, m.Iron = encode(salt), encode(iron)
	}
	return m
}

// ironSoFar is what the garments of a lot were offered over their whole lives, so
// being what this lot has offered them; those that had the same together.
func (l *lives) ironSoFar(lotID int64, so recipe.Iron) []*dyelotv1.OfferedIron {
	var order []recipe.Iron
	alike := map[recipe.Iron][]lot.Garment{}
	for _, g := range l.garments {
		sum := l.iron(g).Add(so)
		if l.into(g) != lotID || sum == (recipe.Iron{}) {
			continue
		}
		if alike[sum] == nil {
			order = append(order, sum)
		}
		alike[sum] = append(alike[sum], g)
	}
	var all []*dyelotv1.OfferedIron
	for _, sum := range order {
		var tags []string
		for _, g := range alike[sum] {
			tags = append(tags, g.Tag)
		}
		all = append(all, encodeIron(sum, tags, alike[sum][0].Dry))
	}
	return all
}
