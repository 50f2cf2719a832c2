package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) clothCommand() *cobra.Command {
	return s.noun("cloth", "Part-done cloth: mordanted, on the shelf, waiting for its plant",
		`Part-done cloth: mordanted, on the shelf, waiting for its plant. A lot is put there
with dyelot lot shelve LOT, and goes on with dyelot run plan COLOURWAY --lot LOT
--pots POT.`,
		s.clothList())
}

func (s *session) clothList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List stacks: since when, what is on them, what for",
		example: "dyelot cloth list",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListClothRequest{PageSize: pageSize}
			f.flag(&q.IncludeGone, "all", "stacks of which nothing is left, too")
			f.fills("all", "include_gone")
			return func(ctx context.Context, _ []string) error {
				cloth, err := pages(func(token string) ([]*dyelotv1.Cloth, string, error) {
					q.PageToken = token
					resp, err := s.cloth().ListCloth(ctx, q)
					return resp.GetCloth(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListClothResponse{Cloth: cloth}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Cloth(all) })
			}
		},
	})
}

func (s *session) lotShelve() *cobra.Command {
	return s.command(verb{
		use:   "shelve LOT",
		short: "Put a lot on the shelf part-done, before it is dyed",
		long: `Put a lot that is scoured, tannined or mordanted on the shelf, to wait for its plant.
The lot ends there, and what its later stages were promised goes free. Its garments
go on in a later run: dyelot run plan COLOURWAY --lot LOT --pots …, which leaves out
what they have had.`,
		example: `dyelot lot shelve L3 --shade reds`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ShelveLotRequest{}
			f.text(&q.Shade, "shade", "what it is meant to become, such as reds")
			f.text(&q.Note, "note", "anything else to know, such as where it lies")
			f.text(&q.By, "by", "who put it there (whose token this is)")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.LotCode = args[0]
				if err := s.needed(&q.Shade, "shade", "what is it meant to become"); err != nil {
					return err
				}
				return answer(ctx, s, s.cloth().ShelveLot, q, (*paper.Sheet).Shelved)
			}
		},
	})
}

func (s *session) garmentMend() *cobra.Command {
	return s.command(verb{
		use:   "mend TAG",
		short: "Note that a garment was mended, and how",
		long: `Note in a garment's history that it was mended, and how. To sell it again, give it a
verdict: dyelot verdict give LOT passed --only TAG.`,
		example: `dyelot garment mend 16JD --text "hem taken up, a moth hole darned" --by bench-1`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.MendGarmentRequest{}
			f.text(&q.Text, "text", "what was done")
			f.text(&q.By, "by", "who did it (whose token this is)")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.Tag = args[0]
				if err := s.needed(&q.Text, "text", "what was done to it"); err != nil {
					return err
				}
				return answer(ctx, s, s.garments().MendGarment, q, (*paper.Sheet).Mended)
			}
		},
	})
}
