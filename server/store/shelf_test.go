package store

import (
	"testing"
	"time"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/postgres/trial"
)

// shelf is a studio's database for one test, with one dyer to write in it.
type shelf struct {
	*Store
	t  testing.TB
	by Principal
}

// openShelf clones a migrated database for this test alone, and looks over the
// books when the test is done: whatever was tried, they are whole.
func openShelf(t testing.TB) *shelf {
	t.Helper()
	dsn := trial.New(t, trial.Schema{Name: "studio", Version: SchemaHash(), Migrate: Migrate})
	s, err := Open(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	sh := &shelf{Store: s, t: t}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	sh.do(func(tx *Tx) (err error) {
		sh.by, err = tx.AddPrincipal("dyer-1", []string{"dyer"}, make([]byte, 32), nil)
		return err
	})
	return sh
}

// whole fails the test unless the books verify.
func (s *shelf) whole() {
	s.t.Helper()
	s.do(func(tx *Tx) error {
		v, err := tx.Verify()
		if len(v.Findings) > 0 {
			s.t.Errorf("the books do not hold: %v", v.Findings)
		}
		return err
	})
}

func (s *shelf) try(fn func(*Tx) error) error { return s.InTx(s.t.Context(), s.by, fn) }

func (s *shelf) do(fn func(*Tx) error) {
	s.t.Helper()
	if err := s.try(fn); err != nil {
		s.t.Fatal(err)
	}
}

func (s *shelf) item(it stock.Item) stock.Item {
	s.t.Helper()
	it, _, err := it.Check()
	if err != nil {
		s.t.Fatal(err)
	}
	s.do(func(tx *Tx) error {
		if _, err := tx.CreateItem(it); err != nil {
			return err
		}
		it, err = tx.ItemByCode(it.Code)
		return err
	})
	return it
}

// bag receives a delivery of so much.
func (s *shelf) bag(it stock.Item, amount quantity.Amount) (parcelID, movementID int64) {
	s.t.Helper()
	s.do(func(tx *Tx) (err error) {
		if parcelID, err = tx.AddParcel(stock.Parcel{Item: it, Origin: stock.FromDelivery, ArrivedAt: tx.Now}); err != nil {
			return err
		}
		movementID, err = tx.Post(stock.Movement{Kind: stock.ActDelivery, HappenedAt: tx.Now, Legs: []stock.Leg{{ParcelID: parcelID, From: stock.Supplier, To: stock.Shelf, Amount: amount}}})
		return err
	})
	return parcelID, movementID
}

func (s *shelf) parcel(id int64) (p stock.Parcel) {
	s.t.Helper()
	s.do(func(tx *Tx) (err error) {
		p, err = tx.Parcel(id)
		return err
	})
	return p
}

func alumItem() stock.Item {
	return stock.Item{Code: "alum", Kind: stock.Mordant, Substance: "potassium alum"}
}

func weldItem() stock.Item { return stock.Item{Code: "weld", Kind: stock.Dyestuff, Plant: "weld"} }

func grams(n int64) quantity.Amount { return quantity.Grams(n) }

func date(s string) time.Time {
	d, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return d
}

// must is for what a test has already seen to work.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}
