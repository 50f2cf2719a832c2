package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) harvestCommand() *cobra.Command {
	return s.noun("harvest", "What was gathered or grown, fresh and dry", "", s.harvestLog(), s.harvestDry())
}

func (s *session) harvestLog() *cobra.Command {
	return s.command(verb{
		use:   "log ITEM",
		short: "Log what was gathered, with its fresh mass",
		long: `Log what was gathered. While it is damp it holds nothing: weigh it again once it is
dry, with: dyelot harvest dry. Give --dry now if it is dry already.

Be certain of the plant; have permission; wear gloves; no lichens, no living bark.`,
		example: `dyelot harvest log weld --fresh 14.6kg --part "flowering top" --place "lane behind the boathouse" --picked 2026-07-02`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.LogHarvestRequest{Harvest: &dyelotv1.Harvest{}}
			h := q.Harvest
			f.amount(&h.FreshMass, "fresh", "mass as it came in")
			f.fills("fresh", "harvest.fresh_mass")
			f.amount(&h.DryMass, "dry", "mass once dry, if it is dry already")
			f.fills("dry", "harvest.dry_mass")
			f.text(&h.Part, "part", "which part of the plant")
			f.text(&h.Place, "place", "where, in your own words, never coordinates")
			f.text(&h.Ripeness, "ripeness", "how far it was: in bud, in flower, in seed")
			f.day(&h.PickedOn, "picked", "the day it was picked (today)")
			f.fills("picked", "harvest.picked_on")
			f.text(&h.Permission, "permission", "who allowed the picking")
			f.day(&q.UsableUntil, "usable-until", "the last day it is good for")
			f.text(&q.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				q.ItemCode = args[0]
				return answer(ctx, s, s.stock().LogHarvest, q, (*paper.Sheet).Harvested)
			}
		},
	})
}

func (s *session) harvestDry() *cobra.Command {
	return s.command(verb{
		use:     "dry PARCEL AMOUNT",
		short:   "Book a harvest in once it is dry",
		long:    "Book a harvest in once it is dry, with its dry mass. 14.6 kg of fresh weld that dries\nto 2.70 kg is 5.41 to 1: your own ratio, better than any table's.",
		example: "dyelot harvest dry P2 2.70kg",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.DryHarvestRequest{}
			f.fills("AMOUNT", "dry_mass")
			f.when(&q.HappenedAt, "at", "when it was weighed dry (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) (err error) {
				q.ParcelCode = args[0]
				if q.DryMass, err = amountArg("AMOUNT", args[1]); err != nil {
					return err
				}
				return answer(ctx, s, s.stock().DryHarvest, q, (*paper.Sheet).Dried)
			}
		},
	})
}
