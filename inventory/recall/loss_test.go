package recall_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
	"dyelot/inventory/recall"
	"dyelot/inventory/trace"
)

func euros(cents int64) quantity.Money {
	return quantity.Money{Micro: cents * 10_000, Currency: "EUR"}
}

// Worked by hand: lot 1 had 500 g of garments, 60 g of alum (P1, 500 g for 10.00)
// and 30 mL of an iron liquor (P3), of which 500 mL were made with 100 g of
// copperas (P2, 250 g for 5.00). A 100 g garment of blanks P4 (20 pieces for
// 208.00) is scrapped: a fifth of the lot, 12 g of alum at 0.24, 6 mL of liquor
// with 1.2 g of copperas at 0.024, one blank at 10.40: 10.664 in all. The weld
// (P5) was gathered and cost nothing in the books.
func TestTheLossOfOneGarmentByHand(t *testing.T) {
	t.Parallel()
	h := trace.History{
		Given: []trace.Given{
			{Lot: 1, Through: trace.RecordNode(1), Parcel: 1, Share: quantity.Grams(60)},
			{Lot: 1, Through: trace.RecordNode(2), Parcel: 5, Share: quantity.Grams(300)},
			{Lot: 1, Through: trace.RecordNode(3), Parcel: 3, Share: quantity.Millilitres(30)},
			{Lot: 1, Through: trace.LotNode(1), Parcel: 4, Blanks: true, Share: quantity.Pieces(5)},
			{Lot: 1, Through: trace.RecordNode(9), Parcel: 6}, // an earlier use of the same tub: nobody can say
		},
		Makings: []trace.Making{{Parent: 2, Child: 3, Amount: quantity.Grams(100), Made: quantity.Millilitres(500)}},
	}
	paid := map[int64]recall.Paid{1: {euros(1000), quantity.Grams(500)}, 2: {euros(500), quantity.Grams(250)}, 4: {euros(20800), quantity.Pieces(20)}, 6: {euros(100), quantity.Grams(10)}}
	got, err := recall.LossOf(h, []recall.Gone{{Lots: []int64{1}, Parcel: 4, Dry: quantity.Grams(100)}}, map[int64]int64{1: quantity.Grams(500).N}, paid)
	if err != nil {
		t.Fatal(err)
	}
	want := recall.Loss{Pieces: 1, Dry: quantity.Grams(100), Costs: []quantity.Money{{Micro: 10_664_000, Currency: "EUR"}}, WithoutCost: []int64{5, 6}, Parcels: []recall.Lost{
		{Parcel: 1, Amount: quantity.Grams(12), Cost: quantity.Money{Micro: 240_000, Currency: "EUR"}},
		{Parcel: 3, Amount: quantity.Millilitres(6)},
		{Parcel: 4, Amount: quantity.Pieces(1), Cost: quantity.Money{Micro: 10_400_000, Currency: "EUR"}},
		{Parcel: 5, Amount: quantity.Grams(60)},
		{Parcel: 6},
		{Parcel: 2, Amount: quantity.Amount{N: 1_200_000, Unit: quantity.Mass}, Cost: quantity.Money{Micro: 24_000, Currency: "EUR"}},
	}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if none, err := recall.LossOf(h, nil, nil, paid); err != nil || none.Pieces != 0 || none.Parcels != nil || none.Costs != nil {
		t.Errorf("nothing was scrapped: %+v, %v", none, err)
	}
}

// However the garments of a lot are scrapped, one by one or in heaps, the losses
// sum to what the lot got, to half a microgram an act; all at once, exactly.
func TestLossesSumToWhatTheLotGot(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		share := rapid.Int64Range(1, 1_000_000_000).Draw(t, "share")
		masses := rapid.SliceOfN(rapid.Int64Range(1, 500_000_000), 1, 8).Draw(t, "masses")
		h := trace.History{Given: []trace.Given{{Lot: 1, Through: trace.RecordNode(1), Parcel: 1, Share: quantity.Amount{N: share, Unit: quantity.Mass}}}}
		var all []recall.Gone
		total := int64(0)
		for _, m := range masses {
			all = append(all, recall.Gone{Lots: []int64{1}, Parcel: 2, Dry: quantity.Amount{N: m, Unit: quantity.Mass}})
			total += m
		}
		lost := func(gone ...recall.Gone) int64 {
			l, err := recall.LossOf(h, gone, map[int64]int64{1: total}, nil)
			if err != nil || l.Pieces != int64(len(gone)) {
				t.Fatal(l, err)
			}
			return l.Parcels[0].Amount.N
		}
		if got := lost(all...); got != share {
			t.Fatalf("all of the lot is lost: %d of %d", got, share)
		}
		sum := int64(0)
		for _, g := range all {
			sum += lost(g)
		}
		if off := sum - share; off > int64(len(all)) || off < -int64(len(all)) {
			t.Fatalf("one by one %d are lost of %d", sum, share)
		}
	})
}
