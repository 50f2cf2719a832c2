package calc

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
)

func answerTo(t *testing.T, stdin string, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	root := &cobra.Command{Use: "dyelot", SilenceErrors: true, SilenceUsage: true}
	root.PersistentFlags().Bool("json", false, "answer in JSON, for programs")
	root.AddCommand(Command(func() bool { return false }))
	root.SetIn(strings.NewReader(stdin))
	root.SetOut(&out)
	root.SetArgs(args)
	if err := root.Execute(); err != nil {
		t.Errorf("%q: %v", args, err)
	}
	return out.String()
}

// words splits a shell line of the help: blanks part, single quotes keep.
func words(line string) (args []string) {
	for i, part := range strings.Split(line, "'") {
		if i%2 == 1 {
			args = append(args, part)
			continue
		}
		args = append(args, strings.Fields(part)...)
	}
	return args
}

// What the help shows is what happens: the example runs, begins as it is said
// to, and the document asks the same.
func TestTheHelpIsTrue(t *testing.T) {
	t.Parallel()
	for _, c := range calculations {
		args := words(strings.TrimPrefix(strings.ReplaceAll(c.example, "\\\n", ""), "dyelot "))
		spoken := answerTo(t, "", args...)
		if !strings.HasPrefix(strings.Join(strings.Fields(spoken), " "), c.says) {
			t.Errorf("%s: the help says %q, the answer is\n%s", c.name, c.says, spoken)
		}
		byFlags := answerTo(t, "", append(args, "--json")...)
		byDocument := answerTo(t, c.document, "calc", c.name, "--in", "-", "--json")
		if byFlags != byDocument {
			t.Errorf("%s: by flags %s by document %s", c.name, byFlags, byDocument)
		}
		help := answerTo(t, "", "calc", c.name, "--help")
		own, _, _ := strings.Cut(help, "Global Flags:") // how flags are set is the program's template
		for _, f := range c.ask().fields() {
			for _, flag := range f.flags() {
				if !strings.Contains(own, "--"+flag.flag+" ") {
					t.Errorf("%s: the help does not name --%s", c.name, flag.flag)
				}
			}
		}
		for _, line := range strings.Split(c.manual()+"\n"+c.short+"\n  "+strings.ReplaceAll(c.example, "\n", "\n    "), "\n") {
			if utf8.RuneCountInString(line) > wide {
				t.Errorf("%s: a line of %d columns: %s", c.name, utf8.RuneCountInString(line), line)
			}
		}
	}
}
