package trial

import (
	"context"
	"os"
	"testing"
	"time"

	"dyelot/server/postgres"
)

// rootsAccount is whom PostgreSQL runs as when root runs the tests: the user
// that Debian's package makes.
const rootsAccount = "postgres"

// Account is what to put in [postgres.Options].RunAs in a test, whoever runs it.
func Account() string {
	if os.Geteuid() == 0 {
		return rootsAccount
	}
	return ""
}

// Folder makes a folder that is removed at the end of the test and that
// PostgreSQL's user can pass through, which t.TempDir of root is not. Its name
// is short, since a socket path takes 107 bytes.
func Folder(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "dyelot-")
	if err != nil {
		t.Fatalf("make a folder for the test: %v", err)
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Errorf("remove the test's folder: %v", err)
		}
	})
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatalf("open the test's folder for passing through: %v", err)
	}
	return dir
}

// Private starts a cluster for this test alone, as safe as a studio's, and
// stops it at the end. It takes about a second and a half: for tests that
// restart PostgreSQL, and for measuring. All others want [New].
func Private(t testing.TB) *postgres.Cluster {
	t.Helper()
	cluster, err := postgres.Start(t.Context(), postgres.Options{StateDir: Folder(t) + "/state", RunAs: Account()})
	if err != nil {
		t.Fatalf("start a cluster for this test: %v", err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		defer cancel()
		if err := cluster.Stop(ctx); err != nil {
			t.Errorf("stop this test's cluster: %v", err)
		}
	})
	return cluster
}
