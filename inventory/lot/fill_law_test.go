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

// anyShelf has a few parcels of each item, some of them shut, weak, half
// promised or of unknown strength.
func anyShelf(t *rapid.T, items []stock.Item) []stock.Parcel {
	var parcels []stock.Parcel
	for _, it := range items {
		for range rapid.IntRange(0, 3).Draw(t, it.Code) {
			onHand := rapid.Int64Range(0, 900).Draw(t, "on hand") * 1_000_000
			if it.Unit == quantity.Volume {
				onHand /= 1000
			}
			p := bag(int64(len(parcels)+1), it, quantity.Amount{N: onHand, Unit: it.Unit}, quantity.Amount{N: rapid.Int64Range(0, onHand).Draw(t, "promised"), Unit: it.Unit})
			switch {
			case it.Unit == quantity.Mass:
				p.Strength = quantity.Percent(rapid.SampledFrom([]int64{0, 500_000, 900_000, 1_200_000}).Draw(t, "strength"))
			default:
				p.Concentration = quantity.Concentration(rapid.SampledFrom([]int64{0, 100_000, 200_000}).Draw(t, "mg/L"))
				p.StrengthUnknown = p.Concentration == 0
			}
			if rapid.IntRange(0, 5).Draw(t, "shut") == 0 {
				p.Blocked = "mould"
			}
			parcels = append(parcels, p)
		}
	}
	return parcels
}

func anyBaths(t *rapid.T, items []stock.Item) []lot.Bath {
	var baths []lot.Bath
	for i := range rapid.IntRange(1, 4).Draw(t, "baths") {
		b := bathOf(g(rapid.Int64Range(100, 900).Draw(t, "fibre")))
		b.Position = i + 1
		for range rapid.IntRange(0, 3).Draw(t, "doses") {
			it, n := rapid.SampledFrom(items).Draw(t, "item"), rapid.Int64Range(1, 60).Draw(t, "dose")
			ask := wof("1")
			ask.Percent *= quantity.Percent(n)
			switch {
			case it.Unit == quantity.Volume && rapid.Bool().Draw(t, "by swatch"):
				ask = perKilo(10 * n)
			case rapid.IntRange(0, 3).Draw(t, "in g/L") == 0:
				ask = gPerL(n)
			}
			b.Doses = append(b.Doses, lot.Dose{Item: it, Ask: ask})
		}
		baths = append(baths, b)
	}
	return baths
}

// Whatever lies on the shelf: nothing is picked beyond what is free, nor from a
// parcel that may not be used; a dose is picked whole or not at all; what is
// picked is promised on that shelf; and a matched set takes each dyestuff from
// one parcel, or leaves all of it (laws 2 and 11).
func TestLaw2FillPicksWholeOrNotAtAll(t *testing.T) {
	t.Parallel()
	items := []stock.Item{alum, weld, liquor}
	rapid.Check(t, func(t *rapid.T) {
		parcels := anyShelf(t, items)
		baths, matched := anyBaths(t, items), rapid.Bool().Draw(t, "matched")
		prefer := map[int64]int64{}
		if len(parcels) > 0 && rapid.IntRange(0, 2).Draw(t, "named") == 0 {
			p := rapid.SampledFrom(parcels).Draw(t, "preferred")
			prefer[p.Item.ID] = p.ID
		}
		shelf := shelfOf(slices.Clone(parcels)...)
		if err := lot.Fill(baths, shelf, matched, prefer); err != nil {
			f, ok := fault.Of(err)
			if !ok || f.Reason != "NOT_MADE" && f.Reason != "STRENGTH_UNKNOWN" || slices.ContainsFunc(parcels, func(p stock.Parcel) bool { return p.Concentration > 0 }) {
				t.Fatal(err)
			}
			return
		}
		picked := map[int64]int64{}
		harvests := map[int64]bool{}
		short := false
		for _, b := range baths {
			for _, d := range b.Doses {
				checkDose(t, d, b, parcels, prefer)
				for _, p := range d.Picks {
					picked[p.ParcelID] += p.Amount.N
					if d.Item.ID == weld.ID {
						harvests[p.ParcelID] = true
					}
				}
				short = short || d.Item.ID == weld.ID && !d.Short.IsZero()
			}
		}
		for _, p := range parcels {
			is := shelf.Parcels[p.Item.ID][slices.IndexFunc(shelf.Parcels[p.Item.ID], func(q stock.Parcel) bool { return q.ID == p.ID })]
			if picked[p.ID] > p.Free().N || is.Promised.N != p.Promised.N+picked[p.ID] || is.OnHand != p.OnHand {
				t.Fatalf("%s had %s free, %d picked, now %s promised", p.Code(), p.Free(), picked[p.ID], is.Promised)
			}
		}
		if matched && (len(harvests) > 1 || len(harvests) == 1 && short) {
			t.Fatalf("the set takes %v, short %v", harvests, short)
		}
	})
}

// checkDose holds one dose to its own parcels.
func checkDose(t *rapid.T, d lot.Dose, b lot.Bath, parcels []stock.Parcel, prefer map[int64]int64) {
	sum := quantity.Amount{Unit: d.Item.Unit}
	for _, p := range d.Picks {
		from := parcels[p.ParcelID-1]
		if from.Item.ID != d.Item.ID || from.Usable(may14) != nil || p.Amount.N <= 0 || prefer[d.Item.ID] != 0 && prefer[d.Item.ID] != p.ParcelID {
			t.Fatalf("%+v is picked for %s, %v preferred", p, d.Item.Code, prefer)
		}
		if want, err := d.In(from, b); len(d.Picks) == 1 && (err != nil || want != p.Amount) {
			t.Fatalf("%s is picked of %s, and it is %s, %v", p.Amount, p.Code, want, err)
		}
		sum = sum.Add(p.Amount)
	}
	switch {
	case len(d.Picks) > 0 && (sum != d.Amount || d.Short.N != 0 || d.Lacks.N != 0):
		t.Fatalf("%s of %s is picked, %s short", sum, d.Amount, d.Short)
	case len(d.Picks) == 0 && (d.Amount.N <= 0 || d.Short != d.Amount || d.Lacks.N <= 0 || d.Note == ""):
		t.Fatalf("nothing is picked of %+v", d)
	}
}
