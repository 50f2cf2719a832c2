package api

import (
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// runBook is a run as the books have it: its lots, garments, planned baths,
// records, and the parcels that any of those name.
type runBook struct {
	run      lot.Run
	recipe   store.RecipeVersion
	lots     []lot.Lot
	garments []lot.Garment
	baths    []lot.Bath
	records  []lot.Standing
	parcels  map[int64]stock.Parcel
	lives    *lives // of its garments, before they came into its lots
}

func loadRun(tx *store.Tx, id int64) (*runBook, error) {
	b := &runBook{}
	var err error
	if b.run, err = tx.Run(id); err != nil {
		return nil, err
	}
	if b.recipe, err = tx.RecipeVersionByID(b.run.VersionID); err != nil {
		return nil, err
	}
	if b.lots, err = tx.LotsOfRuns(id); err != nil {
		return nil, err
	}
	if err := tx.LoadLeftOut(b.lots); err != nil {
		return nil, err
	}
	if b.garments, err = tx.GarmentsFor(b.lotIDs()...); err != nil {
		return nil, err
	}
	if b.lives, err = livesOf(tx, b.garments, b.lotOf); err != nil {
		return nil, err
	}
	if b.baths, err = tx.Baths(id, 0); err != nil {
		return nil, err
	}
	if b.records, err = tx.RecordsOfRun(id); err != nil {
		return nil, err
	}
	if b.parcels, err = tx.ParcelsByID(b.parcelIDs()); err != nil {
		return nil, err
	}
	return b, b.explainShort(tx)
}

func loadRunOfLot(tx *store.Tx, lotID int64) (*runBook, error) {
	l, err := tx.Lot(lotID)
	if err != nil {
		return nil, err
	}
	return loadRun(tx, l.RunID)
}

// lotOf is the lot of this run that a garment is in, or planned into.
func (b *runBook) lotOf(g lot.Garment) int64 {
	if slices.ContainsFunc(b.lots, func(l lot.Lot) bool { return l.ID == g.Next }) {
		return g.Next
	}
	return g.LotID
}

func (b *runBook) lotIDs() []int64 {
	ids := make([]int64, len(b.lots))
	for i, l := range b.lots {
		ids[i] = l.ID
	}
	return ids
}

func (b *runBook) parcelIDs() []int64 {
	seen := map[int64]bool{}
	for _, bath := range b.baths {
		for _, d := range bath.Doses {
			for _, p := range d.Picks {
				seen[p.ParcelID] = true
			}
		}
	}
	for _, r := range b.records {
		for _, u := range r.Used {
			seen[u.ParcelID] = true
		}
		for _, id := range r.Liquor {
			seen[id] = true
		}
	}
	for _, g := range b.garments {
		seen[g.ParcelID] = true
	}
	ids := make([]int64, 0, len(seen))
	for id := range seen {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// explainShort looks at the shelf as it is now, to say of each short dose what
// is lacking. Nothing is picked by it.
func (b *runBook) explainShort(tx *store.Tx) error {
	var items []int64
	for _, bath := range b.baths {
		for _, d := range bath.Doses {
			if b.toPick(bath, d) {
				items = append(items, d.Item.ID)
			}
		}
	}
	if len(items) == 0 || !b.run.CancelledAt.IsZero() {
		return nil
	}
	shelf, err := shelfOf(tx, items, false)
	if err != nil {
		return err
	}
	if err := forSet(tx, shelf, b.run); err != nil {
		return err
	}
	tried := cloneBaths(b.baths)
	for i := range tried {
		for j := range tried[i].Doses {
			d := &tried[i].Doses[j]
			if b.toPick(tried[i], *d) {
				shelf.GiveBack(d.Promises) // picking it again would too
			} else {
				d.Short = d.Item.Zero()
			}
		}
	}
	if err := lot.Fill(tried, shelf, b.run.MatchedSet, nil); err != nil {
		if _, rule := fault.Of(err); rule {
			return nil // the strength of a solution that is used up: the sentence of the plan stands
		}
		return err
	}
	for i := range b.baths {
		for j := range b.baths[i].Doses {
			if d, t := &b.baths[i].Doses[j], tried[i].Doses[j]; b.toPick(b.baths[i], *d) {
				d.Lacks, d.Note = t.Lacks, t.Note
				if t.Short.IsZero() {
					d.Lacks, d.Note = quantity.Amount{}, "the shelf has it now: pick the run again"
				}
			}
		}
	}
	return nil
}

func cloneBaths(baths []lot.Bath) []lot.Bath {
	c := slices.Clone(baths)
	for i := range c {
		c[i].Doses = slices.Clone(c[i].Doses)
	}
	return c
}

// shelfOf loads the parcels that doses of these items may be picked from,
// locked when they are about to be promised.
func shelfOf(tx *store.Tx, items []int64, lock bool) (*lot.Shelf, error) {
	today, err := tx.Today()
	if err != nil {
		return nil, err
	}
	load := tx.ParcelsOfItems
	if lock {
		load = tx.LockParcelsOfItems
	}
	parcels, err := load(items)
	if err != nil {
		return nil, err
	}
	shelf := &lot.Shelf{Today: today, Parcels: map[int64][]stock.Parcel{}}
	for _, p := range parcels {
		shelf.Parcels[p.Item.ID] = append(shelf.Parcels[p.Item.ID], p)
	}
	return shelf, nil
}

// standing is the record that covers a lot at a position, if one does.
func (b *runBook) standing(position int, lotID int64) (lot.Standing, bool) {
	for _, r := range b.records {
		if r.Position == position && !r.Undone && r.AdditionTo == 0 && slices.ContainsFunc(r.Lots, func(l lot.BathLot) bool { return l.LotID == lotID }) {
			return r, true
		}
	}
	return lot.Standing{}, false
}

// recorded is true once no lot waits for a bath: each has its record, or was
// scrapped before it.
func (b *runBook) recorded(bath lot.Bath) bool {
	return !slices.ContainsFunc(bath.Lots, func(l lot.BathLot) bool { return b.waits(bath.Position, l.LotID) })
}

// begun is true once a bath is recorded for any of its lots.
func (b *runBook) begun(bath lot.Bath) bool {
	return slices.ContainsFunc(bath.Lots, func(l lot.BathLot) bool {
		_, ok := b.standing(bath.Position, l.LotID)
		return ok
	})
}

// toPick is true of a dose that is short in a bath that nobody has begun.
func (b *runBook) toPick(bath lot.Bath, d lot.Dose) bool {
	return !d.Short.IsZero() && !b.recorded(bath) && !b.begun(bath)
}

// waits is true of a lot that has a stage before it still.
func (b *runBook) waits(position int, lotID int64) bool {
	_, done := b.standing(position, lotID)
	return !done && !slices.ContainsFunc(b.lots, func(l lot.Lot) bool { return l.ID == lotID && l.State.Stopped() })
}

// fibres are the recipe's and those of the garments of some lots.
func (b *runBook) fibres(lotIDs []int64) []string {
	all := []string{b.run.Fibre}
	for _, g := range b.garments {
		if !slices.Contains(lotIDs, b.lotOf(g)) {
			continue
		}
		for _, f := range b.parcels[g.ParcelID].Item.Fibres {
			if !slices.Contains(all, f.Fibre) {
				all = append(all, f.Fibre)
			}
		}
	}
	return all
}

// open counts the planned stages of a lot that have no standing record, and
// gives the position of the first.
func (b *runBook) open(lotID int64) (count, first int) {
	for _, bath := range b.baths {
		if !serves(bath, lotID) {
			continue
		}
		if _, done := b.standing(bath.Position, lotID); !done {
			count++
			if first == 0 {
				first = bath.Position
			}
		}
	}
	return count, first
}

func serves(b lot.Bath, lotID int64) bool {
	return slices.ContainsFunc(b.Lots, func(l lot.BathLot) bool { return l.LotID == lotID })
}

// iron is what a lot's garments have been offered by the standing records.
func (b *runBook) iron(lotID int64) (recipe.Iron, error) {
	var sum recipe.Iron
	for _, r := range b.records {
		if r.Undone || !slices.ContainsFunc(r.Lots, func(l lot.BathLot) bool { return l.LotID == lotID }) {
			continue
		}
		var used []lot.Used
		for _, u := range r.Used {
			used = append(used, lot.Used{Parcel: b.parcels[u.ParcelID], Amount: u.Amount})
		}
		more, err := lot.Iron(used, r.Lots)
		if err != nil {
			return sum, err
		}
		var before []stock.Parcel
		for _, id := range r.Liquor {
			before = append(before, b.parcels[id])
		}
		sum = sum.Add(more).Add(lot.IronLeft(before))
	}
	return sum, nil
}

func knownState(s string) error {
	if s != "" && !slices.Contains(lot.States(), lot.State(s)) {
		return fault.BadField("state", "%.40q is not a state: use one of %v", s, lot.States())
	}
	return nil
}
