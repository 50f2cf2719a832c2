package client

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) stageCommand() *cobra.Command {
	return s.noun("stage", "What was done at the pot: record, skip, undo, correct", "", s.stageRecord(), s.stageSkip(), s.stageUndo(), s.stageCorrect(), s.stagePin(), s.stageUnpin())
}

func (s *session) stageRecord() *cobra.Command {
	return s.command(verb{
		use:   "record LOTS STAGE",
		short: "Record a stage: what went in, which vessel, who",
		long: `Record a stage: what went in, how much, which vessel, who. The rest can follow when
hands are dry. LOTS is one lot, or all that shared the bath: L1,L2. STAGE is its
position in the recipe, or its kind where the lot has one of that kind only.

What was weighed is never refused because the book says otherwise: the book is set
right in the same act, and whoever it concerns is told. --as-planned stands for the
planned doses from the parcels that were picked.`,
		example: `dyelot stage record L1,L2 2 --used P9=162g --vessel tub-60 --by dyer-1
dyelot stage record L2 after-dip --used P10=30mL --vessel iron-15 --by dyer-1 --reason "the jug slipped"
dyelot stage record L1 rinse --as-planned --vessel pot-40 --by bench-1`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.RecordStageRequest{}
			f.fills("LOTS", "lot_codes")
			f.fills("STAGE", "position")
			recordFlags(f, q)
			return func(ctx context.Context, args []string) (err error) {
				q.LotCodes = splitList(args[0])
				if q.Position, err = s.position(ctx, q.LotCodes, args[1]); err != nil {
					return err
				}
				return answer(ctx, s, s.runs().RecordStage, q, (*paper.Sheet).Recorded)
			}
		},
	})
}

func recordFlags(f *form, q *dyelotv1.RecordStageRequest) {
	f.takens(&q.Used, "used", "what went in, such as P9=162g; repeated, or with commas between")
	f.flag(&q.AsPlanned, "as-planned", "the planned doses, from the parcels that were picked")
	f.text(&q.VesselCode, "vessel", "which vessel")
	f.fills("vessel", "vessel_code")
	f.offers("vessel", listVessels)
	f.text(&q.By, "by", "who did it (whose token this is)")
	f.when(&q.HappenedAt, "at", "when (now)")
	f.fills("at", "happened_at")
	f.when(&q.StartedAt, "started", "when the cloth went in")
	f.fills("started", "started_at")
	f.when(&q.FinishedAt, "finished", "when it came out")
	f.fills("finished", "finished_at")
	f.number(&q.Celsius, "celsius", "the bath's temperature as read")
	f.number(&q.Minutes, "minutes", "how long it took")
	f.value("labour", "minutes", "minutes of work that it took: 25min", func(text string) (err error) {
		q.LabourMinutes, err = minutesOf(text)
		return err
	})
	f.fills("labour", "labour_minutes")
	f.decimal(&q.Ph, "ph", "pH as read")
	f.litres(&q.BathVolume, "litres", "how much bath there was, or how much brew was got")
	f.fills("litres", "bath_volume")
	f.text(&q.Note, "note", "anything else to know")
	f.text(&q.Reason, "reason", "why it differs from the plan, where it does")
	f.text(&q.OverrideBy, "override-by", "who takes responsibility for a warning that asks for a name")
	f.text(&q.OverrideReason, "override-reason", "and why")
	againFlags(f, q)
}

// position turns "2" or "mordant" into the stage's position in the recipe.
func (s *session) position(ctx context.Context, lots []string, word string) (int32, error) {
	if n, err := strconv.ParseInt(word, 10, 32); err == nil {
		if n < 1 {
			return 0, fault.BadField("STAGE", "%s is no position: the first stage is 1", word)
		}
		return int32(n), nil
	}
	if len(lots) == 0 {
		return 0, fault.BadField("LOTS", "names no lot")
	}
	resp, err := s.runs().GetLot(ctx, &dyelotv1.GetLotRequest{Code: lots[0]})
	if err != nil {
		return 0, err
	}
	return positionOf(resp.GetStages(), lots[0], word)
}

// positionOf finds the one stage of a kind; several are refused with their
// positions, none with the lot's stages.
func positionOf(stages []*dyelotv1.PlannedStage, lot, kind string) (int32, error) {
	var hits, all []string
	var found int32
	for _, st := range stages {
		all = append(all, strconv.Itoa(int(st.GetPosition()))+" "+st.GetKind())
		if strings.EqualFold(st.GetKind(), kind) || strings.EqualFold(st.GetKindName(), kind) {
			hits = append(hits, strconv.Itoa(int(st.GetPosition())))
			found = st.GetPosition()
		}
	}
	switch len(hits) {
	case 1:
		return found, nil
	case 0:
		return 0, fault.BadField("STAGE", "lot %s has no stage %.40q: it has %s", lot, kind, strings.Join(all, ", "))
	}
	return 0, fault.BadField("STAGE", "lot %s has %d stages %q, at %s: say which by its number", lot, len(hits), kind, strings.Join(hits, ", "))
}

func (s *session) stageSkip() *cobra.Command {
	return s.command(verb{
		use:     "skip LOTS STAGE",
		short:   "Say that a stage was left out, and why",
		example: `dyelot stage skip L1 neutralise --reason "pH 7 after the rinse already"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.SkipStageRequest{}
			f.fills("LOTS", "lot_codes")
			f.fills("STAGE", "position")
			f.text(&q.Reason, "reason", "why")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) (err error) {
				q.LotCodes = splitList(args[0])
				if q.Position, err = s.position(ctx, q.LotCodes, args[1]); err != nil {
					return err
				}
				if err := s.needed(&q.Reason, "reason", "why is it left out"); err != nil {
					return err
				}
				return answer(ctx, s, s.runs().SkipStage, q, (*paper.Sheet).Skipped)
			}
		},
	})
}

func (s *session) stageUndo() *cobra.Command {
	return s.command(verb{
		use:     "undo RECORD",
		short:   "Take a stage record back: its amounts return to their parcels",
		long:    "Take a stage record back: its amounts return to their parcels by a reversal. The\nrecord stays, marked.",
		example: `dyelot stage undo S5 --reason "that was lot 3"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.UndoStageRequest{}
			f.text(&q.Reason, "reason", "why")
			return func(ctx context.Context, args []string) error {
				q.RecordCode = args[0]
				if err := s.needed(&q.Reason, "reason", "what was wrong with it"); err != nil {
					return err
				}
				return answer(ctx, s, s.runs().UndoStage, q, (*paper.Sheet).Undone)
			}
		},
	})
}
