package client

import (
	"context"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) standardCommand() *cobra.Command {
	return s.noun("standard", "Shade standards: the kept colours that lots are judged by", "", s.standardAdd(), s.standardList())
}

func (s *session) standardAdd() *cobra.Command {
	return s.command(verb{
		use:   "add STANDARD",
		short: "Keep a shade standard: its colour, its tolerance, its date",
		long: `Keep a shade standard: its colour in L*a*b*, its tolerance, its date. Tolerances are
CIEDE2000, for the illuminant and observer that the colour was computed for (D65 and
10 degrees unless you say). Standards fade too: --renew says when to make the master
again.

--from reads the master's spectrum from the file that an instrument wrote: the colour is
computed from it, and lots can be looked at in shop light and lamp light too. Of several
samples the mean is taken, unless --sample says which.`,
		example: "dyelot standard add harbour-gold --lab 62,-2,38 --tolerance 1.5 --set-tolerance 1.0 --dated 2026-03-01\ndyelot standard add madder-red --from master.txt --sample \"madder 3\" --tolerance 1.5",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CreateShadeStandardRequest{Standard: &dyelotv1.ShadeStandard{}}
			st := q.Standard
			f.fills("STANDARD", "standard.code", "code")
			f.text(&st.Name, "name", "what it is called aloud")
			view := colourFlags(f, &st.Colour, "standard.colour")
			file, from := fileFlags(f), ""
			f.value("from", "file", "an instrument's file with the master's spectrum or L*a*b*", func(text string) error { from = text; return nil })
			f.fills("from", "standard.spectrum", "standard.file")
			f.text(&file.sample, "sample", "which sample of that file (the mean of all)")
			f.text(&st.Instrument, "instrument", "which instrument (as the file says)")
			f.fills("instrument", "standard.instrument")
			f.decimal(&st.Tolerance, "tolerance", "greatest CIEDE2000 of a lot to it, such as 1.5")
			f.decimal(&st.SetTolerance, "set-tolerance", "greatest CIEDE2000 between lots of a matched set (as the tolerance)")
			f.day(&st.DatedOn, "dated", "the day the master was made (today)")
			f.fills("dated", "standard.dated_on", "dated_on")
			f.day(&st.RenewOn, "renew", "the day to make it again")
			f.fills("renew", "standard.renew_on", "renew_on")
			f.text(&st.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				st.Code = args[0]
				if from != "" {
					if err := s.masterFrom(from, file, st, view); err != nil {
						return err
					}
				}
				return answer(ctx, s, s.recipes().CreateShadeStandard, q, (*paper.Sheet).StandardAdded)
			}
		},
	})
}

// colourFlags are --lab, --illuminant and --observer, whichever come first. What
// it returns holds light and eye even where no colour was given.
func colourFlags(f *form, into **dyelotv1.Lab, under string) *dyelotv1.Lab {
	lab := &dyelotv1.Lab{}
	f.value("lab", "L,a,b", "the colour in L*a*b*, such as 62,-2,38", func(text string) error {
		v, err := labOf(text)
		if err != nil {
			return err
		}
		lab.L, lab.A, lab.B = v[0], v[1], v[2]
		*into = lab
		return nil
	})
	f.fills("lab", under)
	f.text(&lab.Illuminant, "illuminant", "A, D50, D65, F2 or F11 (D65)")
	f.fills("illuminant", under+".illuminant")
	f.offers("illuminant", fixed("A", "D50", "D65", "F2", "F11"))
	f.number(&lab.Observer, "observer", "2 or 10 degrees (10)")
	f.fills("observer", under+".observer")
	f.offers("observer", fixed("2", "10"))
	return lab
}

func labOf(text string) (lab [3]float64, err error) {
	parts := strings.Split(text, ",")
	if len(parts) != 3 {
		return lab, fault.BadField("", "%.40q is not L,a,b, such as 62,-2,38", text)
	}
	for i, p := range parts {
		lab[i], err = strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(lab[i]) || math.IsInf(lab[i], 0) {
			return lab, fault.BadField("", "%.40q is not a number in L,a,b, such as 62,-2,38", p)
		}
	}
	return lab, nil
}

func (s *session) standardList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the shade standards",
		example: "dyelot standard list",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.recipes().ListShadeStandards, &dyelotv1.ListShadeStandardsRequest{}, (*paper.Sheet).Standards)
			}
		},
	})
}

func (s *session) colourwayCommand() *cobra.Command {
	return s.noun("colourway", "A shade standard and the recipe that reaches it", "", s.colourwayAdd(), s.colourwayList())
}

func (s *session) colourwayAdd() *cobra.Command {
	return s.command(verb{
		use:     "add COLOURWAY",
		short:   "Join a shade standard and the recipe that reaches it",
		example: `dyelot colourway add harbour-gold --standard harbour-gold --recipe gold-on-silk --name "harbour gold"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CreateColourwayRequest{Colourway: &dyelotv1.Colourway{}}
			c := q.Colourway
			f.fills("COLOURWAY", "colourway.code", "code")
			f.text(&c.Name, "name", "what it is called aloud")
			f.text(&c.StandardCode, "standard", "the shade standard's code")
			f.fills("standard", "colourway.standard_code", "standard_code")
			f.offers("standard", listStandards)
			f.text(&c.RecipeCode, "recipe", "the recipe's code")
			f.fills("recipe", "colourway.recipe_code", "recipe_code")
			f.offers("recipe", listRecipes)
			return func(ctx context.Context, args []string) error {
				c.Code = args[0]
				return answer(ctx, s, s.recipes().CreateColourway, q, (*paper.Sheet).ColourwayAdded)
			}
		},
	})
}

func (s *session) colourwayList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the colourways",
		example: "dyelot colourway list",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				r, err := s.recipes().ListColourways(ctx, &dyelotv1.ListColourwaysRequest{})
				if err != nil {
					return err
				}
				standards := &dyelotv1.ListShadeStandardsResponse{}
				if !s.flags.JSON { // a person sees the colours too
					if standards, err = s.recipes().ListShadeStandards(ctx, &dyelotv1.ListShadeStandardsRequest{}); err != nil {
						return err
					}
				}
				return s.show(ctx, r, func(p *paper.Sheet) { p.Colourways(r, standards.GetStandards()) })
			}
		},
	})
}
