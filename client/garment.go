package client

import (
	"context"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc/codes"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) garmentCommand() *cobra.Command {
	return s.noun("garment", "Finished pieces: where each is, sent out, taken back, mended",
		`Finished pieces: where each is, sent out, taken back. One that came back is mended,
or dyed again in a new lot: dyelot run plan COLOURWAY --garments TAG --pots POT. All
that made it: dyelot trace TAG.`,
		s.garmentList(), s.garmentSend(), s.garmentTakeBack(), s.garmentMend())
}

// allGarments gathers every page.
func (s *session) allGarments(ctx context.Context, q *dyelotv1.ListGarmentsRequest) ([]*dyelotv1.Garment, error) {
	q.PageSize = pageSize
	return pages(func(token string) ([]*dyelotv1.Garment, string, error) {
		q.PageToken = token
		resp, err := s.garments().ListGarments(ctx, q)
		return resp.GetGarments(), resp.GetNextPageToken(), err
	})
}

func (s *session) garmentList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List garments by lot, place or order",
		example: "dyelot garment list --lot L2\ndyelot garment list --place sold --order choir-7",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListGarmentsRequest{}
			f.text(&q.LotCode, "lot", "only of this lot")
			f.offers("lot", listLots)
			f.text(&q.Place, "place", "only those planned, in-work, part-done, on the shelf, sold, returned, given-back or scrapped")
			f.offers("place", fixed("planned", "in-work", "part-done", "shelf", "sold", "returned", "given-back", "scrapped"))
			f.text(&q.OrderRef, "order", "only of this order")
			f.fills("order", "order_ref")
			return func(ctx context.Context, _ []string) error {
				garments, err := s.allGarments(ctx, q)
				if err != nil {
					return err
				}
				all := &dyelotv1.ListGarmentsResponse{Garments: garments}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Garments(all) })
			}
		},
	})
}

func (s *session) garmentSend() *cobra.Command {
	return s.command(verb{
		use:   "send [TAG…]",
		short: "Send garments out against an order",
		long: `Send garments out against an order. Who bought it is kept elsewhere: only the order's
own reference stands here. --lot sends all of a lot that are on the shelf.`,
		example: "dyelot garment send 16JD 16KF --order choir-7\ndyelot garment send --lot L1 --lot L2 --order choir-7",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.DispatchGarmentsRequest{}
			var lots []string
			f.fills("TAG", "tags")
			f.texts(&lots, "lot", "lots", "all garments of this lot that are on the shelf; repeated, or with commas between")
			f.offers("lot", listLots)
			f.text(&q.OrderRef, "order", "the order's own reference")
			f.fills("order", "order_ref")
			f.text(&q.OverrideBy, "override-by", "an owner, who lets go what a recall holds")
			f.text(&q.OverrideReason, "override-reason", "and why")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.Tags = append(q.Tags, args...)
				for _, lot := range lots {
					garments, err := s.allGarments(ctx, &dyelotv1.ListGarmentsRequest{LotCode: lot, Place: "shelf"})
					if err != nil {
						return err
					}
					for _, g := range garments {
						if w := g.GetCustomersCommissionCode(); w != "" {
							s.say("%s belongs to the customer of %s and is not sold: dyelot commission give-back %s %s", g.GetTag(), w, w, g.GetTag())
							continue
						}
						q.Tags = append(q.Tags, g.GetTag())
					}
				}
				if len(q.Tags) == 0 {
					return nothingToSend(lots)
				}
				return answer(ctx, s, s.garments().DispatchGarments, q, (*paper.Sheet).Sent)
			}
		},
	})
}

// nothingToSend says what was missing: names, or garments on the shelf.
func nothingToSend(lots []string) error {
	if len(lots) == 0 {
		return fault.New(fault.Invalid, "ARGUMENT_MISSING", "nothing to send: name tags, or a lot that has garments on the shelf with --lot")
	}
	return fault.New(fault.Refused, "NOTHING_TO_SEND", "nothing of %s is on the shelf to be sent", strings.Join(lots, ", ")).With("lot", lots[0])
}

func (s *session) garmentTakeBack() *cobra.Command {
	return s.command(verb{
		use:     "take-back TAG",
		short:   "Take a garment back, with what is wrong with it",
		example: `dyelot garment take-back 16JD --complaint "shoulders faded"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.TakeBackGarmentRequest{}
			f.text(&q.Complaint, "complaint", "what is wrong with it, in the wearer's words but without a name")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.Tag = args[0]
				if err := s.needed(&q.Complaint, "complaint", "what is wrong with it"); err != nil {
					return err
				}
				return answer(ctx, s, s.garments().TakeBackGarment, q, (*paper.Sheet).TakenBack)
			}
		},
	})
}

// parcelCode tells a parcel from a garment's tag. A tag may look like one once
// some 700 000 garments are numbered; --garment says that it is a tag then.
var parcelCode = pattern(`^[Pp][0-9]+$`)

func (s *session) traceCommand() *cobra.Command {
	return s.command(verb{
		use:   "trace TAG-OR-PARCEL",
		short: "What made a garment, or what a parcel touched",
		long: `From a garment's tag to everything that made it and to its sisters; or from a parcel's
code, such as P7, to every lot and garment that it touched.`,
		example: "dyelot trace 16JD\ndyelot trace P9 --json",
		build: func(f *form) func(context.Context, []string) error {
			var isTag bool
			f.flag(&isTag, "garment", "it is a tag, even if it looks like a parcel's code")
			f.fills("TAG-OR-PARCEL", "tag", "parcel_code", "garment", "parcel")
			return func(ctx context.Context, args []string) error {
				code := args[0]
				if parcelCode().MatchString(code) && !isTag {
					err := answer(ctx, s, s.garments().TraceParcel, &dyelotv1.TraceParcelRequest{ParcelCode: code}, (*paper.Sheet).TracedParcel)
					if codeOf(err) != codes.NotFound || len(code) < shortestTag {
						return err
					}
				}
				return answer(ctx, s, s.garments().TraceGarment, &dyelotv1.TraceGarmentRequest{Tag: code}, (*paper.Sheet).TracedGarment)
			}
		},
	})
}

// shortestTag: four characters and the check character.
const shortestTag = 5
