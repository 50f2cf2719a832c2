package client

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) seasonCommand() *cobra.Command {
	return s.noun("season", "What the collections need, week by week, and what is short by when", "", s.seasonNeeds())
}

func (s *session) seasonNeeds() *cobra.Command {
	return s.command(verb{
		use:   "needs [COLLECTION…]",
		short: "What is short and by when, and what each item needs",
		long: `What the collections (all where none is named) still need that no run was planned for,
and what open runs lack: first what is short, and by which day, then each item in a
line. --why ITEM gives the arithmetic, need by need and week by week.

Each need is dated back from its due day by the days of its stages, cures and drying.
What is out of date by then does not count, nor what is promised. Weighed dyes are at
reference strength (100 %): a weak harvest counts by what of it acts. Spares are as
many as the last lots lost. Nothing is claimed of a kept mordant bath unless you say
how much of a dose it still holds at its second use: --kept alum=40%.

--csv writes a row a week of each item, exact to the smallest step.`,
		example: "dyelot season needs spring-27\ndyelot season needs --why alum\ndyelot season needs spring-27 --from 2027-W10 --to 2027-W26 --csv needs.csv\ndyelot season needs --kept alum=40% --witness 25g",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.PlanNeedsRequest{}
			var file string
			f.fills("COLLECTION", "collection_codes", "collection")
			f.text(&q.ItemCode, "why", "only this item, with the arithmetic of each need")
			f.fills("why", "item_code", "item")
			f.offers("why", listItems)
			f.text(&q.FromWeek, "from", "show weeks from this one on, such as 2027-W10, or a day in it")
			f.fills("from", "from_week")
			f.text(&q.ToWeek, "to", "count only what is needed until the end of this week")
			f.fills("to", "to_week")
			f.value("kept", "item=percent", "how much of a dose a kept bath still holds at its second use, such as alum=40%; repeated", func(text string) error {
				for _, one := range splitList(text) {
					item, share, err := pairOf(one, "alum=40%")
					if err != nil {
						return err
					}
					if share, err = percentOf(share); err != nil {
						return err
					}
					if q.KeptPercent == nil {
						q.KeptPercent = map[string]string{}
					}
					q.KeptPercent[item] = share
				}
				return nil
			})
			f.fills("kept", "kept_percent")
			f.amount(&q.WitnessEach, "witness", "witness cloth for each lot (as the newest lot had)")
			f.fills("witness", "witness_each")
			f.text(&file, "csv", "write a table to this file; - is standard output")
			return func(ctx context.Context, args []string) error {
				q.CollectionCodes = args
				if file == "" {
					return answer(ctx, s, s.seasons().PlanNeeds, q, (*paper.Sheet).Needs)
				}
				resp, err := s.seasons().PlanNeeds(ctx, q)
				if err != nil {
					return err
				}
				return s.writeNeeds(file, resp)
			}
		},
	})
}

func (s *session) writeNeeds(file string, resp *dyelotv1.PlanNeedsResponse) error {
	if file == "-" {
		return paper.NeedsCSV(s.Out, resp)
	}
	if err := putPrivate(file, func(w io.Writer) error { return paper.NeedsCSV(w, resp) }); err != nil {
		return err
	}
	s.say("%s: the needs of %d items by week", file, len(resp.GetItems()))
	return nil
}
