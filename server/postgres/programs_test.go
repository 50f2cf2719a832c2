package postgres

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dyelot/inventory/fault"
)

func TestNewestProgramsAreFound(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name      string
		installed []string
		made      int // the major version of an existing cluster
		want      int
		say       string
	}{
		{name: "the newest of several, by number and not by text", installed: []string{"9.6", "15", "100", "17"}, want: 100},
		{name: "a cluster keeps its own version", installed: []string{"15", "17"}, made: 15, want: 15},
		{name: "too old alone", installed: []string{"9.6", "14"}, say: "PostgreSQL 15 or later"},
		{name: "nothing installed", say: "package postgresql"},
		{name: "the cluster's own version is gone", installed: []string{"17"}, made: 15, say: "postgresql-15"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			root := t.TempDir()
			for _, version := range test.installed {
				bin := filepath.Join(root, version, "bin")
				if err := os.MkdirAll(bin, 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(filepath.Join(bin, "postgres"), nil, 0o755); err != nil {
					t.Fatal(err)
				}
			}
			got, err := findPrograms(root, test.made)
			if got.major != test.want {
				t.Errorf("major %d, want %d", got.major, test.want)
			}
			f, refused := fault.Of(err)
			if refused != (test.say != "") || (refused && (f.Reason != "POSTGRES_MISSING" || !strings.Contains(f.Say, test.say))) {
				t.Errorf("error %v, want one that says %q", err, test.say)
			}
		})
	}
}

func TestReadyIsReadAsPgCtlReadsIt(t *testing.T) {
	t.Parallel()
	const file = "42\n/state/postgres\n1760000000\n5432\n/state/socket\n\n  5432001         0\n%s\n"
	tests := []struct {
		name, status string
		want         bool
	}{
		{"ready", strings.Replace(file, "%s", "ready   ", 1), true},
		{"still recovering", strings.Replace(file, "%s", "starting", 1), false},
		{"stopping", strings.Replace(file, "%s", "stopping", 1), false},
		{"half written", "42\n/state/postgres\n", false},
		{"another postmaster's", strings.Replace(strings.Replace(file, "42", "43", 1), "%s", "ready   ", 1), false},
		{"absent", "", false},
	}
	for _, test := range tests {
		if got := saysReady([]byte(test.status), 42); got != test.want {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

func TestPostmasterIsToldByItsCommandLine(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name, line string
		want       bool
	}{
		{"the postmaster", "/usr/lib/postgresql/15/bin/postgres\x00-D\x00/state/postgres\x00-c\x00port=5432\x00", true},
		{"a backend under its title", "postgres: dyelot dyelot [local] SELECT\x00\x00\x00", false},
		{"the postmaster of a folder whose name begins alike", "postgres\x00-D\x00/state/postgres2\x00", false},
		{"a zombie", "", false},
		{"a cut line", "postgres\x00-D\x00", false},
	}
	for _, test := range tests {
		if got := servesFolder([]byte(test.line), "/state/postgres"); got != test.want {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}
