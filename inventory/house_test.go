// Package inventory_test holds the arrows of the house: which room may import
// which. It parses the files itself, since "go list" may answer from a cache.
package inventory_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// rules: files below a folder must not import what matches. The first match of
// a folder's list wins, so an exception stands before its rule.
var rules = []struct {
	folder string
	never  *regexp.Regexp
	why    string
}{
	{"inventory", regexp.MustCompile(`^(os|os/.*|net|net/.*|syscall|database/.*|log|log/.*|math/rand|math/rand/v2|crypto/rand|plugin)$`), "inventory does no I/O and draws no lots"},
	{"inventory", regexp.MustCompile(`^dyelot/(proto|server|client)(/|$)`), "inventory knows nobody"},
	{"inventory", regexp.MustCompile(`grpc|sqlx|lib/pq|protobuf|cobra|prometheus`), "inventory is pure"},
	{"server/store", regexp.MustCompile(`^dyelot/(proto|client|server/api|server/access)(/|$)|google\.golang\.org/(grpc|protobuf)`), "store never knows the contract"},
	{"server/api", regexp.MustCompile(`lib/pq|sqlx|^database/sql`), "api never knows a driver"},
	{"server/postgres", regexp.MustCompile(`^dyelot/(proto|client|server/(api|store|access))(/|$)`), "postgres only runs the cluster"},
	{"client", regexp.MustCompile(`^dyelot/server(/|$)|sqlx|lib/pq`), "the client knows the contract alone"},
	{"proto", regexp.MustCompile(`^dyelot/(inventory|server|client)(/|$)`), "the contract knows nothing of ours"},
}

func TestNobodyReachesAgainstTheArrows(t *testing.T) {
	t.Parallel()
	root := ".."
	seen := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel := filepath.ToSlash(strings.TrimPrefix(path, root+string(filepath.Separator)))
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") && d.Name() != ".." || d.Name() == "testdata") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		seen++
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, imp := range file.Imports {
			name, err := strconv.Unquote(imp.Path.Value)
			if err != nil {
				return err
			}
			for _, r := range rules {
				if strings.HasPrefix(rel, r.folder+"/") && r.never.MatchString(name) && !excused(rel, name) {
					t.Errorf("%s imports %s: %s", rel, name, r.why)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 100 {
		t.Fatalf("only %d files were read: the walk went wrong", seen)
	}
}

// excused: packages that exist for tests may open what they test.
func excused(file, name string) bool {
	return strings.HasPrefix(file, "server/api/apitest/") || strings.HasPrefix(file, "server/store/storetest/")
}

// The clock: a rule that asks it cannot be tested for another day.
func TestInventoryAsksNoClock(t *testing.T) {
	t.Parallel()
	asks := regexp.MustCompile(`\btime\.(Now|Since|Until|After|Tick|NewTimer|NewTicker|Sleep)\b`)
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		if m := asks.Find(text); m != nil {
			t.Errorf("%s asks the clock: %s", path, m)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// The top level is fixed by the owner.
func TestTopLevelIsAsFixed(t *testing.T) {
	t.Parallel()
	allowed := map[string]bool{"proto": true, "server": true, "client": true, "inventory": true, "deploy": true,
		"go.mod": true, "go.sum": true, "buf.yaml": true, "README.md": true, "DEVELOPERS.md": true, "LICENSE": true}
	entries, err := os.ReadDir("..")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !allowed[e.Name()] && !strings.HasPrefix(e.Name(), ".") {
			t.Errorf("%s does not belong at the top level", e.Name())
		}
	}
}
