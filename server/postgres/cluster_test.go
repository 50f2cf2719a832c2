package postgres_test

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	_ "github.com/lib/pq"

	"dyelot/inventory/fault"
	"dyelot/server/postgres"
	"dyelot/server/postgres/trial"
)

// studio is the options of a cluster in a folder of the test's own.
func studio(t *testing.T) postgres.Options {
	t.Helper()
	return postgres.Options{StateDir: filepath.Join(trial.Folder(t), "state"), RunAs: trial.Account()}
}

func start(t *testing.T, opts postgres.Options) *postgres.Cluster {
	t.Helper()
	c, err := postgres.Start(t.Context(), opts)
	if err != nil {
		t.Fatalf("start: %v", err)
	}
	t.Cleanup(func() { stop(t, c) })
	return c
}

// shared is one cluster for the tests that change nothing of it.
var shared struct {
	once   sync.Once
	parent string
	opts   postgres.Options
	*postgres.Cluster
	err error
}

func sharedStudio(t *testing.T) (*postgres.Cluster, postgres.Options) {
	t.Helper()
	shared.once.Do(func() {
		if shared.parent, shared.err = os.MkdirTemp("", "dyelot-"); shared.err != nil {
			return
		}
		if shared.err = os.Chmod(shared.parent, 0o711); shared.err != nil {
			return
		}
		shared.opts = postgres.Options{
			StateDir:  filepath.Join(shared.parent, "state"),
			SocketDir: filepath.Join(shared.parent, "socket"),
			RunAs:     trial.Account(),
		}
		shared.Cluster, shared.err = postgres.Start(context.Background(), shared.opts)
	})
	if shared.err != nil {
		t.Fatalf("start the shared cluster: %v", shared.err)
	}
	return shared.Cluster, shared.opts
}

// stopShared is called by TestMain when every test has ended.
func stopShared() error {
	if shared.parent == "" {
		return nil
	}
	defer os.RemoveAll(shared.parent)
	if shared.Cluster == nil {
		return nil
	}
	return shared.Stop(context.Background())
}

func stop(t *testing.T, c *postgres.Cluster) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	if err := c.Stop(ctx); err != nil {
		t.Errorf("stop: %v", err)
	}
}

func open(t *testing.T, dsn string) *sql.DB {
	t.Helper()
	db, err := sql.Open("postgres", dsn)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	return db
}

func exec1(t *testing.T, dsn, statement string) {
	t.Helper()
	db := open(t, dsn)
	defer db.Close()
	if _, err := db.ExecContext(t.Context(), statement); err != nil {
		t.Fatalf("%s: %v", statement, err)
	}
}

func ask(t *testing.T, dsn, query string) string {
	t.Helper()
	db := open(t, dsn)
	defer db.Close()
	var answer string
	if err := db.QueryRowContext(t.Context(), query).Scan(&answer); err != nil {
		t.Fatalf("%s: %v", query, err)
	}
	return answer
}

func wantReason(t *testing.T, err error, reason string, words ...string) {
	t.Helper()
	f, ok := fault.Of(err)
	if !ok || f.Reason != reason {
		t.Fatalf("got %v, want a fault with reason %s", err, reason)
	}
	for _, w := range words {
		if !strings.Contains(f.Say, w) {
			t.Errorf("the sentence %q does not say %q", f.Say, w)
		}
	}
}

// The expected values are the design's own (section 5): a studio's ledger
// survives a power cut, and nothing of it is reached over a network.
func TestStudioClusterIsSafeAndPrivate(t *testing.T) {
	t.Parallel()
	c, _ := sharedStudio(t)
	want := map[string]string{
		"fsync": "on", "full_page_writes": "on", "synchronous_commit": "on", "data_checksums": "on",
		"listen_addresses": "", "unix_socket_permissions": "0700", "max_connections": "64",
		"server_encoding": "UTF8", "timezone": "UTC", "log_statement": "none",
		"log_error_verbosity": "terse", "transaction_isolation": "read committed",
	}
	got := map[string]string{}
	for name := range want {
		got[name] = ask(t, c.DSN(), "show "+name)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("settings (-want +got):\n%s", diff)
	}
	who := ask(t, c.DSN(), `select concat_ws(' ', current_user, current_database(), pg_get_userbyid(datdba), datcollate, rolsuper)
		from pg_database, pg_roles where datname = current_database() and rolname = current_user`)
	if who != "dyelot dyelot dyelot C.UTF-8 f" {
		t.Errorf("role, database, owner, collation, superuser = %q", who)
	}
	if super := ask(t, c.KeeperDSN(), "select rolsuper from pg_roles where rolname = current_user"); super != "true" {
		t.Errorf("keeper is superuser: %s", super)
	}
}

func TestAnotherUserIsNotLetIn(t *testing.T) {
	t.Parallel()
	c, opts := sharedStudio(t)
	for _, dir := range []string{opts.StateDir, filepath.Join(opts.StateDir, "postgres"), opts.SocketDir} {
		if info, err := os.Stat(dir); err != nil || info.Mode().Perm() != 0o700 {
			t.Errorf("%s may be entered by others: %v, %v", dir, info.Mode(), err)
		}
	}
	if os.Geteuid() != 0 {
		return // only root can become another user; for a person the modes are the proof
	}
	// A copy of the socket's address in an open folder leads to the same
	// socket: past the folder, the socket and then peer say no.
	door := filepath.Join(trial.Folder(t), "door")
	if err := os.Mkdir(door, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Link(filepath.Join(opts.SocketDir, ".s.PGSQL.5432"), filepath.Join(door, ".s.PGSQL.5432")); err != nil {
		t.Fatal(err)
	}
	for mode, says := range map[os.FileMode]string{0o700: "Permission denied", 0o777: "Peer authentication failed"} {
		if err := os.Chmod(filepath.Join(door, ".s.PGSQL.5432"), mode); err != nil {
			t.Fatal(err)
		}
		psql := exec.CommandContext(t.Context(), "setpriv", "--reuid=nobody", "--regid=nogroup", "--clear-groups",
			"psql", "-X", "-w", strings.ReplaceAll(c.DSN(), url.QueryEscape(opts.SocketDir), url.QueryEscape(door)), "-c", "select 1")
		psql.Dir, psql.Env = "/", append(os.Environ(), "LC_ALL=C")
		if said, err := psql.CombinedOutput(); err == nil || !strings.Contains(string(said), says) {
			t.Errorf("with mode %v, nobody was told %q (%v), want %q", mode, said, err, says)
		}
	}
}

func TestRestartKeepsWhatWasWritten(t *testing.T) {
	t.Parallel()
	opts := studio(t)
	c := start(t, opts)
	exec1(t, c.DSN(), "create table jar (code text primary key, on_hand bigint); insert into jar values ('P7', 100)")
	stop(t, c)
	select {
	case <-c.Done():
	default:
		t.Error("Done is not closed after Stop")
	}
	if err := c.Err(); err != nil {
		t.Errorf("Err after Stop: %v", err)
	}
	stop(t, c) // twice is fine

	again := start(t, opts)
	if got := ask(t, again.DSN(), "select on_hand from jar where code = 'P7'"); got != "100" {
		t.Errorf("on hand after a restart: %s, want 100", got)
	}
}

func TestStopRollsBackWhatIsOpenAndWhoSleeps(t *testing.T) {
	t.Parallel()
	opts := studio(t)
	opts.NoSync = true
	c := start(t, opts)
	if got := ask(t, c.DSN(), "show fsync"); got != "off" {
		t.Errorf("fsync with NoSync: %s", got)
	}
	tx, err := open(t, c.DSN()).BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.ExecContext(t.Context(), "create table half (n int)"); err != nil {
		t.Fatal(err)
	}
	began := time.Now()
	stop(t, c)
	if took := time.Since(began); took > 5*time.Second {
		t.Errorf("stopping beside an open transaction took %v", took)
	}
	again := start(t, opts)
	if got := ask(t, again.DSN(), "select count(*) from pg_tables where tablename = 'half'"); got != "0" {
		t.Errorf("an open transaction was kept by Stop")
	}
}

func TestSecondStarterIsRefused(t *testing.T) {
	t.Parallel()
	c, opts := sharedStudio(t)
	_, err := postgres.Start(t.Context(), opts)
	wantReason(t, err, "STATE_IN_USE", opts.StateDir, fmt.Sprintf("pid %d", os.Getpid()))
	if got := ask(t, c.DSN(), "select 1"); got != "1" {
		t.Errorf("the first cluster no longer answers")
	}
}

// A socket folder may be shared by mistake. The second cluster must not take
// the first one's socket away.
func TestSharedSocketFolderLeavesTheFirstAlone(t *testing.T) {
	t.Parallel()
	c, first := sharedStudio(t)
	second := studio(t)
	second.NoSync, second.SocketDir = true, first.SocketDir
	_, err := postgres.Start(t.Context(), second)
	wantReason(t, err, "POSTGRES_NOT_STARTED", "lock file")
	if got := ask(t, c.DSN(), "select 1"); got != "1" {
		t.Errorf("the first cluster no longer answers")
	}
}

func TestFoldersAreCheckedFirst(t *testing.T) {
	t.Parallel()
	open := filepath.Join(trial.Folder(t), "open")
	if err := os.MkdirAll(filepath.Join(open, "something"), 0o755); err != nil {
		t.Fatal(err)
	}
	foreign := filepath.Join(trial.Folder(t), "state")
	if err := os.MkdirAll(foreign, 0o755); err != nil {
		t.Fatal(err)
	}
	base := trial.Folder(t)
	long := filepath.Join(base, strings.Repeat("s", 107-len(base)-len("//.s.PGSQL.5432")+1))
	tests := []struct {
		name, state, socket, reason string
		words                       []string
	}{
		{"relative state", "state", "", "INVALID_FIELD", []string{"absolute"}},
		{"relative socket", filepath.Join(base, "a"), "socket", "INVALID_FIELD", []string{"absolute"}},
		{"open folder with something in it", open, "", "STATE_OPEN", []string{"0755", "700"}},
		{"socket path one byte too long", filepath.Join(base, "b"), long, "SOCKET_PATH_LONG", []string{"108 bytes", "107"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, err := postgres.Start(t.Context(), postgres.Options{StateDir: test.state, SocketDir: test.socket, RunAs: trial.Account()})
			wantReason(t, err, test.reason, test.words...)
		})
	}
	if info, err := os.Stat(open); err != nil || info.Mode().Perm() != 0o755 {
		t.Errorf("the refused folder was changed: %v, %v", info.Mode(), err)
	}
}

func TestNobodyServesAsRoot(t *testing.T) {
	t.Parallel()
	opts := studio(t)
	if os.Geteuid() == 0 {
		opts.RunAs = ""
		_, err := postgres.Start(t.Context(), opts)
		wantReason(t, err, "ROOT_REFUSED")
		opts.RunAs = "root"
		_, err = postgres.Start(t.Context(), opts)
		wantReason(t, err, "ROOT_REFUSED")
	} else {
		opts.RunAs = "root"
		_, err := postgres.Start(t.Context(), opts)
		wantReason(t, err, "RUN_AS_REFUSED")
	}
	opts.RunAs = "no-such-dyer"
	_, err := postgres.Start(t.Context(), opts)
	wantReason(t, err, "RUN_AS_REFUSED", "no-such-dyer")
}
