package trial

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"dyelot/server/postgres"
)

const (
	keeperEnv = "DYELOT_TRIAL_KEEPER" // the shared folder: this process is its keeper
	lingerEnv = "DYELOT_TRIAL_LINGER"

	readyFD   = 3 // the first of exec.Cmd.ExtraFiles
	readyWord = "ready"

	// layout goes up when clusters made before a change can no longer be used.
	layout = 1

	// templatesKept at a start: those of the last few branches worked on.
	templatesKept = 4

	// connections enough for many packages' tests at once, each with a pool.
	connections = 300
)

// A test binary started by startKeeper turns into the keeper here, before any
// test runs. There is no other way for a package to live longer than the test
// process it is linked into without a second program to build and find.
func init() {
	dir := os.Getenv(keeperEnv)
	if dir == "" {
		return
	}
	if err := keep(dir); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

// keep runs the shared cluster until nobody has used it for a while.
func keep(dir string) error {
	syscall.CloseOnExec(readyFD) // PostgreSQL must not hold the pipe open
	ready := os.NewFile(readyFD, "ready")
	linger, err := time.ParseDuration(os.Getenv(lingerEnv))
	if err != nil {
		return err
	}
	alive, err := lockFile(filepath.Join(dir, aliveFile), syscall.LOCK_EX|syscall.LOCK_NB)
	if err != nil {
		return fmt.Errorf("another keeper is alive: %w", err)
	}
	defer alive.Close() // deferred first, so that it is let go after the cluster has stopped
	ctx, cancel := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer cancel()
	c, err := startCluster(ctx, dir)
	if err != nil {
		return err
	}
	defer stopCluster(c)
	if err := tidy(ctx, c.KeeperDSN()); err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, addressFile), []byte(c.KeeperDSN()+"\n"), 0o600); err != nil {
		return err
	}
	if _, err := ready.WriteString(readyWord); err != nil {
		return fmt.Errorf("say that the cluster is ready: %w", err)
	}
	_ = ready.Close()

	door, err := awaitIdle(ctx, dir, linger, c.Done())
	if err != nil {
		return errors.Join(err, c.Err())
	}
	// Whoever comes now waits at the door, and must find no keeper behind it.
	stopCluster(c)
	_ = alive.Close()
	return door.Close()
}

// awaitIdle returns with the door held once nobody has used the cluster for linger.
func awaitIdle(ctx context.Context, dir string, linger time.Duration, ended <-chan struct{}) (*os.File, error) {
	tick := time.NewTicker(min(linger/4, 500*time.Millisecond))
	defer tick.Stop()
	idle := time.Now()
	for {
		select {
		case <-ended:
			return nil, errors.New("PostgreSQL has ended")
		case <-ctx.Done():
			return nil, errors.New("told to stop")
		case <-tick.C:
		}
		if used(dir) {
			idle = time.Now()
			continue
		}
		if time.Since(idle) < linger {
			continue
		}
		door, err := lockFile(filepath.Join(dir, doorFile), syscall.LOCK_EX|syscall.LOCK_NB)
		if err != nil {
			continue // somebody is coming in
		}
		if !used(dir) {
			return door, nil
		}
		_ = door.Close()
	}
}

// used tells whether any process holds the cluster in use.
func used(dir string) bool {
	using, err := lockFile(filepath.Join(dir, usingFile), syscall.LOCK_EX|syscall.LOCK_NB)
	if err != nil {
		return true
	}
	_ = using.Close()
	return false
}

// startCluster starts the cluster that an earlier keeper left, or a new one.
// Without fsync its data is worth nothing after the machine stopped, so the
// folder is named for the machine's boot; and whatever else stops it from
// starting, a new one is as good.
func startCluster(ctx context.Context, dir string) (*postgres.Cluster, error) {
	boot, err := os.ReadFile("/proc/sys/kernel/random/boot_id")
	if err != nil {
		return nil, err
	}
	state := filepath.Join(dir, fmt.Sprintf("state-%d-%.8s", layout, strings.TrimSpace(string(boot))))
	others, err := filepath.Glob(filepath.Join(dir, "state-*"))
	if err != nil {
		return nil, err
	}
	for _, other := range others {
		if other != state {
			_ = os.RemoveAll(other) // what stays is in nobody's way
		}
	}
	opts := postgres.Options{
		StateDir: state, SocketDir: filepath.Join(dir, "socket"), RunAs: Account(),
		NoSync: true, MaxConnections: connections,
		Logger: slog.New(slog.NewTextHandler(os.Stderr, nil)),
	}
	c, err := postgres.Start(ctx, opts)
	if err == nil || ctx.Err() != nil {
		return c, err
	}
	if _, missing := os.Stat(filepath.Join(state, "postgres")); missing != nil {
		return nil, err // it was being made, and a second try would end alike
	}
	slog.Warn("the test cluster is made anew", "since", err)
	if err := os.RemoveAll(state); err != nil {
		return nil, err
	}
	return postgres.Start(ctx, opts)
}

func stopCluster(c *postgres.Cluster) {
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if err := c.Stop(ctx); err != nil {
		slog.Error("stop the test cluster", "err", err)
	}
}

// tidy drops what killed test processes left, and templates long out of use.
// It runs before anybody is let in.
func tidy(ctx context.Context, dsn string) error {
	db, err := sql.Open("postgres", dsn)
	if err != nil {
		return err
	}
	defer db.Close()
	rows, err := db.QueryContext(ctx, `
		select datname from pg_database where starts_with(datname, $1) or starts_with(datname, $2)
		union all
		(select datname from pg_database where starts_with(datname, $3) order by oid desc offset $4)`,
		clonePrefix, draftPrefix, templatePrefix, templatesKept)
	if err != nil {
		return fmt.Errorf("list old test databases: %w", err)
	}
	defer rows.Close()
	var old []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return err
		}
		old = append(old, name)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for _, name := range old {
		if _, err := db.ExecContext(ctx, "drop database "+name+" with (force)"); err != nil {
			return fmt.Errorf("drop an old test database: %w", err)
		}
	}
	return nil
}
