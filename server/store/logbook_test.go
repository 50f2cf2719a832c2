package store

import (
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"dyelot/inventory/logbook"
	"dyelot/server/postgres/trial"
)

// smallBooks has one row in each table of the small books, and a count.
func smallBooks(t *testing.T) *shelf {
	t.Helper()
	s := lawfulShelf(t)
	s.do(func(tx *Tx) error {
		h := logbook.Hardness(40_000)
		e := LogEntry{Entry: logbook.Entry{Book: logbook.OfWater, Subject: "well", Water: &logbook.Water{Hardness: &h}}, HappenedAt: tx.Now, By: "owner"}
		id, err := tx.AddLogEntry(e)
		return errors.Join(err, tx.Withdraw('J', id, "owner", "slip"), tx.SetLogInterval(logbook.Interval{Book: logbook.OfWater, Subject: "well", Days: 30}),
			tx.AddCount(ShelfCount{ParcelID: 1, Counted: grams(100), Book: grams(100), HappenedAt: tx.Now, By: "owner"}))
	})
	return s
}

func TestTheSmallBooksAreHistoryToo(t *testing.T) {
	t.Parallel()
	s := smallBooks(t)
	for table, column := range map[string]string{"shelf_count": "counted", "log_entry": "note", "log_interval": "days", "evidence_withdrawn": "reason"} {
		for _, statement := range []string{"update " + table + " set " + column + " = " + column, "delete from " + table, "truncate " + table + " cascade"} {
			_, err := s.db.ExecContext(t.Context(), statement)
			broke(t, err, "history_is_append_only")
		}
	}
	for constraint, statement := range map[string]string{
		"log_entry_fits_its_book":           `insert into log_entry (book, subject, happened_at, by_name, recorded_at, recorded_by) values ('scale', 's', now(), 'x', now(), 1)`,
		"log_entry_book_known":              `insert into log_entry (book, subject, happened_at, by_name, recorded_at, recorded_by) values ('diary', 's', now(), 'x', now(), 1)`,
		"log_interval_days_range":           `insert into log_interval (book, subject, days, set_at, set_by) values ('scale', 's', -1, now(), 1)`,
		"evidence_withdrawn_log_entry_once": `insert into evidence_withdrawn (log_entry_id, reason, by_name, at, recorded_by) values (1, 'x', 'x', now(), 1)`,
		"evidence_withdrawn_of_one_thing":   `insert into evidence_withdrawn (reason, by_name, at, recorded_by) values ('x', 'x', now(), 1)`,
		"shelf_count_not_negative":          `insert into shelf_count (parcel_id, counted, book, by_name, happened_at, recorded_at, recorded_by) values (1, -1, 0, 'x', now(), now(), 1)`,
	} {
		_, err := s.db.ExecContext(t.Context(), statement)
		broke(t, err, constraint)
	}
	s.whole()
}

// A count that says something else than its movement moved is found.
func TestVerifyFindsACountThatIsNotTheLedgers(t *testing.T) {
	t.Parallel()
	s := lawfulShelf(t)
	notKept := errors.New("not kept")
	err := s.InTx(t.Context(), Principal{ID: 1}, func(tx *Tx) error {
		if err := tx.AddCount(ShelfCount{ParcelID: 1, Counted: grams(105), Book: grams(100), MovementID: 2, HappenedAt: tx.Now, By: "owner"}); err != nil {
			return err
		}
		v, err := tx.Verify()
		if err != nil {
			return err
		}
		if len(v.Findings) != 1 || v.Findings[0].Check != "count-is-ledger" || !strings.Contains(v.Findings[0].Text, "M2 moved 7000000") {
			t.Errorf("%+v", v.Findings)
		}
		return notKept
	})
	if !errors.Is(err, notKept) {
		t.Fatal(err)
	}
}

// The year's books are one look at the ledger, however many parcels there are.
func TestTheYearIsOneQuery(t *testing.T) {
	t.Parallel()
	s := lawfulShelf(t)
	it := alumItem()
	it.ID = 1
	for range 20 {
		s.bag(it, grams(3))
	}
	s.do(func(tx *Tx) error {
		before := tx.s.Statements()
		parcels, err := tx.Year(tx.Now.AddDate(-1, 0, 0), tx.Now.Add(time.Hour), "")
		if len(parcels) != 21 || tx.s.Statements() != before+1 {
			t.Errorf("%d parcels in %d statements", len(parcels), tx.s.Statements()-before)
		}
		if y := parcels[0].Year; y.In != grams(100) || y.Counted.N != 0 || y.Book() != grams(100) {
			t.Errorf("a count that was reversed is none: %+v", y)
		}
		return err
	})
}

// Books that were kept before there was a table of counts bring theirs along:
// 100 g in, 93 g counted, 20 g spoilt, 80 g counted and taken back.
func TestOlderCountsAreBroughtAlong(t *testing.T) {
	t.Parallel()
	dsn := trial.Empty(t)
	connector, err := connect(dsn)
	if err != nil {
		t.Fatal(err)
	}
	db := sql.OpenDB(connector)
	p, err := provider(db)
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	if _, err := p.UpTo(t.Context(), 5); err != nil {
		t.Fatal(err)
	}
	const move = `with m as (insert into movement (kind, happened_at, recorded_at, recorded_by, by_name, reverses_id, reverses_kind)
	              values ('%s', now(), now(), 1, 'x', %s) returning id, kind)
	              insert into posting (movement_id, kind, line, parcel_id, from_place, to_place, amount) select m.id, m.kind, 1, 1, %s from m`
	for _, statement := range []string{
		`insert into principal (name, roles, token_sha256, created_at) values ('x', '{owner}', decode(repeat('00', 32), 'hex'), now())`,
		`insert into item (code, name, kind, unit, resolution, created_at) values ('alum', 'alum', 'mordant', 'g', 1, now())`,
		`insert into parcel (item_id, origin, arrived_at, recorded_by, recorded_at) values (1, 'delivery', now(), 1, now())`,
		fmt.Sprintf(move, "delivery", "null, null", "'supplier', 'shelf', 100000000"),
		fmt.Sprintf(move, "count", "null, null", "'shelf', 'difference', 7000000"),
		fmt.Sprintf(move, "write-off", "null, null", "'shelf', 'loss', 20000000"),
		fmt.Sprintf(move, "count", "null, null", "'difference', 'shelf', 7000000"),
		fmt.Sprintf(move, "reversal", "4, 'count'", "'shelf', 'difference', 7000000"),
	} {
		if _, err := db.ExecContext(t.Context(), statement); err != nil {
			t.Fatal(statement, err)
		}
	}
	if err := Migrate(t.Context(), dsn); err != nil {
		t.Fatal(err)
	}
	s, err := Open(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.Read(t.Context(), func(tx *Tx) error {
		last, err := tx.LastCounts([]int64{1})
		if c := last[1]; c.Counted != grams(93) || c.Book != grams(100) || c.MovementID != 2 {
			t.Errorf("%+v", last)
		}
		v, verr := tx.Verify()
		if len(v.Findings) > 0 || v.Counts["counts"] != 2 {
			t.Errorf("%+v", v)
		}
		return errors.Join(err, verr)
	})
	if err != nil {
		t.Fatal(err)
	}
}
