package calc

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"dyelot/inventory/fault"
)

// searchTime bounds the two searches, pots and schedule. Every answer is due
// within 30 s on two cores, and between two looks at the clock a search of
// hundreds of pots or thousands of steps may work for some seconds.
const searchTime = 18 * time.Second

// calculation is one NAME.
type calculation struct {
	name, short string
	long        string // what it answers, by which rule
	example     string // one worked command line
	says        string // how its answer begins
	document    string // the same question as a document
	ask         func() question
}

// question is what one call asks. Its fields write into it.
type question interface {
	fields() []field
	// answer computes; stop turns true when a search is to end with the best it
	// has found.
	answer(stop func() bool) (answer, error)
}

// answer marshals to the JSON document of the contract and tells itself to a
// person.
type answer interface{ tell(p *page) }

// calculations in the order of the contract.
var calculations = []calculation{
	dose, mordant, difference, spectrum, metamerism, fade, reorder, lotsize,
	netting, newsvendor, pots, schedule, line, suspect, tag,
}

// Command is dyelot calc with one subcommand for each NAME. It reads and writes
// the command's own streams, and honours --json and --timeout where the root
// has them; trueColour is asked whether people see colours as colours there.
// Every refusal is a fault.Invalid that names its field.
func Command(trueColour func() bool) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "calc",
		Short: "Answer one question of the bench, with no server",
		Long: `Answer one question of the bench. Works with no server and no settings.

Ask with flags, or with one JSON document: --in FILE, or --in - for standard
input. With --json the answer is one JSON document too.`,
		DisableFlagsInUseLine: true,
		ValidArgsFunction:     cobra.NoFileCompletions,
		Args:                  noSuchCalculation,
		RunE:                  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	for _, c := range calculations {
		cmd.AddCommand(c.command(trueColour))
	}
	return cmd
}

func noSuchCalculation(_ *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	var names []string
	for _, c := range calculations {
		names = append(names, c.name)
	}
	return fault.New(fault.Invalid, "UNKNOWN_COMMAND", "there is no calculation %q: use one of %s", clip(args[0]), strings.Join(names, ", "))
}

func (c calculation) command(trueColour func() bool) *cobra.Command {
	var in string
	told := map[string]*flagTexts{}
	cmd := &cobra.Command{
		Use:                   c.name,
		Short:                 c.short,
		Long:                  c.manual(),
		Example:               "  " + strings.ReplaceAll(c.example, "\n", "\n    "),
		DisableFlagsInUseLine: true,
		ValidArgsFunction:     cobra.NoFileCompletions,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return fault.New(fault.Invalid, "ARGUMENT_UNWANTED", "%q belongs to no flag: %s is asked with flags or with --in", clip(args[0]), c.name)
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&in, "in", "", "`file` with one JSON document, or - for standard input")
	for _, f := range c.ask().fields() {
		for _, flag := range f.flags() {
			told[flag.flag] = &flagTexts{word: flag.value.word}
			cmd.Flags().Var(told[flag.flag], flag.flag, flag.usage)
			// The error is of a flag that is not there, or registered twice.
			_ = cmd.RegisterFlagCompletionFunc(flag.flag, cobra.FixedCompletions(f.offers, cobra.ShellCompDirectiveNoFileComp))
		}
	}
	cmd.Flags().SortFlags = false
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		err := c.run(cmd, in, told, trueColour)
		if err != nil && cmd.Flags().Changed("in") {
			// A document has fields and no flags: without flags to match, the
			// program names what is wrong as the document does, "demand[2]".
			cmd.ResetFlags()
		}
		return err
	}
	return cmd
}

func (c calculation) run(cmd *cobra.Command, in string, flags map[string]*flagTexts, trueColour func() bool) error {
	from, err := c.told(cmd, in, flags)
	if err != nil {
		return err
	}
	q := c.ask()
	if err := fill("", q.fields(), from); err != nil {
		return err
	}
	a, err := q.answer(stopFor(cmd))
	if err != nil {
		return err
	}
	if ctx := cmd.Context(); ctx != nil && ctx.Err() != nil {
		return ctx.Err()
	}
	return write(cmd, a, trueColour)
}

// told gathers the question from the document or from the flags, never both.
func (c calculation) told(cmd *cobra.Command, in string, flags map[string]*flagTexts) (*object, error) {
	from, err := c.fromFlags(flags)
	switch {
	case err != nil:
		return nil, err
	case !cmd.Flags().Changed("in"):
		return from, nil
	case len(from.names) > 0:
		return nil, fault.BadField("in", "a document and flags for %s are both given: ask with one of them", strings.Join(from.names, ", "))
	case in == "-":
		return readDocument(cmd.InOrStdin())
	}
	file, err := os.Open(in)
	if err != nil {
		return nil, fault.BadField("in", "cannot be read: %v", err)
	}
	defer file.Close()
	return readDocument(file)
}

func (c calculation) fromFlags(flags map[string]*flagTexts) (*object, error) {
	from := objectOf()
	for _, f := range c.ask().fields() {
		for _, flag := range f.flags() {
			told := flags[flag.flag]
			if told == nil || told.texts == nil {
				continue
			}
			if _, twice := from.values[f.name]; twice {
				return nil, fault.BadField(f.name, "is told by two flags: use one of them")
			}
			v, err := flag.value.flag(told.texts)
			if err != nil {
				return nil, err
			}
			from.add(f.name, v)
		}
	}
	return from, nil
}

// manual is what the help says before the flags.
func (c calculation) manual() string {
	return c.long + "\n\nThe example below answers:\n  " + c.says + "\nIt is the same as this document for --in:\n  " + strings.ReplaceAll(c.document, "\n", "\n  ")
}

// stopFor ends a search when its time is up, sooner where --timeout says so, or
// when the caller has gone.
func stopFor(cmd *cobra.Command) func() bool {
	ctx := cmd.Context()
	if ctx == nil {
		ctx = context.Background()
	}
	limit := searchTime
	if t, err := cmd.Flags().GetDuration("timeout"); err == nil && t > 0 {
		limit = min(limit, t)
	}
	end := time.Now().Add(limit)
	return func() bool { return ctx.Err() != nil || time.Now().After(end) }
}

// write puts an answer out whole or not at all.
func write(cmd *cobra.Command, a answer, trueColour func() bool) error {
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(a); err != nil {
		if odd := (*json.UnsupportedValueError)(nil); errors.As(err, &odd) {
			return fault.New(fault.Invalid, "BEYOND_NUMBERS", "the answer is beyond what a number can hold (about 1.8e308): look again at the sizes and units")
		}
		return fmt.Errorf("writing the answer: %w", err)
	}
	if asJSON, err := cmd.Flags().GetBool("json"); err != nil || !asJSON {
		p := &page{swatches: trueColour()}
		a.tell(p)
		text.Reset()
		text.WriteString(p.String())
	}
	_, err := io.Copy(cmd.OutOrStdout(), &text)
	return err
}

// flagTexts is a flag as it was typed, once or several times.
type flagTexts struct {
	texts []string
	word  string
}

func (f *flagTexts) Set(text string) error {
	f.texts = append(f.texts, text)
	return nil
}
func (f *flagTexts) String() string { return strings.Join(f.texts, ",") }
func (f *flagTexts) Type() string   { return f.word }
