package lot_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// anyRun is a run of one to three lots and a few stages, planned from a shelf
// that may be short of some of it.
func anyRun(t *rapid.T) *books {
	var lots []lot.Lot
	for i := range rapid.IntRange(1, 3).Draw(t, "lots") {
		lots = append(lots, lotOf(int64(i+1), potA, g(rapid.Int64Range(100, 700).Draw(t, "garments")), g(rapid.Int64Range(0, 18).Draw(t, "witness"))))
	}
	var stages []lot.Stage
	for i := range rapid.IntRange(1, 4).Draw(t, "stages") {
		s := stage(i+1, rapid.SampledFrom([]string{"mordant", "brew", "dye", "dry"}).Draw(t, "kind"), rapid.Bool().Draw(t, "shared"))
		for range rapid.IntRange(0, 2).Draw(t, "doses") {
			if s.Kind.Doses {
				it := rapid.SampledFrom([]stock.Item{alum, weld}).Draw(t, "item")
				s.Lines = append(s.Lines, lot.Line{Item: it, Ask: wof(rapid.SampledFrom([]string{"5", "15"}).Draw(t, "% WOF"))})
			}
		}
		stages = append(stages, s)
	}
	parcels := anyShelf(t, []stock.Item{alum, weld})
	b, err := open(lots, stages, nil, parcels, rapid.Bool().Draw(t, "matched"))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestLawsOfRecords walks runs at random: issue, record as planned or otherwise,
// skip, scrap, undo. After every act the shelf and the promises are lawful.
func TestLawsOfRecords(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := anyRun(t)
		some := func(t *rapid.T) []int64 {
			n := rapid.IntRange(1, len(b.lots)).Draw(t, "how many lots")
			var ids []int64
			for _, l := range rapid.Permutation(b.lots).Draw(t, "lots")[:n] {
				ids = append(ids, l.ID)
			}
			return ids
		}
		position := func(t *rapid.T) int {
			return rapid.IntRange(1, b.baths[len(b.baths)-1].Position).Draw(t, "position")
		}
		t.Repeat(map[string]func(*rapid.T){
			"issue": func(t *rapid.T) {
				l := b.lot(some(t)[0])
				if next, err := lot.Next(l.Code, l.State, lot.Issue); err == nil {
					l.State = next
				}
			},
			"record": func(t *rapid.T) { b.recordSomething(t, position(t), some(t)) },
			"skip": func(t *rapid.T) {
				at, ids := position(t), some(t)
				dec, err := lot.Skip(b.before(at, ids...))
				if err != nil {
					refusedRightly(t, b, at, ids, err)
					return
				}
				b.checkEntries(t, dec, nil)
				b.write(at, nil, dec)
			},
			"scrap": func(t *rapid.T) {
				l := b.lot(some(t)[0])
				if next, err := lot.Next(l.Code, l.State, lot.Scrap); err == nil {
					l.State = next
					b.keep(lot.Unneeded(b.planned(), b.waits))
				}
			},
			"undo": func(t *rapid.T) {
				if len(b.records) == 0 {
					t.Skip("nothing is recorded")
				}
				i := rapid.IntRange(0, len(b.records)-1).Draw(t, "record")
				if !b.records[i].undone {
					_ = b.undo(i) // refused after a verdict: then nothing has changed
				}
			},
			"": b.lawful,
		})
	})
}

// recordSomething records what was planned, or anything else out of any parcel.
func (b *books) recordSomething(t *rapid.T, position int, ids []int64) {
	before := b.before(position, ids...)
	d := lot.Done{Used: b.picked(position, ids...), Vessel: before.Baths[0].Vessel, Override: owner}
	if len(b.parcels) > 0 && rapid.Bool().Draw(t, "otherwise") {
		d.Used = nil
		for range rapid.IntRange(0, 3).Draw(t, "parcels") {
			p := rapid.SampledFrom(b.parcels).Draw(t, "parcel")
			d.Used = pour(d.Used, *b.parcel(p.ID), quantity.Amount{N: rapid.Int64Range(1, 900).Draw(t, "amount") * 1_000_000, Unit: p.Item.Unit})
		}
	}
	if rapid.IntRange(0, 3).Draw(t, "elsewhere") == 0 {
		d.Vessel = tub
	}
	dec, err := lot.Record(before, d)
	if err != nil {
		refusedRightly(t, b, position, ids, err)
		return
	}
	if was := asPlanned(before, d); was != (len(dec.Deviations) == 0) {
		t.Fatalf("as planned is %v, and the deviations are %v", was, dec.Deviations)
	}
	b.checkEntries(t, dec, d.Used)
	b.write(position, d.Used, dec)
}

// refusedRightly: law 2. A record is refused for the state of its lots alone,
// whatever the shelf says.
func refusedRightly(t *rapid.T, b *books, position int, ids []int64, err error) {
	f, ok := fault.Of(err)
	if !ok {
		t.Fatal(err)
	}
	is := map[string]bool{}
	for _, id := range ids {
		is["RECORDED_ALREADY"] = is["RECORDED_ALREADY"] || b.standing(position, id) != 0
		is["NOT_ISSUED"] = is["NOT_ISSUED"] || b.lot(id).State == lot.Planned
		is["LOT_STATE"] = is["LOT_STATE"] || b.lot(id).State == lot.Scrapped || b.lot(id).State == lot.WaitingForTests
	}
	if !is[f.Reason] {
		t.Fatalf("refused, and nothing of that is so: %v", err)
	}
}

// asPlanned says by another way whether a record is what the plan has: in each
// item the planned total of these lots, from the parcels picked and no others,
// and in the planned vessel.
func asPlanned(b lot.Before, d lot.Done) bool {
	due := map[int64]int64{}
	from := map[int64][]int64{}
	for _, bath := range b.Baths {
		if v := bath.Vessel.ID; v != 0 && d.Vessel.ID != 0 && v != d.Vessel.ID {
			return false
		}
		for _, dose := range bath.Doses {
			for i, share := range lot.Divide(dose.Amount, bath.Lots, dose.Item.Resolution) {
				if slices.ContainsFunc(b.Lots, func(l lot.Lot) bool { return l.ID == bath.Lots[i].LotID }) {
					due[dose.Item.ID] += share.N
				}
			}
			for _, p := range dose.Picks {
				from[dose.Item.ID] = append(from[dose.Item.ID], p.ParcelID)
			}
		}
	}
	for _, u := range d.Used {
		item := u.Parcel.Item.ID
		if len(from[item]) > 0 && !slices.Contains(from[item], u.Parcel.ID) {
			return false
		}
		due[item] -= u.Amount.N
	}
	for _, rest := range due {
		if rest != 0 {
			return false
		}
	}
	return true
}

// checkEntries: a record uses of its own promises no more than is outstanding
// and no more than was taken of the parcel, and frees nothing that a lot of the
// bath still waits for.
func (b *books) checkEntries(t *rapid.T, dec lot.Decision, poured []lot.Used) {
	taken := map[int64]int64{}
	for _, u := range poured {
		taken[u.Parcel.ID] += u.Amount.N
	}
	left := map[int64]int64{}
	for _, p := range b.promises {
		left[p.ID] = p.Outstanding.N
	}
	for _, e := range dec.Promises {
		p := b.promises[e.PromiseID-1]
		left[p.ID] += e.Delta
		if e.Why == stock.Used {
			taken[p.ParcelID] += e.Delta
		}
		if e.Delta >= 0 || left[p.ID] < 0 || taken[p.ParcelID] < 0 || e.Why != stock.Used && e.Why != stock.Unused {
			t.Fatalf("%+v of a promise of %s", e, p.Outstanding)
		}
		for _, bath := range b.baths {
			for _, d := range bath.Doses {
				if !slices.ContainsFunc(d.Promises, func(own stock.Promise) bool { return own.ID == p.ID }) {
					continue
				}
				for _, l := range bath.Lots {
					if _, now := dec.States[l.LotID]; e.Why == stock.Unused && !now && b.waits(bath.Position, l.LotID) {
						t.Fatalf("%+v, and lot %d still waits", e, l.LotID)
					}
				}
			}
		}
	}
}

// lawful: no parcel is below zero or promised beyond what it holds; a promise
// is neither overdrawn nor more than it was made of; what nobody waits for is
// not kept aside; and a lot waits for tests when all its stages are done.
func (b *books) lawful(t *rapid.T) {
	promised := map[int64]int64{}
	for i, p := range b.promises {
		promised[p.ParcelID] += p.Outstanding.N
		if p.Outstanding.N < 0 || p.Outstanding.N > b.kept[i] {
			t.Fatalf("promise %d keeps %s of %d", p.ID, p.Outstanding, b.kept[i])
		}
	}
	for _, p := range b.parcels {
		others := p.Promised.N - promised[p.ID]
		if p.OnHand.N < 0 || p.Promised.N > p.OnHand.N+max(others, 0) || others < 0 {
			t.Fatalf("%s holds %s, %s promised, %d of it here", p.Code(), p.OnHand, p.Promised, promised[p.ID])
		}
	}
	for _, bath := range b.baths {
		if slices.ContainsFunc(bath.Lots, func(l lot.BathLot) bool { return b.waits(bath.Position, l.LotID) }) {
			continue
		}
		for _, d := range bath.Doses {
			for _, p := range d.Promises {
				if left := b.promises[p.ID-1].Outstanding; left.N != 0 {
					t.Fatalf("nobody waits for stage %d, and %s of %s is kept aside", bath.Position, left, d.Item.Code)
				}
			}
		}
	}
	for _, l := range b.lots {
		todo := 0
		for _, bath := range b.baths {
			if serves(bath, l.ID) && b.standing(bath.Position, l.ID) == 0 {
				todo++
			}
		}
		if l.State == lot.InWork && todo == 0 || l.State == lot.WaitingForTests && todo != 0 {
			t.Fatalf("lot %s is %s with %d stages to do", l.Code, l.State, todo)
		}
	}
}
