package client

import (
	"context"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) houseCommand() *cobra.Command {
	return s.noun("house", "The house standard: the lowest grades this studio lets pass", "", s.houseList(), s.houseSet())
}

func (s *session) houseList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the rows in force",
		example: "dyelot house list --all",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListHouseStandardRequest{}
			f.flag(&q.All, "all", "rows that are switched off too")
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.judge().ListHouseStandard, q, (*paper.Sheet).House)
			}
		},
	})
}

func (s *session) houseSet() *cobra.Command {
	return s.command(verb{
		use:     "set ROW",
		short:   "Change a row: its grade, its scope, on or off",
		long:    "Change a row of the house standard. What is not given stays as it is.\nA certificate's row is not switched on without the edition that it was checked in.",
		example: "dyelot house set own-light --minimum 3 --on\ndyelot house set gots-wash-change --on --edition 7.0",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.SetHouseRowRequest{}
			var on, off bool
			f.fills("ROW", "key", "row")
			f.text(&q.Minimum, "minimum", "the lowest grade that passes, such as 3-4")
			f.text(&q.Scope, "scope", "each lot, harvest or recipe")
			f.offers("scope", fixed("lot", "harvest", "recipe"))
			f.flag(&on, "on", "in force")
			f.flag(&off, "off", "not in force")
			f.fills("on", "active")
			f.text(&q.Edition, "edition", "the edition of the source that the grade was checked in")
			f.text(&q.Note, "note", "why")
			return func(ctx context.Context, args []string) (err error) {
				if on && off {
					return fault.BadField("--on", "a row is on or off, not both")
				}
				q.Key, q.Active = args[0], on
				if !on && !off {
					if q.Active, err = s.isActive(ctx, args[0]); err != nil {
						return err
					}
				}
				return answer(ctx, s, s.judge().SetHouseRow, q, (*paper.Sheet).HouseSet)
			}
		},
	})
}

// isActive asks whether a row is in force now, so that a change of its grade
// does not switch it.
func (s *session) isActive(ctx context.Context, key string) (bool, error) {
	resp, err := s.judge().ListHouseStandard(ctx, &dyelotv1.ListHouseStandardRequest{All: true})
	if err != nil {
		return false, err
	}
	i := slices.IndexFunc(resp.GetRows(), func(r *dyelotv1.HouseRow) bool { return r.GetKey() == key })
	if i < 0 {
		return false, fault.Missing("row", key)
	}
	return resp.GetRows()[i].GetActive(), nil
}

func (s *session) verdictCommand() *cobra.Command {
	return s.noun("verdict", "What is decided about a lot, by whom and why", "", s.verdictShow(), s.verdictGive(), s.verdictOverride())
}

func (s *session) verdictShow() *cobra.Command {
	return s.command(verb{
		use:     "show LOT",
		short:   "Show where a lot stands: each row, what was asked and found",
		example: "dyelot verdict show L2",
		build: func(f *form) func(context.Context, []string) error {
			return func(ctx context.Context, args []string) error {
				resp, err := s.judge().GetJudgement(ctx, &dyelotv1.GetJudgementRequest{LotCode: args[0]})
				if err != nil {
					return err
				}
				return s.show(ctx, resp, func(p *paper.Sheet) {
					p.Judged(resp)
					p.ExpectOpen(resp.GetJudgement(), s.expectOpen(ctx, resp.GetJudgement()))
				})
			}
		},
	})
}

func (s *session) verdictGive() *cobra.Command {
	return s.command(verb{
		use:   "give LOT OUTCOME",
		short: "Decide: passed, held, imperfect, re-dye, scrapped or closed",
		long: `Decide about a lot, or with --only about some of its garments, whose own verdict then
wins. A lot passes only when each row of the house standard has a passing test, or
a named person overrides it; else the answer is no, with exit code 4. closed ends a
lot for good: nothing is recorded on it any more.`,
		example: `dyelot verdict give L1 passed --by owner
dyelot verdict give L1 imperfect --only 16JD,16KF --reason "a walnut spot at the hem" --by owner`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GiveVerdictRequest{}
			f.text(&q.Reason, "reason", "why")
			f.texts(&q.Tags, "only", "tags", "only these garments, by tag; with commas between, or repeated")
			f.fills("only", "tags")
			f.offers("only", listGarments)
			f.text(&q.By, "by", "who decides (whose token this is)")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.LotCode, q.Outcome = args[0], strings.ToLower(args[1])
				return answer(ctx, s, s.judge().GiveVerdict, q, (*paper.Sheet).VerdictGiven)
			}
		},
	})
}

func (s *session) verdictOverride() *cobra.Command {
	return s.command(verb{
		use:   "override LOT ROW",
		short: "Take responsibility for one row, by name, with a reason",
		long: `Take responsibility for one row, by name, with a reason that every later view shows.
ROW is a row of the house standard, or colour, or set for the set's tolerance.`,
		example: `dyelot verdict override L2 own-light --by owner --reason "worn indoors, told the choir"
dyelot verdict override L2 set --by owner --reason "they stand two rows apart"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.OverrideRowRequest{}
			f.text(&q.Reason, "reason", "why")
			f.text(&q.By, "by", "who takes responsibility (whose token this is)")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.LotCode, q.Row = args[0], args[1]
				if err := s.needed(&q.Reason, "reason", "why may it pass all the same"); err != nil {
					return err
				}
				return answer(ctx, s, s.judge().OverrideRow, q, (*paper.Sheet).Overridden)
			}
		},
	})
}
