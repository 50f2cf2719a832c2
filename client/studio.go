package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) studioCommand() *cobra.Command {
	return s.noun("studio", "Its name, its day, its money, its hours", "", s.studioShow(), s.studioSet(), s.studioHours())
}

func (s *session) studioShow() *cobra.Command {
	return s.command(verb{
		use:     "show",
		short:   "Show the studio, the service's version, and who you are to it",
		example: "dyelot studio show",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.studios().GetStudio, &dyelotv1.GetStudioRequest{}, (*paper.Sheet).Studio)
			}
		},
	})
}

func (s *session) studioSet() *cobra.Command {
	return s.command(verb{
		use:     "set",
		short:   "Change the studio's name, zone, currency or poison centre",
		long:    "Change the studio's name, zone, currency or poison centre. What is not given stays.\nThe poison centre's number is printed on every card that handles iron.",
		example: `dyelot studio set --name "Boathouse" --time-zone Europe/Oslo --currency NOK`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.UpdateStudioRequest{}
			f.text(&q.Name, "name", "the studio's name")
			f.text(&q.TimeZone, "time-zone", "the studio's own zone, such as Europe/Oslo: its day begins at midnight there")
			f.text(&q.Currency, "currency", "three letters, such as EUR")
			f.text(&q.PoisonCentre, "poison-centre", "the number to ring when somebody swallowed something")
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.studios().UpdateStudio, q, (*paper.Sheet).StudioChanged)
			}
		},
	})
}

func (s *session) todayCommand() *cobra.Command {
	return s.command(verb{
		use:     "today",
		short:   "What wants doing: stages, tests, verdicts, shortages, orders",
		example: "dyelot today",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.studios().GetToday, &dyelotv1.GetTodayRequest{}, (*paper.Sheet).Today)
			}
		},
	})
}
