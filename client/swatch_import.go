package client

import (
	"context"
	"path/filepath"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) swatchImport() *cobra.Command {
	return s.command(verb{
		use:   "import FILE",
		short: "Bring in old swatch cards from a CSV file, all or nothing",
		long: `Bring in old swatch cards from a CSV file, as a spreadsheet saves it: all of them, or
nothing, and whatever is off is told with its line and column. Try it with --dry-run.
The columns, in any order: dyelot swatch columns.`,
		example: "dyelot swatch import cards.csv --dry-run\ndyelot swatch import cards.csv --decimal-comma --day-order dmy",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.AddSwatchesRequest{}
			var comma, point bool
			f.fills("FILE", "sheet", "swatches")
			f.flag(&q.DryRun, "dry-run", "look at everything, record nothing")
			f.flag(&comma, "decimal-comma", "12,5 is twelve and a half")
			f.flag(&point, "decimal-point", "12.5 is twelve and a half, and 1,234 is a thousand and more")
			f.fills("decimal-comma", "decimal_mark")
			f.text(&q.DayOrder, "day-order", "dmy for 02.07.2024, mdy for 07/02/2024")
			f.offers("day-order", fixed("dmy", "mdy"))
			return func(ctx context.Context, args []string) error {
				switch {
				case comma && point:
					return fault.BadField("--decimal-comma", "and --decimal-point: say one of them")
				case comma:
					q.DecimalMark = "comma"
				case point:
					q.DecimalMark = "point"
				}
				content, err := s.readSheet(args[0])
				if err != nil {
					return fault.BadField("FILE", "%s: %v", args[0], err)
				}
				q.Sheet = &dyelotv1.OpeningSheet{Name: filepath.Base(args[0]), Content: content}
				return s.importSwatches(ctx, q)
			}
		},
	})
}

func (s *session) importSwatches(ctx context.Context, q *dyelotv1.AddSwatchesRequest) error {
	if s.flags.Timeout == 0 {
		s.flags.Timeout = openingTimeout
	}
	resp, err := s.swatches().AddSwatches(ctx, q, grpc.MaxCallRecvMsgSize(mostBytes))
	if err != nil {
		s.tellFindings(ctx, err)
		return err
	}
	if err := s.show(ctx, resp, func(p *paper.Sheet) { p.SwatchesImported(resp) }); err != nil {
		return err
	}
	if resp.GetFindingCount() > 0 {
		return fault.New(fault.Invalid, cardsOff, "the import would be refused: what is off stands above, %d in all", resp.GetFindingCount())
	}
	return nil
}

func (s *session) swatchColumns() *cobra.Command {
	return s.command(verb{
		use:     "columns",
		short:   "List the columns that a file of old swatch cards may have",
		example: "dyelot swatch columns",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.swatches().ListSwatchColumns, &dyelotv1.ListSwatchColumnsRequest{}, (*paper.Sheet).SwatchColumns)
			}
		},
	})
}
