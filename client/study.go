package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) studyCommand() *cobra.Command {
	return s.noun("study", "Published fastness tables, to look up what others found",
		"Published fastness tables, as printed, with their citation and licence. They say what\nto expect at most, and are never a lot's grade.",
		s.studyLoad(), s.studyList(), s.studyFind())
}

func (s *session) studyLoad() *cobra.Command {
	return s.command(verb{
		use:     "load [STUDY…]",
		short:   "Put the published tables into the books, or only some of them",
		example: "dyelot study load\ndyelot study load nayak2014",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("STUDY", "keys")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.wear().LoadStudies, &dyelotv1.LoadStudiesRequest{Keys: args}, (*paper.Sheet).StudiesLoaded)
			}
		},
	})
}

func (s *session) studyList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the studies with citation, licence and caveats",
		example: "dyelot study list",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.wear().ListStudies, &dyelotv1.ListStudiesRequest{}, (*paper.Sheet).Studies)
			}
		},
	})
}

func (s *session) studyFind() *cobra.Command {
	return s.command(verb{
		use:   "find",
		short: "Find printed grades by mordant, fibre and component",
		long: `Find printed grades by mordant, fibre and component. A mordant is a salt by any of its
names or its formula, a metal, none, or the word as printed; crystal water does not
matter. --component is wash, rub, perspiration, light, colour, or one column. A least
grade needs a component: washing and light are not compared.`,
		example: "dyelot study find --mordant alum --fibre wool --component light\ndyelot study find --mordant tin --fibre silk --component wash --least 4",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.FindStudyResultsRequest{PageSize: pageSize}
			f.text(&q.Mordant, "mordant", "such as alum, \"copper sulphate\", FeSO4, tin, none")
			f.text(&q.Fibre, "fibre", "such as silk, wool, jute")
			f.text(&q.Component, "component", "such as wash, light, rub-wet")
			f.offers("component", fixed("wash", "rub", "perspiration", "light", "colour"))
			f.text(&q.LeastGrade, "least", "only this grade or better, such as 3-4")
			f.fills("least", "least_grade")
			return func(ctx context.Context, _ []string) error {
				all := &dyelotv1.FindStudyResultsResponse{}
				from := map[string]bool{}
				results, err := pages(func(token string) ([]*dyelotv1.StudyResult, string, error) {
					q.PageToken = token
					resp, err := s.wear().FindStudyResults(ctx, q)
					for _, k := range resp.GetStudies() {
						if !from[k.GetKey()] {
							from[k.GetKey()] = true
							all.Studies = append(all.Studies, k)
						}
					}
					return resp.GetResults(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all.Results = results
				return s.show(ctx, all, func(p *paper.Sheet) { p.StudyResults(all) })
			}
		},
	})
}
