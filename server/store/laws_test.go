package store

import (
	"errors"
	"fmt"
	"testing"

	"github.com/lib/pq"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// broke fails the test unless the database itself said no, by that constraint.
func broke(t *testing.T, err error, constraint string) {
	t.Helper()
	var e *pq.Error
	if !errors.As(err, &e) || e.Constraint != constraint {
		t.Errorf("got %v, want a refusal by %s", err, constraint)
	}
}

// lawfulShelf has 100 g of alum in P1, brought by M1; a count of P1 in M2 that
// M3 reversed; and a promise of 40 g.
func lawfulShelf(t *testing.T) *shelf {
	s := openShelf(t)
	p, _ := s.bag(s.item(alumItem()), grams(100))
	s.do(func(tx *Tx) error {
		count := stock.Movement{Kind: stock.ActCount, HappenedAt: tx.Now, Legs: []stock.Leg{{ParcelID: p, From: stock.Difference, To: stock.Shelf, Amount: grams(7)}}}
		id, err := tx.Post(count)
		if err != nil {
			return err
		}
		count.ID = id
		back, err := stock.Mirror(count, nil, "miscounted")
		if err != nil {
			return err
		}
		back.HappenedAt = tx.Now
		if _, err = tx.Post(back); err != nil {
			return err
		}
		_, err = tx.MakePromises([]stock.Promise{{ParcelID: p, Outstanding: grams(40)}})
		return err
	})
	return s
}

// Laws 1, 2 and 6 are the database's own: a statement that breaks one is
// refused, whoever writes it.
func TestHandWrittenStatementsThatBreakALawAreRefused(t *testing.T) {
	t.Parallel()
	s := lawfulShelf(t)
	const move = `with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, reason, lot_id, made_parcel_id, reverses_id, reverses_kind)
	              values ('%s', now(), now(), 1, 'x', '', null, %s, %s, %s) returning id, kind)
	              insert into posting (movement_id, kind, line, parcel_id, from_place, to_place, amount) select m.id, m.kind, %s from m`
	for name, c := range map[string]struct{ statement, constraint string }{
		"a leg without a shelf, so the parcel does not sum to zero": {fmt.Sprintf(move, "delivery", "null", "null", "null", `1, 1, 'supplier', 'process', 5`), "posting_one_side_is_the_shelf"},
		"from the shelf to the shelf":                               {fmt.Sprintf(move, "count", "null", "null", "null", `1, 1, 'shelf', 'shelf', 5`), "posting_one_side_is_the_shelf"},
		"an amount of nothing":                                      {fmt.Sprintf(move, "count", "null", "null", "null", `1, 1, 'difference', 'shelf', 0`), "posting_amount_positive"},
		"an amount below nothing":                                   {fmt.Sprintf(move, "count", "null", "null", "null", `1, 1, 'difference', 'shelf', -5`), "posting_amount_positive"},
		"a delivery from the field":                                 {fmt.Sprintf(move, "delivery", "null", "null", "null", `1, 1, 'field', 'shelf', 5`), "posting_places_fit_the_kind"},
		"more written off than is there":                            {fmt.Sprintf(move, "write-off", "null", "null", "null", `1, 1, 'shelf', 'loss', 100000001`), "balance_not_short"},
		"what was promised":                                         {fmt.Sprintf(move, "write-off", "null", "null", "null", `1, 1, 'shelf', 'loss', 60000001`), "balance_not_short"},
		"a use for nothing":                                         {fmt.Sprintf(move, "use", "null", "null", "null", `1, 1, 'shelf', 'process', 5`), "movement_use_has_a_purpose"},
		"a making of nothing":                                       {fmt.Sprintf(move, "making", "null", "null", "null", `1, 1, 'shelf', 'making', 5`), "movement_making_has_a_child"},
		"a reversal of nothing":                                     {fmt.Sprintf(move, "reversal", "null", "null", "null", `1, 1, 'shelf', 'supplier', 5`), "movement_reversal_has_a_target"},
		"a reversal of a reversal":                                  {fmt.Sprintf(move, "reversal", "null", "3", "'reversal'", `1, 1, 'difference', 'shelf', 7000000`), "movement_reversal_not_reversed"},
		"a reversal that lies about the kind":                       {fmt.Sprintf(move, "reversal", "null", "3", "'count'", `1, 1, 'difference', 'shelf', 7000000`), "movement_reverses_fkey"},
		"a second reversal":                                         {fmt.Sprintf(move, "reversal", "null", "2", "'count'", `1, 1, 'shelf', 'difference', 7000000`), "movement_reversed_once"},
		"a reversal of another amount":                              {fmt.Sprintf(move, "reversal", "null", "1", "'delivery'", `1, 1, 'shelf', 'supplier', 5`), "posting_reversal_is_the_mirror"},
		"a reversal to another place":                               {fmt.Sprintf(move, "reversal", "null", "1", "'delivery'", `1, 1, 'shelf', 'loss', 100000000`), "posting_reversal_is_the_mirror"},
		"a leg added to what was reversed":                          {`insert into posting values (2, 'count', 2, 1, 'difference', 'shelf', 5)`, "posting_reversal_is_the_mirror"},
		"a leg of another kind than its movement":                   {`insert into posting values (1, 'count', 2, 1, 'difference', 'shelf', 5)`, "posting_movement_fkey"},
		"a promise beyond what is free":                             {`insert into promise_entry (promise_id, delta, why, at) values (1, 60000001, 'made', now())`, "balance_not_short"},
		"more used than was promised":                               {`insert into promise_entry (promise_id, delta, why, at) values (1, -40000001, 'used', now())`, "promise_not_overdrawn"},
		"a release that adds":                                       {`insert into promise_entry (promise_id, delta, why, at) values (1, 5, 'released', now())`, "promise_entry_only_making_adds"},
		"a promise that starts full":                                {`insert into promise (parcel_id, outstanding, made_by, made_at) values (1, 5, 1, now())`, "kept_by_the_ledger"},
		"an outstanding amount by hand":                             {`update promise set outstanding = 0`, "kept_by_the_ledger"},
		"a balance by hand":                                         {`update balance set on_hand = on_hand + 1`, "kept_by_the_ledger"},
		"a balance thrown away":                                     {`delete from balance`, "kept_by_the_ledger"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := s.db.ExecContext(t.Context(), c.statement)
			broke(t, err, c.constraint)
		})
	}
	s.whole()
}

func TestHistoryIsNeverChanged(t *testing.T) {
	t.Parallel()
	s := lawfulShelf(t)
	s.do(func(tx *Tx) error {
		return errors.Join(tx.SetStrength(1, quantity.WholePercent(95), "test dips", tx.Now), tx.BlockParcel(1, "mould", false))
	})
	for table, column := range map[string]string{
		"movement": "reason", "posting": "amount", "promise_entry": "delta", "parcel": "note", "parcel_strength": "percent", "parcel_block": "lifted", "promise": "purpose",
	} {
		for _, statement := range []string{"update " + table + " set " + column + " = " + column, "delete from " + table, "truncate " + table + " cascade"} {
			_, err := s.db.ExecContext(t.Context(), statement)
			var e *pq.Error
			if !errors.As(err, &e) || (e.Constraint != "history_is_append_only" && e.Constraint != "kept_by_the_ledger") {
				t.Errorf("%s: %v", statement, err)
			}
		}
	}
	s.whole()
}

// The rule was asked by both before either wrote: the balance lets one in.
func TestTheDatabaseHasTheLastWordOnTheLastGram(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	p, _ := s.bag(s.item(alumItem()), grams(100))
	answers := make(chan error)
	for range 2 {
		go func() {
			answers <- s.try(func(tx *Tx) error {
				_, err := tx.MakePromises([]stock.Promise{{ParcelID: p, Outstanding: grams(100)}})
				return err
			})
		}()
	}
	first, second := <-answers, <-answers
	if first == nil {
		first, second = second, first
	}
	if f, ok := fault.Of(first); second != nil || !ok || f.Reason != "STOCK_SHORT" {
		t.Errorf("of two, %v and %v", first, second)
	}
	if got := s.parcel(p); got.Promised != grams(100) {
		t.Errorf("promised %s", got.Promised)
	}
	s.whole()
}

// A bulk load pays for the laws once a statement, and keeps them: 20 000
// movements on 50 parcels in two statements.
func TestABulkLoadKeepsBalancesEqualToTheirRebuild(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	it := s.item(weldItem())
	const load = `insert into parcel (item_id, origin, arrived_at, recorded_by, recorded_at) select $1, 'delivery', now(), 1, now() from generate_series(1, 50)`
	if _, err := s.db.ExecContext(t.Context(), load, it.ID); err != nil {
		t.Fatal(err)
	}
	for _, statement := range []string{
		`insert into movement (kind, happened_at, recorded_at, recorded_by, by_name)
		 select case when n % 8 = 7 then 'write-off' else 'delivery' end, now(), now(), 1, 'x' from generate_series(0, 19999) n`,
		`insert into posting (movement_id, kind, line, parcel_id, from_place, to_place, amount)
		 select id, kind, 1, 1 + id % 50, case kind when 'delivery' then 'supplier' else 'shelf' end,
		        case kind when 'delivery' then 'shelf' else 'loss' end, 1000 + id % 7 from movement`,
	} {
		if _, err := s.db.ExecContext(t.Context(), statement); err != nil {
			t.Fatal(err)
		}
	}
	var kept, rebuilt int64
	const sums = `select (select sum(on_hand) from balance), (select sum(case when to_place = 'shelf' then amount else -amount end) from posting)`
	if err := s.db.QueryRowContext(t.Context(), sums).Scan(&kept, &rebuilt); err != nil || kept != rebuilt || kept < 9_000_000 {
		t.Errorf("kept %d, rebuilt %d: %v", kept, rebuilt, err)
	}
	s.whole()
	_, err := s.db.ExecContext(t.Context(), `insert into posting select id, kind, 2, 1 + id % 50, 'shelf', 'loss', 100000 from movement where kind = 'write-off'`)
	broke(t, err, "balance_not_short")
}

// Law 3, as far as the shelf goes: what a movement says it took is read back
// leg by leg, in order, with its unit.
func TestAMovementReadsBackAsItWasBooked(t *testing.T) {
	t.Parallel()
	s := openShelf(t)
	p, brought := s.bag(s.item(alumItem()), grams(100))
	var m stock.Movement
	s.do(func(tx *Tx) (err error) {
		id, err := tx.Post(stock.Movement{Kind: stock.ActCount, HappenedAt: date("2026-05-01"), Reason: "spring count", ByName: "bench-1",
			Legs: []stock.Leg{{ParcelID: p, From: stock.Shelf, To: stock.Difference, Amount: grams(18)}}})
		if err != nil {
			return err
		}
		m, err = tx.Movement(id)
		return err
	})
	if m.ByName != "bench-1" || m.Reason != "spring count" || !m.HappenedAt.Equal(date("2026-05-01")) || len(m.Legs) != 1 || m.Legs[0] != (stock.Leg{ParcelID: p, From: stock.Shelf, To: stock.Difference, Amount: grams(18)}) {
		t.Errorf("%+v", m)
	}
	s.do(func(tx *Tx) error {
		ms, err := tx.MovementsOfParcel(p)
		if len(ms) != 2 || ms[0].ID != brought || ms[1].ID != m.ID {
			t.Errorf("%+v", ms)
		}
		return err
	})
	if err := s.try(func(tx *Tx) error {
		_, err := tx.Post(stock.Movement{Kind: stock.ActCount, HappenedAt: tx.Now})
		return err
	}); !errors.Is(err, errNoLegs) {
		t.Errorf("an empty movement: %v", err)
	}
	s.whole()
}
