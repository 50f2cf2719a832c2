package story_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"dyelot/server/store/storetest"
)

// programs are built once, with the race detector.
var programs = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "dyelot-story-")
	if err != nil {
		return "", err
	}
	for _, name := range []string{"client/cmd/dyelot", "server/cmd/dyelotd"} {
		out, err := exec.Command("go", "build", "-race", "-o", filepath.Join(dir, filepath.Base(name)), "dyelot/"+name).CombinedOutput()
		if err != nil {
			return dir, fmt.Errorf("build %s: %w: %s", name, err, out)
		}
	}
	return dir, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if dir, err := programs(); err == nil {
		_ = os.RemoveAll(dir)
	}
	os.Exit(code)
}

// studio is a running service and a person with its owner's token.
type studio struct {
	t     *testing.T
	dir   string
	addr  string
	token string
	home  string
}

var shownToken = regexp.MustCompile(`shown this once: (\S+)`)

func open(t *testing.T) *studio {
	t.Helper()
	dir, err := programs()
	if err != nil {
		t.Fatal(err)
	}
	s := &studio{t: t, dir: dir, addr: freeAddr(t), home: t.TempDir()}
	var said locked
	cmd := exec.Command(filepath.Join(dir, "dyelotd"), "serve", "--addr", s.addr, "--metrics-addr", "off", "--database-url", storetest.DSN(t), "--time-zone", "UTC")
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Signal(syscall.SIGTERM)
		if err := cmd.Wait(); err != nil {
			t.Errorf("dyelotd ended badly: %v\n%s", err, said.String())
		}
	})
	for range 200 {
		if m := shownToken.FindStringSubmatch(said.String()); m != nil && strings.Contains(said.String(), "msg=ready") {
			s.token = m[1]
			return s
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("dyelotd did not get ready:\n%s", said.String())
	return nil
}

func freeAddr(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

type locked struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (l *locked) Write(b []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.Write(b)
}

func (l *locked) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.String()
}

// env is a person's environment. The race detector would sleep a second at the
// end of each program, to let others report.
func (s *studio) env() []string {
	return []string{"HOME=" + s.home, "XDG_CONFIG_HOME=" + s.home, "DYELOT_ADDR=" + s.addr, "DYELOT_TOKEN=" + s.token, "TZ=UTC",
		"GORACE=atexit_sleep_ms=0", "PATH=" + s.dir + string(filepath.ListSeparator) + os.Getenv("PATH")}
}

// call runs dyelot and returns what it wrote and how it ended.
func (s *studio) call(args ...string) (out, said string, code int) {
	s.t.Helper()
	cmd := exec.Command(filepath.Join(s.dir, "dyelot"), args...)
	cmd.Env = s.env()
	var o, e bytes.Buffer
	cmd.Stdout, cmd.Stderr = &o, &e
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		s.t.Fatal(err)
	}
	return o.String(), e.String(), cmd.ProcessState.ExitCode()
}

// do runs a command that must succeed and returns its answer.
func (s *studio) do(args ...string) answer {
	s.t.Helper()
	out, said, code := s.call(append(args, "--json")...)
	if code != 0 {
		s.t.Fatalf("dyelot %s: exit %d\n%s%s", strings.Join(args, " "), code, out, said)
	}
	var a any
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		s.t.Fatalf("dyelot %s: no JSON: %v\n%s", strings.Join(args, " "), err, out)
	}
	return answer{s.t, a, "dyelot " + strings.Join(args, " ")}
}

// show runs a command as a person reads it.
func (s *studio) show(args ...string) string {
	s.t.Helper()
	out, said, code := s.call(args...)
	if code != 0 {
		s.t.Fatalf("dyelot %s: exit %d\n%s%s", strings.Join(args, " "), code, out, said)
	}
	return out
}

// refused runs a command that must end with this code, and returns what it said.
func (s *studio) refused(code int, args ...string) string {
	s.t.Helper()
	out, said, got := s.call(args...)
	if got != code {
		s.t.Fatalf("dyelot %s: exit %d, want %d\n%s%s", strings.Join(args, " "), got, code, out, said)
	}
	return said
}

// answer is a JSON document that can be asked for what stands at a path.
type answer struct {
	t    *testing.T
	doc  any
	from string
}

// at walks keys and list positions: at("run", "lots", 0, "code").
func (a answer) at(path ...any) answer {
	a.t.Helper()
	doc := a.doc
	for _, p := range path {
		switch key := p.(type) {
		case string:
			m, _ := doc.(map[string]any)
			doc = m[key]
		case int:
			l, _ := doc.([]any)
			if key >= len(l) {
				a.t.Fatalf("%s: nothing at %v in %s", a.from, path, a.text())
			}
			doc = l[key]
		}
	}
	return answer{a.t, doc, fmt.Sprintf("%s %v", a.from, path)}
}

func (a answer) text() string {
	if s, ok := a.doc.(string); ok {
		return s
	}
	b, err := json.Marshal(a.doc)
	if err != nil {
		a.t.Fatal(err)
	}
	return string(b)
}

// is asks for an exact value: an amount as "162 g", else the text itself.
func (a answer) is(want string) {
	a.t.Helper()
	got := a.text()
	if m, ok := a.doc.(map[string]any); ok && len(m) == 2 && m["unit"] != nil {
		got = fmt.Sprintf("%v %v", m["value"], m["unit"])
	}
	if got != want {
		a.t.Errorf("%s is %s, want %s", a.from, got, want)
	}
}

// has asks for words in the text of whatever stands there.
func (a answer) has(words ...string) {
	a.t.Helper()
	for _, w := range words {
		if !strings.Contains(a.text(), w) {
			a.t.Errorf("%s does not say %q: %s", a.from, w, a.text())
		}
	}
}

func (a answer) list() []answer {
	a.t.Helper()
	l, _ := a.doc.([]any)
	as := make([]answer, len(l))
	for i := range l {
		as[i] = answer{a.t, l[i], fmt.Sprintf("%s[%d]", a.from, i)}
	}
	return as
}
