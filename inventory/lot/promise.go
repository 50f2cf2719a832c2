package lot

import (
	"slices"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// spend turns the promises of these lots into what was used of them. Once no
// lot of a bath waits for it any more, the rest is released as unused; until
// then it is kept for the others.
func spend(b Before, d Done) []stock.PromiseEntry {
	taken := map[int64]quantity.Amount{}
	for _, u := range d.Used {
		taken[u.Parcel.ID] = taken[u.Parcel.ID].Add(u.Amount)
	}
	var own []stock.Promise
	kept := map[int64]bool{} // promises of baths that others wait for
	for _, bath := range b.Baths {
		wait := slices.ContainsFunc(bath.Lots, func(l BathLot) bool { return b.waits(l.LotID) })
		for _, dose := range bath.Doses {
			for _, p := range dose.Promises {
				own, kept[p.ID] = append(own, p), wait
			}
		}
	}
	return slices.DeleteFunc(stock.Fulfil(own, taken), func(e stock.PromiseEntry) bool {
		return e.Why == stock.Unused && kept[e.PromiseID]
	})
}

// waits is true of a lot that has this stage before it still.
func (b Before) waits(lotID int64) bool {
	_, recorded := b.Recorded[lotID]
	return !recorded && !b.has(lotID) && !b.Scrapped[lotID]
}

// Unneeded releases what is still kept aside for baths that no lot waits for:
// after a lot is scrapped in work, its later stages never come.
func Unneeded(baths []Bath, waits func(position int, lotID int64) bool) []stock.PromiseEntry {
	var released []stock.PromiseEntry
	for _, b := range baths {
		if slices.ContainsFunc(b.Lots, func(l BathLot) bool { return waits(b.Position, l.LotID) }) {
			continue
		}
		for _, d := range b.Doses {
			for _, p := range d.Promises {
				if p.Outstanding.N > 0 {
					released = append(released, stock.PromiseEntry{PromiseID: p.ID, Delta: -p.Outstanding.N, Why: stock.Released})
				}
			}
		}
	}
	return released
}

// Restore gives promises back what a record, undone now, had used of them or
// freed. spent carries in Outstanding what each lacks of what was promised;
// free is what each parcel can give, and no more comes back. own is what the
// record took, by parcel, where another record of the same bath stands: then
// only that comes back, for the rest is the other's; nil where none stands.
func Restore(spent []stock.Promise, free, own map[int64]quantity.Amount) []stock.PromiseEntry {
	var entries []stock.PromiseEntry
	back := map[int64]int64{} // by parcel, so far
	for _, p := range spent {
		n := min(p.Outstanding.N, free[p.ParcelID].N-back[p.ParcelID])
		if own != nil {
			n = min(n, own[p.ParcelID].N-back[p.ParcelID])
		}
		if n <= 0 {
			continue
		}
		entries = append(entries, stock.PromiseEntry{PromiseID: p.ID, Delta: n, Why: stock.Restored})
		back[p.ParcelID] += n
	}
	return entries
}
