package client

import (
	"context"
	"strings"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// planned is one thing to weigh, from the parcel that was picked; without a
// parcel it is short.
type planned struct {
	name string
	*dyelotv1.Taken
}

// plannedOf adds a stage's doses to what is planned so far.
func plannedOf(so []planned, st *dyelotv1.PlannedStage) []planned {
	for _, d := range st.GetDoses() {
		taken := d.GetPicks()
		if len(taken) == 0 {
			taken = []*dyelotv1.Taken{{Amount: d.GetAmount()}}
		}
		for _, t := range taken {
			so = addPlanned(so, planned{d.GetItemName(), t})
		}
	}
	return so
}

func addPlanned(so []planned, p planned) []planned {
	for i, had := range so {
		if had.GetParcelCode() != p.GetParcelCode() || had.name != p.name {
			continue
		}
		a, errA := quantity.Parse(had.GetAmount().GetValue(), had.GetAmount().GetUnit())
		b, errB := quantity.Parse(p.GetAmount().GetValue(), p.GetAmount().GetUnit())
		if errA == nil && errB == nil && a.Unit == b.Unit {
			value, unit := a.Add(b).Decimal()
			so[i].Taken = &dyelotv1.Taken{ParcelCode: had.GetParcelCode(), Amount: &dyelotv1.Amount{Value: value, Unit: unit}}
			return so
		}
	}
	return append(so, p)
}

// whose asks which lots the entry is for, where the run has several, and gathers
// what is planned for them: a shared bath has one plan, and lots that were put
// into one bath have theirs together.
func (p *pot) whose(ctx context.Context, q *dyelotv1.RecordStageRequest, card *dyelotv1.GetBenchCardResponse, st *dyelotv1.PlannedStage) ([]planned, error) {
	q.LotCodes = st.GetLotCodes()
	picks := plannedOf(nil, st)
	if len(card.GetRun().GetLots()) < 2 {
		return picks, nil
	}
	usual := strings.Join(st.GetLotCodes(), ",")
	text, err := p.ask.line("for which lots", usual)
	if err != nil || text == usual {
		return picks, err
	}
	q.LotCodes = splitList(strings.ToUpper(text))
	for _, lot := range q.LotCodes {
		if strings.Contains(","+usual+",", ","+lot+",") {
			continue
		}
		other, _, err := p.next(ctx, lot)
		if err != nil {
			return nil, err
		}
		if own := stageAt(other, st.GetPosition()); own != nil {
			picks = plannedOf(picks, own.GetStage())
		}
	}
	return picks, nil
}

// weigh asks for one planned thing.
func (p *pot) weigh(q *dyelotv1.RecordStageRequest, pick planned, differs *bool) error {
	question, usual := pick.name+" from "+pick.GetParcelCode(), paper.Amount(pick.GetAmount())
	if pick.GetParcelCode() == "" {
		question, usual = pick.name+", "+usual+" is promised from no parcel: which, and how much (P9=162g; 0 for none)", ""
	}
	return p.ask.again(question, usual, func(text string) error {
		if text == usual && pick.GetParcelCode() != "" {
			q.Used = append(q.Used, pick.Taken)
			return nil
		}
		taken, err := weighed(text, pick.Taken)
		switch {
		case err != nil:
			return err
		case taken != nil && taken.GetParcelCode() == "":
			return fault.BadField("", "name the parcel as well, such as P9=%s", text)
		case taken != nil:
			q.Used = append(q.Used, taken)
		}
		*differs = true
		return nil
	})
}
