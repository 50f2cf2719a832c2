package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) stockBlock() *cobra.Command {
	return s.command(verb{
		use:     "block PARCEL",
		short:   "Keep a parcel from being picked or promised",
		example: `dyelot stock block P7 --reason "smells of mould: wait for the swatch"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.BlockParcelRequest{}
			f.text(&q.Reason, "reason", "why")
			return func(ctx context.Context, args []string) error {
				q.ParcelCode = args[0]
				if err := s.needed(&q.Reason, "reason", "why may it not be used"); err != nil {
					return err
				}
				return answer(ctx, s, s.stock().BlockParcel, q, (*paper.Sheet).Blocked)
			}
		},
	})
}

func (s *session) stockUnblock() *cobra.Command {
	return s.command(verb{
		use:     "unblock PARCEL",
		short:   "Let a blocked parcel be used again",
		example: "dyelot stock unblock P7",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, args []string) error {
				q := &dyelotv1.BlockParcelRequest{ParcelCode: args[0], Lift: true}
				return answer(ctx, s, s.stock().BlockParcel, q, (*paper.Sheet).Blocked)
			}
		},
	})
}

func (s *session) stockStrength() *cobra.Command {
	return s.command(verb{
		use:   "strength PARCEL PERCENT",
		short: "Record how strong a dyestuff or pure a salt is",
		long: `Record how strong a dyestuff is against its reference, or how pure a salt. It sets
doses planned from then on: at 90 % a dose of 648 g becomes 720 g. Compare the doses
that give equal depth on a pale swatch; the ratio of K/S at one dose is a first guess
only, and none near saturation.`,
		example: `dyelot stock strength P2 90% --basis "test dips against last year's harvest" --on 2026-05-02`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.SetStrengthRequest{}
			f.fills("PERCENT", "strength_percent")
			f.text(&q.Basis, "basis", "how it was found")
			f.day(&q.MeasuredOn, "on", "the day it was found (today)")
			f.fills("on", "measured_on")
			return func(ctx context.Context, args []string) (err error) {
				q.ParcelCode = args[0]
				if q.StrengthPercent, err = percentOf(args[1]); err != nil {
					return fault.In("PERCENT", err)
				}
				return answer(ctx, s, s.stock().SetStrength, q, (*paper.Sheet).StrengthSet)
			}
		},
	})
}

func (s *session) stockPromise() *cobra.Command {
	return s.command(verb{
		use:     "promise PARCEL AMOUNT",
		short:   "Keep part of a parcel aside for something",
		long:    "Keep part of a parcel aside for something. Of two who want the last gram, one is told\nno, with what is left.",
		example: `dyelot stock promise P1 20g --for "samples for the autumn swatches"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.PromiseParcelRequest{}
			f.text(&q.Purpose, "for", "what it is kept for")
			f.fills("for", "purpose")
			return func(ctx context.Context, args []string) (err error) {
				q.ParcelCode = args[0]
				if q.Amount, err = amountArg("AMOUNT", args[1]); err != nil {
					return err
				}
				return answer(ctx, s, s.stock().PromiseParcel, q, (*paper.Sheet).Promised)
			}
		},
	})
}

func (s *session) stockRelease() *cobra.Command {
	return s.command(verb{
		use:     "release PROMISE",
		short:   "Free what was kept aside by hand",
		long:    "Free what was kept aside by hand. What a lot was promised is freed by cancelling its\nrun.",
		example: "dyelot stock release H3",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, args []string) error {
				q := &dyelotv1.ReleasePromiseRequest{PromiseCode: args[0]}
				return answer(ctx, s, s.stock().ReleasePromise, q, (*paper.Sheet).Released)
			}
		},
	})
}
