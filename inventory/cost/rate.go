package cost

import (
	"fmt"
	"strings"
	"time"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// RateKind is what a rate is for: a row of the table below.
type RateKind string

// The kinds of rates.
const (
	LabourHour RateKind = "labour"      // money an hour
	PotDayRate RateKind = "pot-day"     // money a day of a vessel: heat, water, room
	TestRate   RateKind = "test"        // money a test of a method
	NormalLoss RateKind = "normal-loss" // per cent of the pieces that a stage usually spoils
	Pooled     RateKind = "pooled"      // an item valued by moving average
)

// Rate is one thing's rate from a day on. The newest in force on a day counts:
// the latest From that is not after it, and of two of one day the later written.
type Rate struct {
	Kind    RateKind
	Subject string // a vessel's, item's, method's or stage kind's code; empty: all
	Money   quantity.Money
	Percent quantity.Percent // normal-loss
	On      bool             // pooled
	From    time.Time
}

const (
	// mostMoney of one rate: beyond it a comma was lost.
	mostMoney = 100_000 * 1_000_000
	// mostLoss is where a stage spoils more than it leaves: not usual.
	mostLoss = 50
)

// Check refuses what no rate is, by field: kind, subject, money or percent.
// currency is the studio's own.
func (r Rate) Check(currency string) error {
	switch r.Kind {
	case LabourHour, PotDayRate, TestRate:
		if r.Money.Currency == "" {
			return fault.BadField("money", "is needed: what it costs, in %s", currency)
		}
		if r.Money.Currency != currency {
			return fault.BadField("money", "%s is not the studio's %s: rates are kept in one currency", r.Money.Currency, currency)
		}
		if r.Money.Micro < 0 || r.Money.Micro > mostMoney {
			return fault.BadField("money", "%s: 0 to %s is believed", r.Money, quantity.Money{Micro: mostMoney, Currency: currency})
		}
	case NormalLoss:
		if r.Percent < 0 || r.Percent > quantity.WholePercent(mostLoss) {
			return fault.BadField("percent", "%s: 0 to %d %% of the pieces can be usual", r.Percent, mostLoss)
		}
	case Pooled:
	default:
		return fault.BadField("kind", "%.40q is no rate: use labour, pot-day, test, normal-loss or pooled", string(r.Kind))
	}
	return r.checkSubject()
}

func (r Rate) checkSubject() error {
	var err error
	switch {
	case r.Kind == LabourHour && r.Subject != "":
		return fault.BadField("subject", "one hour costs what another does: labour has no %q", r.Subject)
	case (r.Kind == TestRate || r.Kind == Pooled) && r.Subject == "":
		return fault.BadField("subject", "is needed: which %s", map[RateKind]string{TestRate: "method", Pooled: "item"}[r.Kind])
	case r.Kind == TestRate:
		_, err = fastness.MethodOf(r.Subject)
	case r.Kind == NormalLoss && r.Subject != "":
		_, err = lot.KindOf(r.Subject)
	}
	if f, bad := fault.Of(err); bad {
		return f.At("subject")
	}
	return err
}

// Rates are every rate ever written, the oldest first.
type Rates []Rate

// find is the rate of exactly this subject that is in force.
func (rs Rates) find(kind RateKind, subject string, on time.Time) (found Rate, ok bool) {
	for _, r := range rs {
		if r.Kind == kind && r.Subject == subject && !r.From.After(on) && (!ok || !r.From.Before(found.From)) {
			found, ok = r, true
		}
	}
	return found, ok
}

// InForce lists the rates that count on a day, in the order of their first
// writing.
func (rs Rates) InForce(on time.Time) []Rate {
	var all []Rate
	seen := map[[2]string]bool{}
	for _, r := range rs {
		key := [2]string{string(r.Kind), r.Subject}
		if now, ok := rs.find(r.Kind, r.Subject, on); ok && !seen[key] {
			seen[key] = true
			all = append(all, now)
		}
	}
	return all
}

// Labour is what minutes cost on a day: thousandths of a minute.
func (rs Rates) Labour(milliMinutes int64, on time.Time) Priced {
	r, ok := rs.find(LabourHour, "", on)
	if !ok {
		return rs.missing(LabourHour, "", on, "no rate for labour")
	}
	return Priced{Money: r.Money.Part(milliMinutes, 60_000)}
}

// Pot is what one pot-day of a vessel costs: its own rate, else that for all.
func (rs Rates) Pot(vessel string, on time.Time) Priced {
	r, ok := rs.find(PotDayRate, vessel, on)
	if !ok {
		r, ok = rs.find(PotDayRate, "", on)
	}
	if !ok {
		return rs.missing(PotDayRate, "", on, "no rate for a pot-day")
	}
	return Priced{Money: r.Money}
}

// Test is what one test by a method costs.
func (rs Rates) Test(method string, on time.Time) Priced {
	r, ok := rs.find(TestRate, method, on)
	if !ok {
		return rs.missing(TestRate, method, on, "no rate for a test by "+method)
	}
	return Priced{Money: r.Money}
}

// missing says of a rate that is not in force whether there is a later one.
func (rs Rates) missing(kind RateKind, subject string, on time.Time, say string) Priced {
	for _, r := range rs {
		if r.Kind == kind && r.Subject == subject {
			return Priced{Unknown: []string{fmt.Sprintf("%s on %s: the first is from %s", say, on.Format(time.DateOnly), r.From.Format(time.DateOnly))}}
		}
	}
	return Priced{Unknown: []string{say}}
}

// Usual is the share of the pieces that is usually lost on the way through some
// kinds of stages: the general share and each kind's own, added up, each kind
// once; and the sum in words.
func (rs Rates) Usual(kinds []string, on time.Time) (quantity.Percent, string) {
	sum := quantity.Percent(0)
	var said []string
	seen := map[string]bool{}
	for _, k := range append([]string{""}, kinds...) {
		r, ok := rs.find(NormalLoss, k, on)
		if !ok || seen[k] || r.Percent == 0 {
			continue
		}
		seen[k] = true
		sum += r.Percent
		name := "in all"
		if k != "" {
			name = k
		}
		said = append(said, fmt.Sprintf("%s %s", name, r.Percent))
	}
	if len(said) == 0 {
		return 0, "no loss is stated as usual"
	}
	return min(sum, quantity.WholePercent(mostLoss)), "usual loss: " + strings.Join(said, ", ")
}

// IsPooled is true of an item whose parcels are one heap on a day.
func (rs Rates) IsPooled(item string, on time.Time) bool {
	r, ok := rs.find(Pooled, item, on)
	return ok && r.On
}
