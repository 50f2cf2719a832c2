package client

import (
	"context"
	"io"
	"os"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/encoding/protojson"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) recipeCommand() *cobra.Command {
	return s.noun("recipe", "How a shade is reached: ordered stages with doses", "", s.recipeAdd(), s.recipeShow(), s.recipeList(), s.recipeStages(), s.recipeFromLot(), s.recipeDose())
}

func (s *session) recipeAdd() *cobra.Command {
	return s.command(verb{
		use:   "add RECIPE",
		short: "Write a recipe, or the next version of one",
		long: `Write a recipe, or the next version of one. A version, once written, never changes:
runs that were planned from it keep it.

` + stageHelp + `

--file reads the recipe from JSON instead, as recipe show --json prints it.`,
		example: `dyelot recipe add gold-on-silk --name "gold on silk" --fibre silk --ratio 40 --stage 'scour 45C 30min soap=1g/L' --stage 'mordant shared 55C 60min alum=15%' --stage 'brew shared 90C 60min weld=60%' --stage 'dye 60C 60min' --stage 'after-dip 45C 15min iron-liquor=1% # cloth out while it goes in'
dyelot recipe add gold-on-silk --file gold.json`,
		build: func(f *form) func(context.Context, []string) error {
			r := &dyelotv1.Recipe{}
			var file string
			f.fills("RECIPE", "recipe.code", "code")
			f.text(&r.Name, "name", "what it is called aloud")
			f.text(&r.Fibre, "fibre", "the one fibre it is for, such as silk")
			f.decimal(&r.LiquorRatio, "ratio", "litres of bath per kilogram of air-dry fibre, such as 30")
			f.fills("ratio", "recipe.liquor_ratio", "liquor_ratio")
			f.value("stage", "words", "one stage in small words; repeated, in order", func(text string) error {
				st, err := stageOf(text)
				if err != nil {
					return err
				}
				st.Position = int32(len(r.Stages) + 1)
				r.Stages = append(r.Stages, st)
				return nil
			})
			f.fills("stage", "recipe.stages", "stages")
			f.text(&r.Note, "note", "what changed, and why")
			f.text(&file, "file", "read the recipe from this JSON file, or - for what is piped in")
			return func(ctx context.Context, args []string) error {
				if file != "" {
					if err := s.readRecipe(file, r); err != nil {
						return err
					}
				}
				r.Code = args[0]
				return answer(ctx, s, s.recipes().CreateRecipeVersion, &dyelotv1.CreateRecipeVersionRequest{Recipe: r}, (*paper.Sheet).RecipeWritten)
			}
		},
	})
}

// readRecipe fills what flags left open from a file; unknown fields are refused.
func (s *session) readRecipe(file string, r *dyelotv1.Recipe) error {
	if len(r.GetStages()) > 0 {
		return fault.BadField("--file", "a recipe comes from --file or from --stage, not from both")
	}
	var text []byte
	var err error
	if file == "-" {
		text, err = io.ReadAll(s.In)
	} else {
		text, err = os.ReadFile(file)
	}
	if err != nil {
		return fault.BadField("--file", "cannot be read: %v", err)
	}
	read := &dyelotv1.Recipe{}
	if err := protojson.Unmarshal(text, read); err != nil {
		whole := &dyelotv1.GetRecipeResponse{}
		if protojson.Unmarshal(text, whole) != nil || whole.GetRecipe() == nil {
			return fault.BadField("--file", "%s is not a recipe: %s", file, oneLine(err))
		}
		read = whole.GetRecipe()
	}
	for _, keep := range []struct{ from, to *string }{{&read.Name, &r.Name}, {&read.Fibre, &r.Fibre}, {&read.LiquorRatio, &r.LiquorRatio}, {&read.Note, &r.Note}} {
		if *keep.to == "" {
			*keep.to = *keep.from
		}
	}
	r.Stages = read.GetStages()
	for _, st := range r.GetStages() {
		st.KindName = "" // the service's word, not the writer's
	}
	return nil
}

func (s *session) recipeShow() *cobra.Command {
	return s.command(verb{
		use:     "show RECIPE",
		short:   "Show a recipe, stage by stage, in the words it is typed in",
		example: "dyelot recipe show gold-on-silk --version 1",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetRecipeRequest{}
			f.number(&q.Version, "version", "which version (the newest)")
			f.fills("RECIPE", "code", "recipe")
			return func(ctx context.Context, args []string) error {
				q.Code = args[0]
				return answer(ctx, s, s.recipes().GetRecipe, q, (*paper.Sheet).Recipe)
			}
		},
	})
}

func (s *session) recipeList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the newest version of every recipe",
		example: "dyelot recipe list",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.recipes().ListRecipes, &dyelotv1.ListRecipesRequest{}, (*paper.Sheet).Recipes)
			}
		},
	})
}

func (s *session) recipeStages() *cobra.Command {
	return s.command(verb{
		use:     "stages",
		short:   "List the kinds of stage, in the order of a usual day",
		example: "dyelot recipe stages",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.recipes().ListStageKinds, &dyelotv1.ListStageKindsRequest{}, (*paper.Sheet).StageKinds)
			}
		},
	})
}
