package postgres

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"dyelot/inventory/fault"
)

const (
	// programsRoot is where Debian puts each major version's programs.
	programsRoot = "/usr/lib/postgresql"

	// oldestMajor is Debian 12's, and the oldest that the tests run on.
	oldestMajor = 15
)

// programs are one major version's own.
type programs struct {
	major            int
	initdb, postgres string
}

// findPrograms looks below root for the programs of one major version, or,
// where major is 0, for the newest that is new enough.
func findPrograms(root string, major int) (programs, error) {
	found, err := filepath.Glob(filepath.Join(root, "*", "bin", "postgres"))
	if err != nil {
		return programs{}, err
	}
	var best programs
	for _, path := range found {
		bin := filepath.Dir(path)
		n, err := strconv.Atoi(filepath.Base(filepath.Dir(bin)))
		if err != nil || n < oldestMajor || n <= best.major || (major != 0 && n != major) {
			continue
		}
		best = programs{major: n, initdb: filepath.Join(bin, "initdb"), postgres: path}
	}
	switch {
	case best.major != 0:
		return best, nil
	case major != 0:
		return programs{}, fault.Refuse("POSTGRES_MISSING", "the cluster was made by PostgreSQL %d, whose programs are not below %s: install postgresql-%d", major, root, major)
	default:
		return programs{}, fault.Refuse("POSTGRES_MISSING", "PostgreSQL %d or later is not below %s: install Debian's package postgresql", oldestMajor, root)
	}
}

// madeBy reads which major version made the cluster in data; 0 means that
// there is none yet.
func madeBy(data string) (int, error) {
	text, err := os.ReadFile(filepath.Join(data, "PG_VERSION"))
	if errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Lstat(data); err == nil {
			return 0, fault.Refuse("STATE_FOREIGN", "%s exists and is no PostgreSQL cluster: move it away or name another state folder", data)
		}
		return 0, nil
	}
	if err != nil {
		return 0, fmt.Errorf("read the cluster's version: %w", err)
	}
	major, err := strconv.Atoi(strings.TrimSpace(string(text)))
	if err != nil {
		return 0, fault.Refuse("STATE_FOREIGN", "%s names no PostgreSQL version", filepath.Join(data, "PG_VERSION"))
	}
	return major, nil
}
