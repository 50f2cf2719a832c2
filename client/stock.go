package client

import (
	"context"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) stockCommand() *cobra.Command {
	return s.noun("stock", "The shelf: deliveries, liquors, counts, the year's books",
		"Parcels on the shelf, and every movement. A parcel is one quantity of one item with\none origin: a delivery, a harvest or a making. Its code, such as P7, goes on the bag.",
		s.stockReceive(), s.stockMake(), s.stockList(), s.stockShow(), s.stockCount(), s.stockYear(), s.writeOff(false), s.writeOff(true), s.stockReverse(),
		s.stockBlock(), s.stockUnblock(), s.stockStrength(), s.stockSampled(), s.stockPromise(), s.stockRelease())
}

func (s *session) stockReceive() *cobra.Command {
	return s.command(verb{
		use:   "receive ITEM AMOUNT",
		short: "Book a delivery in as a new parcel",
		example: `dyelot stock receive alum 500g --supplier "salt works" --supplier-lot A-17 --cost "12.40 EUR"
dyelot stock receive tunic-silk-m 10pc --at "today 9:30" --piece-mass 105g
dyelot stock receive alum 500g --order Q5`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ReceiveDeliveryRequest{}
			f.text(&q.Supplier, "supplier", "who sent it")
			f.text(&q.SupplierLot, "supplier-lot", "the lot printed on the bag")
			f.money(&q.Cost, "cost", "what it cost in all, such as 12.40 or \"12.40 EUR\"")
			f.when(&q.HappenedAt, "at", "when it came (now)")
			f.fills("at", "happened_at")
			f.day(&q.UsableUntil, "usable-until", "the last day it is good for")
			f.decimal(&q.GramsPerLitre, "grams-per-litre", "solutions bought ready: grams a litre of what acts")
			f.amount(&q.PieceMass, "piece-mass", "blanks: air-dry mass of one piece of this delivery")
			f.text(&q.Note, "note", "anything else to know")
			f.text(&q.OrderCode, "order", "the purchase order it came on, such as Q5: supplier and cost are then its own")
			f.offers("order", listPurchases)
			f.fills("order", "order_code")
			f.number(&q.OrderLine, "line", "the order's line, where the item stands on several")
			f.fills("line", "order_line")
			return func(ctx context.Context, args []string) (err error) {
				q.ItemCode = args[0]
				if q.Amount, err = amountArg("AMOUNT", args[1]); err != nil {
					return err
				}
				return answer(ctx, s, s.stock().ReceiveDelivery, q, (*paper.Sheet).Received)
			}
		},
	})
}

func (s *session) stockMake() *cobra.Command {
	return s.command(verb{
		use:   "make ITEM AMOUNT",
		short: "Make one parcel from others: a liquor, a blend",
		long: `Make one parcel from others: copperas and water into iron liquor, two harvests into
one blend. Water is not kept, so only name what is weighed in.

Dissolved copperas: tight child-resistant cap, never a drink bottle, locked and high.
A vinegar-and-scrap jar gives off hydrogen while it works: vented, outdoors, away from
flame, locked up, capped only once strained and still. The supplier's safety sheet
comes first.`,
		example: "dyelot stock make iron-liquor 500mL --from P6=100g --at 2026-05-10\ndyelot stock make old-iron 1L --strength-unknown --note \"vinegar and scrap, strained\"",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.MakeParcelRequest{}
			f.takens(&q.From, "from", "what went in, such as P6=100g; repeated, or with commas between")
			f.when(&q.HappenedAt, "at", "when it was made (now)")
			f.fills("at", "happened_at")
			f.day(&q.UsableUntil, "usable-until", "the last day it is good for")
			f.flag(&q.StrengthUnknown, "strength-unknown", "vinegar-and-scrap liquor: dosed by swatch, never by % WOF")
			f.text(&q.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) (err error) {
				q.ItemCode = args[0]
				if q.Amount, err = amountArg("AMOUNT", args[1]); err != nil {
					return err
				}
				return answer(ctx, s, s.stock().MakeParcel, q, (*paper.Sheet).Made)
			}
		},
	})
}

func (s *session) stockList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List parcels with what is on hand, promised and free",
		example: "dyelot stock list --kind mordant\ndyelot stock list --item weld --empty",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListParcelsRequest{PageSize: pageSize}
			f.text(&q.ItemCode, "item", "only parcels of this item")
			f.offers("item", listItems)
			f.text(&q.Kind, "kind", "only items of this kind")
			f.offers("kind", listerOf["KIND"])
			f.flag(&q.IncludeEmpty, "empty", "empty parcels too")
			return func(ctx context.Context, _ []string) error {
				parcels, err := pages(func(token string) ([]*dyelotv1.Parcel, string, error) {
					q.PageToken = token
					resp, err := s.stock().ListParcels(ctx, q)
					return resp.GetParcels(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListParcelsResponse{Parcels: parcels}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Stock(all) })
			}
		},
	})
}

func (s *session) stockShow() *cobra.Command {
	return s.command(verb{
		use:     "show PARCEL",
		short:   "Show one parcel: where it is from, every movement, every promise",
		example: "dyelot stock show P9",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("PARCEL", "code", "parcel")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.stock().GetParcel, &dyelotv1.GetParcelRequest{Code: args[0]}, (*paper.Sheet).Parcel)
			}
		},
	})
}

func (s *session) stockCount() *cobra.Command {
	return s.command(verb{
		use:     "count PARCEL AMOUNT",
		short:   "Book what the scale says is left",
		long:    "Book what the scale says is left. What differs from the book becomes a movement of\nits own; whoever was promised what is not there is told. A count that is typed in\nlater is held against the book of the moment it was taken: say so with --at.",
		example: "dyelot stock count P9 337g --reason \"stocktaking\"\ndyelot stock count P9 337g --at \"today 11:00\"",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CountParcelRequest{}
			f.fills("AMOUNT", "counted")
			f.text(&q.Reason, "reason", "why it was counted, or what may explain the difference")
			f.when(&q.HappenedAt, "at", "when it was counted (now)")
			f.fills("at", "happened_at")
			return func(ctx context.Context, args []string) (err error) {
				q.ParcelCode = args[0]
				if q.Counted, err = amountArg("AMOUNT", args[1]); err != nil {
					return err
				}
				return answer(ctx, s, s.stock().CountParcel, q, (*paper.Sheet).Counted)
			}
		},
	})
}

// writeOff is two commands of one shape: lost, or sent back to the supplier.
func (s *session) writeOff(back bool) *cobra.Command {
	v := verb{
		use:     "write-off PARCEL [AMOUNT]",
		short:   "Book a loss: mould, spilt, out of date",
		long:    "Book a loss. Without an amount it is all that is left. A reason is needed: nothing\nleaves the shelf without one.",
		example: `dyelot stock write-off P4 200g --reason "mould after the wet week"`,
	}
	if back {
		v = verb{
			use:     "send-back PARCEL [AMOUNT]",
			short:   "Send a parcel, or part of it, back to its supplier",
			long:    "Send a parcel, or part of it, back to its supplier. Without an amount it is all that\nis left.",
			example: `dyelot stock send-back P12 --reason "polyester thread in the seams"`,
		}
	}
	v.build = func(f *form) func(context.Context, []string) error {
		q := &dyelotv1.WriteOffParcelRequest{SendBack: back}
		f.text(&q.Reason, "reason", "why")
		f.when(&q.HappenedAt, "at", "when (now)")
		f.fills("at", "happened_at")
		return func(ctx context.Context, args []string) (err error) {
			q.ParcelCode = args[0]
			if len(args) > 1 {
				if q.Amount, err = amountArg("AMOUNT", args[1]); err != nil {
					return err
				}
			}
			if err := s.needed(&q.Reason, "reason", "why does it leave the shelf"); err != nil {
				return err
			}
			return answer(ctx, s, s.stock().WriteOffParcel, q, (*paper.Sheet).WrittenOff)
		}
	}
	return s.command(v)
}

func (s *session) stockReverse() *cobra.Command {
	return s.command(verb{
		use:     "reverse MOVEMENT",
		short:   "Book the opposite of a movement that was wrong",
		long:    "Book the opposite of a movement that was wrong. Both stay in the books. What a stage\nused is taken back with: dyelot stage undo.",
		example: `dyelot stock reverse M12 --reason "booked on the wrong bag"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ReverseMovementRequest{}
			f.text(&q.Reason, "reason", "why")
			return func(ctx context.Context, args []string) error {
				q.MovementCode = args[0]
				if err := s.needed(&q.Reason, "reason", "what was wrong with it"); err != nil {
					return err
				}
				return answer(ctx, s, s.stock().ReverseMovement, q, (*paper.Sheet).Reversed)
			}
		},
	})
}

func amountArg(name, text string) (*dyelotv1.Amount, error) {
	a, err := amountOf(text)
	return a, fault.In(name, err)
}
