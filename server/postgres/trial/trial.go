package trial

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"net/url"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	_ "github.com/lib/pq" // the driver of every DSN handed out here

	"dyelot/server/postgres"
)

const (
	clonePrefix    = "trial_"
	templatePrefix = "template_"
	draftPrefix    = "draft_"

	// nameLimit is PostgreSQL's for an identifier (NAMEDATALEN - 1).
	nameLimit = 63

	// dropLimit bounds the cleaning up after a test, whose context has ended.
	dropLimit = 30 * time.Second
)

// Schema is what a template holds. Two schemas with the same Name and Version
// are taken for the same.
type Schema struct {
	Name    string // a short word of lower case letters: "studio"
	Version string // whatever changes when the migrations do, such as a hash of them

	// Migrate fills an empty database that role dyelot owns. It must have
	// closed its connections when it returns.
	Migrate func(ctx context.Context, dsn string) error
}

// New makes a database for this test, cloned from the schema's template, and
// returns its connection URL for role dyelot, its owner. It is dropped at the
// end of the test, with whatever is still connected. Any failure fails the test.
func New(t testing.TB, schema Schema) string {
	t.Helper()
	return forTest(t, func(ctx context.Context, c *cluster) (string, error) {
		return c.template(ctx, schema)
	})
}

// Empty is New with nothing in the database: for testing migrations themselves.
func Empty(t testing.TB) string {
	t.Helper()
	return forTest(t, func(context.Context, *cluster) (string, error) { return "template1", nil })
}

func forTest(t testing.TB, from func(context.Context, *cluster) (string, error)) string {
	t.Helper()
	c, err := theCluster()
	if err != nil {
		t.Fatalf("start the test cluster: %v", err)
	}
	template, err := from(t.Context(), c)
	if err != nil {
		t.Fatalf("make the template database: %v", err)
	}
	name := cloneName(t.Name())
	if err := c.do(t.Context(), fmt.Sprintf("create database %s template %s owner %s", name, template, postgres.Role)); err != nil {
		t.Fatalf("clone the template database: %v", err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), dropLimit)
		defer cancel()
		if err := c.do(ctx, "drop database "+name+" with (force)"); err != nil {
			t.Errorf("drop the test's database: %v", err)
		}
	})
	return c.dsn(postgres.Role, name)
}

// theCluster is joined once for a test process, and used until it ends.
var theCluster = sync.OnceValues(func() (*cluster, error) {
	dir, err := folder()
	if err != nil {
		return nil, err
	}
	return join(dir, linger)
})

// cluster is the shared one as a test process sees it.
type cluster struct {
	keeper *url.URL // the superuser's connection URL, at the maintenance database
	seat   *os.File // this process's hold on it: closing it lets the cluster go

	mu    sync.Mutex
	ready map[string]bool // templates known to be there
}

func (c *cluster) dsn(role, database string) string {
	u := *c.keeper
	u.User, u.Path = url.User(role), "/"+database
	return u.String()
}

// do runs one statement on a connection of its own, so that no test finds a
// goroutine of a pool left over.
func (c *cluster) do(ctx context.Context, statement string) error {
	db, err := sql.Open("postgres", c.keeper.String())
	if err != nil {
		return err
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, statement); err != nil {
		return fmt.Errorf("%s: %w", statement, err)
	}
	return nil
}

// template makes the schema's template where it is missing and returns its name.
func (c *cluster) template(ctx context.Context, schema Schema) (string, error) {
	hash := sha256.Sum256([]byte(schema.Version))
	suffix := plain(schema.Name) + "_" + hex.EncodeToString(hash[:8])
	name := templatePrefix + suffix
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.ready[name] {
		return name, nil
	}
	if err := c.makeTemplate(ctx, name, draftPrefix+suffix, schema.Migrate); err != nil {
		return "", err
	}
	c.ready[name] = true
	return name, nil
}

// makeTemplate holds an advisory lock, so that of all test processes one
// migrates and the others wait for it. The template gets its name last.
func (c *cluster) makeTemplate(ctx context.Context, name, draft string, migrate func(context.Context, string) error) error {
	db, err := sql.Open("postgres", c.keeper.String())
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1) // the lock belongs to the session, and Close ends it
	var there bool
	if _, err := db.ExecContext(ctx, "select pg_advisory_lock(hashtextextended($1, 0))", name); err != nil {
		return fmt.Errorf("wait for the template's lock: %w", err)
	}
	err = db.QueryRowContext(ctx, "select exists (select from pg_database where datname = $1)", name).Scan(&there)
	if err != nil || there {
		return err
	}
	for _, statement := range []string{
		"drop database if exists " + draft + " with (force)", // of a process that was killed here
		"create database " + draft + " owner " + postgres.Role,
	} {
		if _, err := db.ExecContext(ctx, statement); err != nil {
			return fmt.Errorf("%s: %w", statement, err)
		}
	}
	if err := migrate(ctx, c.dsn(postgres.Role, draft)); err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	for _, statement := range []string{
		"alter database " + draft + " with allow_connections false",
		"alter database " + draft + " rename to " + name,
	} {
		if _, err := db.ExecContext(ctx, statement); err != nil {
			return fmt.Errorf("%s (did Migrate close its connections?): %w", statement, err)
		}
	}
	return nil
}

// cloneName holds the test's name, so that a person at psql sees whose it is.
func cloneName(test string) string {
	var unique [6]byte
	_, _ = rand.Read(unique[:]) // never fails, says crypto/rand
	name := clonePrefix + hex.EncodeToString(unique[:]) + "_" + plain(test)
	return name[:min(len(name), nameLimit)]
}

// plain keeps what an identifier takes without quotes.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if (r >= 'a' && r <= 'z') || (r >= '0' && r <= '9') {
			return r
		}
		return '_'
	}, strings.ToLower(s))
}
