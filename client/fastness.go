package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// lotCode tells a lot from a garment's tag, which never holds an L.
var lotCode = pattern(`^[Ll][0-9]+$`)

func (s *session) readingCommand() *cobra.Command {
	return s.noun("reading", "Measured or judged colours", "", s.readingAdd(), s.readingImport(), s.readingShow(), s.readingEye(), s.readingGround(),
		s.withdraw("READING-OR-EYE", "dyelot reading withdraw C4 --reason \"a rust stain lay under the eye\"\ndyelot reading withdraw V3 --reason \"judged by lamplight\""))
}

func (s *session) readingAdd() *cobra.Command {
	return s.command(verb{
		use:   "add LOT-OR-TAG",
		short: "Record the colour of a lot's witness swatch, or of one garment",
		long: `Record the colour of a lot's witness swatch, or of one garment by its tag. Judge dry
cloth that has rested a day in the dark: wet cloth is not dry cloth, and is kept apart.`,
		example: "dyelot reading add L1 --lab 62.6,-1.8,38.9 --rested --by bench-1 --instrument spectro-1\ndyelot reading add 16JD --lab 58.0,-1.0,30.2 --by owner --instrument eye",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.RecordReadingRequest{Reading: &dyelotv1.Reading{}}
			r := q.Reading
			var wet bool
			f.fills("LOT-OR-TAG", "reading.lot_code", "reading.tag", "lot", "garment")
			colourFlags(f, &r.Colour, "reading.colour")
			f.flag(&r.Rested, "rested", "the cloth rested a day in the dark first")
			f.flag(&wet, "wet", "the cloth was wet")
			f.fills("wet", "reading.condition")
			f.text(&r.By, "by", "who read it (whose token this is)")
			f.text(&r.Instrument, "instrument", "which instrument, or eye")
			f.when(&r.HappenedAt, "at", "when (now)")
			f.fills("at", "reading.happened_at")
			f.text(&r.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				r.Condition = "dry"
				if wet {
					r.Condition = "wet"
				}
				if lotCode().MatchString(args[0]) {
					r.LotCode = args[0]
				} else {
					r.Tag = args[0]
				}
				return answer(ctx, s, s.judge().RecordReading, q, (*paper.Sheet).ReadingAdded)
			}
		},
	})
}

func (s *session) testCommand() *cobra.Command {
	return s.noun("test", "Fastness tests: washing, light, rubbing, perspiration", "", s.testAdd(), s.testShow(), s.testCheck(), s.testFade(), s.testMethods(), s.withdraw("TEST", "dyelot test withdraw F7 --reason \"the card hung in the shade\""))
}

func (s *session) testAdd() *cobra.Command {
	return s.command(verb{
		use:   "add LOT METHOD [COMPONENT=GRADE…]",
		short: "Record a fastness test of a lot's witness swatch",
		long: `Record a fastness test of a lot's witness swatch: a method, and a grade for each of its
components. Half grades are written 3-4. Methods and their components: dyelot test
methods. A published method needs the edition that was followed; the studio's own do
not. A grade from a table, a swatch or another lot is never this lot's grade.

With --measured, two colours of a component before and after, L,a,b:L,a,b, the program
grades too (ISO 105-A05 of a change, A04 of staining). Both grades are kept. The
assessor's counts, and the measured one where nobody gave one; more than half a grade
between them is shown. Which blue wool a light grade is, no two colours can say.`,
		example: `dyelot test add L1 iso-105-b02 light=3 --edition 2014 --by owner --on 2026-07-02 --evidence "window book p. 12"
dyelot test add L1 iso-105-c06 change=4 stain-cotton=4-5 stain-wool=4 --variant A1S --edition 2010 --by bench-1
dyelot test add L1 studio-home-wash change=4 --measured change=46.3,-2.8,24.4:48.1,-2.0,20.2 --instrument spectro-1
dyelot test add L1 iso-105-x12 dry=4 wet=3 --edition 2016 --laboratory "harbour laboratory" --report report-12.pdf`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.RecordFastnessTestRequest{Test: &dyelotv1.FastnessTest{}}
			t := q.Test
			f.fills("LOT", "test.lot_code")
			f.fills("METHOD", "test.method", "method")
			f.fills("COMPONENT=GRADE", "test.grades", "grades")
			f.text(&t.Scope, "scope", "what it is evidence for: lot, harvest or recipe (lot)")
			f.offers("scope", fixed("lot", "harvest", "recipe"))
			f.text(&t.Variant, "variant", "which variant of the method, such as A1S")
			f.text(&t.Edition, "edition", "which edition of it, such as 2013")
			f.text(&t.Direction, "direction", "how the colour moved: weaker, redder, duller …")
			f.text(&t.Assessor, "by", "who judged it (whose token this is)")
			f.fills("by", "test.assessor", "assessor")
			f.text(&t.Evidence, "evidence", "the laboratory's report, or the page of the notebook")
			f.day(&t.TestedOn, "on", "the day of the test (today)")
			f.fills("on", "test.tested_on", "tested_on")
			f.text(&t.Specimen, "specimen", "which of several, such as \"strip 2\"")
			f.text(&t.Laboratory, "laboratory", "which laboratory tested it")
			f.text(&t.Instrument, "instrument", "which instrument, or eye")
			measuredFlags(f, &t.Measured, "test.measured")
			report := f.report()
			f.text(&t.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) (err error) {
				t.LotCode, t.Method = args[0], args[1]
				if t.ReportName, t.ReportSha256, err = hashOf("--report", *report); err != nil {
					return err
				}
				for _, word := range args[2:] {
					component, grade, err := pairOf(word, "light=3-4")
					if err != nil {
						return err
					}
					t.Grades = append(t.Grades, &dyelotv1.ComponentGrade{Component: component, Grade: grade})
				}
				return answer(ctx, s, s.judge().RecordFastnessTest, q, (*paper.Sheet).TestAdded)
			}
		},
	})
}

func (s *session) testMethods() *cobra.Command {
	return s.command(verb{
		use:     "methods",
		short:   "List the methods that a test may name, with their components",
		example: "dyelot test methods",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.judge().ListMethods, &dyelotv1.ListMethodsRequest{}, (*paper.Sheet).Methods)
			}
		},
	})
}
