package api

import (
	"context"
	"fmt"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/cost"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/server/store"
)

// costAsk is how a cost is asked for.
type costAsk struct {
	rule   cost.Rule
	margin quantity.Percent
	price  bool
}

// mostMargin of a suggested price: a typed 600 for 60.0 stays possible.
const mostMargin = 1000

func decodeCostAsk(rule, margin string) (a costAsk, err error) {
	if a.rule, err = cost.RuleOf(rule); err != nil {
		return a, err
	}
	if a.margin, a.price, err = percent("margin_percent", margin); err != nil {
		return a, err
	}
	if a.margin < 0 || a.margin > quantity.WholePercent(mostMargin) {
		return a, fault.BadField("margin_percent", "%s: 0 to %d %% is believed", a.margin, mostMargin)
	}
	return a, nil
}

// GetLotCost is what a lot cost beside what it was planned to. Its run is loaded
// whole: shared baths are.
func (s *CostServer) GetLotCost(ctx context.Context, req *dyelotv1.GetLotCostRequest) (*dyelotv1.GetLotCostResponse, error) {
	id, err := store.ID('L', "lot_code", req.GetLotCode())
	if err != nil {
		return nil, err
	}
	ask, err := decodeCostAsk(req.GetExhaustRule(), req.GetMarginPercent())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetLotCostResponse, error) {
		l, err := tx.Lot(id)
		if err != nil {
			return nil, err
		}
		book, err := loadCost(tx, l.RunID, ask.rule)
		if err != nil {
			return nil, err
		}
		for _, one := range book.encodeLots(ask) {
			if one.GetLotCode() == l.Code {
				return &dyelotv1.GetLotCostResponse{Lot: one}, nil
			}
		}
		return nil, fault.Missing("lot", l.Code)
	})
}

// GetRunCost is the same of every lot of a run.
func (s *CostServer) GetRunCost(ctx context.Context, req *dyelotv1.GetRunCostRequest) (*dyelotv1.GetRunCostResponse, error) {
	id, err := store.ID('R', "run_code", req.GetRunCode())
	if err != nil {
		return nil, err
	}
	ask, err := decodeCostAsk(req.GetExhaustRule(), req.GetMarginPercent())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetRunCostResponse, error) {
		book, err := loadCost(tx, id, ask.rule)
		if err != nil {
			return nil, err
		}
		resp := &dyelotv1.GetRunCostResponse{RunCode: store.Code('R', id), Lots: book.encodeLots(ask), Known: true}
		total, goods, n := quantity.Money{Currency: book.currency}, quantity.Money{Currency: book.currency}, int64(0)
		for _, s := range book.sheets() {
			total.Micro, goods.Micro, n = total.Micro+s.Total.Micro, goods.Micro+s.Goods.Micro, n+int64(s.Counts[cost.Good])
			resp.Known = resp.Known && s.Known()
		}
		resp.Total = encodeMoney(total)
		each := "no good garment"
		if n > 0 {
			resp.PerGarment = encodeMoney(goods.Part(1, n))
			each = cost.Show(goods.Part(1, n)) + " a garment"
		}
		most := ""
		if !resp.Known {
			most = "at least "
		}
		resp.Title = fmt.Sprintf("%s: %s%s in all, %s%s (%s of %s)", resp.RunCode, most, cost.Show(total), most, each, countOf(n, "good garment"), countOf(int64(len(resp.Lots)), "lot"))
		return resp, nil
	})
}

func countOf(n int64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func (c *costBook) encodeLots(ask costAsk) []*dyelotv1.LotCost {
	sheets, plans := c.sheets(), c.estimates()
	var all []*dyelotv1.LotCost
	for _, l := range c.lots {
		all = append(all, c.encodeLot(l, sheets[l.ID], plans[l.ID], ask))
	}
	return all
}

func (c *costBook) encodeLot(l lot.Lot, s cost.Sheet, e cost.Estimate, ask costAsk) *dyelotv1.LotCost {
	compared, ok := cost.Compare(s, e)
	m := &dyelotv1.LotCost{
		LotCode: l.Code, RunCode: store.Code('R', c.run.ID), ColourwayCode: c.run.ColourwayCode, State: string(l.State), Title: titleOf(l, s, e, compared, ok), Currency: c.currency,
		Lines: encodeCostLines(s.Lines, c.currency), Total: encodeMoney(s.Total), Known: s.Known(), Unknown: s.Unknown,
		Good: int32(s.Counts[cost.Good]), Imperfect: int32(s.Counts[cost.Imperfect]), Again: int32(s.Counts[cost.Again]), Lost: int32(s.Counts[cost.Lost]),
		PerGarment: encodeMoney(s.PerGood), GoodMoney: encodeMoney(s.Goods), ImperfectMoney: encodeMoney(s.Apart), AgainMoney: encodeMoney(s.WithThem),
		NormalLoss: encodeMoney(s.Normal), AbnormalLoss: encodeMoney(s.Abnormal), Usual: s.UsualSay, Pieces: goodPieces(s, c.currency),
		Estimate: encodeEstimate(e, c.currency), ExhaustRule: string(c.rule), ExhaustWords: c.rule.Words(), SoFar: soFar(l),
	}
	if ok {
		m.Comparison = encodeComparison(compared)
	}
	if ask.price && s.PerGood.Currency != "" {
		m.Price, m.MarginPercent = encodeMoney(cost.Price(s.PerGood, ask.margin)), ask.margin.Decimal()
	}
	return m
}

// goodPieces sums the good garments by their blank.
func goodPieces(s cost.Sheet, currency string) []*dyelotv1.CostPieces {
	n, sum := map[string]int64{}, map[string]int64{}
	for _, p := range s.Pieces {
		if p.Fate == cost.Good {
			n[p.Item]++
			sum[p.Item] += p.Cost.Micro
		}
	}
	var all []*dyelotv1.CostPieces
	for _, item := range sortedKeys(n) {
		money := quantity.Money{Micro: sum[item], Currency: currency}
		all = append(all, &dyelotv1.CostPieces{ItemCode: item, Pieces: int32(n[item]), Money: encodeMoney(money), Each: encodeMoney(money.Part(1, n[item]))})
	}
	return all
}

func encodeCostLines(lines []cost.Line, currency string) []*dyelotv1.CostLine {
	var all []*dyelotv1.CostLine
	for _, l := range lines {
		all = append(all, &dyelotv1.CostLine{Kind: string(l.Kind), Key: l.Key, Name: l.Name, Quantity: &dyelotv1.CostQuantity{Value: l.Decimal(), Unit: l.Unit},
			Money: encodeMoney(quantity.Money{Micro: l.Money.Micro, Currency: currency}), Unknown: l.Unknown, Notes: l.Notes})
	}
	return all
}

func encodeEstimate(e cost.Estimate, currency string) *dyelotv1.CostEstimate {
	m := &dyelotv1.CostEstimate{Lines: encodeCostLines(e.Lines, currency), Total: encodeMoney(e.Total), Pieces: int32(e.Pieces), Unknown: e.Unknown}
	if e.Pieces > 0 {
		m.PerGarment = encodeMoney(e.PerGood)
	}
	return m
}

func encodeComparison(c cost.Comparison) *dyelotv1.CostComparison {
	m := &dyelotv1.CostComparison{Planned: encodeMoney(c.Planned), Actual: encodeMoney(c.Actual), Difference: encodeMoney(c.Difference), PerGarment: encodeMoney(c.PerGood),
		LeftOut: c.LeftOut, Title: c.Title()}
	for _, r := range c.Reasons {
		m.Reasons = append(m.Reasons, &dyelotv1.CostReason{Line: r.Line, What: r.What, Money: encodeMoney(r.Money), Text: r.Text})
	}
	return m
}
