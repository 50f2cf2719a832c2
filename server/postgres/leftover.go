package postgres

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"

	"dyelot/inventory/fault"
)

// leftover is a live process of an earlier run of this cluster.
type leftover struct {
	pid        int
	postmaster bool
}

// leftovers finds them by what cannot be mistaken: the program is postgres and
// it works in the cluster's folder. A zombie has neither program nor folder.
func leftovers(data string) ([]leftover, error) {
	entries, err := os.ReadDir("/proc")
	if err != nil {
		return nil, fmt.Errorf("list the processes: %w", err)
	}
	var found []leftover
	for _, entry := range entries {
		pid, err := strconv.Atoi(entry.Name())
		if err != nil {
			continue
		}
		// Errors here mean that the process has ended or is another user's.
		folder, _ := os.Readlink(filepath.Join("/proc", entry.Name(), "cwd"))
		if folder != data {
			continue
		}
		program, _ := os.Readlink(filepath.Join("/proc", entry.Name(), "exe"))
		if filepath.Base(strings.TrimSuffix(program, " (deleted)")) != "postgres" {
			continue
		}
		line, _ := os.ReadFile(filepath.Join("/proc", entry.Name(), "cmdline"))
		found = append(found, leftover{pid: pid, postmaster: servesFolder(line, data)})
	}
	return found, nil
}

// servesFolder reads a command line as /proc gives it. The postmaster keeps
// the one it was started with; a backend overwrites its own with a title.
func servesFolder(line []byte, data string) bool {
	args := strings.Split(string(bytes.TrimRight(line, "\x00")), "\x00")
	at := slices.Index(args, "-D")
	return at >= 0 && at+1 < len(args) && args[at+1] == data
}

// persuasion is how leftovers are ended: gently first, and harder each time
// that has passed in vain. A backend at work does not notice that its
// postmaster is dead until its statement ends, which may be hours.
var persuasion = []struct {
	after               time.Duration
	postmaster, backend syscall.Signal
}{
	{0, syscall.SIGINT, syscall.SIGTERM}, // fast shutdown; end this session
	{20 * time.Second, syscall.SIGQUIT, syscall.SIGQUIT},
	{40 * time.Second, syscall.SIGKILL, syscall.SIGKILL},
}

// clearLeftovers is rules 3 and 4: an orphaned postmaster is asked to stop and
// takes its backends along; backends without one are asked themselves; all are
// waited for. What is then left of their lock files speaks of the dead, and
// goes: PostgreSQL itself would take a zombie, or a stranger with the same
// number, for the living.
func clearLeftovers(ctx context.Context, at place, log *slog.Logger) error {
	began, steps := time.Now(), map[leftover]int{}
	for {
		named, err := readIfThere(filepath.Join(at.data, "postmaster.pid"))
		if err != nil {
			return err
		}
		found, err := leftovers(at.data)
		if err != nil {
			return err
		}
		if len(found) == 0 {
			return removeLockFiles(at, named)
		}
		if slices.ContainsFunc(found, func(l leftover) bool { return l.postmaster }) {
			found = slices.DeleteFunc(found, func(l leftover) bool { return !l.postmaster })
		}
		for _, l := range found {
			if n := steps[l]; n < len(persuasion) && time.Since(began) >= persuasion[n].after {
				steps[l]++
				if err := l.end(ctx, n, log); err != nil {
					return err
				}
			}
		}
		if err := pause(ctx, 20*time.Millisecond); err != nil {
			return fault.New(fault.Unavailable, "POSTGRES_LEFTOVER",
				"%d processes of an earlier PostgreSQL still hold %s, the first with pid %d", len(found), at.data, found[0].pid)
		}
	}
}

// end sends the signal of one step of persuasion.
func (l leftover) end(ctx context.Context, step int, log *slog.Logger) error {
	signal := persuasion[step].backend
	if l.postmaster {
		signal = persuasion[step].postmaster
	}
	log.WarnContext(ctx, "stopping a PostgreSQL that an earlier process left behind",
		"pid", l.pid, "postmaster", l.postmaster, "signal", signal.String())
	if err := syscall.Kill(l.pid, signal); err != nil && !errors.Is(err, syscall.ESRCH) {
		return fmt.Errorf("stop the PostgreSQL left behind, pid %d: %w", l.pid, err)
	}
	return nil
}

// removeLockFiles removes the lock files of a cluster without any process,
// unless a new postmaster has written its own since named was read. The socket
// folder may serve another cluster: the lock's second line says whose it is.
func removeLockFiles(at place, named []byte) error {
	pidFile := filepath.Join(at.data, "postmaster.pid")
	now, err := readIfThere(pidFile)
	if err != nil || !bytes.Equal(now, named) {
		return err
	}
	if err := removeIfThere(pidFile); err != nil {
		return err
	}
	socketLock := filepath.Join(at.socket, fmt.Sprintf(".s.PGSQL.%d.lock", socketPort))
	held, err := readIfThere(socketLock)
	if err != nil {
		return err
	}
	if lines := strings.Split(string(held), "\n"); len(lines) < 2 || lines[1] != at.data {
		return nil
	}
	return removeIfThere(socketLock)
}

func removeIfThere(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("clear a dead PostgreSQL's lock file: %w", err)
	}
	return nil
}

func readIfThere(path string) ([]byte, error) {
	content, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return content, err
}

// pause waits, or ends early with the context's error.
func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-time.After(d):
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
