package api

import (
	"context"
	"fmt"
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// PlanBlanks says how many blanks to buy at once for a season.
func (s *PurchaseServer) PlanBlanks(ctx context.Context, req *dyelotv1.PlanBlanksRequest) (*dyelotv1.PlanBlanksResponse, error) {
	var ask season.BlankBuy
	var err error
	for _, m := range []struct {
		field string
		from  *dyelotv1.Money
		into  *quantity.Money
	}{{"price", req.GetPrice(), &ask.Price}, {"leftover", req.GetLeftover(), &ask.Leftover}, {"earns", req.GetEarns(), &ask.Earns}} {
		if *m.into, err = decodeCost(m.field, m.from); err != nil {
			return nil, err
		}
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.PlanBlanksResponse, error) {
		it, err := tx.ItemByCode(req.GetItemCode())
		if err != nil {
			return nil, err
		}
		if it.Kind != stock.Blank {
			return nil, fault.Refuse("NOT_A_BLANK", "%s is a %s: only blanks are bought once for a season", it.Code, it.Kind)
		}
		b := blanks{tx: tx, item: it, ask: ask}
		if err := b.expect(req.GetMean(), req.GetSd()); err != nil {
			return nil, err
		}
		if err := b.priced(); err != nil {
			return nil, err
		}
		return b.answer()
	})
}

// blanks is the question as it is completed from the books.
type blanks struct {
	tx    *store.Tx
	item  stock.Item
	ask   season.BlankBuy
	from  string // where mean and spread are from
	offer *season.SupplierOffer
}

// expect reads what is given, and else takes the mean from what is planned, or
// from past years where nothing is, and the spread from past years.
func (b *blanks) expect(mean, sd string) error {
	used, err := b.tx.UseByYear(b.item.ID)
	if err != nil {
		return err
	}
	ownMean, ownSD, known := season.Spread(used)
	meanFrom, sdFrom := "given by hand", "given by hand"
	switch {
	case mean != "":
		if b.ask.Mean, err = plainNumber("mean", mean); err != nil {
			return err
		}
	default:
		planned, err := b.planned()
		if err != nil {
			return err
		}
		b.ask.Mean, meanFrom = float64(planned), "what open runs and collections lack"
		if planned == 0 && known {
			b.ask.Mean, meanFrom = ownMean, fmt.Sprintf("the mean of %d years' own use", len(used))
		} else if planned == 0 {
			return fault.BadField("mean", "is needed: nothing is planned of %s, and %d whole years of own use are too few (3)", b.item.Code, len(used))
		}
	}
	switch {
	case sd != "":
		if b.ask.SD, err = plainNumber("sd", sd); err != nil {
			return err
		}
	case known:
		b.ask.SD, sdFrom = ownSD, fmt.Sprintf("that of %d years' own use", len(used))
	default:
		return fault.BadField("sd", "is needed: %d whole years of own use of %s say nothing of how much seasons differ (3 do)", len(used), b.item.Code)
	}
	b.from = fmt.Sprintf("expected %.4g pieces (%s), standard deviation %.4g (%s)", b.ask.Mean, meanFrom, b.ask.SD, sdFrom)
	return nil
}

func plainNumber(field, text string) (float64, error) {
	p, err := quantity.ParsePercent(text) // at most four decimals, as every number here is written
	if f, bad := fault.Of(err); bad {
		return 0, f.At(field)
	}
	return strconv.ParseFloat(p.Decimal(), 64)
}

func (b *blanks) planned() (int64, error) {
	needs, err := allNeeds(b.tx)
	sum := int64(0)
	for _, n := range needs[b.item.ID] {
		sum += n.Short.N
	}
	return sum, err
}

// priced finds the cheapest offer in force for what is expected, in the
// currency that was given or in the only one there is.
func (b *blanks) priced() error {
	offers, err := offersByItem(b.tx, []stock.Item{b.item}, "")
	if err != nil {
		return err
	}
	today, err := b.tx.Today()
	if err != nil {
		return err
	}
	var inForce []season.SupplierOffer
	for _, o := range offers[b.item.ID] {
		if o.InForce(today) && (b.ask.Price.Currency == "" || o.Currency() == b.ask.Price.Currency) {
			inForce = append(inForce, o)
		}
	}
	if _, err := season.OneCurrency(inForce); err != nil {
		return err
	}
	per := func(o season.SupplierOffer) quantity.Money {
		return o.PriceAt(o.PacksFor(quantity.Pieces(max(int64(b.ask.Mean), 1)))).Part(1, o.Pack.N)
	}
	for i, o := range inForce {
		if b.offer == nil || per(o).Micro < per(*b.offer).Micro {
			b.offer = &inForce[i]
		}
	}
	switch {
	case b.ask.Price.Currency != "":
	case b.offer == nil:
		return fault.BadField("price", "is needed: no offer for %s is in force", b.item.Code)
	default:
		b.ask.Price = per(*b.offer)
	}
	return nil
}

func (b *blanks) answer() (*dyelotv1.PlanBlanksResponse, error) {
	a, err := season.BlanksForSeason(b.ask)
	if err != nil {
		return nil, err
	}
	times, err := b.tx.Punctuality()
	if err != nil {
		return nil, err
	}
	coming, err := b.tx.Coming(times)
	if err != nil {
		return nil, err
	}
	onWay := b.item.Zero()
	for _, c := range coming {
		if c.ItemID == b.item.ID {
			onWay = onWay.Add(c.Left)
		}
	}
	buy := quantity.Pieces(max(a.Quantity-b.item.OnHand.N-onWay.N, 0))
	resp := &dyelotv1.PlanBlanksResponse{ItemCode: b.item.Code, ItemName: b.item.Name, Quantity: encode(quantity.Pieces(a.Quantity)), Low: encode(quantity.Pieces(a.Low)), High: encode(quantity.Pieces(a.High)),
		OnHand: encode(b.item.Zero().Add(b.item.OnHand)), OnTheWay: encode(onWay), CriticalRatio: strconv.FormatFloat(a.Ratio, 'f', 4, 64),
		Mean: strconv.FormatFloat(b.ask.Mean, 'f', -1, 64), Sd: strconv.FormatFloat(b.ask.SD, 'f', -1, 64), Method: b.ask.Method(a, b.from)}
	if b.offer != nil && buy.N > 0 {
		packs := b.offer.PacksFor(buy)
		buy = b.offer.Amount(packs)
		resp.Supplier = b.offer.Supplier
		resp.Cost = encodeMoney(quantity.Money{Micro: b.offer.Goods(packs).Micro + b.offer.Carriage.Micro, Currency: b.offer.Currency()})
	}
	resp.Buy = encode(buy)
	return resp, nil
}
