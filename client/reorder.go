package client

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) reorderCommand() *cobra.Command {
	return s.command(verb{
		use:   "reorder",
		short: "What to order or gather, why, and what goes wrong otherwise",
		long: `What to order or gather: how much, by when, of whom and at what cost, why, and what
goes wrong otherwise. What is on the way counts. Order days go by how long a supplier
really takes, once three deliveries are known. --why adds the method, a line each.

--csv writes a table for a spreadsheet, exact to the smallest step, a row an item.`,
		example: "dyelot reorder\ndyelot reorder --item alum --why\ndyelot reorder --all --json\ndyelot reorder --csv to-order.csv",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetReorderListRequest{}
			var file string
			var why bool
			f.flag(&q.All, "all", "items in no need of ordering too")
			f.text(&q.ItemCode, "item", "only this item")
			f.offers("item", listItems)
			f.flag(&why, "why", "the method: lead times, order sizes, prices")
			f.percent(&q.HoldingPercent, "holding", "what keeping stock costs a year, of its price (20%)")
			f.fills("holding", "holding_percent")
			f.text(&file, "csv", "write a table to this file; - is standard output")
			return func(ctx context.Context, _ []string) error {
				if file == "" {
					return answer(ctx, s, s.stock().GetReorderList, q, func(p *paper.Sheet, r *dyelotv1.GetReorderListResponse) { p.ReorderList(r, why) })
				}
				resp, err := s.stock().GetReorderList(ctx, q)
				if err != nil {
					return err
				}
				return s.writeReorder(file, resp)
			}
		},
	})
}

func (s *session) writeReorder(file string, resp *dyelotv1.GetReorderListResponse) error {
	if file == "-" {
		return paper.ReorderCSV(s.Out, resp)
	}
	if err := putPrivate(file, func(w io.Writer) error { return paper.ReorderCSV(w, resp) }); err != nil {
		return err
	}
	s.say("%s: the reorder list of %s", file, resp.GetToday())
	return nil
}
