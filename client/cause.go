package client

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) causes() dyelotv1.CauseServiceClient { return dyelotv1.NewCauseServiceClient(s) }

func (s *session) causeCommand() *cobra.Command {
	return s.command(verb{
		use:   "cause [TAG…]",
		short: "What garments that came back have in common",
		long: `What garments that came back have in common and the others have not: parcels,
suppliers' lots, harvests, baths by their use, vessels, people, water, weeks, recipes,
overrides, iron, shade. Plain counts first; --why shows the tests behind them. It says
what is worth a look, never what is proved. Without tags: all that came back in a year.

They are compared with all that left the studio in a year, or in the days and of the
colourways that you name.`,
		example: "dyelot cause\ndyelot cause 16JD 16KF --why\ndyelot cause --since 2026-03-01 --complaint faded --colourway harbour-gold",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.FindCauseRequest{}
			var why bool
			f.fills("TAG", "tags")
			f.day(&q.Since, "since", "only what came back since this day (a year ago)")
			f.text(&q.Complaint, "complaint", "only what came back with all of these words in its complaint")
			f.texts(&q.ColourwayCodes, "colourway", "colourways", "compare with this colourway alone; repeated, or with commas between")
			f.fills("colourway", "colourway_codes")
			f.offers("colourway", listColourways)
			f.text(&q.CommissionCode, "commission", "compare with what was sent for this commission")
			f.fills("commission", "commission_code", "commission")
			f.offers("commission", listCommissions)
			f.day(&q.From, "from", "compare with what left from this day (a year ago, or when the first of them left)")
			f.day(&q.Until, "until", "and up to this day (today)")
			f.flag(&why, "why", "the tests behind the counts, more suspects, and what all have in common")
			return func(ctx context.Context, args []string) error {
				q.Tags = nil
				for _, tag := range args {
					q.Tags = append(q.Tags, strings.Split(strings.Trim(tag, ","), ",")...)
				}
				return answer(ctx, s, s.causes().FindCause, q, func(p *paper.Sheet, r *dyelotv1.FindCauseResponse) { p.Cause(r, why) })
			}
		},
	})
}

func (s *session) actionCommand() *cobra.Command {
	return s.noun("action", "What is changed because garments came back",
		"What is changed because garments came back: a recipe's new version, parcels or a\nsupplier's lot that may not be used any more, or a way of working. What is due stands\nin: dyelot today.",
		s.actionAdd(), s.actionDone(), s.actionList())
}

func (s *session) actionAdd() *cobra.Command {
	return s.command(verb{
		use:   "add",
		short: "Record what is changed, why, by whom and by when",
		long: `Record what is changed, why, by whom and by when: one of --recipe, --block,
--supplier-lot and --method. What is blocked can be picked and promised no more, from
this moment; of a supplier's lot, every parcel.`,
		example: `dyelot action add --supplier-lot NS-118 --because "6 of 9 returns had that alum" --returns 16JD,16KF --due 2026-07-01
dyelot action add --recipe gold@2 --because "faded at the fold" --by dyer-1 --due 2026-08-01
dyelot action add --method "dissolve alum in hot water first" --because "spots" --due 2026-06-20`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.RecordActionRequest{}
			f.value("recipe", "recipe@version", "a recipe's version that is used from now on: gold@2 (its newest)", func(text string) (err error) {
				q.RecipeCode, q.RecipeVersion, err = versionWords(text)
				return err
			})
			f.fills("recipe", "recipe_code", "recipe_version", "recipe")
			f.offers("recipe", listRecipes)
			f.texts(&q.ParcelCodes, "block", "parcels", "parcels that may not be used any more: P3,P9")
			f.fills("block", "parcel_codes")
			f.offers("block", listParcels)
			f.text(&q.SupplierLot, "supplier-lot", "every parcel on which this lot is printed may not be used any more")
			f.text(&q.Supplier, "supplier", "whose lot that is, where two print the same")
			f.text(&q.Method, "method", "a way of working, in words")
			f.text(&q.Because, "because", "which suspect, or what was found")
			f.texts(&q.Tags, "returns", "tags", "the garments that came back; with commas between")
			f.fills("returns", "tags")
			f.text(&q.By, "by", "who sees to it (whose token this is)")
			f.day(&q.DueOn, "due", "by when it is to be done")
			f.fills("due", "due_on")
			return func(ctx context.Context, _ []string) error {
				if err := s.needed(&q.Because, "because", "because of what"); err != nil {
					return err
				}
				return answer(ctx, s, s.causes().RecordAction, q, (*paper.Sheet).ActionRecorded)
			}
		},
	})
}

// versionWords reads "gold@2"; without a number it is the newest.
func versionWords(text string) (code string, version int32, err error) {
	code, number, given := strings.Cut(strings.TrimSpace(text), "@")
	if !given {
		return code, 0, nil
	}
	n, err := strconv.ParseInt(number, 10, 32)
	if err != nil || n < 1 || code == "" {
		return "", 0, fault.BadField("", "%.40q is no recipe and version such as gold@2", text)
	}
	return code, int32(n), nil
}

func (s *session) actionDone() *cobra.Command {
	return s.command(verb{
		use:     "done ACTION",
		short:   "Record that an action was done, and what was found",
		long:    "Record that an action was done, and what was found. A block stays until it is lifted\nwith: dyelot stock unblock PARCEL",
		example: `dyelot action done A4 --found "the bag held soda: sent back" --by owner`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CompleteActionRequest{}
			f.fills("ACTION", "code")
			f.text(&q.Found, "found", "what was found, or how it went")
			f.text(&q.By, "by", "who did it (whose token this is)")
			f.day(&q.DoneOn, "on", "the day (today)")
			f.fills("on", "done_on")
			return func(ctx context.Context, args []string) error {
				q.Code = args[0]
				if err := s.needed(&q.Found, "found", "what was found"); err != nil {
					return err
				}
				return answer(ctx, s, s.causes().CompleteAction, q, (*paper.Sheet).ActionDone)
			}
		},
	})
}

func (s *session) actionList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List what is open, the soonest due first",
		example: "dyelot action list\ndyelot action list --all --json",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListActionsRequest{PageSize: pageSize}
			f.flag(&q.All, "all", "what is done too")
			return func(ctx context.Context, _ []string) error {
				actions, err := pages(func(token string) ([]*dyelotv1.Action, string, error) {
					q.PageToken = token
					resp, err := s.causes().ListActions(ctx, q)
					return resp.GetActions(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListActionsResponse{Actions: actions}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Actions(all) })
			}
		},
	})
}

func listActions(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.causes().ListActions, &dyelotv1.ListActionsRequest{PageSize: pageSize}, (*dyelotv1.ListActionsResponse).GetActions,
		func(a *dyelotv1.Action) (string, string) { return a.GetCode(), a.GetChange() })
}
