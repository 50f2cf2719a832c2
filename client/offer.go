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

func (s *session) purchases() dyelotv1.PurchaseServiceClient {
	return dyelotv1.NewPurchaseServiceClient(s)
}

func (s *session) offerCommand() *cobra.Command {
	return s.noun("offer", "What suppliers ask: packs, prices, least orders, days", "", s.offerSet(), s.offerList(), s.offerWithdraw())
}

func (s *session) offerSet() *cobra.Command {
	return s.command(verb{
		use:   "set ITEM SUPPLIER",
		short: "Write what a supplier asks for an item from now on",
		long: `Write what a supplier asks for an item from now on. It takes the place of what the
same supplier asked before; that stays to be read. --price 4=6.10 is the price of
each pack of an order of four packs or more; without a number before it, of any order.`,
		example: `dyelot offer set alum "salt works" --pack 500g --price 6.80 --price 4=6.10 --carriage 9.50 --lead-days 10
dyelot offer set tunic-silk-m "cloth hall" --pack 10pc --minimum 3 --price "180 EUR" --lead-days 21 --until 2027-03-31`,
		build: func(f *form) func(context.Context, []string) error {
			o := &dyelotv1.Offer{}
			f.fills("ITEM", "offer.item_code", "item")
			f.fills("SUPPLIER", "offer.supplier")
			f.amount(&o.Pack, "pack", "sold in whole packs of this")
			f.fills("pack", "offer.pack")
			f.prices(&o.Prices)
			f.value("minimum", "number", "the least that is sold at once, in packs (1)", func(text string) error {
				return wholeNumber(text, &o.MinimumPacks)
			})
			f.fills("minimum", "offer.minimum_packs")
			f.money(&o.Carriage, "carriage", "what one order costs to send")
			f.fills("carriage", "offer.carriage")
			f.number(&o.LeadDays, "lead-days", "promised, from order to shelf")
			f.fills("lead-days", "offer.lead_days")
			f.day(&o.ValidFrom, "from", "the first day on which it may be ordered (now)")
			f.fills("from", "offer.valid_from")
			f.day(&o.ValidUntil, "until", "the last day")
			f.fills("until", "offer.valid_until")
			f.text(&o.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				o.ItemCode, o.Supplier = args[0], args[1]
				if !f.changed("lead-days") {
					return fault.BadField("--lead-days", "is needed: the days that the supplier promises from order to shelf")
				}
				return answer(ctx, s, s.purchases().SetOffer, &dyelotv1.SetOfferRequest{Offer: o}, (*paper.Sheet).OfferSet)
			}
		},
	})
}

// prices is --price, repeated: 6.80, 4=6.10, or "4=6.10 EUR". What names no
// currency is in the studio's.
func (f *form) prices(into *[]*dyelotv1.OfferPrice) {
	f.value("price", "[packs=]money", "of one pack, such as 6.80, or 4=6.10 from four packs on; repeated", func(text string) (err error) {
		p := &dyelotv1.OfferPrice{FromPacks: 1}
		from, price, has := strings.Cut(text, "=")
		if !has {
			price = text
		} else if err := wholeNumber(from, &p.FromPacks); err != nil {
			return err
		}
		p.Price, err = moneyOf(price)
		*into = append(*into, p)
		return err
	})
	f.fills("price", "offer.prices")
	f.later = append(f.later, func(ctx context.Context) error {
		for _, p := range *into {
			if err := f.session.inHouseCurrency(ctx, p.Price); err != nil {
				return err
			}
		}
		return nil
	})
}

// inHouseCurrency gives a sum that names no currency the studio's.
func (s *session) inHouseCurrency(ctx context.Context, m *dyelotv1.Money) error {
	if m == nil || m.GetCurrency() != "" {
		return nil
	}
	house, err := s.house(ctx)
	if err == nil {
		m.Currency = house.GetCurrency()
	}
	return err
}

func wholeNumber(text string, into *int64) error {
	n, err := strconv.ParseInt(strings.TrimSpace(text), 10, 64)
	if err != nil {
		return fault.BadField("", "%.20q is no whole number of packs such as 4", text)
	}
	*into = n
	return nil
}

func (s *session) offerList() *cobra.Command {
	return s.command(verb{
		use:     "list [ITEM]",
		short:   "List what suppliers ask, and how long they really take",
		example: "dyelot offer list alum\ndyelot offer list --all",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListOffersRequest{PageSize: pageSize}
			f.flag(&q.All, "all", "replaced and withdrawn ones too")
			return func(ctx context.Context, args []string) error {
				if len(args) > 0 {
					q.ItemCode = args[0]
				}
				offers, err := pages(func(token string) ([]*dyelotv1.Offer, string, error) {
					q.PageToken = token
					resp, err := s.purchases().ListOffers(ctx, q)
					return resp.GetOffers(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListOffersResponse{Offers: offers}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Offers(all) })
			}
		},
	})
}

func (s *session) offerWithdraw() *cobra.Command {
	return s.command(verb{
		use:     "withdraw ITEM SUPPLIER",
		short:   "End a supplier's offer; it stays to be read",
		example: `dyelot offer withdraw alum "salt works" --reason "they closed"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.WithdrawOfferRequest{}
			f.text(&q.Reason, "reason", "why")
			return func(ctx context.Context, args []string) error {
				q.ItemCode, q.Supplier = args[0], args[1]
				if err := s.needed(&q.Reason, "reason", "why does it end"); err != nil {
					return err
				}
				return answer(ctx, s, s.purchases().WithdrawOffer, q, (*paper.Sheet).OfferWithdrawn)
			}
		},
	})
}
