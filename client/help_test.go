package client

import (
	"maps"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
)

// walk visits every command that is ours: the completion scripts are the
// library's.
func walk(c *cobra.Command, visit func(*cobra.Command)) {
	if c.Name() == "completion" || c.Name() == "help" {
		return
	}
	visit(c)
	for _, sub := range c.Commands() {
		walk(sub, visit)
	}
}

func TestHelpFitsEightyColumns(t *testing.T) {
	t.Parallel()
	walk(New(Process()), func(c *cobra.Command) {
		line := append(strings.Fields(c.CommandPath())[1:], "--help")
		got := bench{}.run(t, line...)
		if got.code != 0 || got.err != "" {
			t.Errorf("%s --help: exit code %d: %s", c.CommandPath(), got.code, got.err)
		}
		for _, l := range strings.Split(got.out, "\n") {
			if utf8.RuneCountInString(l) > 80 {
				t.Errorf("%s --help: %d columns: %s", c.CommandPath(), utf8.RuneCountInString(l), l)
			}
		}
	})
}

// Each heading stands once in the first screen, and each noun below one.
func TestNoNounIsListedTwice(t *testing.T) {
	t.Parallel()
	walk(New(Process()), func(c *cobra.Command) {
		seen := map[string]bool{}
		for _, g := range c.Groups() {
			if seen[g.Title+":"] {
				t.Errorf("%s shows the heading %s twice", c.CommandPath(), g.Title)
			}
			seen[g.Title+":"] = true
		}
		for _, sub := range c.Commands() {
			if seen[sub.Name()] {
				t.Errorf("%s lists %s twice", c.CommandPath(), sub.Name())
			}
			seen[sub.Name()] = true
		}
	})
}

// Every command says what it does in one line and shows itself at work, and
// what it shows can be typed as it stands.
func TestExamplesCanBeTyped(t *testing.T) {
	t.Parallel()
	walk(New(Process()), func(c *cobra.Command) {
		if c.Short == "" {
			t.Errorf("%s says nothing of itself", c.CommandPath())
		}
		if c.Example == "" && !c.HasSubCommands() {
			t.Errorf("%s has no example", c.CommandPath())
		}
		text := strings.ReplaceAll(c.Example, "\\\n", " ")
		for _, line := range strings.Split(text, "\n") {
			if strings.TrimSpace(line) != "" {
				typed(t, c, line)
			}
		}
	})
}

func typed(t *testing.T, of *cobra.Command, line string) {
	t.Helper()
	line, _, _ = strings.Cut(line, " | ")
	args := words(t, line)
	if i := strings.Index(line, "dyelot "); i < 0 {
		t.Errorf("%s: %q is no command line", of.CommandPath(), line)
		return
	}
	for args[0] != "dyelot" {
		args = args[1:]
	}
	found, rest, err := New(Process()).Find(args[1:])
	if err != nil {
		t.Errorf("%s: %q: %v", of.CommandPath(), line, err)
		return
	}
	if of.HasParent() && !strings.HasPrefix(found.CommandPath(), of.CommandPath()) {
		t.Errorf("%s shows another command: %q", of.CommandPath(), line)
	}
	if err := found.ParseFlags(rest); err != nil {
		t.Errorf("%s: %q: %v", of.CommandPath(), line, err)
	} else if err := found.ValidateArgs(found.Flags().Args()); err != nil {
		t.Errorf("%s: %q: %v", of.CommandPath(), line, err)
	}
}

// Whatever a refusal tells somebody to type is a command.
func TestNextStepsAreCommands(t *testing.T) {
	t.Parallel()
	shown := regexp.MustCompile(`dyelot ([a-z]+)( [a-z-]+)?`)
	all := maps.Clone(nextByReason)
	maps.Copy(all, listed)
	for reason, next := range all {
		for _, m := range shown.FindAllString(next, -1) {
			found, rest, err := New(Process()).Find(strings.Fields(m)[1:])
			if err != nil || found.HasSubCommands() {
				t.Errorf("%s: %q is no command (%v, %v)", reason, m, rest, err)
			}
		}
	}
}

// The README's tour is typed nowhere, since its codes are made up; each line
// must be a command with flags that are there.
func TestTheReadmesTourCanBeTyped(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../README.md")
	if err != nil {
		t.Fatal(err)
	}
	lines := 0
	for _, part := range strings.Split(string(text), "```sh\n")[1:] {
		block, _, _ := strings.Cut(part, "```")
		for _, line := range strings.Split(strings.TrimSpace(block), "\n") {
			typed(t, New(Process()), line)
			lines++
		}
	}
	if lines < 30 {
		t.Errorf("only %d lines of the tour were found", lines)
	}
}
