package api

import (
	"context"
	"fmt"
	"slices"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/cost"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/server/store"
)

// CostServer answers CostService.
type CostServer struct {
	dyelotv1.UnsafeCostServiceServer
	store *store.Store
}

// NewCostServer answers from a store.
func NewCostServer(s *store.Store) *CostServer { return &CostServer{store: s} }

// mostRates in one call: more than a studio has vessels, methods and items to
// name.
const mostRates = 500

// SetRates puts rates in force from a day on.
func (s *CostServer) SetRates(ctx context.Context, req *dyelotv1.SetRatesRequest) (*dyelotv1.SetRatesResponse, error) {
	switch n := len(req.GetRates()); {
	case n == 0:
		return nil, fault.BadField("rates", "is needed: what an hour, a pot-day or a test costs")
	case n > mostRates:
		return nil, fault.BadField("rates", "%d rates: at most %d at once", n, mostRates)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.SetRatesResponse, error) {
		on, err := dayOrToday(tx, "from_on", req.GetFromOn())
		if err != nil {
			return nil, err
		}
		rates := make([]cost.Rate, len(req.GetRates()))
		books, err := rateSubjects(tx, req.GetRates())
		if err != nil {
			return nil, err
		}
		for i, m := range req.GetRates() {
			if rates[i], err = books.decodeRate(m, on); err != nil {
				return nil, fault.In(fmt.Sprintf("rates[%d]", i), err)
			}
		}
		if err := tx.AddRates(rates, req.GetNote()); err != nil {
			return nil, err
		}
		all, err := tx.Rates()
		return &dyelotv1.SetRatesResponse{Rates: encodeRates(all.InForce(on)), On: showDay(on)}, err
	})
}

// subjects is what rates may be for, beside methods and kinds of stages.
type subjects struct {
	currency string
	vessels  map[string]bool
	items    map[string]stock.Item
}

func rateSubjects(tx *store.Tx, rates []*dyelotv1.CostRate) (s subjects, err error) {
	studio, err := tx.Studio()
	if err != nil {
		return s, err
	}
	all, err := tx.Vessels()
	if err != nil {
		return s, err
	}
	s = subjects{currency: studio.Currency, vessels: map[string]bool{}}
	for _, v := range all {
		s.vessels[v.Code] = true
	}
	var codes []string
	for _, r := range rates {
		if r.GetKind() == string(cost.Pooled) {
			codes = append(codes, r.GetSubject())
		}
	}
	s.items, err = tx.ItemsByCode(codes)
	return s, err
}

// decodeRate reads a rate whose subject the books know.
func (s subjects) decodeRate(m *dyelotv1.CostRate, on time.Time) (r cost.Rate, err error) {
	r = cost.Rate{Kind: cost.RateKind(m.GetKind()), Subject: m.GetSubject(), On: m.GetPooled(), From: on}
	if r.Money, err = decodeCost("money", m.GetMoney()); err != nil {
		return r, err
	}
	share, said, err := percent("percent", m.GetPercent())
	if err != nil {
		return r, err
	}
	if r.Percent = share; r.Kind == cost.NormalLoss && !said {
		return r, fault.BadField("percent", "is needed: how many of a hundred pieces it usually spoils")
	}
	if m.GetFromOn() != "" {
		if r.From, err = day("from_on", m.GetFromOn()); err != nil {
			return r, err
		}
	}
	if err := r.Check(s.currency); err != nil {
		return r, err
	}
	_, isItem := s.items[r.Subject]
	switch {
	case r.Kind == cost.PotDayRate && r.Subject != "" && !s.vessels[r.Subject]:
		return r, fault.Missing("vessel", r.Subject)
	case r.Kind == cost.Pooled && !isItem:
		return r, fault.Missing("item", r.Subject)
	}
	return r, nil
}

// dayOrToday reads a day; empty is the studio's today.
func dayOrToday(tx *store.Tx, field, s string) (time.Time, error) {
	if s == "" {
		return tx.Today()
	}
	return day(field, s)
}

// GetRates lists what is in force on a day.
func (s *CostServer) GetRates(ctx context.Context, req *dyelotv1.GetRatesRequest) (*dyelotv1.GetRatesResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.GetRatesResponse, error) {
		on, err := dayOrToday(tx, "on", req.GetOn())
		if err != nil {
			return nil, err
		}
		all, err := tx.Rates()
		return &dyelotv1.GetRatesResponse{Rates: encodeRates(all.InForce(on)), On: showDay(on)}, err
	})
}

// mostMinutes of one entry: a week of days and nights is 10080.
const mostMinutes = 10_000

// RecordLabour writes minutes of work.
func (s *CostServer) RecordLabour(ctx context.Context, req *dyelotv1.RecordLabourRequest) (*dyelotv1.RecordLabourResponse, error) {
	of, err := workOf(req.GetOf())
	if err != nil {
		return nil, err
	}
	switch n := req.GetMinutes(); {
	case n == 0 || n > mostMinutes || n < -mostMinutes:
		return nil, fault.BadField("minutes", "%d: 1 to %d, or below zero to take some off", n, mostMinutes)
	case n < 0 && needed("note", req.GetNote()) != nil:
		return nil, fault.BadField("note", "is needed: why are %d min taken off", -n)
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.RecordLabourResponse, error) {
		on, err := pastDay(tx, "on", req.GetOn())
		if err != nil {
			return nil, err
		}
		if on.IsZero() {
			if on, err = tx.Today(); err != nil {
				return nil, err
			}
		}
		w := store.Work{WorkOf: of, Minutes: int64(req.GetMinutes()), On: on, By: otherwise(req.GetBy(), tx.By.Name), Note: req.GetNote()}
		sum, err := addWork(tx, w)
		if err != nil {
			return nil, err
		}
		return &dyelotv1.RecordLabourResponse{Minutes: int32(sum),
			Entry: &dyelotv1.LabourEntry{Of: codeOfWork(of), Minutes: req.GetMinutes(), By: w.By, On: showDay(on), Note: w.Note}}, nil
	})
}

// addWork writes an entry and returns all minutes that are written for the same
// thing then. fault.Refused LABOUR_SPENT where they would fall below zero.
func addWork(tx *store.Tx, w store.Work) (int64, error) {
	if err := tx.LockWork(w.WorkOf); err != nil {
		return 0, err
	}
	if w.ParcelID != 0 {
		p, err := tx.Parcel(w.ParcelID)
		if err != nil {
			return 0, err
		}
		if p.Origin != "harvest" {
			return 0, fault.BadField("of", "%s was not gathered: minutes are written for a lot, a stage record or a harvest", p.Code())
		}
	}
	before, err := tx.Worked([]int64{w.LotID}, []int64{w.RecordID}, []int64{w.ParcelID})
	if err != nil {
		return 0, err
	}
	sum := w.Minutes
	for _, b := range before {
		sum += b.Minutes
	}
	if sum < 0 {
		return 0, fault.Refuse("LABOUR_SPENT", "%d min are written for %s: %d cannot be taken off", sum-w.Minutes, codeOfWork(w.WorkOf), -w.Minutes).
			At("minutes").With("of", codeOfWork(w.WorkOf))
	}
	return sum, tx.AddWork(w)
}

// labourOf writes the minutes that were counted for a record as it is made.
func labourOf(tx *store.Tx, r lot.Standing, minutes int32) error {
	if minutes == 0 {
		return nil
	}
	zone, err := tx.Zone()
	if err != nil {
		return err
	}
	return tx.AddWork(store.Work{WorkOf: store.WorkOf{RecordID: r.ID}, Minutes: int64(minutes), On: dayIn(zone, r.HappenedAt), By: r.By})
}

// dayIn is the day of a moment in a zone.
func dayIn(zone *time.Location, at time.Time) time.Time {
	y, m, d := at.In(zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// workOf reads "L1", "S4" or "P3".
func workOf(code string) (of store.WorkOf, err error) {
	for letter, id := range map[byte]*int64{'L': &of.LotID, 'S': &of.RecordID, 'P': &of.ParcelID} {
		if len(code) > 1 && (code[0] == letter || code[0] == letter+'a'-'A') {
			*id, err = store.ID(letter, "of", code)
			return of, err
		}
	}
	return of, fault.BadField("of", "%.40q is no lot (L1), stage record (S4) or harvest (P3)", code)
}

func codeOfWork(of store.WorkOf) string {
	switch {
	case of.LotID != 0:
		return store.Code('L', of.LotID)
	case of.RecordID != 0:
		return store.Code('S', of.RecordID)
	}
	return store.Code('P', of.ParcelID)
}

func encodeRates(rates []cost.Rate) []*dyelotv1.CostRate {
	order := []cost.RateKind{cost.LabourHour, cost.PotDayRate, cost.TestRate, cost.NormalLoss, cost.Pooled}
	slices.SortStableFunc(rates, func(a, b cost.Rate) int { return slices.Index(order, a.Kind) - slices.Index(order, b.Kind) })
	var ms []*dyelotv1.CostRate
	for _, r := range rates {
		m := &dyelotv1.CostRate{Kind: string(r.Kind), Subject: r.Subject, FromOn: showDay(r.From)}
		switch r.Kind {
		case cost.NormalLoss:
			m.Percent = r.Percent.Decimal()
		case cost.Pooled:
			m.Pooled = r.On
		default:
			m.Money = encodeMoney(r.Money)
		}
		ms = append(ms, m)
	}
	return ms
}

// encodeMoney writes a sum; one without a currency stays absent.
func encodeMoney(m quantity.Money) *dyelotv1.Money {
	if m.Currency == "" {
		return nil
	}
	return &dyelotv1.Money{Value: m.Decimal(), Currency: m.Currency}
}
