package client

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) days() dyelotv1.DaysServiceClient { return dyelotv1.NewDaysServiceClient(s) }

func (s *session) weekCommand() *cobra.Command {
	return s.command(verb{
		use:   "week",
		short: "Which pot, tub and rack holds which lot on which day",
		long: `Which pot, tub and rack holds which lot on which day: the stages of open runs that are
not recorded, laid over the working hours. What is begun or pinned stands; what ran
late moves, and as little else as can be. What cannot be done before it is due is
said first. --why adds what holds each stage, and the minutes it is reckoned with.

Hours: dyelot studio hours. A stage at a time of your own: dyelot stage pin.`,
		example: "dyelot week\ndyelot week --from 2026-11-30 --days 14 --why",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetWeekPlanRequest{}
			why := false
			f.day(&q.From, "from", "the first day to show (today)")
			f.number(&q.Days, "days", "how many days, 1 to 31 (7)")
			f.flag(&why, "why", "what holds each stage, and the method")
			return func(ctx context.Context, _ []string) error {
				if f.changed("days") && q.Days == 0 {
					return fault.BadField("--days", "0 days: 1 to 31 are shown")
				}
				resp, err := s.days().GetWeekPlan(ctx, q)
				if err != nil {
					return err
				}
				return s.show(ctx, resp, func(p *paper.Sheet) { p.Week(resp, why) })
			}
		},
	})
}

func (s *session) studioHours() *cobra.Command {
	return s.command(verb{
		use:   "hours",
		short: "Say when people work; burners, racks and days off",
		long: `Say when people work, and what the studio has beside its vessels. What is not given
stays. Until something is set the plan takes one person, Monday to Friday from 8 to
17, and two burners (common practice). 0 burners or 0 pieces are never counted.`,
		example: "dyelot studio hours --weekdays mon,tue,wed,thu,fri --start 08:00 --end 16:30 --people 2 --burners 3 --rack 60\ndyelot studio hours --off 2026-12-24,2026-12-25",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.SetHoursRequest{}
			var people, burners, rack int32
			f.texts(&q.Weekdays, "weekdays", "days", "mon,tue,wed,thu,fri,sat,sun: those that are worked")
			f.offers("weekdays", fixed("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
			f.text(&q.From, "start", "when they begin, 08:00")
			f.fills("start", "from")
			f.text(&q.To, "end", "when they end, 17:00")
			f.fills("end", "to")
			f.number(&people, "people", "how many work at once")
			f.number(&burners, "burners", "how many burners there are")
			f.number(&rack, "rack", "how many garments dry at once")
			f.fills("rack", "rack_pieces")
			f.texts(&q.DaysOff, "off", "days", "days off, as 2026-12-24; added to those known")
			f.fills("off", "days_off")
			f.flag(&q.ClearDaysOff, "clear-off", "forget the days off that are known")
			return func(ctx context.Context, _ []string) error {
				for name, field := range map[string]struct {
					value *int32
					into  **int32
				}{"people": {&people, &q.People}, "burners": {&burners, &q.Burners}, "rack": {&rack, &q.RackPieces}} {
					if f.changed(name) {
						*field.into = field.value
					}
				}
				return answer(ctx, s, s.days().SetHours, q, (*paper.Sheet).HoursSet)
			}
		},
	})
}

func (s *session) stagePin() *cobra.Command {
	return s.command(verb{
		use:     "pin LOT STAGE",
		short:   "Set a stage to a time; the plan of the week goes round it",
		example: `dyelot stage pin L1 dye --start "2026-12-03 09:00" --vessel pot-40 --reason "two to lift"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.PinStageRequest{}
			f.fills("STAGE", "position")
			f.when(&q.StartsAt, "start", "when it is to begin")
			f.fills("start", "starts_at")
			f.text(&q.VesselCode, "vessel", "in which vessel (the one that the plan would take)")
			f.fills("vessel", "vessel_code")
			f.offers("vessel", listVessels)
			f.text(&q.Reason, "reason", "why")
			return func(ctx context.Context, args []string) (err error) {
				q.LotCode = args[0]
				if q.Position, err = s.position(ctx, args[:1], args[1]); err != nil {
					return err
				}
				if q.StartsAt == nil {
					return fault.BadField("--start", "is needed: when the stage is to begin")
				}
				if err := s.needed(&q.Reason, "reason", "why then"); err != nil {
					return err
				}
				return answer(ctx, s, s.days().PinStage, q, (*paper.Sheet).Pinned)
			}
		},
	})
}

func (s *session) stageUnpin() *cobra.Command {
	return s.command(verb{
		use:     "unpin LOT STAGE",
		short:   "Give a pinned stage back to the plan",
		example: "dyelot stage unpin L1 dye",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.UnpinStageRequest{}
			f.fills("STAGE", "position")
			f.text(&q.Reason, "reason", "why")
			return func(ctx context.Context, args []string) (err error) {
				q.LotCode = args[0]
				if q.Position, err = s.position(ctx, args[:1], args[1]); err != nil {
					return err
				}
				return answer(ctx, s, s.days().UnpinStage, q, (*paper.Sheet).Unpinned)
			}
		},
	})
}

func (s *session) runLoads() *cobra.Command {
	return s.command(verb{
		use:   "loads COLOURWAY SET=MASS…",
		short: "Lay sets that must match into the fewest pot loads",
		long: `Lay sets that must match into the fewest pot loads, and those into the smallest pots:
no set is divided, no pot is filled above its liquor. Masses are scoured and air-dry.
A set that fits no pot is said. Nothing is recorded.`,
		example: "dyelot run loads harbour-gold tunics=523g caps=250g shirts=610g\ndyelot run loads harbour-gold tunics=523g caps=250g --pots pot-40,pot-30",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.PlanLoadsRequest{}
			f.fills("SET=MASS", "sets")
			f.texts(&q.PotCodes, "pots", "pots", "the pots to choose from (all that are kept for dyeing)")
			f.fills("pots", "pot_codes")
			f.offers("pots", listVessels)
			return func(ctx context.Context, args []string) error {
				q.ColourwayCode = args[0]
				for _, text := range args[1:] {
					name, mass, ok := strings.Cut(text, "=")
					if !ok || strings.TrimSpace(name) == "" {
						return fault.BadField("SET=MASS", "%.40q is no set such as tunics=523g", text)
					}
					a, err := amountOf(mass)
					if err != nil {
						return err
					}
					q.Sets = append(q.Sets, &dyelotv1.LoadSet{Name: strings.TrimSpace(name), Fibre: a})
				}
				return answer(ctx, s, s.days().PlanLoads, q, (*paper.Sheet).Loads)
			}
		},
	})
}
