package postgres

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"

	"dyelot/inventory/fault"
)

// unfinishedPrefix marks clusters whose making was interrupted.
const unfinishedPrefix = "unfinished-"

// birth is run once, by PostgreSQL in single-user mode, before the cluster has
// its final name: so either all of this is there, or no cluster is.
var birth = strings.Join([]string{
	"create role " + Role + " login",
	"create database " + Database + " owner " + Role,
}, "\n") + "\n"

// create is rule 2: all is made in a temporary folder, which is renamed once whole.
func create(ctx context.Context, p programs, at place, who account, noSync bool) error {
	if err := sweep(at.state); err != nil {
		return err
	}
	draft, err := os.MkdirTemp(at.state, unfinishedPrefix)
	if err != nil {
		return fmt.Errorf("make a folder for the new cluster: %w", err)
	}
	if err := give(draft, who); err != nil {
		return err
	}
	init := []string{"--pgdata=" + draft, "--username=" + KeeperRole, "--encoding=UTF8", "--locale=C.UTF-8",
		"--data-checksums", "--auth-local=peer", "--auth-host=reject", "--no-instructions"}
	single := []string{"--single", "-D", draft, "-c", "exit_on_error=on"}
	if noSync {
		init = append(init, "--no-sync")
		single = append(single, "-c", "fsync=off")
	}
	if err := run(ctx, draft, who, "", p.initdb, init...); err != nil {
		return err
	}
	if err := run(ctx, draft, who, birth, p.postgres, append(single, "postgres")...); err != nil {
		return err
	}
	if err := os.Rename(draft, at.data); err != nil {
		return fmt.Errorf("give the new cluster its name: %w", err)
	}
	return syncFolder(at.state)
}

// sweep clears what an interrupted making left behind. Nothing in it was ever used.
func sweep(state string) error {
	left, err := filepath.Glob(filepath.Join(state, unfinishedPrefix+"*"))
	if err != nil {
		return err
	}
	for _, dir := range left {
		// An orphaned initdb may still write here and make this fail; it goes
		// with the next making, and the new draft has a name of its own.
		_ = os.RemoveAll(dir)
	}
	return nil
}

// run runs one of PostgreSQL's programs to its end, as the cluster's user.
func run(ctx context.Context, dir string, who account, input, program string, args ...string) error {
	var said bytes.Buffer
	command := exec.CommandContext(ctx, program, args...)
	command.Dir = dir
	command.Env = environment()
	command.Stdin = strings.NewReader(input)
	command.Stdout, command.Stderr = &said, &said
	command.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Credential: who.credential()}
	// A program that is cut short must take its children along, or they hold
	// the output open and this waits for them.
	command.Cancel = func() error { return syscall.Kill(-command.Process.Pid, syscall.SIGKILL) }
	if err := command.Run(); err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return fault.New(fault.Unavailable, "POSTGRES_NOT_STARTED", "%s failed (%v): %s",
			filepath.Base(program), err, lastLines(said.String(), 5))
	}
	return nil
}

// environment is all that PostgreSQL's programs get to see: a PGDATA or PGPORT
// of the caller's must not reach them.
func environment() []string {
	return []string{"PATH=/usr/local/bin:/usr/bin:/bin", "LC_ALL=C.UTF-8", "TZ=UTC"}
}

// syncFolder makes a rename in a folder last through a power cut.
func syncFolder(path string) error {
	dir, err := os.Open(path)
	if err != nil {
		return fmt.Errorf("open %s: %w", path, err)
	}
	defer dir.Close()
	if err := dir.Sync(); err != nil {
		return fmt.Errorf("write %s through to the disk: %w", path, err)
	}
	return nil
}

func lastLines(text string, n int) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	return strings.Join(lines[max(0, len(lines)-n):], "; ")
}
