package trial

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// userEnv makes this test binary a test process of another package: it joins
// the cluster of the folder given, works and says so, and waits to be killed
// or, where holdEnv is not set, ends.
const (
	userEnv = "DYELOT_TRIAL_TEST_USER"
	holdEnv = "DYELOT_TRIAL_TEST_HOLD"

	countClones = "select count(*) from pg_database where starts_with(datname, 'trial_')"

	shortLinger = 200 * time.Millisecond
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(userEnv); dir != "" {
		if err := playUser(dir); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func playUser(dir string) error {
	ctx := context.Background()
	c, err := join(dir, shortLinger)
	if err != nil {
		return err
	}
	schema := Schema{Name: "shared", Version: "1", Migrate: func(context.Context, string) error {
		marks, err := os.OpenFile(filepath.Join(dir, "migrated"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
		if err != nil {
			return err
		}
		defer marks.Close()
		_, err = marks.WriteString("once\n")
		return err
	}}
	template, err := c.template(ctx, schema)
	if err != nil {
		return err
	}
	name := cloneName("user")
	if err := c.do(ctx, "create database "+name+" template "+template); err != nil {
		return err
	}
	fmt.Println("ready")
	if os.Getenv(holdEnv) != "" {
		time.Sleep(time.Minute)
	}
	return nil
}

// user prepares a test process; hold keeps it until it is killed.
func user(t *testing.T, dir string, hold bool) *exec.Cmd {
	t.Helper()
	command := exec.CommandContext(t.Context(), os.Args[0])
	command.Env = append(os.Environ(), userEnv+"="+dir)
	if hold {
		command.Env = append(command.Env, holdEnv+"=1")
	}
	return command
}

// awaitEnd waits until no keeper is alive, and checks that no PostgreSQL is.
func awaitEnd(t *testing.T, dir string) {
	t.Helper()
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		alive, err := lockFile(filepath.Join(dir, aliveFile), syscall.LOCK_EX|syscall.LOCK_NB)
		if err == nil {
			_ = alive.Close()
			break
		}
		if time.Now().After(deadline) {
			said, _ := os.ReadFile(filepath.Join(dir, keeperLog))
			t.Fatalf("the keeper is still alive; it said: %s", said)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "state-*", "postgres", "postmaster.pid")); len(left) > 0 {
		t.Errorf("a PostgreSQL still runs: %v", left)
	}
}

// Processes that come and go while the keeper shuts meet it in every state it
// can be in. None may fail, and among all of them the template is made once.
func TestProcessesShareOneClusterInEveryMoment(t *testing.T) {
	t.Parallel()
	dir := Folder(t)
	var wait sync.WaitGroup
	for n := range 12 {
		wait.Go(func() {
			time.Sleep(time.Duration(n/3) * (shortLinger + 150*time.Millisecond))
			if said, err := user(t, dir, false).CombinedOutput(); err != nil {
				t.Errorf("process %d: %v, %s", n, err, said)
			}
		})
	}
	wait.Wait()
	awaitEnd(t, dir)
	marks, err := os.ReadFile(filepath.Join(dir, "migrated"))
	if got := strings.Count(string(marks), "once"); err != nil || got != 1 {
		t.Errorf("migrated %d times in all processes, want once (%v)", got, err)
	}
}

func TestKilledProcessLeavesNothingBehind(t *testing.T) {
	t.Parallel()
	dir := Folder(t)
	killed := user(t, dir, true)
	out, err := killed.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := killed.Start(); err != nil {
		t.Fatal(err)
	}
	if line, err := bufio.NewReader(out).ReadString('\n'); line != "ready\n" {
		t.Fatalf("the process said %q, %v", line, err)
	}
	address, err := os.ReadFile(filepath.Join(dir, addressFile))
	if err != nil {
		t.Fatal(err)
	}
	time.Sleep(2 * shortLinger) // longer than the keeper waits for nobody
	if n := query(t, strings.TrimSpace(string(address)), countClones); n != "1" {
		t.Fatalf("%s databases while the process lives, want 1", n)
	}
	_ = killed.Process.Kill()
	_ = killed.Wait()
	awaitEnd(t, dir)

	// The next run finds no database of the dead, and its templates.
	next, err := join(dir, shortLinger)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = next.seat.Close()
		awaitEnd(t, dir)
	})
	if n := query(t, next.keeper.String(), countClones); n != "0" {
		t.Errorf("%s databases of the dead are left", n)
	}
	if n := query(t, next.keeper.String(), "select count(*) from pg_database where starts_with(datname, 'template_shared')"); n != "1" {
		t.Errorf("%s templates are left, want 1", n)
	}
}
