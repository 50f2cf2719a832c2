package api

import (
	"context"
	"fmt"
	"strings"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/recall"
	"dyelot/server/store"
)

// MarkTold notes that somebody was told of some garments.
func (s *RecallServer) MarkTold(ctx context.Context, req *dyelotv1.MarkToldRequest) (*dyelotv1.MarkToldResponse, error) {
	id, serials, err := decodeTold(req)
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.MarkToldResponse, error) {
		r, at, err := openAt(tx, id, req)
		if err != nil {
			return nil, err
		}
		rows, err := tx.RecallRows(r)
		if err != nil {
			return nil, err
		}
		of, err := namedRows(r, rows, serials, strings.TrimSpace(req.GetOrderRef()))
		if err != nil {
			return nil, err
		}
		for i, x := range of {
			if err := rows[x].Tell(); err != nil {
				return nil, onTag(serials, i, err)
			}
		}
		m := store.Mark{Recall: id, Rows: picked(rows, of), How: strings.TrimSpace(req.GetHow()), By: otherwise(req.GetBy(), tx.By.Name), At: at}
		if err := tx.AddTold(m); err != nil {
			return nil, err
		}
		for _, x := range of {
			rows[x].Told, rows[x].ToldAt = true, at
		}
		return &dyelotv1.MarkToldResponse{Recall: encodeRecall(r, rows), Tags: tagsOfRows(m.Rows)}, nil
	})
}

func decodeTold(req *dyelotv1.MarkToldRequest) (id int64, serials []int64, err error) {
	if id, err = store.ID('K', "recall_code", req.GetRecallCode()); err != nil {
		return 0, nil, err
	}
	switch order := strings.TrimSpace(req.GetOrderRef()); {
	case len(req.GetTags()) > 0 && order != "":
		return 0, nil, fault.BadField("order_ref", "give either tags or an order, not both")
	case len(req.GetTags()) > 0:
		serials, err = eachTagOnce(req.GetTags())
	case order == "":
		err = fault.BadField("tags", "is needed: which garments somebody was told of, or under which order")
	default:
		err = lot.OrderRef(order)
	}
	if err == nil {
		err = needed("how", req.GetHow())
	}
	if err == nil && strings.Contains(req.GetHow(), "@") {
		err = fault.BadField("how", "holds an address: who was told is kept elsewhere, only how stands here")
	}
	return id, serials, err
}

// marking is a request that marks garments of a recall.
type marking interface {
	GetHappenedAt() *timestamppb.Timestamp
}

// openAt locks an open recall and reads when something happened to it.
func openAt(tx *store.Tx, id int64, req marking) (r store.Recall, at time.Time, err error) {
	if at, err = happened(tx, "happened_at", req.GetHappenedAt()); err != nil {
		return r, at, err
	}
	if r, err = lockOpen(tx, id); err == nil && at.Before(r.OpenedAt) {
		err = beforeOpened(r, at)
	}
	return r, at, err
}

func beforeOpened(r store.Recall, at time.Time) error {
	return fault.BadField("happened_at", "%s is before %s was opened, at %s", at.Format(time.RFC3339), r.Code(), r.OpenedAt.Format(time.RFC3339))
}

// namedRows finds garments of a recall by tag, or by the order that they were
// found under or are under now.
func namedRows(r store.Recall, rows []store.RecallRow, serials []int64, order string) (of []int, err error) {
	at := map[string]int{}
	for i, x := range rows {
		at[x.Tag] = i
		if len(serials) == 0 && x.SoldUnder(order) {
			of = append(of, i)
		}
	}
	for i, s := range serials {
		x, there := at[properTag(s)]
		if !there {
			return nil, fault.BadField(fmt.Sprintf("tags[%d]", i), "%s is not on %s: %s", properTag(s), r.Code(), r.Node.Title)
		}
		of = append(of, x)
	}
	if len(of) == 0 {
		return nil, fault.BadField("order_ref", "nothing of %s was found sold under %.60q, and nothing is now", r.Code(), order)
	}
	return of, nil
}

// onTag puts a refusal of one garment on its tag where tags were named.
func onTag(serials []int64, i int, err error) error {
	if len(serials) == 0 {
		return err
	}
	return onField(fmt.Sprintf("tags[%d]", i), err)
}

func picked(rows []store.RecallRow, of []int) []store.RecallRow {
	some := make([]store.RecallRow, len(of))
	for i, x := range of {
		some[i] = rows[x]
	}
	return some
}

func tagsOfRows(rows []store.RecallRow) []string {
	tags := make([]string, len(rows))
	for i, r := range rows {
		tags[i] = r.Tag
	}
	return tags
}

// MarkAccounted notes what became of some garments, and takes back or scraps
// those that this happened to, as on any other day.
func (s *RecallServer) MarkAccounted(ctx context.Context, req *dyelotv1.MarkAccountedRequest) (*dyelotv1.MarkAccountedResponse, error) {
	id, err := store.ID('K', "recall_code", req.GetRecallCode())
	if err != nil {
		return nil, err
	}
	how, err := recall.HowOf(req.GetHow())
	if err != nil {
		return nil, err
	}
	serials, err := eachTagOnce(req.GetTags())
	if err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.MarkAccountedResponse, error) {
		r, at, err := openAt(tx, id, req)
		if err != nil {
			return nil, err
		}
		garments, lots, err := lockGarments(tx, serials)
		if err != nil {
			return nil, err
		}
		rows, err := tx.RecallRows(r) // as they are now that nobody else moves them
		if err != nil {
			return nil, err
		}
		of, err := namedRows(r, rows, serials, "")
		if err != nil {
			return nil, err
		}
		a := accounting{tx: tx, how: how, lots: lots, by: otherwise(req.GetBy(), tx.By.Name), at: at, note: strings.TrimSpace(req.GetNote())}
		a.reason = fmt.Sprintf("recall %s: %s", r.Code(), otherwise(a.note, r.Reason))
		resp, err := a.do(id, picked(rows, of), garments)
		if err != nil {
			return nil, err
		}
		after, err := tx.RecallRows(r)
		resp.Recall = encodeRecall(r, after)
		return resp, err
	})
}

// accounting is one act of accounting for garments.
type accounting struct {
	tx               *store.Tx
	how              recall.How
	lots             map[int64]lot.Lot
	by, reason, note string
	at               time.Time
}

func (a accounting) do(id int64, rows []store.RecallRow, garments []lot.Garment) (*dyelotv1.MarkAccountedResponse, error) {
	resp := &dyelotv1.MarkAccountedResponse{Tags: tagsOfRows(rows)}
	byTag, moved := map[string]lot.Garment{}, map[int64]bool{}
	for _, g := range garments {
		byTag[g.Tag] = g
	}
	var scrap []lot.Garment
	for i, r := range rows {
		step, err := r.Account(a.how)
		if err != nil {
			return nil, onField(fmt.Sprintf("tags[%d]", i), err)
		}
		moved[r.ID] = step != recall.NoStep
		switch step {
		case recall.TakeBack:
			resp.TakenBack = append(resp.TakenBack, r.Tag)
			if err := a.takeBack(byTag[r.Tag], r.Since); err != nil {
				return nil, err
			}
		case recall.Scrap:
			resp.Scrapped = append(resp.Scrapped, r.Tag)
			scrap = append(scrap, byTag[r.Tag])
		}
	}
	if err := a.scrap(scrap); err != nil {
		return nil, err
	}
	return resp, a.tx.AddAccount(store.Mark{Recall: id, Rows: rows, Moved: moved, How: string(a.how), Note: a.note, By: a.by, At: a.at})
}

// takeBack is what TakeBackGarment does.
func (a accounting) takeBack(g lot.Garment, soldAt time.Time) error {
	if err := g.MayComeBack(soldAt, a.at); err != nil {
		return err
	}
	return a.tx.TakeBackGarment(g, a.reason, a.at)
}

// scrap is what GiveVerdict does to single garments: the same rule, lot by lot,
// and the same entry.
func (a accounting) scrap(garments []lot.Garment) error {
	if len(garments) == 0 {
		return nil
	}
	outcome, err := lot.OutcomeOf(string(lot.Scrap))
	if err != nil {
		return err
	}
	for _, g := range garments {
		l := a.lots[g.LotID]
		if err := (lot.Judgement{Code: l.Code, State: l.State}).GiveSingle(outcome, a.reason, []lot.Garment{g}, l.ID); err != nil {
			return err
		}
	}
	return a.tx.GarmentVerdict(store.Verdict{Outcome: string(outcome.Act), Reason: a.reason, By: a.by, HappenedAt: a.at}, garments, outcome.Place)
}
