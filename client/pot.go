package client

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc/codes"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

const potInstead = "dyelot stage record LOTS STAGE --as-planned --vessel VESSEL --by NAME"

func (s *session) potCommand() *cobra.Command {
	return s.command(verb{
		use:   "pot [LOT]",
		short: "Stand at the pot: be asked what went in, and see what comes next",
		long: `Stand at the pot: one stage at a time, large, with its cautions. You are asked only
what the stage needs: what was weighed, which vessel, who. Enter takes what is planned;
5.7oz is taken as well as 162g, a plain number is in the planned unit, 0 is none, and
P12=150g is another parcel. One entry covers all lots that share the bath. Afterwards
you see what was taken and what comes next; u takes it back by a reversal. Ctrl-D
leaves at any question: what was not recorded is not in the books.

It needs a terminal. A program records with dyelot stage record.`,
		example: "dyelot pot\ndyelot pot L1",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, args []string) error {
				ask, err := s.atBench(potInstead)
				if err != nil {
					return err
				}
				p := &pot{session: s, ask: ask}
				if _, err := s.Out.Write([]byte("ctrl-D leaves at any question\n")); err != nil {
					return err
				}
				if len(args) > 0 {
					p.lot = args[0]
				} else if err := p.chooseLot(ctx); err != nil {
					return p.leave(err)
				}
				for {
					if more, err := p.stage(ctx); err != nil || !more {
						return p.leave(err)
					}
				}
			}
		},
	})
}

// pot is one sitting at the pot.
type pot struct {
	session     *session
	ask         *asker
	lot         string
	vessel, who string // as used last
	pending     bool   // answers were given that are not recorded
}

// leave ends a sitting; only what was typed and not recorded is worth a word.
func (p *pot) leave(err error) error {
	if !errors.Is(err, errLeft) {
		return err
	}
	if p.pending {
		return fault.New(fault.Invalid, "STOPPED", "stopped: nothing of this stage was recorded")
	}
	return nil
}

// chooseLot asks which of the lots that have something to come, where there are
// several.
func (p *pot) chooseLot(ctx context.Context) error {
	var lots []*dyelotv1.Lot
	for _, state := range []string{"in-work", "planned"} {
		some, err := pages(func(token string) ([]*dyelotv1.Lot, string, error) {
			resp, err := p.session.runs().ListLots(ctx, &dyelotv1.ListLotsRequest{State: state, PageSize: pageSize, PageToken: token})
			return resp.GetLots(), resp.GetNextPageToken(), err
		})
		if err != nil {
			return err
		}
		lots = append(lots, some...)
	}
	switch len(lots) {
	case 0:
		return fault.New(fault.NotFound, "NOT_FOUND", "no lot waits for a stage: plan a run first")
	case 1:
		p.lot = lots[0].GetCode()
		return nil
	}
	if err := p.show(ctx, func(sheet *paper.Sheet) { sheet.Waiting(lots) }); err != nil {
		return err
	}
	return p.ask.again("which lot", lots[0].GetCode(), func(text string) error {
		for _, l := range lots {
			if strings.EqualFold(l.GetCode(), text) {
				p.lot = l.GetCode()
				return nil
			}
		}
		return fault.BadField("", "%.40q is none of these lots", text)
	})
}

func (p *pot) show(ctx context.Context, write func(*paper.Sheet)) error {
	sheet := p.session.sheet(ctx)
	write(sheet)
	return sheet.Close()
}

// stage takes a lot through its next stage; more is false when nobody wants to
// go on, or nothing is left.
func (p *pot) stage(ctx context.Context) (more bool, err error) {
	card, st, err := p.next(ctx, p.lot)
	if err != nil {
		return false, err
	}
	if st == nil {
		return false, p.show(ctx, func(sheet *paper.Sheet) { sheet.AllDone(card.GetLot()) })
	}
	if card.GetLot().GetState() == "planned" {
		return true, p.issue(ctx)
	}
	house, err := p.session.house(ctx)
	if err != nil {
		return false, err
	}
	if err := p.show(ctx, func(sheet *paper.Sheet) { sheet.AtThePot(card, st, house.GetPoisonCentre()) }); err != nil {
		return false, err
	}
	p.pending = true
	q := &dyelotv1.RecordStageRequest{Position: st.GetStage().GetPosition()}
	picks, err := p.whose(ctx, q, card, st.GetStage())
	if err != nil {
		return false, err
	}
	if err := p.fill(ctx, q, st.GetStage(), picks); err != nil {
		return false, err
	}
	resp, err := p.record(ctx, q)
	switch code := codeOf(err); {
	case err != nil && (code == codes.NotFound || code == codes.InvalidArgument): // a slip: ask anew
		p.vessel = ""
		_, err = p.session.Out.Write([]byte("  not recorded: " + complaintOf(err).words() + "\n"))
		return true, err
	case err != nil:
		return false, err
	}
	p.pending, p.who = false, q.GetBy()
	if q.GetVesselCode() != "" {
		p.vessel = q.GetVesselCode()
	}
	if err := p.show(ctx, func(sheet *paper.Sheet) { sheet.Gap(); sheet.Recorded(resp) }); err != nil {
		return false, err
	}
	return p.after(ctx, resp.GetRecord().GetCode())
}

// issue takes a lot's blanks off the shelf, where nobody has yet: nothing can be
// recorded before, and whoever has answered everything must not learn it then.
func (p *pot) issue(ctx context.Context) error {
	answer, err := p.ask.line(p.lot+" is not issued yet. enter: take its blanks off the shelf now    q: leave", "")
	if err != nil {
		return err
	}
	if answer != "" {
		return errLeft
	}
	resp, err := p.session.runs().IssueLot(ctx, &dyelotv1.IssueLotRequest{LotCode: p.lot})
	if err != nil {
		return err
	}
	return p.show(ctx, func(sheet *paper.Sheet) { sheet.Issued(resp) })
}

// next is a lot's card and the stage on it that comes next; nil when all is done.
func (p *pot) next(ctx context.Context, lot string) (*dyelotv1.GetBenchCardResponse, *dyelotv1.CardStage, error) {
	card, err := p.session.runs().GetBenchCard(ctx, &dyelotv1.GetBenchCardRequest{LotCode: lot})
	if err != nil {
		return nil, nil, err
	}
	return card, stageAt(card, card.GetNextPosition()), nil
}

func stageAt(card *dyelotv1.GetBenchCardResponse, position int32) *dyelotv1.CardStage {
	for _, st := range card.GetStages() {
		if position != 0 && st.GetStage().GetPosition() == position {
			return st
		}
	}
	return nil
}

// fill asks what went in, which vessel, who, and why where it is not as planned.
func (p *pot) fill(ctx context.Context, q *dyelotv1.RecordStageRequest, st *dyelotv1.PlannedStage, picks []planned) error {
	differs := false
	for _, pick := range picks {
		if err := p.weigh(q, pick, &differs); err != nil {
			return err
		}
	}
	var err error
	if paper.HasBath(st) {
		usual := st.GetVesselCode()
		if usual == "" {
			usual = p.vessel
		}
		if q.VesselCode, err = p.whichVessel(ctx, usual); err != nil {
			return err
		}
	}
	if p.who == "" {
		me, err := p.session.studios().GetStudio(ctx, &dyelotv1.GetStudioRequest{})
		if err != nil {
			return err
		}
		p.who = me.GetPrincipal()
	}
	if q.By, err = p.ask.line("who", p.who); err != nil {
		return err
	}
	if differs {
		q.Reason, err = p.ask.line("why does it differ (enter: nobody knows)", "")
	}
	return err
}

// whichVessel asks which vessel, and says which there are where it is none.
func (p *pot) whichVessel(ctx context.Context, usual string) (vessel string, err error) {
	resp, err := p.session.studios().ListVessels(ctx, &dyelotv1.ListVesselsRequest{})
	if err != nil {
		return "", err
	}
	var there []string
	for _, v := range resp.GetVessels() {
		there = append(there, v.GetCode())
	}
	err = p.ask.again("vessel", usual, func(text string) error {
		vessel = strings.ToLower(text)
		switch {
		case slices.Contains(there, vessel):
			return nil
		case text == "":
			return fault.BadField("", "which vessel was it: %s", strings.Join(there, ", "))
		}
		return fault.BadField("", "there is no vessel %.40q, only %s", text, strings.Join(there, ", "))
	})
	return vessel, err
}

// record sends the entry. A warning that asks for a name is put to whoever
// stands here; without one nothing is recorded.
func (p *pot) record(ctx context.Context, q *dyelotv1.RecordStageRequest) (*dyelotv1.RecordStageResponse, error) {
	resp, err := p.session.runs().RecordStage(ctx, q)
	if err == nil || complaintOf(err).Reason != "OVERRIDE_NEEDED" {
		return resp, err
	}
	if _, err := p.session.Out.Write([]byte("STOP  " + complaintOf(err).Message + "\n")); err != nil {
		return nil, err
	}
	if q.OverrideBy, err = p.ask.line("who takes it on (enter: nobody, and nothing is recorded)", ""); err != nil || q.GetOverrideBy() == "" {
		return nil, errLeft
	}
	if q.OverrideReason, err = p.ask.line("why", ""); err != nil {
		return nil, err
	}
	return p.session.runs().RecordStage(ctx, q)
}

// after asks what now: go on, take it back, or leave.
func (p *pot) after(ctx context.Context, record string) (more bool, err error) {
	answer, err := p.ask.line("enter: go on    u: undo    q: leave", "")
	switch {
	case err != nil:
		return false, err
	case strings.EqualFold(answer, "q"):
		return false, nil
	case !strings.EqualFold(answer, "u"):
		return true, nil
	}
	q := &dyelotv1.UndoStageRequest{RecordCode: record}
	for q.GetReason() == "" {
		if q.Reason, err = p.ask.line("what was wrong with it", ""); err != nil {
			return false, err
		}
	}
	resp, err := p.session.runs().UndoStage(ctx, q)
	if codeOf(err) == codes.PermissionDenied || codeOf(err) == codes.FailedPrecondition {
		_, err = p.session.Out.Write([]byte(record + " stands: " + complaintOf(err).Message + "\n"))
		return true, err
	}
	if err != nil {
		return false, err
	}
	return true, p.show(ctx, func(sheet *paper.Sheet) { sheet.Undone(resp) })
}
