package client

import (
	"context"
	"strconv"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) runCommand() *cobra.Command {
	return s.noun("run", "Productions of a colourway: plan, pick; dye again what was dyed", "", s.runPlan(), s.runLoads(), s.runPick(), s.runShow(), s.runList(), s.runCancel())
}

func (s *session) runPlan() *cobra.Command {
	return s.command(verb{
		use:   "plan COLOURWAY",
		short: "Plan a run: lots, baths, doses, parcels, and what is short",
		long: `Plan a run: one lot a pot, every dose computed, parcels picked and promised. What is
short is said first, and not promised.

Garments that were in a lot before go into a new one by their tags, or all of a lot
that may with --lot: what came back, is imperfect, is to be re-dyed, or waits
part-done. They keep their history, and stay where they are until the new lot is issued.
Part-done cloth leaves out the stages that it has had; --again does one once more.

` + blanksHelp,
		example: `dyelot run plan harbour-gold --blanks P3=105,104,106,103,105 --blanks P4=104,105,103,106,103 --pots pot-40,pot-30 --witness P5=18 --vessel 2=tub-60 --matched --due 2026-06-01
dyelot run plan harbour-gold --load pot-40:P3=105,104 --load pot-30:P3x2 --use alum=P9 --dry-run
dyelot run plan deep-grey --garments 16JD,16KF --pots pot-30
dyelot run plan madder-red --lot L3 --pots pot-40`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.PlanRunRequest{}
			planFlags(f, q)
			return func(ctx context.Context, args []string) error {
				q.ColourwayCode = args[0]
				if len(q.GetLoads()) > 0 && len(q.GetBlanks())+len(q.GetTags())+len(q.GetLotCodes()) > 0 {
					return fault.BadField("--load", "lay the pots out with --load, or give what to dye and --pots, not both")
				}
				return answer(ctx, s, s.runs().PlanRun, q, (*paper.Sheet).Planned)
			}
		},
	})
}

func planFlags(f *form, q *dyelotv1.PlanRunRequest) {
	f.value("blanks", "parcel=masses", "blanks to dye, such as P3=105,104,106 or P3x10; repeated", func(text string) error {
		b, err := blanksOf(text)
		q.Blanks = append(q.Blanks, b)
		return err
	})
	f.texts(&q.Tags, "garments", "tags", "garments that were in a lot before, by tag; with commas between, or repeated")
	f.fills("garments", "tags")
	f.offers("garments", listGarments)
	f.texts(&q.LotCodes, "lot", "lots", "all garments of this lot that may go into a new one; repeated, or with commas between")
	f.fills("lot", "lot_codes")
	f.offers("lot", listLots)
	f.value("again", "stage", "a stage, by its position, to do once more on part-done cloth; repeated", func(text string) error {
		n, err := strconv.ParseInt(text, 10, 32)
		if err != nil || n < 1 {
			return fault.BadField("", "%.20q is no stage's position", text)
		}
		q.Again = append(q.Again, int32(n))
		return nil
	})
	f.texts(&q.PotCodes, "pots", "vessels", "pots to choose from, in order of liking, such as pot-40,pot-30")
	f.fills("pots", "pot_codes")
	f.offers("pots", listVessels)
	f.value("load", "vessel:parcel=masses", "what goes into one pot together; repeated", func(text string) (err error) {
		q.Loads, err = addLoad(q.Loads, text)
		return err
	})
	f.fills("load", "loads")
	f.value("witness", "parcel=mass", "witness cloth for each lot, such as P5=18", func(text string) (err error) {
		parcel, mass, err := pairOf(text, "P5=18")
		if err != nil {
			return err
		}
		q.WitnessParcelCode = parcel
		q.WitnessEach, err = gramsOf(mass)
		return err
	})
	f.fills("witness", "witness_parcel_code", "witness_each")
	f.value("vessel", "stage=vessel", "vessel of a shared bath, by its stage's position, such as 2=tub-60; repeated", func(text string) error {
		stage, vessel, err := pairOf(text, "2=tub-60")
		if err != nil {
			return err
		}
		n, err := strconv.ParseInt(stage, 10, 32)
		if err != nil || n < 1 {
			return fault.BadField("", "%.20q is no stage's position: write it as 2=tub-60", stage)
		}
		if q.SharedVessels == nil {
			q.SharedVessels = map[int32]string{}
		}
		q.SharedVessels[int32(n)] = vessel
		return nil
	})
	f.fills("vessel", "shared_vessels")
	useFlag(f, &q.Parcels)
	f.flag(&q.MatchedSet, "matched", "a matched set: lots must match each other as well as the standard")
	f.fills("matched", "matched_set")
	f.text(&q.CommissionCode, "commission", "for this commission: a matched set by its tolerance, such as W1")
	f.offers("commission", listCommissions)
	f.text(&q.CollectionCode, "collection", "for this collection: its lines are that much less to plan")
	f.offers("collection", listCollections)
	f.day(&q.DueOn, "due", "the day it is due")
	f.fills("due", "due_on")
	f.number(&q.RecipeVersion, "recipe-version", "version of the recipe (the newest)")
	f.text(&q.Note, "note", "anything else to know")
	f.when(&q.HappenedAt, "at", "when it was planned (now)")
	f.fills("at", "happened_at")
	f.flag(&q.DryRun, "dry-run", "compute and show; record nothing")
}

// useFlag is --use alum=P9.
func useFlag(f *form, parcels *map[string]string) {
	f.value("use", "item=parcel", "parcel to take an item from, such as alum=P9; repeated (the oldest that suffices)", func(text string) error {
		for _, one := range splitList(text) {
			item, parcel, err := pairOf(one, "alum=P9")
			if err != nil {
				return err
			}
			if *parcels == nil {
				*parcels = map[string]string{}
			}
			(*parcels)[item] = parcel
		}
		return nil
	})
	f.fills("use", "parcels")
}

func (s *session) runPick() *cobra.Command {
	return s.command(verb{
		use:     "pick RUN",
		short:   "Pick what was short, or move a dose to another parcel",
		example: "dyelot run pick R1 --use alum=P9",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.PickRunRequest{}
			useFlag(f, &q.Parcels)
			return func(ctx context.Context, args []string) error {
				q.RunCode = args[0]
				return answer(ctx, s, s.runs().PickRun, q, (*paper.Sheet).Picked)
			}
		},
	})
}

func (s *session) runShow() *cobra.Command {
	return s.command(verb{
		use:     "show RUN",
		short:   "Show a run: its lots, its baths, what is short",
		example: "dyelot run show R1",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("RUN", "code", "run")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.runs().GetRun, &dyelotv1.GetRunRequest{Code: args[0]}, (*paper.Sheet).Run)
			}
		},
	})
}

func (s *session) runList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the runs that are open",
		example: "dyelot run list --all",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListRunsRequest{PageSize: pageSize}
			f.flag(&q.IncludeEnded, "all", "closed and cancelled ones too")
			return func(ctx context.Context, _ []string) error {
				runs, err := pages(func(token string) ([]*dyelotv1.Run, string, error) {
					q.PageToken = token
					resp, err := s.runs().ListRuns(ctx, q)
					return resp.GetRuns(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListRunsResponse{Runs: runs}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Runs(all) })
			}
		},
	})
}

func (s *session) runCancel() *cobra.Command {
	return s.command(verb{
		use:     "cancel RUN",
		short:   "Give a run up and free every promise",
		long:    "Give a run up and free every promise: only while nothing of it has been issued.",
		example: `dyelot run cancel R1 --reason "the choir chose the other green"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CancelRunRequest{}
			f.text(&q.Reason, "reason", "why")
			return func(ctx context.Context, args []string) error {
				q.RunCode = args[0]
				if err := s.needed(&q.Reason, "reason", "why is it given up"); err != nil {
					return err
				}
				return answer(ctx, s, s.runs().CancelRun, q, (*paper.Sheet).Cancelled)
			}
		},
	})
}
