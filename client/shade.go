package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) shades() dyelotv1.ShadeServiceClient { return dyelotv1.NewShadeServiceClient(s) }

func (s *session) shadeCommand() *cobra.Command {
	return s.noun("shade", "Which garments may hang side by side; a colour from lot to lot",
		`Which garments may hang side by side, and how a colour moves from lot to lot. Read the
garments one by one first: dyelot reading add TAG --lab L,a,b --rested.`,
		s.shadeSort(), s.shadeHistory())
}

func (s *session) shadeSort() *cobra.Command {
	return s.command(verb{
		use:   "sort [RUN]",
		short: "Sort the garments of a run by shade, and pick a set from one group",
		long: `Sort the garments of a run into groups in which no two differ by more than a tolerance
(CIEDE2000, in the standard's light), with the fewest groups found. Only dry, rested
readings of the garment itself count; what was not read is named, never guessed.

--set picks pieces of a style or of a blank from one group alone, those whose worst pair
is least; --commission picks what a commission asks for, within what was agreed.
--keep keeps the groups: garment list and trace name them from then on, and a matched
order that is sent from two groups is warned of.`,
		example: "dyelot shade sort R1\ndyelot shade sort R1 --tolerance 1.0 --set tunic=10\ndyelot shade sort --commission W1 --keep --by bench-1",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.SortShadesRequest{}
			var keep bool
			var by string
			f.fills("RUN", "run_code", "sort.run_code")
			f.texts(&q.LotCodes, "lot", "lots", "instead of a run, this lot; repeated, or with commas between")
			f.fills("lot", "lot_codes", "sort.lot_codes")
			f.offers("lot", listLots)
			f.decimal(&q.Tolerance, "tolerance", "greatest CIEDE2000 within a group (as agreed, or the standard's set tolerance)")
			f.fills("tolerance", "sort.tolerance")
			f.value("set", "style=count", "pieces to pick from one group, such as tunic=10; repeated", func(text string) error { return shadePieces(q, text) })
			f.fills("set", "pieces", "sort.pieces")
			f.offers("set", listItems)
			f.text(&q.CommissionCode, "commission", "pick what this commission asks for; without a run, from all its lots")
			f.fills("commission", "commission_code", "sort.commission_code")
			f.offers("commission", listCommissions)
			f.flag(&keep, "keep", "keep the groups")
			f.text(&by, "by", "who sorted, with --keep (the token's name)")
			return func(ctx context.Context, args []string) error {
				if len(args) > 0 {
					q.RunCode = args[0]
				}
				if q.RunCode == "" && len(q.LotCodes) == 0 && q.CommissionCode == "" {
					return fault.New(fault.Invalid, "ARGUMENT_MISSING", "say what to sort: a run such as R1, or --lot, or --commission")
				}
				if !keep {
					if by != "" {
						return fault.BadField("--by", "is who keeps the sort: say --keep with it")
					}
					return answer(ctx, s, s.shades().SortShades, q, (*paper.Sheet).ShadesSorted)
				}
				return answer(ctx, s, s.shades().KeepShades, &dyelotv1.KeepShadesRequest{Sort: q, By: by}, (*paper.Sheet).ShadesKept)
			}
		},
	})
}

// shadePieces reads "tunic=10,scarf=2".
func shadePieces(q *dyelotv1.SortShadesRequest, text string) error {
	for _, one := range splitList(text) {
		what, count, err := pairOf(one, "tunic=10")
		if err != nil {
			return err
		}
		n, err := piecesOf(count)
		if err != nil {
			return err
		}
		q.Pieces = append(q.Pieces, &dyelotv1.ShadePieces{What: what, Count: n})
	}
	return nil
}

func (s *session) shadeHistory() *cobra.Command {
	return s.command(verb{
		use:   "history [COLOURWAY]",
		short: "Chart a colour's lots: difference to the standard, and strength",
		long: `Chart each lot of a colourway in the order of dyeing, as individuals charts with their
limits (NIST/SEMATECH 6.3.2.2): its difference to the standard, and its strength, K/S
over the standard's at the wavelength where the standard takes up most. A lot outside
the limits is no chance: look for what changed. --standard takes the lots of all
colourways that are judged by one standard.`,
		example: "dyelot shade history harbour-gold\ndyelot shade history --standard gold",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetShadeHistoryRequest{}
			f.fills("COLOURWAY", "colourway_code")
			f.text(&q.StandardCode, "standard", "instead of a colourway, all lots judged by this standard")
			f.fills("standard", "standard_code")
			f.offers("standard", listStandards)
			return func(ctx context.Context, args []string) error {
				if len(args) > 0 {
					q.ColourwayCode = args[0]
				}
				if (q.ColourwayCode == "") == (q.StandardCode == "") {
					return fault.New(fault.Invalid, "ARGUMENT_MISSING", "name a colourway, or a standard with --standard: one of them")
				}
				return answer(ctx, s, s.shades().GetShadeHistory, q, (*paper.Sheet).ShadeHistory)
			}
		},
	})
}
