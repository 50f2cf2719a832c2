// Command dyelotd is the studio's service.
package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"github.com/spf13/cobra"

	"dyelot/inventory/fault"
)

// version is set by the build; a plain "go build" has none.
var version = "dev"

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := root().ExecuteContext(ctx); err != nil {
		fmt.Fprintln(os.Stderr, "dyelotd:", err)
		os.Exit(exitCode(err))
	}
}

// exitCode: 2 for wrong words, 4 for a rule that said no, 1 for the rest.
func exitCode(err error) int {
	var usage usageError
	if f, ok := fault.Of(err); ok {
		switch f.Kind {
		case fault.Invalid:
			return 2
		case fault.Refused:
			return 4
		}
		return 1
	}
	if errors.As(err, &usage) {
		return 2
	}
	return 1
}

type usageError struct{ error }

func root() *cobra.Command {
	c := &cobra.Command{
		Use:   "dyelotd",
		Short: "The service of a natural-dye studio",
		Long: `dyelotd keeps the studio's books and answers dyelot, its command-line client.

With no database address it starts a PostgreSQL of its own, in its state folder,
that listens on no network.`,
		Version:       version,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	c.SetVersionTemplate("dyelotd {{.Version}}\n")
	c.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	c.AddCommand(serveCommand(), tokenCommand(), restoreCommand())
	return c
}

func init() {
	if version != "dev" {
		return
	}
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		version = info.Main.Version
	}
}
