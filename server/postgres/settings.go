package postgres

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// settings are given on PostgreSQL's command line, where they win over its
// files: what the service relies on cannot drift, and all the rest can still
// be tuned in postgresql.conf.
func settings(opts Options, at place) [][2]string {
	connections, sync := opts.MaxConnections, "on"
	if connections == 0 {
		connections = DefaultMaxConnections
	}
	if opts.NoSync {
		sync = "off"
	}
	return [][2]string{
		{"listen_addresses", ""}, // no network at all
		{"port", strconv.Itoa(socketPort)},
		{"unix_socket_directories", `"` + strings.ReplaceAll(at.socket, `"`, `""`) + `"`},
		{"unix_socket_permissions", "0700"},
		{"max_connections", strconv.Itoa(connections)},

		{"fsync", sync},
		{"full_page_writes", sync},
		{"synchronous_commit", sync},

		// Statements and rows may hold a customer's name: neither is logged,
		// not even beside an error.
		{"log_statement", "none"},
		{"log_min_duration_statement", "-1"},
		{"log_min_error_statement", "panic"},
		{"log_error_verbosity", "terse"},
		{"log_parameter_max_length_on_error", "0"},
		{"log_checkpoints", "off"},
		{"logging_collector", "off"}, // standard error already is the log file
		{"log_line_prefix", "%m [%p] %e "},

		{"timezone", "UTC"},
		{"log_timezone", "UTC"},
		{"lc_messages", "C"},
		{"default_transaction_isolation", "read committed"},
		{"jit", "off"}, // compiling a plan costs more than any query here takes
	}
}

// accessMap names the map from system users to roles, in both files below.
const accessMap = "studio"

// writeAccess says who may connect: over the socket, by the kernel's word
// (peer), the user that runs the cluster and the root that started it, as
// either role. The files are written anew at each start, since a cluster may
// change hands with its folder.
func writeAccess(at place, who account) error {
	var hba, ident bytes.Buffer
	for _, database := range []string{"all", "replication"} {
		fmt.Fprintf(&hba, "local %s all peer map=%s\n", database, accessMap)
	}
	for _, user := range []string{who.name, who.starter} {
		if user == "" {
			continue
		}
		for _, role := range []string{Role, KeeperRole} {
			fmt.Fprintf(&ident, "%s %q %q\n", accessMap, user, role)
		}
	}
	if err := replace(filepath.Join(at.data, "pg_hba.conf"), hba.Bytes(), who); err != nil {
		return err
	}
	return replace(filepath.Join(at.data, "pg_ident.conf"), ident.Bytes(), who)
}

// replace writes a file whole or not at all.
func replace(path string, content []byte, who account) error {
	draft := path + ".new"
	if err := os.Remove(draft); err != nil && !os.IsNotExist(err) {
		return fmt.Errorf("clear %s: %w", draft, err)
	}
	if err := os.WriteFile(draft, content, 0o600); err != nil {
		return fmt.Errorf("write %s: %w", draft, err)
	}
	if err := give(draft, who); err != nil {
		return err
	}
	if err := os.Rename(draft, path); err != nil {
		return fmt.Errorf("put %s in place: %w", path, err)
	}
	return nil
}
