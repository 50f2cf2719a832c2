package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/recall"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) recallTold() *cobra.Command {
	return s.command(verb{
		use:   "told RECALL [TAG…]",
		short: "Note that whoever has a garment was told",
		long: `Note that whoever has a garment was told: by tag, or all that were found under an
order or are under it now. Who that is is kept elsewhere.`,
		example: `dyelot recall told K1 --order market-12 --how "by letter"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.MarkToldRequest{}
			f.fills("RECALL", "recall_code", "recall")
			f.fills("TAG", "tags")
			f.text(&q.OrderRef, "order", "all of this order")
			f.fills("order", "order_ref")
			f.text(&q.How, "how", "by letter, by telephone; never to whom")
			f.marked(&q.By)
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.RecallCode, q.Tags = args[0], args[1:]
				if err := s.needed(&q.How, "how", "how they were told"); err != nil {
					return err
				}
				return answer(ctx, s, s.recalls().MarkTold, q, (*paper.Sheet).RecallTold)
			}
		},
	})
}

func (f *form) marked(by *string) { f.text(by, "by", "who did it (the token's name)") }

func (s *session) recallAccount() *cobra.Command {
	return s.command(verb{
		use:   "account RECALL TAG…",
		short: "Say what became of garments: returned, checked, destroyed",
		long: `Say what became of garments. A sold one that is returned is taken back in the same act;
one in the house that is destroyed is scrapped by a verdict of its own, one that is out
was destroyed where it is. Checked and kept lets a garment go again.`,
		example: "dyelot recall account K1 16JD 16KF --how returned\ndyelot recall account K1 16JD --how destroyed",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.MarkAccountedRequest{}
			f.fills("RECALL", "recall_code", "recall")
			f.fills("TAG", "tags", "garment")
			f.text(&q.How, "how", "returned, checked-and-kept, destroyed or cannot-be-reached")
			var hows []string
			for _, h := range recall.Hows() {
				hows = append(hows, string(h))
			}
			f.offers("how", fixed(hows...))
			f.text(&q.Note, "note", "anything else to know, but no name")
			f.marked(&q.By)
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.RecallCode, q.Tags = args[0], args[1:]
				if err := s.needed(&q.How, "how", "what became of them: returned, checked-and-kept, destroyed or cannot-be-reached"); err != nil {
					return err
				}
				return answer(ctx, s, s.recalls().MarkAccounted, q, (*paper.Sheet).RecallAccounted)
			}
		},
	})
}

func (s *session) recallClose() *cobra.Command {
	return s.command(verb{
		use:   "close RECALL",
		short: "End a recall, with what it came to",
		long: `End a recall, with what it came to. Everything in the house must be checked and kept,
or destroyed, and of each garment that is out somebody must have been told.`,
		example: `dyelot recall close K1 --reason "all answered but two"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CloseRecallRequest{}
			f.fills("RECALL", "recall_code", "recall")
			f.text(&q.Reason, "reason", "what it came to")
			f.marked(&q.By)
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.RecallCode = args[0]
				if err := s.needed(&q.Reason, "reason", "what it came to"); err != nil {
					return err
				}
				return answer(ctx, s, s.recalls().CloseRecall, q, (*paper.Sheet).RecallClosed)
			}
		},
	})
}

func (s *session) recallLoss() *cobra.Command {
	return s.command(verb{
		use:   "loss RECALL-OR-LOT",
		short: "What was lost with the scrapped garments of a recall or of a lot",
		long: `What was lost with the scrapped garments of a recall, or of a lot that was given up:
pieces, grams and what went into them by fibre mass, as the ledger has it; in money
only of parcels that have a cost. Nothing is booked here.`,
		example: "dyelot recall loss K1\ndyelot recall loss L3",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("RECALL-OR-LOT", "code", "recall", "lot")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.recalls().GetLoss, &dyelotv1.GetLossRequest{Code: args[0]}, (*paper.Sheet).Loss)
			}
		},
	})
}

func listRecalls(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.recalls().ListRecalls, &dyelotv1.ListRecallsRequest{PageSize: pageSize}, (*dyelotv1.ListRecallsResponse).GetRecalls,
		func(r *dyelotv1.Recall) (string, string) { return r.GetCode(), r.GetTitle() })
}
