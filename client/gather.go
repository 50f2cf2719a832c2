package client

import (
	"context"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	"dyelot/inventory/season"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) gathering() dyelotv1.GatherServiceClient { return dyelotv1.NewGatherServiceClient(s) }

func (s *session) gatherCommand() *cobra.Command {
	return s.noun("gather", "What to gather, when and how much; what can stand in",
		"What to gather, when, and how much fresh for the dry that is needed, by the studio's\nown harvest log; and where a plant's weeks went by, what can stand in.",
		s.gatherList(), s.gatherPlant(), s.gatherStandIn(), s.gatherMissed())
}

// mostWeeks is two years: what lies beyond is another plan.
const mostWeeks = 104

func (s *session) gatherList() *cobra.Command {
	return s.command(verb{
		use:   "list",
		short: "What to gather when, and how much fresh",
		long: `What to gather when, and how much fresh: what open runs and collections lack of each
plant, less what is on the shelf and what hangs damp, by your own ratio of fresh to
dry. Where nobody has measured yours it is a range. Weeks are those of your own
harvest log, from the earliest to the latest picking; without one, the seed table's.
What was missed is at the end, with the swatches that come near and can be had.`,
		example: "dyelot gather list\ndyelot gather list --weeks 12 --why\ndyelot gather list --weeks 26 --csv gather.csv",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetGatherListRequest{}
			var why bool
			var file string
			weeks := int32(8)
			f.number(&weeks, "weeks", "how many weeks, from today (8)")
			f.fills("weeks", "to")
			f.day(&q.From, "from", "the first day (today)")
			f.number(&q.WidenDays, "widen", "days to add to your own weeks at each end (0)")
			f.fills("widen", "widen_days")
			f.flag(&why, "why", "the arithmetic of each line")
			f.text(&file, "csv", "write a table to this file; - is standard output")
			return func(ctx context.Context, _ []string) error {
				if weeks < 1 || weeks > mostWeeks {
					return fault.BadField("--weeks", "%d: 1 to %d weeks", weeks, mostWeeks)
				}
				if err := s.gatherUntil(ctx, q, int(weeks)); err != nil {
					return err
				}
				resp, err := s.gathering().GetGatherList(ctx, q)
				if err != nil {
					return err
				}
				if file != "" {
					return s.writeGather(file, resp)
				}
				return s.show(ctx, resp, func(p *paper.Sheet) { p.Gather(resp, why) })
			}
		},
	})
}

// gatherUntil counts the weeks from the studio's own day.
func (s *session) gatherUntil(ctx context.Context, q *dyelotv1.GetGatherListRequest, weeks int) error {
	zone, err := s.zone(ctx)
	if err != nil {
		return err
	}
	from := s.Now().In(zone)
	if q.From != "" {
		if from, err = time.Parse(time.DateOnly, q.From); err != nil {
			return err
		}
	}
	q.To = from.AddDate(0, 0, 7*weeks-1).Format(time.DateOnly)
	return nil
}

func (s *session) writeGather(file string, resp *dyelotv1.GetGatherListResponse) error {
	if file == "-" {
		return paper.GatherCSV(s.Out, resp)
	}
	if err := putPrivate(file, func(w io.Writer) error { return paper.GatherCSV(w, resp) }); err != nil {
		return err
	}
	s.say("%s: what to gather from %s to %s", file, resp.GetFrom(), resp.GetTo())
	return nil
}

func (s *session) gatherPlant() *cobra.Command {
	return s.command(verb{
		use:     "plant PLANT",
		short:   "A plant's weeks, and what your own harvests say of it",
		long:    "A plant's weeks, your own harvests year by year, how much fresh made one of dry, what\neach place gave, and what is lacked of it.",
		example: "dyelot gather plant weld\ndyelot gather plant walnut --part hull",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetPlantYearRequest{}
			f.fills("PLANT", "plant")
			f.text(&q.Part, "part", "only this part of it: leaf, hull, root …")
			f.number(&q.WidenDays, "widen", "days to add to your own weeks at each end (0)")
			f.fills("widen", "widen_days")
			return func(ctx context.Context, args []string) error {
				q.Plant = args[0]
				return answer(ctx, s, s.gathering().GetPlantYear, q, (*paper.Sheet).PlantYear)
			}
		},
	})
}

func (s *session) gatherStandIn() *cobra.Command {
	return s.command(verb{
		use:   "stand-in [COLOURWAY]",
		short: "Swatches near a colour whose plant can be had now",
		long: `The pages of the swatch book nearest to a colourway's standard, by CIEDE2000, on its
fibre, whose plant is dried on the shelf in enough amount, in season, or bought. With
--plant, for each colourway that lacks that plant. A page that nobody can dye from now
is passed over, and counted.`,
		example: "dyelot gather stand-in harbour-gold\ndyelot gather stand-in --plant weld --within 6",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListStandInsRequest{}
			f.fills("COLOURWAY", "colourway_code", "colourway")
			f.text(&q.Plant, "plant", "for each colourway that lacks this plant")
			f.text(&q.Part, "part", "this part of it")
			f.number(&q.K, "k", "how many for a colourway (3)")
			f.decimal(&q.Within, "within", "the farthest by CIEDE2000 (10)")
			return func(ctx context.Context, args []string) error {
				if len(args) > 0 {
					q.ColourwayCode = args[0]
				}
				if len(args) > 0 == (q.Plant != "") {
					return fault.BadField("COLOURWAY", "name a colourway, or a plant with --plant: one of the two")
				}
				return answer(ctx, s, s.gathering().ListStandIns, q, (*paper.Sheet).StandIns)
			}
		},
	})
}

func (s *session) gatherMissed() *cobra.Command {
	return s.command(verb{
		use:   "missed PLANT",
		short: "Note that a plant's year was missed, so that nobody is reminded",
		long: `Note that a plant's weeks of a year were missed, with the reason and what stands in.
From then on dyelot today is silent about it. A note is never changed; a later one of
the same plant and year counts instead.`,
		example: `dyelot gather missed weld --year 2026 --reason "mown before it flowered" --stand-in T4
dyelot gather missed walnut --part hull --year 2025 --reason "no crop"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.NoteMissedRequest{}
			var instead string
			f.fills("PLANT", "plant")
			f.text(&q.Part, "part", "which part, where it is gathered in several")
			f.number(&q.Year, "year", "the year in which its weeks began (the last ones)")
			f.text(&q.Reason, "reason", "why it was missed")
			f.text(&instead, "stand-in", "what is dyed with instead: a swatch such as T4, or a colourway")
			f.fills("stand-in", "swatch_code", "colourway_code", "swatch", "colourway")
			f.text(&q.By, "by", "who notes it (whose token this is)")
			return func(ctx context.Context, args []string) error {
				if err := given(q.Reason, "--reason", "why it was missed"); err != nil {
					return err
				}
				q.Plant = args[0]
				if swatchCode().MatchString(instead) {
					q.SwatchCode = instead
				} else {
					q.ColourwayCode = instead
				}
				return answer(ctx, s, s.gathering().NoteMissed, q, (*paper.Sheet).MissedNoted)
			}
		},
	})
}

var swatchCode = pattern(`^[Tt][0-9]{1,18}$`)

// listPlants completes with the plants of the table of weeks.
func listPlants(context.Context, *session) ([]string, error) {
	var plants []string
	for _, g := range season.Gatherings() {
		if n := len(plants); n == 0 || !strings.HasPrefix(plants[n-1], g.Plant+"\t") {
			plants = append(plants, g.Plant+"\t"+g.Part+", "+g.When())
		}
	}
	return plants, nil
}
