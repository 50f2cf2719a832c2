package trial

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"go.uber.org/goleak"
)

// jars is a schema with one table; every caller gets a version of its own run.
func jars(version string, migrations *atomic.Int32) Schema {
	return Schema{Name: "jars", Version: version, Migrate: func(ctx context.Context, dsn string) error {
		migrations.Add(1)
		db, err := sql.Open("postgres", dsn)
		if err != nil {
			return err
		}
		defer db.Close()
		_, err = db.ExecContext(ctx, "create table jar (code text primary key); insert into jar values ('P7')")
		return err
	}}
}

func thisRun(t *testing.T) string { return fmt.Sprintf("%s %d", t.Name(), os.Getpid()) }

func query(t testing.TB, dsn, text string) string {
	t.Helper()
	db, err := sql.Open("postgres", dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var answer string
	if err := db.QueryRowContext(t.Context(), text).Scan(&answer); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return answer
}

func TestEachTestHasADatabaseOfItsOwn(t *testing.T) {
	t.Parallel()
	var migrations atomic.Int32
	schema := jars(thisRun(t), &migrations)
	var wait sync.WaitGroup
	dsns := make([]string, 8)
	for i := range dsns {
		wait.Go(func() { dsns[i] = New(t, schema) })
	}
	wait.Wait()
	if n := migrations.Load(); n != 1 {
		t.Errorf("migrated %d times for %d databases, want once", n, len(dsns))
	}
	for i, dsn := range dsns {
		got := query(t, dsn, fmt.Sprintf("insert into jar values ('mine %d') returning (select string_agg(code, ',') from jar)", i))
		if got != "P7" {
			t.Errorf("database %d held %q before its own jar, want P7 alone", i, got)
		}
	}
	if who := query(t, dsns[0], "select current_user || ' ' || current_setting('fsync')"); who != "dyelot off" {
		t.Errorf("role and fsync: %s", who)
	}
}

func TestDatabaseIsDroppedWithItsTest(t *testing.T) {
	t.Parallel()
	var migrations atomic.Int32
	var name string
	t.Run("a test", func(t *testing.T) {
		dsn := New(t, jars(thisRun(t), &migrations))
		name = query(t, dsn, "select current_database()")
		if !strings.Contains(name, "testdatabaseisdropped") {
			t.Errorf("database %s does not tell whose it is", name)
		}
		// A connection that the test forgot does not keep it.
		db, err := sql.Open("postgres", dsn)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = db.Close() })
		if err := db.PingContext(t.Context()); err != nil {
			t.Fatal(err)
		}
	})
	c, err := theCluster()
	if err != nil {
		t.Fatal(err)
	}
	if n := query(t, c.keeper.String(), "select count(*) from pg_database where datname = '"+name+"'"); n != "0" {
		t.Errorf("database %s outlived its test", name)
	}
}

func TestChangedMigrationsMakeANewTemplate(t *testing.T) {
	t.Parallel()
	var migrations atomic.Int32
	for _, version := range []string{"1", "2", "1"} {
		New(t, jars(thisRun(t)+" "+version, &migrations))
	}
	if n := migrations.Load(); n != 2 {
		t.Errorf("migrated %d times for two versions", n)
	}
}

func TestFailedMigrationLeavesNoTemplate(t *testing.T) {
	t.Parallel()
	c, err := theCluster()
	if err != nil {
		t.Fatal(err)
	}
	var migrations atomic.Int32
	schema := jars(thisRun(t), &migrations)
	good := schema.Migrate
	schema.Migrate = func(ctx context.Context, dsn string) error {
		return errors.Join(good(ctx, dsn), errors.New("the last migration is wrong"))
	}
	if _, err := c.template(t.Context(), schema); err == nil || !strings.Contains(err.Error(), "the last migration is wrong") {
		t.Fatalf("a failed migration gave %v", err)
	}
	schema.Migrate = good
	if got := query(t, New(t, schema), "select count(*) from jar"); got != "1" {
		t.Errorf("jars after the migration was mended: %s", got)
	}
}

func TestEmptyIsEmpty(t *testing.T) {
	t.Parallel()
	dsn := Empty(t)
	if n := query(t, dsn, "select count(*) from pg_class where relnamespace = 'public'::regnamespace"); n != "0" {
		t.Errorf("an empty database holds %s relations", n)
	}
	if got := query(t, dsn, "with made as (select 1) select has_schema_privilege('public', 'create') from made"); got != "true" {
		t.Errorf("its owner may make tables: %s", got)
	}
}

// Other tests look for goroutines left over, so this package leaves none.
func TestLeavesNoGoroutine(t *testing.T) {
	before := goleak.IgnoreCurrent()
	t.Run("a test", func(t *testing.T) { Empty(t) })
	goleak.VerifyNone(t, before)
}

func BenchmarkNew(b *testing.B) {
	var migrations atomic.Int32
	schema := jars("benchmark", &migrations)
	for b.Loop() {
		New(b, schema)
	}
}
