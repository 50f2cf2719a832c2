package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) additionCommand() *cobra.Command {
	return s.noun("addition", "Look at a dried corner, add some, look again", "", s.additionAdd())
}

func (s *session) additionAdd() *cobra.Command {
	return s.command(verb{
		use:   "add RECORD",
		short: "Record more that went into a bath, and what was seen",
		long: `Record more that went into the bath of a stage record: weighed, timed, on the lot
sheet. It is a record of its own, and dyelot stage undo takes it back. The lot
stays where it is in its plan. Iron counts with all that the garments had.

When it worked, dyelot recipe from-lot LOT offers it as the next version.`,
		example: `dyelot addition add S4 --used P2=36g --look "too pale on a dried corner"
dyelot addition add S4 --used P2=36g --look "too pale" --after "there" --minutes 20`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.AddToBathRequest{}
			f.fills("RECORD", "record_code")
			f.takens(&q.Used, "used", "what was added, such as P2=36g; repeated, or with commas between")
			f.text(&q.LookBefore, "look", "what a dried corner looked like before")
			f.fills("look", "look_before")
			f.text(&q.LookAfter, "after", "and after")
			f.fills("after", "look_after")
			f.number(&q.Minutes, "minutes", "how much longer it took")
			f.number(&q.Celsius, "celsius", "the bath's temperature as read")
			f.decimal(&q.Ph, "ph", "pH as read")
			f.text(&q.By, "by", "who did it (whose token this is)")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			f.text(&q.Note, "note", "anything else to know")
			f.text(&q.OverrideBy, "override-by", "who takes responsibility for a warning that asks for a name")
			f.text(&q.OverrideReason, "override-reason", "and why")
			return func(ctx context.Context, args []string) error {
				q.RecordCode = args[0]
				return answer(ctx, s, s.pots().AddToBath, q, (*paper.Sheet).Added)
			}
		},
	})
}

func (s *session) recipeFromLot() *cobra.Command {
	return s.command(verb{
		use:   "from-lot LOT",
		short: "Offer a recipe as a lot was really dyed, additions included",
		long: `Offer a recipe as a lot was really dyed: each dose as it was weighed, additions
included, on the fibre that was in the bath. Nothing is written: what is shown
can be typed as it stands, or changed first. With --json it is what dyelot recipe
add --file reads.`,
		example: "dyelot recipe from-lot L3",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ProposeRecipeRequest{}
			f.fills("LOT", "lot_code")
			return func(ctx context.Context, args []string) error {
				q.LotCode = args[0]
				return answer(ctx, s, s.pots().ProposeRecipe, q, (*paper.Sheet).Proposed)
			}
		},
	})
}
