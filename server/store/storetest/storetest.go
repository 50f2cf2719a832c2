// Package storetest opens a studio's database for one test: cloned from a
// migrated template on the real PostgreSQL, and verified when the test ends.
package storetest

import (
	"context"
	"testing"

	"dyelot/inventory/fastness"
	"dyelot/server/postgres/trial"
	"dyelot/server/store"
)

// DSN makes the database alone, migrated and with the house standard.
func DSN(t testing.TB) string {
	t.Helper()
	return trial.New(t, trial.Schema{Name: "furnished", Version: store.SchemaHash(), Migrate: migrate})
}

func migrate(ctx context.Context, dsn string) error {
	if err := store.Migrate(ctx, dsn); err != nil {
		return err
	}
	s, err := store.Open(ctx, dsn)
	if err != nil {
		return err
	}
	defer s.Close()
	return s.SeedHouse(ctx, fastness.Seed())
}

// New opens a store on such a database. When the test has passed, the books
// must be whole: what "dyelot verify" looks at is looked at here.
func New(t testing.TB) *store.Store {
	t.Helper()
	s, _ := Open(t)
	return s
}

// Open is New with the address, for tests that speak SQL by hand.
func Open(t testing.TB) (*store.Store, string) {
	t.Helper()
	dsn := DSN(t)
	s, err := store.Open(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		defer s.Close()
		if !t.Failed() {
			verify(t, s)
		}
	})
	return s, dsn
}

func verify(t testing.TB, s *store.Store) {
	err := s.Read(context.Background(), func(tx *store.Tx) error {
		v, err := tx.Verify()
		for _, f := range v.Findings {
			t.Errorf("the books are not whole: %s %s: %s", f.Check, f.Subject, f.Text)
		}
		return err
	})
	if err != nil {
		t.Errorf("verify the books: %v", err)
	}
}
