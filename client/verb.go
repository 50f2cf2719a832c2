package client

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/inventory/fault"
)

// verb is one command: what it is called, how it reads aloud, and what it does.
type verb struct {
	// use is the name and its arguments: "receive ITEM AMOUNT". Words in
	// capitals are needed, those in square brackets may be left out, one with
	// "…" may be repeated. The arguments are checked against it.
	use string
	// short is one line, long what else to know, example one or more worked
	// lines.
	short, long, example string
	// build declares the flags and returns what runs once they are filled in.
	build func(f *form) func(ctx context.Context, args []string) error
}

// command turns a verb into a command of the tree.
func (s *session) command(v verb) *cobra.Command {
	c := &cobra.Command{
		Use:                   v.use,
		Short:                 v.short,
		Long:                  v.long,
		Example:               v.example,
		DisableFlagsInUseLine: true,
		Annotations:           map[string]string{},
	}
	c.Flags().SortFlags = false
	f := &form{session: s, command: c}
	run := v.build(f)
	places := placesOf(v.use)
	c.Args = func(_ *cobra.Command, args []string) error { return checkPlaces(c, places, args) }
	c.RunE = func(c *cobra.Command, args []string) error {
		if err := f.fill(c.Context()); err != nil {
			return err
		}
		return run(c.Context(), args)
	}
	c.ValidArgsFunction = s.completeArgs(places)
	return c
}

// noun is a command that only holds others: "stock".
func (s *session) noun(use, short, long string, verbs ...*cobra.Command) *cobra.Command {
	c := &cobra.Command{Use: use, Short: short, Long: long, DisableFlagsInUseLine: true}
	c.Args = func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			return unknownCommand(c, args[0])
		}
		return nil
	}
	c.RunE = func(*cobra.Command, []string) error { return c.Help() }
	c.ValidArgsFunction = cobra.NoFileCompletions
	c.AddCommand(verbs...)
	return c
}

func unknownCommand(c *cobra.Command, typed string) error {
	c.SuggestionsMinimumDistance = 2
	hint := "see: " + c.CommandPath() + " --help"
	if near := c.SuggestionsFor(typed); len(near) > 0 {
		hint = "did you mean: " + c.CommandPath() + " " + strings.Join(near, ", or ") + "?"
	}
	return fault.New(fault.Invalid, "UNKNOWN_COMMAND", "%q is no command of %s; %s", typed, c.CommandPath(), hint)
}

// place is one argument.
type place struct {
	name             string // "ITEM"
	optional, repeat bool
}

func placesOf(use string) []place {
	var ps []place
	for _, word := range strings.Fields(use)[1:] {
		p := place{optional: strings.HasPrefix(word, "["), repeat: strings.Contains(word, "…")}
		p.name = strings.Trim(word, "[]…")
		ps = append(ps, p)
	}
	return ps
}

func checkPlaces(c *cobra.Command, places []place, args []string) error {
	for i, p := range places {
		if i >= len(args) && !p.optional {
			return fault.New(fault.Invalid, "ARGUMENT_MISSING", "%s is missing; write it as: %s %s", p.name, c.Parent().CommandPath(), c.Use)
		}
		if i < len(args) && strings.TrimSpace(args[i]) == "" {
			return fault.BadField(p.name, "is empty")
		}
	}
	if n := len(places); len(args) > n && (n == 0 || !places[n-1].repeat) {
		return fault.New(fault.Invalid, "ARGUMENT_UNWANTED", "%q is one word too many; write it as: %s %s", args[n], c.Parent().CommandPath(), c.Use)
	}
	return nil
}
