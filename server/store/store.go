// Package store holds all the SQL of the house: one file a subject, every
// statement a text that a person can run. It knows the rules' types from
// inventory and nothing of the contract.
//
// There is one way in: InTx for what changes the books, Read for what looks at
// them. Inside, a *Tx loads, locks and writes in small steps; a pure rule of
// inventory decides between them. Rows are locked in one order: lot, then
// balances by parcel id.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jmoiron/sqlx"
	"github.com/lib/pq"
	"github.com/lib/pq/pqerror"

	"dyelot/inventory/fault"
)

// Store is the database of one studio.
type Store struct {
	db *sqlx.DB
	// now is the one clock of the house; tests may set another.
	now func() time.Time
	// statements counts round trips, for the benchmark and the test against
	// one statement a row.
	statements atomic.Int64
	// places bounds the transactions under way, so that a connection is always
	// left over to prepare a statement on.
	places   chan struct{}
	prepared sync.Map // query text → *sqlx.Stmt
	prepare  sync.Mutex
}

const (
	// poolSize: the commit is the limit, not the callers; more connections than
	// this did not record faster on two cores.
	poolSize = 8
	// spareConns are for tokens and for preparing statements.
	spareConns = 2
)

// Open connects to a database that Migrate has brought up to date.
func Open(ctx context.Context, dsn string) (*Store, error) {
	connector, err := connect(dsn)
	if err != nil {
		return nil, err
	}
	db := sqlx.NewDb(sql.OpenDB(connector), "postgres")
	if err := db.PingContext(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("open database: %w", err), db.Close())
	}
	db.SetMaxOpenConns(poolSize + spareConns)
	db.SetMaxIdleConns(poolSize + spareConns)
	return &Store{db: db, now: time.Now, places: make(chan struct{}, poolSize)}, nil
}

// connect adds to a DSN what every connection of ours has: bounded statements
// and locks, no compiling of plans that run for milliseconds, and a short wait
// for a host that is gone.
func connect(dsn string) (*pq.Connector, error) {
	cfg, err := pq.NewConfig(dsn)
	if err != nil {
		return nil, fmt.Errorf("read database address: %w", err)
	}
	if cfg.Runtime == nil {
		cfg.Runtime = map[string]string{}
	}
	for name, value := range map[string]string{"statement_timeout": statementTimeout, "lock_timeout": lockTimeout, "timezone": "UTC", "jit": "off"} {
		if _, set := cfg.Runtime[name]; !set {
			cfg.Runtime[name] = value
		}
	}
	if cfg.ConnectTimeout == 0 {
		cfg.ConnectTimeout = 2 * time.Second
	}
	return pq.NewConnectorConfig(cfg)
}

// Close gives every connection back.
func (s *Store) Close() error { return s.db.Close() }

// Ping says whether the database answers.
func (s *Store) Ping(ctx context.Context) error { return s.db.PingContext(ctx) }

// Stats of the pool, for the metrics.
func (s *Store) Stats() sql.DBStats { return s.db.Stats() }

// Statements is how many statements were sent so far, begin and commit
// included.
func (s *Store) Statements() int64 { return s.statements.Load() }

// Tx is one transaction. Its clock stands still: Now is one instant, UTC, cut
// to the microsecond, for all that is written in it.
type Tx struct {
	tx  *sqlx.Tx
	s   *Store
	ctx context.Context
	// Now is when this is recorded.
	Now time.Time
	// By is who records it; the zero Principal in a read outside any call.
	By Principal
}

const (
	maxTries = 5 // of a transaction that another one got in the way of
	// statementTimeout bounds each statement, since a commit is not cancelled
	// with its caller: it could return as done and not be replicated.
	statementTimeout = "15s"
	lockTimeout      = "5s"
)

// InTx runs fn in a read-write transaction and commits it. fn runs again, from
// the start and at most five times, when the database reports a serialisation
// failure or a deadlock (40001, 40P01), so it must not change anything outside
// its Tx. Errors: what fn returned; fault.Conflict when five tries were not
// enough; a constraint's own fault (see faults.go).
func (s *Store) InTx(ctx context.Context, by Principal, fn func(*Tx) error) error {
	for try := 1; ; try++ {
		err := s.once(ctx, by, nil, fn)
		if !retryable(err) {
			return explain(err)
		}
		if try == maxTries {
			return fault.New(fault.Conflict, "TOO_BUSY", "others were writing to the same rows each time, in %d tries: try again", maxTries)
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(time.Duration(try) * time.Duration(5+rand.IntN(20)) * time.Millisecond):
		}
	}
}

// Read runs fn in a read-only snapshot, so that what it loads in several
// statements belongs together.
func (s *Store) Read(ctx context.Context, fn func(*Tx) error) error {
	return explain(s.once(ctx, Principal{}, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true}, fn))
}

func (s *Store) once(ctx context.Context, by Principal, opts *sql.TxOptions, fn func(*Tx) error) (err error) {
	if err := ctx.Err(); err != nil {
		return err
	}
	select {
	case s.places <- struct{}{}:
		defer func() { <-s.places }()
	case <-ctx.Done():
		return ctx.Err()
	}
	whole := ctx
	if opts == nil {
		whole = context.WithoutCancel(ctx)
	}
	tx, err := s.db.BeginTxx(whole, opts)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = tx.Rollback() // the error that led here says more
		}
	}()
	s.statements.Add(2) // begin, and commit or rollback
	t := &Tx{tx: tx, s: s, ctx: whole, Now: s.now().UTC().Truncate(time.Microsecond), By: by}
	if err := fn(t); err != nil {
		return err
	}
	return tx.Commit()
}

// retryable: PostgreSQL 13.5 says to retry the whole transaction on these two.
func retryable(err error) bool {
	var e *pq.Error
	return errors.As(err, &e) && (e.Code == pqerror.TRSerializationFailure || e.Code == pqerror.TRDeadlockDetected)
}

// statement prepares a query once for the whole process; database/sql prepares
// it again on each connection that meets it. Queries are constants, so there is
// a bounded number of them; each then costs one round trip and no planning. The
// first preparing happens on a connection of its own, so no transaction here
// may hold a lock on a whole table.
func (s *Store) statement(ctx context.Context, query string) (*sqlx.Stmt, error) {
	if st, ok := s.prepared.Load(query); ok {
		return st.(*sqlx.Stmt), nil
	}
	s.prepare.Lock()
	defer s.prepare.Unlock()
	if st, ok := s.prepared.Load(query); ok {
		return st.(*sqlx.Stmt), nil
	}
	st, err := s.db.PreparexContext(ctx, query)
	if err != nil {
		return nil, err
	}
	s.prepared.Store(query, st)
	return st, nil
}

func (t *Tx) statement(query string) (*sqlx.Stmt, error) {
	st, err := t.s.statement(t.ctx, query)
	if err != nil {
		return nil, err
	}
	t.s.statements.Add(1)
	return t.tx.StmtxContext(t.ctx, st), nil
}

func (t *Tx) get(dest any, query string, args ...any) error {
	st, err := t.statement(query)
	if err != nil {
		return err
	}
	return st.GetContext(t.ctx, dest, args...)
}

func (t *Tx) list(dest any, query string, args ...any) error {
	st, err := t.statement(query)
	if err != nil {
		return err
	}
	return st.SelectContext(t.ctx, dest, args...)
}

func (t *Tx) exec(query string, args ...any) error {
	st, err := t.statement(query)
	if err != nil {
		return err
	}
	_, err = st.ExecContext(t.ctx, args...)
	return err
}

// missing turns "no rows" into a fault that names what was looked for.
func missing(err error, what, code string) error {
	if errors.Is(err, sql.ErrNoRows) {
		return fault.Missing(what, code)
	}
	return err
}

// orNoRows is err, or "no rows" where a list came back empty without one.
func orNoRows(err error) error {
	if err == nil {
		return sql.ErrNoRows
	}
	return err
}
