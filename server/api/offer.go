package api

import (
	"context"
	"strconv"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// PurchaseServer answers PurchaseService: offers, and what was ordered.
type PurchaseServer struct {
	dyelotv1.UnsafePurchaseServiceServer
	store *store.Store
}

// NewPurchaseServer answers from a store.
func NewPurchaseServer(s *store.Store) *PurchaseServer { return &PurchaseServer{store: s} }

// supplierName brings the spaces of a supplier's name down to single ones.
func supplierName(s string) string { return strings.Join(strings.Fields(s), " ") }

// SetOffer writes what a supplier asks from now on.
func (s *PurchaseServer) SetOffer(ctx context.Context, req *dyelotv1.SetOfferRequest) (*dyelotv1.SetOfferResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SetOfferResponse, error) {
		it, err := tx.ItemByCode(req.GetOffer().GetItemCode())
		if err != nil {
			return nil, err
		}
		o, err := decodeOffer(req.GetOffer(), it)
		if err != nil {
			return nil, fault.In("offer", err)
		}
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		if !o.Until.IsZero() && o.Until.Before(today) {
			return nil, fault.BadField("offer.valid_until", "%s is before today, %s", showDay(o.Until), showDay(today))
		}
		before, had, err := tx.LastOffer(it.ID, o.Supplier)
		if err != nil {
			return nil, err
		}
		if _, err := tx.AddOffer(store.Offer{SupplierOffer: o, Item: it}); err != nil {
			return nil, err
		}
		times, err := tx.Punctuality()
		if err != nil {
			return nil, err
		}
		now, _, err := tx.LastOffer(it.ID, o.Supplier)
		resp := &dyelotv1.SetOfferResponse{Offer: encodeOffer(now, times, today)}
		if had && !before.Withdrawn {
			before.Newest = false
			resp.Replaced = encodeOffer(before, times, today)
		}
		return resp, err
	})
}

func decodeOffer(m *dyelotv1.Offer, it stock.Item) (o season.SupplierOffer, err error) {
	o = season.SupplierOffer{Supplier: supplierName(m.GetSupplier()), Minimum: m.GetMinimumPacks(), LeadDays: int(m.GetLeadDays()), Note: m.GetNote()}
	if o.Pack, err = amount("pack", m.GetPack(), it.Unit); err != nil {
		return o, err
	}
	if o.Carriage, err = decodeCost("carriage", m.GetCarriage()); err != nil {
		return o, err
	}
	if o.From, err = day("valid_from", m.GetValidFrom()); err != nil {
		return o, err
	}
	if o.Until, err = day("valid_until", m.GetValidUntil()); err != nil {
		return o, err
	}
	for i, p := range m.GetPrices() {
		at := "prices[" + strconv.Itoa(i) + "].price"
		price, err := quantity.ParseMoney(p.GetPrice().GetValue(), p.GetPrice().GetCurrency())
		if err != nil {
			return o, fault.In(at, err)
		}
		o.Prices = append(o.Prices, season.PackPrice{From: p.GetFromPacks(), Price: price})
	}
	return o.Check(it)
}

// WithdrawOffer ends an offer. It stays to be read.
func (s *PurchaseServer) WithdrawOffer(ctx context.Context, req *dyelotv1.WithdrawOfferRequest) (*dyelotv1.WithdrawOfferResponse, error) {
	if err := needed("reason", req.GetReason()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.WithdrawOfferResponse, error) {
		it, err := tx.ItemByCode(req.GetItemCode())
		if err != nil {
			return nil, err
		}
		o, ok, err := tx.LastOffer(it.ID, supplierName(req.GetSupplier()))
		switch {
		case err != nil:
			return nil, err
		case !ok:
			return nil, fault.Missing("offer", it.Code+" of "+supplierName(req.GetSupplier()))
		case o.Withdrawn:
			return nil, fault.Refuse("WITHDRAWN_ALREADY", "the offer of %s for %s has been withdrawn already: %s", o.Supplier, it.Code, o.Reason)
		}
		o.Withdrawn, o.Reason = true, req.GetReason()
		if _, err := tx.AddOffer(o); err != nil {
			return nil, err
		}
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		now, _, err := tx.LastOffer(it.ID, o.Supplier)
		return &dyelotv1.WithdrawOfferResponse{Offer: encodeOffer(now, store.Punctuality{}, today)}, err
	})
}

// ListOffers lists offers, the first written first.
func (s *PurchaseServer) ListOffers(ctx context.Context, req *dyelotv1.ListOffersRequest) (*dyelotv1.ListOffersResponse, error) {
	limit, after, err := pageByID(req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.ListOffersResponse, error) {
		var it stock.Item
		if req.GetItemCode() != "" {
			var err error
			if it, err = tx.ItemByCode(req.GetItemCode()); err != nil {
				return nil, err
			}
		}
		today, err := tx.Today()
		if err != nil {
			return nil, err
		}
		times, err := tx.Punctuality()
		if err != nil {
			return nil, err
		}
		offers, err := tx.Offers(it.ID, req.GetAll(), after, limit)
		resp := &dyelotv1.ListOffersResponse{}
		for _, o := range offers {
			resp.Offers = append(resp.Offers, encodeOffer(o, times, today))
		}
		if len(offers) == limit {
			resp.NextPageToken = nextPage(strconv.FormatInt(offers[limit-1].ID, 10))
		}
		return resp, err
	})
}

// perUnit is the amount that a price is told for.
var perUnit = map[quantity.Unit]struct {
	of   quantity.Amount
	name string
}{quantity.Mass: {quantity.Grams(1000), "kg"}, quantity.Volume: {quantity.Millilitres(1000), "L"}, quantity.Count: {quantity.Pieces(1), "pc"}}

func encodeOffer(o store.Offer, times store.Punctuality, today time.Time) *dyelotv1.Offer {
	m := &dyelotv1.Offer{
		ItemCode: o.Item.Code, ItemName: o.Item.Name, Supplier: o.Supplier, Pack: encode(o.Pack), MinimumPacks: o.Minimum, LeadDays: int32(o.LeadDays),
		ValidFrom: showDay(o.From), ValidUntil: showDay(o.Until), Note: o.Note, InForce: o.Newest && !o.Withdrawn && o.InForce(today),
		Withdrawn: o.Withdrawn, WithdrawnReason: o.Reason, By: o.By, RecordedAt: stamp(o.RecordedAt),
		Lead: encodeLead(season.LeadOf(o.LeadDays, times.Days[o.Item.ID][season.SupplierKey(o.Supplier)])),
	}
	if o.Carriage.Micro > 0 {
		m.Carriage = encodeMoney(o.Carriage)
	}
	for _, p := range o.Prices {
		m.Prices = append(m.Prices, &dyelotv1.OfferPrice{FromPacks: p.From, Price: encodeMoney(p.Price)})
	}
	per := perUnit[o.Pack.Unit]
	m.PerUnit, m.Per = encodeMoney(o.Prices[len(o.Prices)-1].Price.Part(per.of.N, o.Pack.N)), per.name
	return m
}

func encodeLead(l season.LeadTime) *dyelotv1.LeadTime {
	return &dyelotv1.LeadTime{PromisedDays: int32(l.Promised), Deliveries: int32(l.Deliveries), MedianDays: int32(l.Median), WorstDays: int32(l.Worst),
		UsedDays: int32(l.Used), SafetyDays: int32(l.Safety), Text: l.Text()}
}
