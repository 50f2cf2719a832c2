package client

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// openTerminal is a pseudo-terminal of 80 columns: what a person types goes into
// the near side, the program holds the far one (pty(7)).
func openTerminal(t *testing.T) (near, far *os.File) {
	t.Helper()
	near, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	fd := int(near.Fd())
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		t.Fatal(err)
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		t.Fatal(err)
	}
	far, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if err := unix.IoctlSetWinsize(fd, unix.TIOCSWINSZ, &unix.Winsize{Row: 24, Col: 80}); err != nil {
		t.Fatal(err)
	}
	return near, far
}

// atTerminal runs the program with a terminal on all three streams, types the
// answers, and returns what the screen showed.
func atTerminal(t *testing.T, b bench, typed string, args ...string) (screen string, code int) {
	t.Helper()
	near, far := openTerminal(t)
	var shown bytes.Buffer
	read := make(chan struct{})
	go func() {
		_, _ = io.Copy(&shown, near) // ends with EIO when the far side is closed
		close(read)
	}()
	if _, err := near.WriteString(typed); err != nil {
		t.Fatal(err)
	}
	code = Main(t.Context(), args, App{In: far, Out: far, Err: far, Env: func(name string) string { return b.env[name] }, Now: time.Now})
	if err := far.Close(); err != nil {
		t.Fatal(err)
	}
	<-read
	if err := near.Close(); err != nil {
		t.Fatal(err)
	}
	return shown.String(), code
}

func lateTask(asked) (proto.Message, error) {
	return &dyelotv1.GetTodayResponse{Today: "2026-05-14", Tasks: []*dyelotv1.Task{{Subject: "alum", Text: "order it", Late: true}}}, nil
}

// Colour on a terminal, none where NO_COLOR says so (no-color.org) or the
// terminal is dumb.
func TestColourIsForTerminals(t *testing.T) {
	t.Parallel()
	b := at(open(t, lateTask))
	for name, c := range map[string]struct {
		bench    bench
		coloured bool
	}{
		"a terminal":      {b.with("TERM", "xterm"), true},
		"NO_COLOR":        {b.with("TERM", "xterm").with("NO_COLOR", "1"), false},
		"a dumb terminal": {b.with("TERM", "dumb"), false},
	} {
		screen, code := atTerminal(t, c.bench, "", "today")
		if code != 0 || strings.Contains(screen, "\x1b[") != c.coloured || !strings.Contains(screen, "LATE") {
			t.Errorf("%s: exit code %d, %q", name, code, screen)
		}
	}
}

// Colours of cloth are seen as colours where the terminal says that it has 24-bit
// colour, and nowhere else.
func TestSwatchesAreForTrueColour(t *testing.T) {
	t.Parallel()
	b := at(open(t, func(asked) (proto.Message, error) {
		return &dyelotv1.ListShadeStandardsResponse{Standards: []*dyelotv1.ShadeStandard{{Code: "gold", Colour: &dyelotv1.Lab{L: 78.4, A: -3.2, B: 61.5, Observer: 2}}}}, nil
	})).with("TERM", "xterm")
	const gold = "\x1b[38;2;221;193;73m██" // #ddc149, two programs agree (checks.md)
	for name, c := range map[string]struct {
		bench  bench
		swatch bool
	}{
		"truecolor":              {b.with("COLORTERM", "truecolor"), true},
		"24bit":                  {b.with("COLORTERM", "24bit"), true},
		"a terminal of 8":        {b, false},
		"NO_COLOR":               {b.with("COLORTERM", "truecolor").with("NO_COLOR", "1"), false},
		"NO_COLOR of any value":  {b.with("COLORTERM", "truecolor").with("NO_COLOR", "x"), false},
		"a dumb terminal":        {b.with("COLORTERM", "truecolor").with("TERM", "dumb"), false},
		"screen, which has none": {b.with("COLORTERM", "truecolor").with("TERM", "screen"), false},
	} {
		screen, code := atTerminal(t, c.bench, "", "standard", "list")
		if code != 0 || strings.Contains(screen, gold) != c.swatch || strings.Contains(screen, "█") != c.swatch || !strings.Contains(screen, "L* 78.4, a* -3.2, b* 61.5, yellow") {
			t.Errorf("%s: exit code %d, %q", name, code, screen)
		}
		calculated, code := atTerminal(t, c.bench, "", "calc", "difference", "--standard", "62,-2,38", "--sample", "60,-1,36")
		if code != 0 || strings.Contains(calculated, "██\x1b[m≈ yellow, the standard") != c.swatch || strings.Contains(calculated, "approximate") != c.swatch || !strings.Contains(calculated, "yellow, the standard") {
			t.Errorf("%s: exit code %d, %q", name, code, calculated)
		}
	}
	forced := b.with("COLORTERM", "truecolor").with("CLICOLOR_FORCE", "1").with("TTY_FORCE", "1")
	if got := forced.run(t, "standard", "list"); got.code != 0 || strings.ContainsAny(got.out, "█\x1b") {
		t.Errorf("in a pipe: %q", got.out)
	}
}

// A reason that was left out is asked for, and what is typed is sent; with
// --json nobody is asked.
func TestAPersonIsAskedForAReason(t *testing.T) {
	t.Parallel()
	service := open(t, nil)
	screen, code := atTerminal(t, at(service), "mould after the wet week\n", "stock", "write-off", "P4")
	if code != 0 || !strings.Contains(screen, "why does it leave the shelf? ") {
		t.Fatalf("exit code %d, %q", code, screen)
	}
	if got := service.seen()[0].request.(*dyelotv1.WriteOffParcelRequest).GetReason(); got != "mould after the wet week" {
		t.Errorf("reason %q", got)
	}
	for name, args := range map[string][]string{"an empty line": {"stock", "write-off", "P4"}, "--json": {"stock", "write-off", "P4", "--json"}} {
		if screen, code := atTerminal(t, at(service), "\n", args...); code != 2 || !strings.Contains(screen, "--reason is needed") {
			t.Errorf("%s: exit code %d, %q", name, code, screen)
		}
	}
	if n := len(service.seen()); n != 1 {
		t.Errorf("%d calls, want 1", n)
	}
}

// JSON is laid out where a person looks, and one line everywhere else.
func TestJSONOnATerminalIsLaidOut(t *testing.T) {
	t.Parallel()
	screen, code := atTerminal(t, at(open(t, lateTask)), "", "today", "--json")
	if code != 0 || strings.Count(screen, "\n") < 5 {
		t.Errorf("exit code %d, %q", code, screen)
	}
}

// A refusal breaks between words on a screen; its next step, which is copied,
// stays whole.
func TestARefusalFitsTheScreen(t *testing.T) {
	t.Parallel()
	b := at(open(t, func(asked) (proto.Message, error) {
		st, err := status.New(codes.FailedPrecondition, strings.Repeat("lot L1 does not pass; ", 9)+"it waits").WithDetails(&errdetails.ErrorInfo{Reason: "HOUSE_STANDARD", Domain: "dyelot", Metadata: map[string]string{"lot": "L1"}})
		if err != nil {
			return nil, err
		}
		return nil, st.Err()
	}))
	screen, code := atTerminal(t, b, "", "verdict", "give", "L1", "passed")
	lines := strings.Split(strings.TrimSpace(strings.ReplaceAll(screen, "\r", "")), "\n")
	if code != 4 || len(lines) < 4 || !strings.HasSuffix(lines[len(lines)-1], "or have an owner override by name") {
		t.Fatalf("exit code %d\n%s", code, screen)
	}
	for _, l := range lines[:len(lines)-1] {
		if len(l) > 80 || !strings.HasPrefix(l, "dyelot: ") && !strings.HasPrefix(l, "        ") {
			t.Errorf("%d columns: %q", len(l), l)
		}
	}
	if got := b.run(t, "verdict", "give", "L1", "passed"); strings.Count(got.err, "\n") != 2 {
		t.Errorf("in a pipe: %q", got.err)
	}
}
