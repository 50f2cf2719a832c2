package stock_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// A year of alum, worked by hand: 155 g at the opening, 500 g in, 162 g used of
// which 3 g were found, 10 g spoiled, 100 g sent back, and a count 2 g short:
// 155 + 500 + 3 − 162 − 10 − 100 − 2 = 384 g. A use of 40 g was taken back.
func TestAYearOfOneBag(t *testing.T) {
	t.Parallel()
	y := stock.YearOf(quantity.Mass, []stock.Flow{
		{Kind: stock.ActDelivery, From: stock.Supplier, To: stock.Shelf, Before: true, Amount: g(200)},
		{Kind: stock.ActUse, From: stock.Shelf, To: stock.Process, Before: true, Amount: g(45)},
		{Kind: stock.ActDelivery, From: stock.Supplier, To: stock.Shelf, Amount: g(500)},
		{Kind: stock.ActUse, From: stock.Shelf, To: stock.Process, Amount: g(202)},
		{Kind: stock.ActUse, From: stock.Process, To: stock.Shelf, Reversal: true, Amount: g(40), Late: true},
		{Kind: stock.ActUse, From: stock.Difference, To: stock.Shelf, Amount: g(3)},
		{Kind: stock.ActWriteOff, From: stock.Shelf, To: stock.Loss, Amount: g(10)},
		{Kind: stock.ActSendBack, From: stock.Shelf, To: stock.Supplier, Amount: g(100)},
		{Kind: stock.ActCount, From: stock.Shelf, To: stock.Difference, Amount: g(2)},
	})
	want := stock.Year{Opening: g(155), In: g(500), Found: g(3), Used: g(162), Spoiled: g(10), SentBack: g(100), Counted: g(-2), Late: true}
	if diff := cmp.Diff(want, y); diff != "" || y.Book() != g(384) {
		t.Errorf("book %s %s", y.Book(), diff)
	}
}

// A liquor made of copperas: the parent's is used, the child's is in; taken
// back, both are nothing.
func TestAMakingIsInForTheChildAndUsedForTheParent(t *testing.T) {
	t.Parallel()
	made := stock.YearOf(quantity.Volume, []stock.Flow{{Kind: stock.ActMaking, From: stock.InMaking, To: stock.Shelf, Amount: mL(500)}})
	from := stock.YearOf(quantity.Mass, []stock.Flow{{Kind: stock.ActMaking, From: stock.Shelf, To: stock.InMaking, Amount: g(100)}})
	if made.In != mL(500) || from.Used != g(100) || from.In != g(0) || made.Used != mL(0) {
		t.Errorf("made %+v from %+v", made, from)
	}
	undone := stock.YearOf(quantity.Volume, []stock.Flow{
		{Kind: stock.ActMaking, From: stock.InMaking, To: stock.Shelf, Amount: mL(500)},
		{Kind: stock.ActMaking, From: stock.Shelf, To: stock.InMaking, Amount: mL(500), Reversal: true}})
	if !undone.Still() {
		t.Errorf("%+v", undone)
	}
}

// flows reads the model's movements as the store's query does, for one parcel
// and a period of movements from one number to another.
func (s *shelf) flows(parcel int64, from, to int) (fs []stock.Flow) {
	for i, m := range s.movements {
		kind, at := m.Kind, i
		if m.Kind == stock.ActReversal {
			kind, at = m.ReversesKind, int(m.ReversesID-1)
		}
		for _, l := range m.Legs {
			if l.ParcelID == parcel && at < to {
				fs = append(fs, stock.Flow{Kind: kind, From: l.From, To: l.To, Reversal: m.Kind == stock.ActReversal, Before: at < from, Amount: l.Amount})
			}
		}
	}
	return fs
}

// yearsHold: cut anywhere, opening of the one period is the book of the one
// before, the columns sum to the book, the last book is what is on hand, and
// no column but counts is below nothing.
func (s *shelf) yearsHold(t *rapid.T) {
	if len(s.movements) == 0 {
		return
	}
	cut := rapid.IntRange(0, len(s.movements)).Draw(t, "cut")
	for _, p := range s.parcels {
		first := stock.YearOf(quantity.Mass, s.flows(p.ID, 0, cut))
		second := stock.YearOf(quantity.Mass, s.flows(p.ID, cut, len(s.movements)))
		whole := stock.YearOf(quantity.Mass, s.flows(p.ID, 0, len(s.movements)))
		if first.Opening.N != 0 || second.Opening != first.Book() || second.Book() != p.OnHand || whole.Book() != p.OnHand {
			t.Fatalf("%s holds %d: %+v, then %+v", p.Code(), p.OnHand.N, first, second)
		}
		if sum := first.Plus(second); sum.Used != whole.Used || sum.In != whole.In || sum.Found != whole.Found || sum.Counted != whole.Counted || sum.Spoiled != whole.Spoiled {
			t.Fatalf("the parts %+v are not the whole %+v", sum, whole)
		}
		for _, column := range []quantity.Amount{whole.In, whole.Found, whole.Used, whole.Spoiled, whole.SentBack} {
			if column.N < 0 || column.Unit != quantity.Mass {
				t.Fatalf("%+v", whole)
			}
		}
	}
}
