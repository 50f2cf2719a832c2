package client

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"dyelot/client/calc"
	"dyelot/inventory/fault"
)

// Commands stand in the order of the work, not of the alphabet. The library
// keeps this in a variable of its own.
func init() { cobra.EnableCommandSorting = false }

// chapters are the headings of `dyelot --help`, in the order of a season, each
// with its nouns.
var chapters = []struct {
	id, title string
	nouns     []func(*session) *cobra.Command
}{
	{"stock", "Stock", []func(*session) *cobra.Command{(*session).itemCommand, (*session).stockCommand, (*session).harvestCommand, (*session).dipsCommand, (*session).arrivalCommand, (*session).reorderCommand, (*session).offerCommand, (*session).purchaseCommand}},
	{"season", "The season", []func(*session) *cobra.Command{(*session).collectionCommand, (*session).seasonCommand, (*session).gatherCommand}},
	{"recipes", "Recipes", []func(*session) *cobra.Command{(*session).standardCommand, (*session).recipeCommand, (*session).colourwayCommand, (*session).swatchCommand}},
	{"pot", "At the pot", []func(*session) *cobra.Command{(*session).commissionCommand, (*session).runCommand, (*session).lotCommand, (*session).potCommand, (*session).stageCommand, (*session).additionCommand, (*session).bathCommand, (*session).vatCommand, (*session).clothCommand}},
	{"judging", "Judging", []func(*session) *cobra.Command{(*session).readingCommand, (*session).shadeCommand, (*session).testCommand, (*session).windowCommand, (*session).studyCommand, (*session).houseCommand, (*session).verdictCommand}},
	{"garments", "Garments", []func(*session) *cobra.Command{(*session).garmentCommand, (*session).traceCommand, (*session).recallCommand, (*session).causeCommand, (*session).actionCommand}},
	{"studio", "Studio", []func(*session) *cobra.Command{(*session).todayCommand, (*session).weekCommand, (*session).logCommand, (*session).studioCommand, (*session).vesselCommand, (*session).tokenCommand, (*session).openingCommand, (*session).verifyCommand, (*session).backupCommand, (*session).auditCommand}},
	{"calc", "Bench calculator", []func(*session) *cobra.Command{func(s *session) *cobra.Command { return calc.Command(s.trueColour) }}},
	{"cost", "Cost", []func(*session) *cobra.Command{(*session).costCommand, (*session).whatIfCommand}},
}

// root is the whole tree. It is built anew for each run: commands hold the
// values of their flags.
func (s *session) root() *cobra.Command {
	c := &cobra.Command{
		Use:           "dyelot",
		Short:         "The books of a small natural-dye label",
		Long:          rootLong,
		Example:       rootExample,
		Version:       Version(),
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	c.SetIn(s.In)
	c.SetOut(s.Out)
	c.SetErr(s.Err)
	c.SetVersionTemplate("dyelot {{.Version}}\n")
	c.SetUsageTemplate(usageTemplate)
	c.SetHelpFunc(help(c.HelpFunc()))
	c.SetFlagErrorFunc(flagFault)
	c.PersistentFlags().SortFlags = false
	s.flags.register(c.PersistentFlags())
	c.Args = func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			return unknownCommand(c, args[0])
		}
		return nil
	}
	c.RunE = func(*cobra.Command, []string) error { return c.Help() }
	for _, chapter := range chapters {
		c.AddGroup(&cobra.Group{ID: chapter.id, Title: chapter.title})
		for _, noun := range chapter.nouns {
			n := noun(s)
			n.GroupID = chapter.id
			c.AddCommand(n)
		}
	}
	c.SetHelpCommand(helpCommand())
	c.SetCompletionCommandGroupID("studio")
	c.InitDefaultCompletionCmd()
	if tab, _, err := c.Find([]string{"completion"}); err == nil {
		tab.Short = "Let the Tab key complete commands, flags and codes in your shell"
	}
	return c
}

const rootLong = `dyelot keeps the books of a small natural-dye label: which undyed blanks, mordants
and dyestuffs are on hand, what each pot received, how each lot measured and
wore, and which lot any garment came from.

Amounts are written with their unit: 162g, 1.5kg, 30mL, 10pc. Times are written
as 2026-05-14, "2026-05-14 09:30" or "today 9:30", in the studio's time zone.

Exit codes: 0 done; 2 the words of the command are off; 3 no such thing; 4 a rule
said no; 5 the service did not answer; 1 all else.`

const rootExample = `
dyelot stock receive alum 500g --supplier "salt works" --supplier-lot A-17
dyelot run plan harbour-gold --blanks P3=105,104,106 --pots pot-40
dyelot stage record L1 2 --used P9=47.3g --vessel tub-60 --by dyer-1
dyelot trace 16JD`

// flagFault turns the flag library's errors into faults that name the flag.
func flagFault(c *cobra.Command, err error) error {
	var (
		unknown *pflag.NotExistError
		bad     *pflag.InvalidValueError
		bare    *pflag.ValueRequiredError
	)
	switch {
	case errors.Is(err, pflag.ErrHelp):
		return err
	case errors.As(err, &unknown):
		typed := "--" + unknown.GetSpecifiedName()
		if unknown.GetSpecifiedShortnames() != "" {
			typed = "-" + unknown.GetSpecifiedShortnames()
		}
		hint := "see: " + c.CommandPath() + " --help"
		if near := nearFlags(c, unknown.GetSpecifiedName()); len(near) > 0 {
			hint = "did you mean " + strings.Join(near, " or ") + "?"
		}
		return fault.New(fault.Invalid, "UNKNOWN_FLAG", "%s is no flag of %s; %s", typed, c.CommandPath(), hint)
	case errors.As(err, &bad):
		return fault.BadField("--"+bad.GetFlag().Name, "%s", saying(bad.Unwrap(), bad.GetValue(), bad.GetFlag().Value.Type()))
	case errors.As(err, &bare):
		return fault.BadField("--"+bare.GetSpecifiedName(), "needs a value behind it")
	}
	return fault.New(fault.Invalid, "BAD_FLAG", "%s", err.Error())
}

// saying is a fault's sentence, or plain words for what the library could not
// read: its own are about parsing.
func saying(err error, value, what string) string {
	if f, ok := fault.Of(err); ok {
		return f.Say
	}
	return fmt.Sprintf("%.60q is no %s", value, what)
}
