package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"dyelot/inventory/fault"
)

//go:embed migrations/*.sql
var migrations embed.FS

// Migrate brings a database up to this program's schema, under a session lock,
// so that several starters apply each step once. A database that is newer than
// the program is not touched: fault.Refused, SCHEMA_NEWER.
func Migrate(ctx context.Context, dsn string) error {
	connector, err := connect(dsn)
	if err != nil {
		return err
	}
	db := sql.OpenDB(connector)
	p, err := provider(db)
	if err != nil {
		return errors.Join(err, db.Close())
	}
	defer p.Close() // closes db as well
	have, newest, err := p.GetVersions(ctx)
	if err != nil {
		return fmt.Errorf("read schema version: %w", err)
	}
	if have > newest {
		return fault.Refuse("SCHEMA_NEWER", "the database has schema %d and this program knows %d: run the newer program; nothing was touched", have, newest)
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	return nil
}

func provider(db *sql.DB) (*goose.Provider, error) {
	steps, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return nil, err
	}
	locker, err := lock.NewPostgresSessionLocker()
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectPostgres, db, steps, goose.WithSessionLocker(locker), goose.WithSlog(slog.New(slog.DiscardHandler)))
}

// SchemaVersion is the number of the last migration that was applied.
func (t *Tx) SchemaVersion() (int64, error) {
	var v int64
	err := t.get(&v, `select max(version_id) from goose_db_version where is_applied`)
	return v, err
}

// SchemaHash names the migrations that this program carries: a template
// database with the same hash can be cloned.
func SchemaHash() string {
	h := sha256.New()
	err := fs.WalkDir(migrations, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := migrations.ReadFile(path)
		h.Write([]byte(path))
		h.Write(b)
		return err
	})
	if err != nil {
		panic(err) // an embedded file system does not fail
	}
	return hex.EncodeToString(h.Sum(nil)[:8])
}
