package client

import (
	"context"
	"io"
	"os"
	"runtime/debug"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"
)

// App is the process that a command runs in, so that a test can be one.
type App struct {
	In       io.Reader
	Out, Err io.Writer
	// Env looks up one environment variable; empty means unset.
	Env func(name string) string
	Now func() time.Time
}

// Process is the App of a real process.
func Process() App {
	return App{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Env: os.Getenv, Now: time.Now}
}

// Main runs one command line, without the program's name, and returns the
// process's exit code. Data goes to app.Out, every word about it to app.Err.
func Main(ctx context.Context, args []string, app App) int {
	s := &session{App: app}
	defer s.hangUp()
	if err := checkUTF8(args); err != nil {
		return s.complain(nil, args, err)
	}
	root := s.root()
	root.SetArgs(args)
	cmd, err := root.ExecuteContextC(ctx)
	if err != nil {
		return s.complain(cmd, args, err)
	}
	return exitDone
}

// New is the whole command tree, for a program that wants to walk it.
func New(app App) *cobra.Command {
	s := &session{App: app}
	return s.root()
}

// Version says which build this is: the module's version where it has one, and
// the commit it was built from.
func Version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	if v == "" {
		v = "(devel)"
	}
	for _, set := range info.Settings {
		if set.Key == "vcs.revision" && v == "(devel)" {
			v = set.Value
		}
	}
	return v
}

// terminal reports whether a stream is one, and how wide it is.
func terminal(stream any) (width int, ok bool) {
	f, isFile := stream.(term.File)
	if !isFile || !term.IsTerminal(f.Fd()) {
		return 0, false
	}
	width, _, err := term.GetSize(f.Fd())
	return width, err == nil
}
