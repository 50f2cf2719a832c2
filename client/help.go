package client

import (
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
)

// helpColumns is how wide a help text is.
const helpColumns = 80

// usageTemplate is read aloud as it stands: a word and a colon before each part.
const usageTemplate = `How to write it:
  {{if .HasAvailableSubCommands}}{{.CommandPath}} COMMAND [flags]{{else}}{{.UseLine}}{{if .HasAvailableFlags}} [flags]{{end}}{{end}}{{if .HasExample}}

For example:
{{.Example}}{{end}}{{if .HasAvailableSubCommands}}{{$cmds := .Commands}}{{if eq (len .Groups) 0}}

Commands:{{range $cmds}}{{if .IsAvailableCommand}}
  {{rpad .Name .NamePadding}} {{.Short}}{{end}}{{end}}{{else}}{{range $group := .Groups}}

{{.Title}}:{{range $cmds}}{{if and (eq .GroupID $group.ID) .IsAvailableCommand}}
  {{rpad .Name .NamePadding}} {{.Short}}{{end}}{{end}}{{end}}{{end}}{{end}}{{if .HasAvailableLocalFlags}}

Flags:
{{.LocalFlags.FlagUsagesWrapped 80 | trimTrailingWhitespaces}}{{end}}{{if .HasAvailableInheritedFlags}}

Flags of every command:
{{.InheritedFlags.FlagUsagesWrapped 80 | trimTrailingWhitespaces}}{{end}}{{if .HasAvailableSubCommands}}

More about one of them: {{.CommandPath}} COMMAND --help{{end}}
`

// help sets a command's texts to the width of a screen before they are shown.
// It is done then, and not for a hundred commands at every start.
func help(show func(*cobra.Command, []string)) func(*cobra.Command, []string) {
	return func(c *cobra.Command, args []string) {
		c.Long = reflow(c.Long)
		c.Example = layOut(c.Example)
		show(c, args)
	}
}

// helpCommand is `dyelot help stock`, for whoever writes it before the noun.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:    "help [COMMAND…]",
		Short:  "Show the help of a command",
		Hidden: true,
		RunE: func(c *cobra.Command, args []string) error {
			about, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return unknownCommand(about, rest[0])
			}
			return about.Help()
		},
	}
}

// reflow fills paragraphs to the width. A line that is set in stays a line of
// its own, and goes on below its second column.
func reflow(text string) string {
	var out, open []string
	flush := func() {
		out = append(out, fill("", "", open)...)
		open = nil
	}
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		switch {
		case line == "":
			flush()
			out = append(out, "")
		case strings.HasPrefix(line, "  "):
			flush()
			out = append(out, line)
		default:
			open = append(open, strings.Fields(line)...)
		}
	}
	flush()
	return strings.Join(out, "\n")
}

// layOut sets each example line in, and breaks it as a shell would read it:
// between words, behind a backslash.
func layOut(examples string) string {
	var out []string
	for _, line := range strings.Split(strings.TrimSpace(examples), "\n") {
		out = append(out, fill("  ", " \\", shellWords(line))...)
	}
	return strings.Join(out, "\n")
}

// fill puts words in lines behind a lead; a line that goes on ends in more, and
// the next is set in twice as far.
func fill(lead, more string, words []string) []string {
	var lines []string
	line := lead
	for i, w := range words {
		room := helpColumns - utf8.RuneCountInString(more)
		if i > 0 && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(w) > room {
			lines = append(lines, line+more)
			line = lead + lead + w
			continue
		}
		if i > 0 {
			line += " "
		}
		line += w
	}
	if len(words) > 0 {
		lines = append(lines, line)
	}
	return lines
}

// shellWords splits a command line at spaces outside quotes, quotes kept.
func shellWords(line string) []string {
	var words []string
	var word strings.Builder
	quote := rune(0)
	for _, r := range strings.TrimSpace(line) + " " {
		switch {
		case r == quote:
			quote = 0
		case quote == 0 && (r == '"' || r == '\''):
			quote = r
		}
		if r == ' ' && quote == 0 {
			if word.Len() > 0 {
				words = append(words, word.String())
			}
			word.Reset()
			continue
		}
		word.WriteRune(r)
	}
	return words
}
