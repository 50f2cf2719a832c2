package client

import (
	"context"
	"io"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) stockYear() *cobra.Command {
	return s.command(verb{
		use:   "year [YEAR]",
		short: "The year's books: opening, in, used, spoiled, what should be there",
		long: `The year's books of each item and parcel: opening + in + found - used - spoiled - sent
back + counted = book, with the last count beside it. Counted is what counts said
more or less than the book. What was taken back is as if it had not been; what was
written down after the period ended is marked. Any two days do: --from and --to.

--csv writes a table for a spreadsheet, exact to the smallest step, a row a parcel;
words that a spreadsheet would take for a formula get a quote before them.`,
		example: "dyelot stock year 2026\ndyelot stock year 2026 --csv stock-2026.csv\ndyelot stock year --from 2026-04-01 --to 2027-03-31 --item weld",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetYearRequest{}
			var file string
			f.day(&q.From, "from", "first day of the period, where it is no calendar year")
			f.day(&q.To, "to", "last day of the period")
			f.text(&q.ItemCode, "item", "only this item")
			f.offers("item", listItems)
			f.text(&file, "csv", "write a table to this file; - is standard output")
			return func(ctx context.Context, args []string) error {
				if err := period(q, args); err != nil {
					return err
				}
				if file == "" {
					return answer(ctx, s, s.logbook().GetYear, q, (*paper.Sheet).Year)
				}
				resp, err := s.logbook().GetYear(ctx, q)
				if err != nil {
					return err
				}
				return s.writeYear(file, resp)
			}
		},
	})
}

// period fills in the days of a calendar year where one is named.
func period(q *dyelotv1.GetYearRequest, args []string) error {
	switch {
	case len(args) == 0 && (q.From == "" || q.To == ""):
		return fault.BadField("YEAR", "is missing: give a year such as 2026, or both --from and --to")
	case len(args) == 0:
		return nil
	case q.From != "" || q.To != "":
		return fault.BadField("YEAR", "give either a year, or --from and --to")
	}
	year, err := strconv.Atoi(args[0])
	if err != nil || year < 1900 || year > 2200 {
		return fault.BadField("YEAR", "%.40q is no year such as 2026", args[0])
	}
	first := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)
	q.From, q.To = first.Format(time.DateOnly), first.AddDate(1, 0, -1).Format(time.DateOnly)
	return nil
}

func (s *session) writeYear(file string, resp *dyelotv1.GetYearResponse) error {
	if file == "-" {
		return paper.YearCSV(s.Out, resp)
	}
	if err := putPrivate(file, func(w io.Writer) error { return paper.YearCSV(w, resp) }); err != nil {
		return err
	}
	s.say("%s: the books of %s to %s", file, resp.GetFrom(), resp.GetTo())
	return nil
}
