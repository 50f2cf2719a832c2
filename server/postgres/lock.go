package postgres

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"syscall"
	"time"

	"dyelot/inventory/fault"
)

// stateLock is the file lock of rule 1. The kernel lifts it when its holder
// dies, however it dies; children do not inherit it.
type stateLock struct{ file *os.File }

// lockPatience is how long a starter waits for the lock: a process that was
// just killed keeps it until the kernel has taken it apart.
const lockPatience = time.Second

// lockState takes the lock or refuses, naming the process that has it.
func lockState(path string, who account) (*stateLock, error) {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR|syscall.O_NOFOLLOW, 0o600)
	if err != nil {
		return nil, fmt.Errorf("open the lock of the state folder: %w", err)
	}
	for until := time.Now().Add(lockPatience); ; time.Sleep(20 * time.Millisecond) {
		err = syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if !errors.Is(err, syscall.EWOULDBLOCK) || time.Now().After(until) {
			break
		}
	}
	if errors.Is(err, syscall.EWOULDBLOCK) {
		holder, _ := os.ReadFile(path) // a courtesy: the sentence is clear without it
		_ = file.Close()
		return nil, fault.Refuse("STATE_IN_USE", "another process (%s) already runs the cluster of %s",
			strings.TrimSpace(string(holder)), path)
	}
	if err != nil {
		_ = file.Close()
		return nil, fmt.Errorf("lock the state folder: %w", err)
	}
	if err := file.Truncate(0); err == nil {
		_, _ = fmt.Fprintf(file, "pid %d\n", os.Getpid())
	}
	if err := give(path, who); err != nil {
		_ = file.Close()
		return nil, err
	}
	return &stateLock{file}, nil
}

// release lets the next process in. The file stays: removing it would let two
// processes hold locks on two files of the same name.
func (l *stateLock) release() { _ = l.file.Close() }
