package stock_test

import (
	"testing"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// A shelf for the tests, with the figures of the ten silk tunics: two days in
// the studio, worked by hand by two people.

var today = day("2026-05-14")

func day(s string) time.Time {
	d, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return d
}

var (
	alum     = stock.Item{ID: 1, Code: "alum", Name: "alum", Kind: stock.Mordant, Unit: quantity.Mass, Substance: "potassium alum", Resolution: tenths(1)}
	weld     = stock.Item{ID: 2, Code: "weld", Name: "weld", Kind: stock.Dyestuff, Unit: quantity.Mass, Plant: "weld", Part: "tops", Resolution: quantity.Grams(1)}
	copperas = stock.Item{ID: 3, Code: "copperas", Name: "copperas", Kind: stock.Mordant, Unit: quantity.Mass, Substance: "copperas", Resolution: tenths(1)}
	liquor   = stock.Item{ID: 4, Code: "iron-liquor", Name: "iron liquor", Kind: stock.Solution, Unit: quantity.Volume, Substance: "copperas", Resolution: quantity.Millilitres(1)}
	tunic    = stock.Item{ID: 5, Code: "tunic-silk-m", Name: "tunic", Kind: stock.Blank, Unit: quantity.Count, PieceMass: quantity.Grams(105), Resolution: quantity.Pieces(1)}
	alumBath = stock.Item{ID: 6, Code: "alum-stock", Name: "alum stock", Kind: stock.Solution, Unit: quantity.Volume, Substance: "potassium alum", Resolution: quantity.Millilitres(1)}
)

func tenths(n int64) quantity.Amount { return quantity.Amount{N: n * 100_000, Unit: quantity.Mass} }

// bag is a delivered parcel; each id a day younger than the one before.
func bag(id int64, it stock.Item, onHand, promised quantity.Amount) stock.Parcel {
	return stock.Parcel{ID: id, Item: it, Origin: stock.FromDelivery, OnHand: onHand, Promised: promised, ArrivedAt: day("2026-04-01").AddDate(0, 0, int(id))}
}

func g(n int64) quantity.Amount  { return quantity.Grams(n) }
func mL(n int64) quantity.Amount { return quantity.Millilitres(n) }
func pc(n int64) quantity.Amount { return quantity.Pieces(n) }

// refused fails the test unless err is a fault of that reason, and returns it.
func refused(t *testing.T, err error, reason string) *fault.Fault {
	t.Helper()
	f, ok := fault.Of(err)
	if !ok || f.Reason != reason {
		t.Fatalf("got %v, want a refusal %s", err, reason)
	}
	return f
}

// field fails the test unless err names that field of the call.
func field(t *testing.T, err error, name string) {
	t.Helper()
	if f, ok := fault.Of(err); !ok || f.Kind != fault.Invalid || f.Field != name {
		t.Fatalf("got %v, want field %s refused", err, name)
	}
}

func taken(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatalf("refused: %v", err)
	}
}
