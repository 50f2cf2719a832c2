package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) vesselCommand() *cobra.Command {
	return s.noun("vessel", "Pots, tubs, vats and buckets", "", s.vesselAdd(), s.vesselList())
}

func (s *session) vesselAdd() *cobra.Command {
	return s.command(verb{
		use:   "add VESSEL",
		short: "Add a vessel and say what it is kept for",
		long: `Add a vessel and say what it is kept for: dye, mordant, brew, iron, vat or rinse.
Iron pots stay iron pots: iron left in a dye pot saddens the next yellow.
A pot is filled to 75 to 80 % of its brim (common practice): 80 unless you say.`,
		example: "dyelot vessel add pot-40 --volume 40L --fill 80 --use dye\ndyelot vessel add tub-60 --volume 60L --use mordant,rinse",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.AddVesselRequest{Vessel: &dyelotv1.Vessel{}}
			v := q.Vessel
			f.fills("VESSEL", "vessel.code")
			f.text(&v.Name, "name", "what it is called aloud")
			f.amount(&v.Volume, "volume", "how much it holds to the brim, such as 40L")
			f.percent(&v.FillPercent, "fill", "how full it may be, per cent of the brim")
			f.fills("fill", "vessel.fill_percent")
			f.texts(&v.Uses, "use", "uses", "what it is kept for; with commas between, or repeated")
			f.fills("use", "vessel.uses")
			f.offers("use", fixed("dye", "mordant", "brew", "iron", "vat", "rinse"))
			f.text(&v.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				v.Code = args[0]
				return answer(ctx, s, s.studios().AddVessel, q, (*paper.Sheet).VesselAdded)
			}
		},
	})
}

func (s *session) vesselList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the vessels, and the liquor each may hold",
		example: "dyelot vessel list",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.studios().ListVessels, &dyelotv1.ListVesselsRequest{}, (*paper.Sheet).Vessels)
			}
		},
	})
}
