package client

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) openings() dyelotv1.OpeningServiceClient {
	return dyelotv1.NewOpeningServiceClient(s)
}

// openingTimeout: a hundred thousand rows take longer than a screen at the pot.
const openingTimeout = 2 * time.Minute

// mostBytes is opening.MaxBytes: a test holds the two together, since that package
// compiles its patterns at every start.
const mostBytes = 16_000_000

// errOff ends a dry run that found something with exit code 2.
func errOff(n int32) error {
	return fault.New(fault.Invalid, manyOff, "the import would be refused: what is off stands above, %d in all", n)
}

func (s *session) openingCommand() *cobra.Command {
	return s.noun("opening", "Bring in what you kept in spreadsheets before",
		"Bring in what you kept in spreadsheets before: what the studio keeps, what lies on its\nshelf, and the lots that it dyed.",
		s.openingImport(), s.openingColumns())
}

func (s *session) openingImport() *cobra.Command {
	return s.command(verb{
		use:   "import",
		short: "Import items, parcels and past lots from CSV files",
		long: `Import items, parcels and past lots from CSV files, as a spreadsheet saves them: with
commas, semicolons or tabs, in UTF-8. All of it comes in, or nothing; whatever is off
is told at once, with its line and column. Try it with --dry-run first.

The columns are ours, in any order, and those that are not needed may be left out:
dyelot opening columns. Amounts have a unit behind them ("12,5 g", "8 oz"), in the
header ("fresh (kg)") or, for what lies there, in a column called unit. A number that
could be a thousand times less or more is refused until you say --decimal-comma or
--decimal-point. A day is written as 2024-07-02; for others say --day-order.

What a parcel's amount says lies on the shelf today. What past lots of the same files
took is booked in before that, and out again into their pots. Colourways and vessels
of past lots must be in the books. A past lot is passed by whoever you name, who takes
on by name every row of the house standard that it was never held against.`,
		example: `dyelot opening import --items items.csv --parcels parcels.csv --lots lots.csv --dry-run
dyelot opening import --parcels shelf.csv --decimal-comma --day-order dmy`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ImportOpeningRequest{}
			var comma, point bool
			f.sheet(&q.Items, "items", "what the studio keeps")
			f.sheet(&q.Parcels, "parcels", "what lies on its shelf")
			f.sheet(&q.Lots, "lots", "what it dyed")
			f.flag(&q.DryRun, "dry-run", "look at everything, record nothing")
			f.flag(&comma, "decimal-comma", "12,5 is twelve and a half, and 1.234 is a thousand and more")
			f.flag(&point, "decimal-point", "12.5 is twelve and a half, and 1,234 is a thousand and more")
			f.fills("decimal-comma", "decimal_mark")
			f.text(&q.DayOrder, "day-order", "dmy for 02.07.2024, mdy for 07/02/2024")
			f.offers("day-order", fixed("dmy", "mdy"))
			f.flag(&q.Again, "again", "import a file a second time, to the letter")
			return func(ctx context.Context, _ []string) error {
				switch {
				case comma && point:
					return fault.BadField("--decimal-comma", "and --decimal-point: say one of them")
				case comma:
					q.DecimalMark = "comma"
				case point:
					q.DecimalMark = "point"
				}
				if q.Items == nil && q.Parcels == nil && q.Lots == nil {
					return fault.New(fault.Invalid, "FLAG_MISSING", "no file is named: --items, --parcels or --lots")
				}
				return s.importOpening(ctx, q)
			}
		},
	})
}

func (s *session) importOpening(ctx context.Context, q *dyelotv1.ImportOpeningRequest) error {
	if s.flags.Timeout == 0 {
		s.flags.Timeout = openingTimeout
	}
	resp, err := s.openings().ImportOpening(ctx, q, grpc.MaxCallRecvMsgSize(mostBytes))
	if err != nil {
		s.tellFindings(ctx, err)
		return err
	}
	if err := s.show(ctx, resp, func(p *paper.Sheet) { p.Opening(resp) }); err != nil {
		return err
	}
	if resp.GetFindingCount() > 0 {
		return errOff(resp.GetFindingCount())
	}
	return nil
}

// tellFindings writes what a refused import says of each row where messages go.
func (s *session) tellFindings(ctx context.Context, err error) {
	if s.flags.JSON {
		return // the error itself has them
	}
	notes := violationsOf(err)
	if len(notes) == 0 {
		return
	}
	width, _ := terminal(s.Err)
	sheet := paper.New(s.Err, paper.Options{Width: width, Zone: func() *time.Location { return s.zoneToShow(ctx) }})
	sheet.OpeningNotes(paper.NotesOf(notes))
	_ = sheet.Close() // where stderr is gone, the exit code still says it
}

// violationsOf are the fields that a status names, where they are several.
func violationsOf(err error) []*errdetails.BadRequest_FieldViolation {
	st := statusOf(err)
	if st == nil {
		return nil
	}
	for _, d := range st.Details() {
		if bad, ok := d.(*errdetails.BadRequest); ok {
			return bad.GetFieldViolations()
		}
	}
	return nil
}

// sheet is a flag that names a CSV file; "-" is standard input. It is read before
// the command runs, and not where only the words are checked.
func (f *form) sheet(into **dyelotv1.OpeningSheet, name, usage string) {
	path := ""
	f.value(name, "file", usage+"; - is standard input", func(text string) error {
		path = text
		return nil
	})
	f.later = append(f.later, func(context.Context) error {
		if path == "" {
			return nil
		}
		content, err := f.session.readSheet(path)
		if err != nil {
			return fault.BadField("--"+name, "%s: %v", path, err)
		}
		*into = &dyelotv1.OpeningSheet{Name: filepath.Base(path), Content: content}
		return nil
	})
}

func (s *session) readSheet(path string) ([]byte, error) {
	in := s.In
	if path != "-" {
		file, err := os.Open(path)
		if err != nil {
			var at *os.PathError
			if errors.As(err, &at) {
				err = at.Err // the flag says which file
			}
			return nil, err
		}
		defer file.Close()
		in = file
	}
	content, err := io.ReadAll(io.LimitReader(in, mostBytes+1))
	if err == nil && len(content) > mostBytes {
		err = fmt.Errorf("is longer than %d MB, which is all that is read at once: split it", mostBytes/1_000_000)
	}
	return content, err
}

func (s *session) openingColumns() *cobra.Command {
	return s.command(verb{
		use:     "columns",
		short:   "List the columns that each file may have",
		example: "dyelot opening columns --of parcels",
		build: func(f *form) func(context.Context, []string) error {
			var of string
			f.text(&of, "of", "items, parcels or lots alone")
			f.offers("of", fixed("items", "parcels", "lots"))
			return func(ctx context.Context, _ []string) error {
				resp, err := s.openings().ListOpeningColumns(ctx, &dyelotv1.ListOpeningColumnsRequest{})
				if err != nil {
					return err
				}
				if of != "" {
					all := resp.GetColumns()
					resp.Columns = nil
					for _, c := range all {
						if c.GetSheet() == of {
							resp.Columns = append(resp.Columns, c)
						}
					}
					if len(resp.GetColumns()) == 0 {
						return fault.BadField("--of", "%.40q is none of items, parcels, lots", of)
					}
				}
				return s.show(ctx, resp, func(p *paper.Sheet) { p.OpeningColumns(resp) })
			}
		},
	})
}
