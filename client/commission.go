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

func (s *session) orders() dyelotv1.CommissionServiceClient {
	return dyelotv1.NewCommissionServiceClient(s)
}

func (s *session) commissionCommand() *cobra.Command {
	return s.noun("commission", "Matched sets for one customer: agreed, signed, whole or not at all",
		"Matched sets for one customer. A swatch is signed off before anything is planned; the\nset may span lots and runs, takes one harvest of each dyestuff, and leaves as a set or\nnot at all. The customer's own garments are held, dyed and given back, never sold.\n\nIn the order of the work: add, sign, dyelot run plan --commission, the pots and the\nverdict, dyelot garment send --order for what was bought, give-back for what was brought.",
		s.commissionAdd(), s.commissionSign(), s.commissionShow(), s.commissionList(), s.commissionReceive(), s.commissionGiveBack())
}

func (s *session) commissionAdd() *cobra.Command {
	return s.command(verb{
		use:   "add REFERENCE",
		short: "Write down what was agreed: pieces, colourway, tolerance, day",
		long: `Write down what was agreed with a customer. The reference is the order's own, such as
choir-7: who it is for is kept elsewhere. The tolerance is the greatest CIEDE2000
between two lots of the set, and goes before the standard's own.`,
		example: `dyelot commission add choir-7 --colourway olive-silk --pieces tunic-silk-m=10 --spare 1 --tolerance 1.0 --due 2026-07-10 --might-not-take "tunic-silk-m=old wax at two hems"`,
		build: func(f *form) func(context.Context, []string) error {
			c := &dyelotv1.Commission{}
			f.fills("REFERENCE", "commission.reference")
			f.text(&c.ColourwayCode, "colourway", "the colourway's code")
			f.fills("colourway", "commission.colourway_code")
			f.offers("colourway", listColourways)
			f.value("pieces", "item=count", "pieces asked of a blank, such as tunic-silk-m=10; repeated", func(text string) error { return askedPieces(c, text) })
			f.fills("pieces", "commission.pieces")
			f.offers("pieces", listItems)
			f.number(&c.Spares, "spare", "pieces dyed with the set and kept, beyond those asked")
			f.fills("spare", "commission.spares")
			f.decimal(&c.SetTolerance, "tolerance", "greatest CIEDE2000 between two lots of the set, as agreed")
			f.fills("tolerance", "commission.set_tolerance")
			var why []string
			f.value("might-not-take", "item=why", "what might not take and why, such as scarf=softener; repeated", func(text string) error {
				_, _, err := pairOf(text, `scarf="an old stain"`)
				why = append(why, text)
				return err
			})
			f.day(&c.DueOn, "due", "the day it is due")
			f.fills("due", "commission.due_on")
			f.text(&c.Note, "note", "anything else to know, but no name")
			return func(ctx context.Context, args []string) error {
				c.Reference = args[0]
				if err := mightNotTake(c, why); err != nil {
					return err
				}
				return answer(ctx, s, s.orders().CreateCommission, &dyelotv1.CreateCommissionRequest{Commission: c}, (*paper.Sheet).CommissionAdded)
			}
		},
	})
}

// askedPieces reads "tunic=10,scarf=2".
func askedPieces(c *dyelotv1.Commission, text string) error {
	for _, one := range splitList(text) {
		item, count, err := pairOf(one, "tunic-silk-m=10")
		if err != nil {
			return err
		}
		n, err := piecesOf(count)
		if err != nil {
			return err
		}
		c.Pieces = append(c.Pieces, &dyelotv1.CommissionPieces{ItemCode: item, Count: n})
	}
	return nil
}

// piecesOf reads "10" or "10pc".
func piecesOf(text string) (int32, error) {
	n, err := strconv.ParseInt(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "pc")), 10, 32)
	if err != nil || n < 1 {
		return 0, fault.BadField("", "%.20q is no count of pieces, such as 10", text)
	}
	return int32(n), nil
}

// mightNotTake puts each note with the pieces it is about.
func mightNotTake(c *dyelotv1.Commission, notes []string) error {
	for _, note := range notes {
		item, why, err := pairOf(note, `scarf="an old stain"`)
		if err != nil {
			return err
		}
		found := false
		for _, p := range c.GetPieces() {
			if p.GetItemCode() == item {
				p.MightNotTake, found = joinedNotes(p.GetMightNotTake(), why), true
			}
		}
		if !found {
			return fault.BadField("--might-not-take", "%.40q is none of the --pieces", item)
		}
	}
	return nil
}

func joinedNotes(had, more string) string {
	if had == "" {
		return more
	}
	return had + "; " + more
}

func (s *session) commissionSign() *cobra.Command {
	return s.command(verb{
		use:   "sign COMMISSION",
		short: "Record that the customer's side agreed to a swatch",
		long: `Record that the customer's side agreed to a swatch: a reading, the cloth of a lot, or
the standard itself. No run is planned for a commission before that. --by is what they
are to the order, in one word, never a name.`,
		example: `dyelot commission sign W1 --standard choir-olive --by conductor --on 2026-05-02
dyelot commission sign choir-7 --reading C4 --by conductor`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.SignCommissionRequest{SignOff: &dyelotv1.SignOff{}}
			o := q.SignOff
			f.text(&o.StandardCode, "standard", "the shade standard itself was agreed to")
			f.fills("standard", "sign_off.standard_code")
			f.offers("standard", listStandards)
			f.text(&o.ReadingCode, "reading", "the swatch of this reading, such as C4")
			f.fills("reading", "sign_off.reading_code")
			f.text(&o.LotCode, "lot", "the witness cloth of this lot")
			f.fills("lot", "sign_off.lot_code")
			f.offers("lot", listLots)
			f.text(&o.ByRole, "by", "who agreed, in one word: conductor, dressmaker")
			f.fills("by", "sign_off.by_role")
			f.day(&o.SignedOn, "on", "the day (today)")
			f.fills("on", "sign_off.signed_on")
			f.text(&o.Note, "note", "anything else that was said")
			return func(ctx context.Context, args []string) error {
				q.CommissionCode = args[0]
				if err := s.needed(&o.ByRole, "by", "who agreed, in one word"); err != nil {
					return err
				}
				return answer(ctx, s, s.orders().SignCommission, q, (*paper.Sheet).CommissionSigned)
			}
		},
	})
}

func (s *session) commissionShow() *cobra.Command {
	return s.command(verb{
		use:     "show COMMISSION",
		short:   "Show a commission: its lots, and what holds the set back",
		example: "dyelot commission show W1\ndyelot commission show choir-7",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("COMMISSION", "code", "commission")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.orders().GetCommission, &dyelotv1.GetCommissionRequest{Code: args[0]}, (*paper.Sheet).Commission)
			}
		},
	})
}

func (s *session) commissionList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the commissions that are not handed over",
		example: "dyelot commission list --all",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListCommissionsRequest{PageSize: pageSize}
			f.flag(&q.IncludeEnded, "all", "those that were handed over too")
			return func(ctx context.Context, _ []string) error {
				found, err := pages(func(token string) ([]*dyelotv1.Commission, string, error) {
					q.PageToken = token
					resp, err := s.orders().ListCommissions(ctx, q)
					return resp.GetCommissions(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListCommissionsResponse{Commissions: found}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Commissions(all) })
			}
		},
	})
}

func (s *session) commissionReceive() *cobra.Command {
	return s.command(verb{
		use:   "receive COMMISSION ITEM PIECES",
		short: "Take in garments that the customer brought to be dyed",
		long: `Take in garments that the customer brought to be dyed. They lie on the shelf as a parcel
without a price: only this commission's runs pick them, and they are given back.
Describe them as a blank first: dyelot item add blank.`,
		example: `dyelot commission receive W1 shirt-cotton-l 2 --piece-mass 240g --might-not-take "an old rust stain at one cuff"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ReceiveCustomersRequest{}
			f.amount(&q.PieceMass, "piece-mass", "air-dry mass of one piece (as the item says)")
			f.text(&q.MightNotTake, "might-not-take", "why it might not take")
			f.text(&q.Note, "note", "anything else to know, but no name")
			f.when(&q.HappenedAt, "at", "when it came (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) (err error) {
				q.CommissionCode, q.ItemCode = args[0], args[1]
				if q.Pieces, err = piecesOf(args[2]); err != nil {
					return fault.In("PIECES", err)
				}
				return answer(ctx, s, s.orders().ReceiveCustomers, q, (*paper.Sheet).CustomersReceived)
			}
		},
	})
}

func (s *session) commissionGiveBack() *cobra.Command {
	return s.command(verb{
		use:   "give-back COMMISSION [TAG…]",
		short: "Give the customer's own garments back, dyed or undyed",
		long: `Give the customer's own garments back: dyed ones by tag, once they were judged, or all
of a lot with --lot; undyed ones off the shelf with --undyed. What passed goes only
when its whole set may go; what did not pass has left its set.`,
		example: "dyelot commission give-back W1 16JD 16KF\ndyelot commission give-back W1 --undyed P5=1pc --note \"one spare came along\"",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GiveBackRequest{}
			var lots []string
			f.fills("TAG", "tags")
			f.texts(&lots, "lot", "lots", "all of the customer's that are dyed in this lot; repeated")
			f.offers("lot", listLots)
			f.takens(&q.Undyed, "undyed", "undyed pieces, such as P5=1pc; repeated")
			f.text(&q.Note, "note", "anything else to know")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) error {
				q.CommissionCode, q.Tags = args[0], append(q.Tags, args[1:]...)
				for _, lot := range lots {
					garments, err := s.allGarments(ctx, &dyelotv1.ListGarmentsRequest{LotCode: lot, Place: "shelf"})
					if err != nil {
						return err
					}
					for _, g := range garments {
						if g.GetCustomersCommissionCode() != "" {
							q.Tags = append(q.Tags, g.GetTag())
						}
					}
				}
				if len(q.Tags)+len(q.Undyed) == 0 {
					return fault.New(fault.Invalid, "ARGUMENT_MISSING", "nothing to give back: name tags, a lot with --lot, or undyed pieces with --undyed P5=1pc")
				}
				return answer(ctx, s, s.orders().GiveBack, q, (*paper.Sheet).GivenBack)
			}
		},
	})
}

func listCommissions(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.orders().ListCommissions, &dyelotv1.ListCommissionsRequest{PageSize: pageSize}, (*dyelotv1.ListCommissionsResponse).GetCommissions,
		func(c *dyelotv1.Commission) (string, string) {
			return c.GetCode(), c.GetReference() + ", " + c.GetState()
		})
}
