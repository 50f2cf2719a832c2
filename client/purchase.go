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

func (s *session) purchaseCommand() *cobra.Command {
	return s.noun("purchase", "What was ordered, what came of it, what is late",
		"What was ordered, what came of it, what is late. An order's code is such as Q5; a\ndelivery on it is booked with: dyelot stock receive ITEM AMOUNT --order Q5",
		s.purchaseOrder(), s.purchaseFromReorder(), s.purchaseList(), s.purchaseShow(), s.purchaseClose(), s.purchaseBlanks())
}

func (s *session) purchaseOrder() *cobra.Command {
	return s.command(verb{
		use:   "order SUPPLIER ITEM=AMOUNT…",
		short: "Write what was ordered of a supplier",
		long: `Write what was ordered of a supplier. What a line costs is what the supplier's offer
asks; or write it behind the amount: alum=4kg@48.00. It is promised for the days of
the offer from today, or say so with --promised.`,
		example: `dyelot purchase order "northern salts" alum=4kg copperas=1kg
dyelot purchase order "cloth hall" tunic-silk-m=30pc@540 --promised 2026-06-20 --by owner`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.OrderPurchaseRequest{}
			f.fills("ITEM=AMOUNT", "lines", "item", "reorder_item_codes")
			orderFlags(f, q)
			f.day(&q.OrderedOn, "ordered", "the day it was ordered (today)")
			f.fills("ordered", "ordered_on")
			return func(ctx context.Context, args []string) error {
				q.Supplier = args[0]
				for _, text := range args[1:] {
					line, err := orderLineOf(text)
					if err != nil {
						return fault.In("ITEM=AMOUNT", err)
					}
					if err := s.inHouseCurrency(ctx, line.GetCost()); err != nil {
						return err
					}
					q.Lines = append(q.Lines, line)
				}
				return answer(ctx, s, s.purchases().OrderPurchase, q, (*paper.Sheet).Ordered)
			}
		},
	})
}

func orderFlags(f *form, q *dyelotv1.OrderPurchaseRequest) {
	f.day(&q.PromisedOn, "promised", "the day it is promised for")
	f.fills("promised", "promised_on")
	f.text(&q.By, "by", "who ordered it")
	f.text(&q.Note, "note", "anything else to know")
}

// orderLineOf reads "alum=4kg" and "alum=4kg@48.00".
func orderLineOf(text string) (*dyelotv1.PurchaseLineOrder, error) {
	item, rest, has := strings.Cut(text, "=")
	if !has || strings.TrimSpace(item) == "" {
		return nil, fault.BadField("", "%.60q is no line: write it as alum=4kg, or alum=4kg@48.00 with what it costs", text)
	}
	line := &dyelotv1.PurchaseLineOrder{ItemCode: strings.TrimSpace(item)}
	amount, cost, priced := strings.Cut(rest, "@")
	var err error
	if line.Amount, err = amountOf(amount); err != nil {
		return nil, err
	}
	if priced {
		line.Cost, err = moneyOf(cost)
	}
	return line, err
}

func (s *session) purchaseFromReorder() *cobra.Command {
	return s.command(verb{
		use:   "from-reorder ITEM…",
		short: "Turn lines of the reorder list into orders, one a supplier",
		long: `Turn lines of the reorder list into orders, as the list has them: how much, from whom
and at what price. There is one order for each supplier. --supplier looks at one
supplier's offers alone.`,
		example: "dyelot purchase from-reorder alum copperas\ndyelot purchase from-reorder alum --supplier \"salt works\"",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.OrderPurchaseRequest{}
			f.fills("ITEM", "reorder_item_codes", "item")
			f.text(&q.Supplier, "supplier", "whose offers to look at")
			orderFlags(f, q)
			return func(ctx context.Context, args []string) error {
				q.ReorderItemCodes = args
				return answer(ctx, s, s.purchases().OrderPurchase, q, (*paper.Sheet).Ordered)
			}
		},
	})
}

func (s *session) purchaseList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List orders, the newest first",
		example: "dyelot purchase list --open\ndyelot purchase list --late",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListPurchasesRequest{PageSize: pageSize}
			f.flag(&q.Open, "open", "only those with something to come")
			f.flag(&q.Late, "late", "only those that are late")
			return func(ctx context.Context, _ []string) error {
				today := ""
				orders, err := pages(func(token string) ([]*dyelotv1.Purchase, string, error) {
					q.PageToken = token
					resp, err := s.purchases().ListPurchases(ctx, q)
					today = resp.GetToday()
					return resp.GetPurchases(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListPurchasesResponse{Today: today, Purchases: orders}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Purchases(all) })
			}
		},
	})
}

func (s *session) purchaseShow() *cobra.Command {
	return s.command(verb{
		use:     "show ORDER",
		short:   "Show an order: its lines, what came, what is still to come",
		example: "dyelot purchase show Q5",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("ORDER", "order_code", "order")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.purchases().GetPurchase, &dyelotv1.GetPurchaseRequest{Code: args[0]}, func(p *paper.Sheet, r *dyelotv1.GetPurchaseResponse) { p.Purchase(r.GetPurchase()) })
			}
		},
	})
}

func (s *session) purchaseClose() *cobra.Command {
	return s.command(verb{
		use:     "close ORDER [LINE]",
		short:   "Say that what is left of a line will not come",
		long:    "Say that what is left of a line will not come. The line's number is needed where\nseveral have something to come. The reorder list then asks for it again.",
		example: `dyelot purchase close Q5 2 --reason "sold out"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ClosePurchaseLineRequest{}
			f.fills("ORDER", "order_code", "order")
			f.fills("LINE", "line")
			f.text(&q.Reason, "reason", "why")
			f.text(&q.By, "by", "who says so")
			return func(ctx context.Context, args []string) error {
				q.OrderCode = args[0]
				if len(args) > 1 {
					n, err := strconv.ParseInt(args[1], 10, 32)
					if err != nil || n < 1 {
						return fault.BadField("LINE", "%.20q is no line's number such as 2", args[1])
					}
					q.Line = int32(n)
				}
				if err := s.needed(&q.Reason, "reason", "why will it not come"); err != nil {
					return err
				}
				return answer(ctx, s, s.purchases().ClosePurchaseLine, q, (*paper.Sheet).LineClosed)
			}
		},
	})
}

func (s *session) purchaseBlanks() *cobra.Command {
	return s.command(verb{
		use:   "blanks ITEM",
		short: "How many blanks to buy once for a season",
		long: `How many blanks to buy at once for a season, when a blank too many is worth less
afterwards and one too few is a garment not sold. What the season is expected to take
is what open runs and collections lack, and how much seasons differ is what three or
more whole years here took; or say both. Nothing is saved.`,
		example: "dyelot purchase blanks tunic-silk-m --mean 60 --sd 10 --leftover 10 --earns 40",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.PlanBlanksRequest{}
			f.decimal(&q.Mean, "mean", "pieces that the season is expected to take")
			f.decimal(&q.Sd, "sd", "standard deviation of that")
			f.money(&q.Price, "price", "what a blank costs (the cheapest offer)")
			f.money(&q.Leftover, "leftover", "what a blank that is left over is worth (nothing)")
			f.money(&q.Earns, "earns", "what a garment brings beyond its blank")
			return func(ctx context.Context, args []string) error {
				q.ItemCode = args[0]
				return answer(ctx, s, s.purchases().PlanBlanks, q, (*paper.Sheet).BlanksPlanned)
			}
		},
	})
}

func listPurchases(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.purchases().ListPurchases, &dyelotv1.ListPurchasesRequest{Open: true, PageSize: pageSize}, (*dyelotv1.ListPurchasesResponse).GetPurchases,
		func(p *dyelotv1.Purchase) (string, string) { return p.GetCode(), p.GetSupplier() })
}
