package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) swatches() dyelotv1.SwatchServiceClient { return dyelotv1.NewSwatchServiceClient(s) }

func (s *session) swatchCommand() *cobra.Command {
	return s.noun("swatch", "The swatch book: each trial, found by words, plant, month, colour",
		"The swatch book: every trial with its recipe, fibre, plant, mordant, colour and grades,\nfound by words, by filters, or by the nearest colour. A page is never changed; a wrong\none is struck out and stays to be read. What a swatch had is what to expect, and never\na lot's own grade.",
		s.swatchAdd(), s.swatchFromLot(), s.swatchGrade(), s.swatchList(), s.swatchNear(), s.swatchShow(), s.swatchStrike(), s.swatchExpect(), s.swatchImport(), s.swatchColumns())
}

func (s *session) swatchAdd() *cobra.Command {
	return s.command(verb{
		use:   "add FIBRE [PLANT]",
		short: "Write a page: what was dyed with what, and how it came out",
		long: `Write a page of the swatch book. A bath is its kind, what went in, and % WOF on air-dry
fibre where it is known: "mordant alum=15%", "after-dip vinegar iron". Of what the
tables do not know, say which metal it brings, or none: "tannin acorns metal none".
The colour is typed with --lab, or comes with its spectrum from a file that the
instrument wrote (CGATS, CxF3 or CSV), --file; --sample says which one of it.`,
		example: `dyelot swatch add silk weld --wof 60% --bath "mordant alum=15%" --bath "after-dip copperas=1%" --lab 58,-4,32 --place "lane behind the boathouse" --page "book 2 p. 31"
dyelot swatch add wool --parcel P7 --wof 80% --file birch.txt --sample "birch 3"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.AddSwatchRequest{Swatch: &dyelotv1.Swatch{}}
			w := q.Swatch
			f.fills("FIBRE", "swatch.fibre")
			f.fills("PLANT", "swatch.plant")
			plantFlags(f, w)
			f.text(&w.RecipeCode, "recipe", "the recipe it was dyed by, where the books hold it")
			f.fills("recipe", "swatch.recipe_code")
			f.offers("recipe", listRecipes)
			f.number(&w.RecipeVersion, "recipe-version", "which version of it (the newest)")
			f.text(&w.ParcelCode, "parcel", "the harvest or bag it was dyed from")
			f.fills("parcel", "swatch.parcel_code")
			f.offers("parcel", listParcels)
			f.day(&w.DyedOn, "dyed", "the day it was dyed (today)")
			f.fills("dyed", "swatch.dyed_on")
			cardColourFlags(f, w)
			pageFlags(f, w)
			return func(ctx context.Context, args []string) error {
				if w.Fibre = args[0]; len(args) > 1 {
					w.Plant = args[1]
				}
				return answer(ctx, s, s.swatches().AddSwatch, q, (*paper.Sheet).SwatchAdded)
			}
		},
	})
}

// plantFlags are what a person may say of the plant and the baths.
func plantFlags(f *form, w *dyelotv1.Swatch) {
	f.text(&w.Part, "part", "which part of the plant: leaf, root, skin …")
	f.percent(&w.PercentWof, "wof", "of the plant, per cent of the air-dry fibre")
	f.fills("wof", "swatch.percent_wof")
	f.baths(&w.Baths, "bath", "what else it had, in order; may be repeated")
	f.text(&w.DyeFamily, "family", "family of its dye, where the tables do not know it")
	f.fills("family", "swatch.dye_family")
	f.text(&w.Place, "place", "where the plant was picked, in your own words")
	f.day(&w.PickedOn, "picked", "the day it was picked")
	f.fills("picked", "swatch.picked_on")
	f.text(&w.RecipeWords, "recipe-words", "the recipe in words, where it stands in no book")
}

// pageFlags are what else stands on a page.
func pageFlags(f *form, w *dyelotv1.Swatch) {
	f.text(&w.Name, "name", "what it is called aloud")
	f.text(&w.Page, "page", "where the cloth is kept: \"book 2 p. 31\"")
	f.text(&w.By, "by", "who dyed it (whose token this is)")
	f.text(&w.Note, "note", "anything else to know")
}

func (s *session) swatchFromLot() *cobra.Command {
	return s.command(verb{
		use:   "from-lot LOT",
		short: "Write a page from a lot's own records and reading",
		long: `Write a page from a lot's own records: fibre, recipe version, plant and doses as they
were weighed, baths, the harvest's place and day, and the colour by the readings that
count. What you say here wins. % WOF is left out where nobody can know it: of a liquor
of unknown strength, and of a bath that was used before.`,
		example: "dyelot swatch from-lot L1 --page \"book 3 p. 2\"",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.AddSwatchRequest{Swatch: &dyelotv1.Swatch{}}
			w := q.Swatch
			f.fills("LOT", "swatch.lot_code")
			f.text(&w.Plant, "plant", "the plant, where the records do not say it well")
			plantFlags(f, w)
			pageFlags(f, w)
			return func(ctx context.Context, args []string) error {
				w.LotCode = args[0]
				return answer(ctx, s, s.swatches().AddSwatch, q, (*paper.Sheet).SwatchAdded)
			}
		},
	})
}

func (s *session) swatchGrade() *cobra.Command {
	return s.command(verb{
		use:     "grade SWATCH METHOD COMPONENT=GRADE…",
		short:   "Record how a swatch wore: in the wash, in light, rubbed",
		long:    "Record how a swatch wore, by a method of: dyelot test methods. Half grades are written\n3-4. It is what to expect of a like lot, and never that lot's own grade.",
		example: "dyelot swatch grade T3 studio-window light=4 --by owner --on 2026-08-02\ndyelot swatch grade T3 iso-105-x12 dry=4-5 wet=3 --edition 2016 --by bench-1",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.AddSwatchGradeRequest{}
			f.fills("SWATCH", "swatch_code", "swatch")
			f.fills("METHOD", "method")
			f.fills("COMPONENT=GRADE", "grades", "grade")
			f.text(&q.Variant, "variant", "which variant of the method, such as A1S")
			f.text(&q.Edition, "edition", "which edition of it, such as 2013")
			f.text(&q.Assessor, "by", "who judged it (whose token this is)")
			f.fills("by", "assessor")
			f.text(&q.Evidence, "evidence", "the report, or the page of the notebook")
			f.day(&q.TestedOn, "on", "the day of the grades (today)")
			f.fills("on", "tested_on", "date")
			return func(ctx context.Context, args []string) error {
				q.SwatchCode, q.Method = args[0], args[1]
				for _, word := range args[2:] {
					component, grade, err := pairOf(word, "light=3-4")
					if err != nil {
						return err
					}
					q.Grades = append(q.Grades, &dyelotv1.ComponentGrade{Component: component, Grade: grade})
				}
				return answer(ctx, s, s.swatches().AddSwatchGrade, q, (*paper.Sheet).SwatchGraded)
			}
		},
	})
}

func (s *session) swatchShow() *cobra.Command {
	return s.command(verb{
		use:     "show SWATCH",
		short:   "Read one page whole, struck out or not",
		example: "dyelot swatch show T3",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("SWATCH", "swatch_code", "swatch")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.swatches().GetSwatch, &dyelotv1.GetSwatchRequest{SwatchCode: args[0]}, (*paper.Sheet).Swatch)
			}
		},
	})
}

func (s *session) swatchStrike() *cobra.Command {
	return s.command(verb{
		use:     "strike SWATCH",
		short:   "Strike out a page that is wrong: it can still be read",
		example: "dyelot swatch strike T3 --reason \"the cloth was viscose\"",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.StrikeSwatchRequest{}
			f.fills("SWATCH", "swatch_code", "swatch")
			f.text(&q.Reason, "reason", "what is wrong with it")
			f.text(&q.By, "by", "who strikes it (whose token this is)")
			return func(ctx context.Context, args []string) error {
				if err := given(q.Reason, "--reason", "what is wrong with it"); err != nil {
					return err
				}
				q.SwatchCode = args[0]
				return answer(ctx, s, s.swatches().StrikeSwatch, q, (*paper.Sheet).SwatchStruck)
			}
		},
	})
}

func (s *session) swatchExpect() *cobra.Command {
	return s.command(verb{
		use:     "expect COLOURWAY-OR-LOT",
		short:   "What swatches of the same plant, fibre and metals had",
		long:    "What swatches of the same fibre, plant and metals had in each kind of test. It is what\nto expect: a lot is judged by tests of its own cloth alone.",
		example: "dyelot swatch expect harbour-gold\ndyelot swatch expect L1",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("COLOURWAY-OR-LOT", "colourway_code", "lot_code", "colourway", "lot")
			return func(ctx context.Context, args []string) error {
				q := &dyelotv1.ExpectForRequest{ColourwayCode: args[0]}
				if lotCode().MatchString(args[0]) {
					q = &dyelotv1.ExpectForRequest{LotCode: args[0]}
				}
				return answer(ctx, s, s.swatches().ExpectFor, q, (*paper.Sheet).Expected)
			}
		},
	})
}
