package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) lotCommand() *cobra.Command {
	return s.noun("lot", "Garments dyed together in one pot: card, issue, onto the shelf",
		`Garments dyed together in one pot. dyelot run plan makes lots; dyelot lot issue takes
their blanks off the shelf; then each stage is recorded (dyelot stage record, or
dyelot pot, which asks), a colour is read, and a verdict given.`,
		s.lotShow(), s.lotList(), s.lotCard(), s.lotIssue(), s.lotShelve())
}

func (s *session) lotShow() *cobra.Command {
	return s.command(verb{
		use:     "show LOT",
		short:   "Show a lot: its garments, its stages, what was recorded",
		example: "dyelot lot show L1",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("LOT", "code", "lot")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.runs().GetLot, &dyelotv1.GetLotRequest{Code: args[0]}, (*paper.Sheet).Lot)
			}
		},
	})
}

// lotStates are the steps of a lot's life, in order.
var lotStates = []string{"planned", "in-work", "part-done", "waiting-for-tests", "held", "passed", "imperfect", "re-dye", "scrapped", "closed"}

func (s *session) lotList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the lots",
		example: "dyelot lot list --state waiting-for-tests",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListLotsRequest{PageSize: pageSize}
			f.text(&q.State, "state", "only those that are planned, in-work, waiting-for-tests, held, passed …")
			f.offers("state", fixed(lotStates...))
			return func(ctx context.Context, _ []string) error {
				lots, err := pages(func(token string) ([]*dyelotv1.Lot, string, error) {
					q.PageToken = token
					resp, err := s.runs().ListLots(ctx, q)
					return resp.GetLots(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListLotsResponse{Lots: lots}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Lots(all) })
			}
		},
	})
}

func (s *session) lotCard() *cobra.Command {
	return s.command(verb{
		use:     "card LOT",
		short:   "Print the bench card: everything the person at the pot reads",
		example: "dyelot lot card L1 | lp",
		build: func(f *form) func(context.Context, []string) error {
			return func(ctx context.Context, args []string) error {
				q := &dyelotv1.GetBenchCardRequest{LotCode: args[0]}
				resp, err := s.runs().GetBenchCard(ctx, q)
				if err != nil {
					return err
				}
				return s.show(ctx, resp, func(p *paper.Sheet) {
					house, _ := s.house(ctx) // the card is worth printing without the number, and says that it is missing
					p.Card(resp, house.GetPoisonCentre())
				})
			}
		},
	})
}

func (s *session) lotIssue() *cobra.Command {
	return s.command(verb{
		use:     "issue LOT",
		short:   "Take a lot's blanks and witness cloth off the shelf",
		long:    "Take a lot's blanks and witness cloth off the shelf, and garments that are dyed again\nout of their old lots. Nothing is dyed before that.",
		example: `dyelot lot issue L1 --at "today 8:00"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.IssueLotRequest{}
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.LotCode = args[0]
				return answer(ctx, s, s.runs().IssueLot, q, (*paper.Sheet).Issued)
			}
		},
	})
}
