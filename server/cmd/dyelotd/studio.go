package main

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/server/postgres"
	"dyelot/server/store"
)

// studio is an open studio: its database, private or not, brought up to date.
type studio struct {
	store   *store.Store
	cluster *postgres.Cluster // nil when the database is somebody else's
	dsn     string
}

// stopPostgres: what PostgreSQL gets to write its last checkpoint.
const stopPostgres = 30 * time.Second

// openDatabase starts the private cluster, or takes the address given.
func openDatabase(ctx context.Context, c config, log *slog.Logger) (*postgres.Cluster, string, error) {
	if c.DatabaseURL != "" {
		return nil, c.DatabaseURL, nil
	}
	cluster, err := postgres.Start(ctx, postgres.Options{StateDir: c.StateDir, SocketDir: c.SocketDir, RunAs: c.RunAs, Logger: log})
	if err != nil {
		return nil, "", err
	}
	return cluster, cluster.DSN(), nil
}

func openStudio(ctx context.Context, c config, log *slog.Logger) (*studio, error) {
	cluster, dsn, err := openDatabase(ctx, c, log)
	if err != nil {
		return nil, err
	}
	st := &studio{cluster: cluster, dsn: dsn}
	if err := store.Migrate(ctx, dsn); err != nil {
		return nil, errors.Join(err, st.close())
	}
	if st.store, err = store.Open(ctx, dsn); err != nil {
		return nil, errors.Join(err, st.close())
	}
	if err := st.store.SeedHouse(ctx, fastness.Seed()); err != nil {
		return nil, errors.Join(err, st.close())
	}
	return st, nil
}

func (st *studio) close() error {
	var errs []error
	if st.store != nil {
		errs = append(errs, st.store.Close())
	}
	if st.cluster != nil {
		ctx, cancel := context.WithTimeout(context.Background(), stopPostgres)
		defer cancel()
		errs = append(errs, st.cluster.Stop(ctx))
	}
	return errors.Join(errs...)
}

// ended is closed when a private PostgreSQL ended by itself.
func (st *studio) ended() <-chan struct{} {
	if st.cluster == nil {
		return nil
	}
	return st.cluster.Done()
}

// ownerToken gives the owner a token where there is none, or a new one when
// replace is set. It writes it into the state folder, readable by the owner of
// the machine alone; where there is no state folder it is printed once.
func (st *studio) ownerToken(ctx context.Context, c config, replace bool, out io.Writer) error {
	var made string
	err := st.store.InTx(ctx, store.Principal{}, func(tx *store.Tx) error {
		has, err := tx.HasOwner()
		if err != nil || has && !replace {
			return err
		}
		made = newToken()
		sum := sha256.Sum256([]byte(made))
		if err := tx.ReplaceOwner(sum[:]); err != nil {
			return err
		}
		if c.DatabaseURL != "" {
			return nil
		}
		// Inside the transaction: a token that could not be written is not kept.
		return writeSecret(filepath.Join(c.StateDir, "owner-token"), made)
	})
	switch {
	case err != nil || made == "":
		return err
	case c.DatabaseURL != "":
		fmt.Fprintf(out, "The owner's token, shown this once: %s\n", made)
	default:
		fmt.Fprintf(out, "The owner's token is in %s\n", filepath.Join(c.StateDir, "owner-token"))
	}
	return nil
}

func newToken() string {
	var b [20]byte
	rand.Read(b[:]) // never fails
	return "dl-" + strings.ToLower(base32.StdEncoding.EncodeToString(b[:]))
}

func writeSecret(path, text string) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".owner-token-*") // 0600
	if err != nil {
		return err
	}
	_, err = f.WriteString(text + "\n")
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return os.Rename(f.Name(), path)
}

func newLog(level string) (*slog.Logger, error) {
	var l slog.Level
	if err := l.UnmarshalText([]byte(level)); err != nil {
		return nil, fault.BadField("log-level", "%q is not debug, info, warn or error", level)
	}
	return slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: l})), nil
}
