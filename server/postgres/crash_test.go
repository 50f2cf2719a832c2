package postgres_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"dyelot/server/postgres"
)

// parentEnv makes this test binary play the service: it starts the cluster of
// the options given, says so, and lives until it is told to stop or is killed.
const parentEnv = "DYELOT_POSTGRES_TEST_PARENT"

func TestMain(m *testing.M) {
	if options := os.Getenv(parentEnv); options != "" {
		os.Exit(playParent(options))
	}
	code := m.Run()
	if err := stopShared(); err != nil {
		fmt.Println("stop the shared cluster:", err)
		code = 1
	}
	os.Exit(code)
}

func playParent(options string) int {
	var opts postgres.Options
	if err := json.Unmarshal([]byte(options), &opts); err != nil {
		fmt.Println("options:", err)
		return 1
	}
	interrupted := make(chan os.Signal, 1)
	signal.Notify(interrupted, os.Interrupt)
	opts.Logger = slog.New(slog.NewTextHandler(os.Stderr, nil))
	c, err := postgres.Start(context.Background(), opts)
	if err != nil {
		fmt.Println("start:", err)
		return 1
	}
	fmt.Println(c.PID(), c.DSN())
	<-interrupted
	fmt.Println("interrupted")
	_, _ = bufio.NewReader(os.Stdin).ReadString('\n')
	if err := c.Stop(context.Background()); err != nil {
		fmt.Println("stop:", err)
		return 1
	}
	return 0
}

// parent is a process that plays the service.
type parent struct {
	*exec.Cmd
	says       *bufio.Reader
	tell       func(string)
	postmaster int
	dsn        string
}

func spawn(t *testing.T, opts postgres.Options) *parent {
	t.Helper()
	text, err := json.Marshal(opts)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(os.Args[0])
	command.Env = append(os.Environ(), parentEnv+"="+string(text))
	command.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // as a terminal would give it
	out, err := command.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	in, err := command.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := command.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = command.Process.Kill()
		_ = command.Wait()
	})
	return &parent{Cmd: command, says: bufio.NewReader(out), tell: func(s string) { _, _ = fmt.Fprintln(in, s) }}
}

// running waits until the parent says that its cluster is up.
func running(t *testing.T, opts postgres.Options) *parent {
	t.Helper()
	p := spawn(t, opts)
	line, err := p.says.ReadString('\n')
	pid, dsn, found := strings.Cut(strings.TrimSpace(line), " ")
	if p.postmaster, _ = strconv.Atoi(pid); err != nil || !found || p.postmaster == 0 {
		t.Fatalf("the parent said %q, %v", line, err)
	}
	p.dsn = dsn
	return p
}

func alive(pid int) bool {
	program, _ := os.Readlink(fmt.Sprintf("/proc/%d/exe", pid))
	return filepath.Base(program) == "postgres"
}

// The seven rules of doc.go, each death a studio's machine may see, one after
// the other on the same ledger. What was acknowledged before a death must be
// there after it, and nothing of the dead may be.
func TestComesBackAfterEveryDeath(t *testing.T) {
	t.Parallel()
	killParent := func(p *parent) { _ = p.Process.Kill() }
	killPostmaster := func(p *parent) { _ = syscall.Kill(p.postmaster, syscall.SIGKILL) }
	deaths := []struct {
		of   string
		kill []func(*parent)
	}{
		{"the parent", []func(*parent){killParent}},
		{"the postmaster, then the parent", []func(*parent){killPostmaster, killParent}},
		{"the parent, then the postmaster", []func(*parent){killParent, killPostmaster}},
		{"the parent once more", []func(*parent){killParent}},
	}
	opts := studio(t)
	for n, death := range deaths {
		p := running(t, opts)
		exec1(t, p.dsn, fmt.Sprintf("create table if not exists jar (code text); insert into jar values ('P%d')", n))
		// A backend at work outlives its postmaster by hours.
		busy := open(t, p.dsn)
		go func() { _, _ = busy.Exec("select count(*) from generate_series(1, 300000000)") }()
		time.Sleep(100 * time.Millisecond)

		for _, kill := range death.kill {
			kill(p)
		}
		began := time.Now()
		c := start(t, opts)
		t.Logf("back after the death of %s in %v", death.of, time.Since(began).Round(time.Millisecond))
		if alive(p.postmaster) {
			t.Errorf("the postmaster %d outlived the death of %s and the restart", p.postmaster, death.of)
		}
		if got := ask(t, c.DSN(), "select count(*) from jar"); got != fmt.Sprint(n+1) {
			t.Errorf("jars after the death of %s: %s, want %d", death.of, got, n+1)
		}
		stop(t, c)
	}
}

func TestEndOfPostgresIsTold(t *testing.T) {
	t.Parallel()
	opts := studio(t)
	c := start(t, opts)
	if err := c.Err(); err != nil {
		t.Errorf("Err while it runs: %v", err)
	}
	if err := syscall.Kill(c.PID(), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	select {
	case <-c.Done():
	case <-time.After(10 * time.Second):
		t.Fatal("Done is not closed after the postmaster was killed")
	}
	wantReason(t, c.Err(), "POSTGRES_ENDED", "killed")
	stop(t, c)
	start(t, opts) // in the same process, at once
}

func TestCtrlCDoesNotReachPostgres(t *testing.T) {
	t.Parallel()
	opts := studio(t)
	opts.NoSync = true
	p := running(t, opts)
	// A terminal sends the signal to the whole foreground process group.
	if err := syscall.Kill(-p.Process.Pid, syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	if line, err := p.says.ReadString('\n'); strings.TrimSpace(line) != "interrupted" {
		t.Fatalf("the parent said %q, %v", line, err)
	}
	// While the service drains, its ledger still answers.
	if got := ask(t, p.dsn, "select 1"); got != "1" {
		t.Errorf("no answer during the drain: %s", got)
	}
	p.tell("stop")
	if err := p.Wait(); err != nil {
		t.Errorf("the parent ended with %v", err)
	}
	if alive(p.postmaster) {
		t.Errorf("the postmaster outlived an orderly stop")
	}
}

// Both answer signal 0, by which PostgreSQL itself judges.
func TestLockFileOfTheDeadIsNotBelieved(t *testing.T) {
	t.Parallel()
	zombie := exec.Command("/bin/true")
	if err := zombie.Start(); err != nil {
		t.Fatal(err)
	}
	stranger := exec.Command("/bin/sleep", "60")
	if err := stranger.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = zombie.Wait(); _ = stranger.Process.Kill(); _ = stranger.Wait() })

	opts := studio(t)
	opts.NoSync = true
	for name, pid := range map[string]int{"a zombie": zombie.Process.Pid, "a stranger": stranger.Process.Pid} {
		stop(t, start(t, opts))
		data, socket := filepath.Join(opts.StateDir, "postgres"), filepath.Join(opts.StateDir, "socket")
		lock := fmt.Sprintf("%d\n%s\n%d\n5432\n%s\n\n", pid, data, time.Now().Unix(), socket)
		for _, path := range []string{filepath.Join(data, "postmaster.pid"), filepath.Join(socket, ".s.PGSQL.5432.lock")} {
			if err := os.WriteFile(path, []byte(lock), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		c, err := postgres.Start(t.Context(), opts)
		if err != nil {
			t.Fatalf("with the process id of %s in the lock file: %v", name, err)
		}
		stop(t, c)
	}
	if err := syscall.Kill(stranger.Process.Pid, 0); err != nil {
		t.Errorf("the stranger was hurt: %v", err)
	}
}

func TestInterruptedMakingIsMadeAgain(t *testing.T) {
	t.Parallel()
	opts := studio(t)
	p := spawn(t, opts)
	draft := filepath.Join(opts.StateDir, "unfinished-*", "PG_VERSION")
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		if found, _ := filepath.Glob(draft); len(found) > 0 {
			break
		}
		if time.Now().After(deadline) {
			t.Fatal("no cluster was being made")
		}
	}
	if err := p.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	c := start(t, opts)
	if got := ask(t, c.DSN(), "select current_database()"); got != "dyelot" {
		t.Errorf("database: %s", got)
	}
}
