package client

import (
	"context"
	"strconv"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) stageCorrect() *cobra.Command {
	return s.command(verb{
		use:   "correct RECORD",
		short: "Put a stage record right: a new one beside the old",
		long: `Put a stage record right. The wrong one is taken back and stays, marked; the right
one stands beside it and says so; both in one act. What you do not give stays as it
was: the lots, the time, the vessel, who did it. --used sets what was used of that
parcel; --not-used says that nothing of it was used after all.`,
		example: `dyelot stage correct S5 --used P9=160g --reason "read 160 as 162"
dyelot stage correct S5 --used P4=160g --not-used P9 --reason "that was the new bag"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CorrectStageRequest{}
			f.fills("RECORD", "record_code")
			f.text(&q.Reason, "reason", "what was wrong with it")
			correctFlags(f, q)
			return func(ctx context.Context, args []string) error {
				q.RecordCode = args[0]
				if err := s.needed(&q.Reason, "reason", "what was wrong with it"); err != nil {
					return err
				}
				return answer(ctx, s, s.logbook().CorrectStage, q, (*paper.Sheet).Corrected)
			}
		},
	})
}

func correctFlags(f *form, q *dyelotv1.CorrectStageRequest) {
	f.takens(&q.Used, "used", "what went in, such as P9=160g; repeated, or with commas between")
	f.texts(&q.NotUsed, "not-used", "parcels", "of which nothing went in after all")
	f.text(&q.VesselCode, "vessel", "which vessel")
	f.fills("vessel", "vessel_code")
	f.offers("vessel", listVessels)
	f.text(&q.By, "by", "who did it")
	f.when(&q.HappenedAt, "at", "when it was done")
	f.fills("at", "happened_at")
	f.when(&q.StartedAt, "started", "when the cloth went in")
	f.fills("started", "started_at")
	f.when(&q.FinishedAt, "finished", "when it came out")
	f.fills("finished", "finished_at")
	f.number(&q.Celsius, "celsius", "the bath's temperature as read")
	f.number(&q.Minutes, "minutes", "how long it took")
	f.decimal(&q.Ph, "ph", "pH as read")
	f.value("litres", "number", "how much bath there was", func(text string) (err error) {
		if _, err = strconv.ParseFloat(text, 64); err == nil {
			text += "L"
		}
		q.BathVolume, err = amountOf(text)
		return err
	})
	f.fills("litres", "bath_volume")
	f.text(&q.Note, "note", "anything else to know")
	f.text(&q.DeviationReason, "deviation-reason", "why what was done differs from the plan, where it does")
	f.text(&q.OverrideBy, "override-by", "who takes responsibility for a warning that asks for a name")
	f.text(&q.OverrideReason, "override-reason", "and why")
}

// withdraw is one command under several nouns: of a reading, a test, a line of
// the small books.
func (s *session) withdraw(what, example string) *cobra.Command {
	return s.command(verb{
		use:     "withdraw " + what,
		short:   "Say that it does not count, and why; it stays to be read",
		long:    "Say that it does not count, and why. It stays to be read, with who withdrew it; every\nlater judgement is made without it. A verdict that was given stands.",
		example: example,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.WithdrawEvidenceRequest{}
			f.fills(what, "code")
			f.text(&q.Reason, "reason", "why it does not count")
			f.text(&q.By, "by", "who says so (whose token this is)")
			return func(ctx context.Context, args []string) error {
				q.Code = args[0]
				if err := s.needed(&q.Reason, "reason", "why does it not count"); err != nil {
					return err
				}
				return answer(ctx, s, s.logbook().WithdrawEvidence, q, (*paper.Sheet).Withdrawn)
			}
		},
	})
}
