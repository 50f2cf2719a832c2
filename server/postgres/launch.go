package postgres

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"dyelot/inventory/fault"
)

// logKept is the size at which the log is put aside at a start, so that two
// files of about this size are all that it ever takes.
const logKept = 8 << 20

// errEndedEarly says that the postmaster ended before it was ready.
var errEndedEarly = errors.New("PostgreSQL ended before it was ready")

// launch is rule 5: leftovers are cleared and PostgreSQL is started, again and
// again for a minute while a lock file tells of an earlier run. Where there is
// none, the cause is another and will not pass: one failure is enough.
func (c *Cluster) launch(ctx context.Context, p programs, who account, set [][2]string) error {
	ctx, cancel := context.WithTimeout(ctx, startLimit)
	defer cancel()
	for {
		if err := clearLeftovers(ctx, c.place, c.log); err != nil {
			return err
		}
		err := c.attempt(ctx, p, who, set)
		if !errors.Is(err, errEndedEarly) {
			return err
		}
		lockFile, readErr := readIfThere(filepath.Join(c.place.data, "postmaster.pid"))
		if readErr != nil {
			return readErr
		}
		if lockFile == nil || pause(ctx, 200*time.Millisecond) != nil {
			said, _ := os.ReadFile(c.place.logFile)
			return fault.New(fault.Unavailable, "POSTGRES_NOT_STARTED", "PostgreSQL did not start (%s): %s",
				ending(c.exit), lastLines(string(said), 3))
		}
	}
}

// attempt starts a postmaster and waits until it is ready or has ended.
func (c *Cluster) attempt(ctx context.Context, p programs, who account, set [][2]string) error {
	logFile, err := openLog(c.place.logFile, who)
	if err != nil {
		return err
	}
	defer logFile.Close() // the postmaster has its own copy
	args := []string{"-D", c.place.data}
	for _, s := range set {
		args = append(args, "-c", s[0]+"="+s[1])
	}
	command := exec.Command(p.postgres, args...)
	command.Dir = c.place.data // so that it is known by its folder from the first moment
	command.Env = environment()
	command.Stdout, command.Stderr = logFile, logFile
	command.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Credential: who.credential()}
	if err := command.Start(); err != nil {
		return fmt.Errorf("start PostgreSQL: %w", err)
	}
	c.command, c.done = command, make(chan struct{})
	go func(done chan struct{}) {
		c.exit = command.Wait()
		close(done)
	}(c.done)
	return c.awaitReady(ctx)
}

func (c *Cluster) awaitReady(ctx context.Context) error {
	for {
		status, err := readIfThere(filepath.Join(c.place.data, "postmaster.pid"))
		if err != nil {
			return err
		}
		if saysReady(status, c.PID()) {
			return nil
		}
		select {
		case <-c.done:
			return errEndedEarly
		case <-ctx.Done():
			// The caller gave up: nothing may stay behind.
			_ = interrupt(ctx, c.command, c.done)
			return fault.New(fault.Unavailable, "POSTGRES_NOT_STARTED", "PostgreSQL was not ready in time (%v)", ctx.Err())
		case <-time.After(10 * time.Millisecond):
		}
	}
}

// saysReady reads the postmaster's status as pg_ctl does: line 1 of
// postmaster.pid is its process id, line 8 its state (PostgreSQL's
// utils/pidfile.h: LOCK_FILE_LINE_PID, LOCK_FILE_LINE_PM_STATUS).
func saysReady(status []byte, pid int) bool {
	lines := strings.Split(string(status), "\n")
	return len(lines) >= 8 && lines[0] == strconv.Itoa(pid) && strings.TrimSpace(lines[7]) == "ready"
}

// openLog opens the log for appending; one that has grown is put aside first.
func openLog(path string, who account) (*os.File, error) {
	if info, err := os.Lstat(path); err == nil && info.Size() > logKept {
		if err := os.Rename(path, path+".1"); err != nil {
			return nil, fmt.Errorf("put the old log aside: %w", err)
		}
	}
	file, err := os.OpenFile(path, os.O_CREATE|os.O_APPEND|os.O_WRONLY|syscall.O_NOFOLLOW, 0o600)
	if err != nil {
		return nil, fmt.Errorf("open PostgreSQL's log: %w", err)
	}
	if err := give(path, who); err != nil {
		_ = file.Close()
		return nil, err
	}
	return file, nil
}
