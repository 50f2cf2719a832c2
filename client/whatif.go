package client

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) whatIfCommand() *cobra.Command {
	return s.command(verb{
		use:   "whatif COLOURWAY-OR-RUN",
		short: "The same garments another way, side by side; nothing is saved",
		long: `The same garments another way, side by side, of a colourway or of a run (R1). What is
not said is as in the run, or in the colourway's newest. A salt stands for another by
equal metal, which is a guide to a trial and never a substitution; any other item is
taken weight for weight. --mordant a,b makes a way of each. Nothing is saved.`,
		example: `dyelot whatif harbour-gold --mordant aluminium-sulfate-18 --pieces 24
dyelot whatif harbour-gold --replace weld=goldenrod --pots pot-30
dyelot whatif R1 --recipe weld-wool@2`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CompareWhatIfRequest{}
			way := &dyelotv1.WhatIfChange{Replace: map[string]string{}}
			var mordants []string
			f.fills("COLOURWAY-OR-RUN", "colourway_code", "run_code", "colourway", "run")
			f.texts(&mordants, "mordant", "item", "an item or a salt for the mordant of the mordant stages")
			f.value("replace", "item=item", "an item instead of another: weld=goldenrod", func(text string) error {
				for _, one := range splitList(text) {
					old, now, ok := strings.Cut(one, "=")
					if !ok || old == "" || now == "" {
						return fault.BadField("", "%.40q is not one item for another, such as weld=goldenrod", one)
					}
					way.Replace[strings.TrimSpace(old)] = strings.TrimSpace(now)
				}
				return nil
			})
			f.value("recipe", "recipe", "another recipe, or another version: weld-wool@2", func(text string) (err error) {
				code, version, ok := strings.Cut(text, "@")
				if way.RecipeCode = code; ok {
					var n int32
					if n, err = versionOf(version); err == nil {
						way.RecipeVersion = n
					}
				}
				return err
			})
			f.offers("recipe", listRecipes)
			f.texts(&way.PotCodes, "pots", "vessel", "other pots to choose from")
			f.offers("pots", listVessels)
			f.number(&q.Pieces, "pieces", "how many garments, in each way")
			f.text(&q.BlankItemCode, "blank", "which blank, where no run says it")
			f.fills("blank", "blank_item_code")
			f.offers("blank", listItems)
			return func(ctx context.Context, args []string) error {
				if isRun(args[0]) {
					q.RunCode = args[0]
				} else {
					q.ColourwayCode = args[0]
				}
				q.Changes = waysOf(way, mordants)
				return answer(ctx, s, s.costs().CompareWhatIf, q, (*paper.Sheet).WhatIf)
			}
		},
	})
}

func versionOf(text string) (int32, error) {
	n, err := strconv.ParseInt(strings.TrimSpace(text), 10, 32)
	if err != nil || n < 1 {
		return 0, fault.BadField("", "%.20q is no version such as 2", text)
	}
	return int32(n), nil
}

// isRun is true of "R12"; a colourway's code has small letters.
func isRun(word string) bool {
	return len(word) > 1 && word[0] == 'R' && strings.Trim(word[1:], "0123456789") == ""
}

// waysOf makes a way of each mordant, or one way where none is named.
func waysOf(way *dyelotv1.WhatIfChange, mordants []string) []*dyelotv1.WhatIfChange {
	if len(mordants) == 0 {
		if len(way.Replace)+len(way.PotCodes) == 0 && way.RecipeCode == "" && way.RecipeVersion == 0 {
			return nil
		}
		return []*dyelotv1.WhatIfChange{way}
	}
	var ways []*dyelotv1.WhatIfChange
	for _, m := range mordants {
		one := proto.Clone(way).(*dyelotv1.WhatIfChange)
		one.Mordant = m
		ways = append(ways, one)
	}
	return ways
}
