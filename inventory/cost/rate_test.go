package cost_test

import (
	"strings"
	"testing"
	"time"

	"dyelot/inventory/cost"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

func onDay(d string) time.Time {
	at, _ := time.Parse(time.DateOnly, d)
	return at
}

// 40 min at 24 EUR an hour are 16 EUR; the newest rate in force on the day counts.
func TestTheNewestRateInForceCounts(t *testing.T) {
	t.Parallel()
	rates := cost.Rates{
		{Kind: cost.LabourHour, Money: eur(24_000_000), From: onDay("2026-01-01")},
		{Kind: cost.LabourHour, Money: eur(30_000_000), From: onDay("2026-07-01")},
		{Kind: cost.LabourHour, Money: eur(27_000_000), From: onDay("2026-07-01")}, // a slip put right
		{Kind: cost.PotDayRate, Money: eur(6_000_000), From: onDay("2026-01-01")},
		{Kind: cost.PotDayRate, Subject: "pot-40", Money: eur(8_000_000), From: onDay("2026-01-01")},
		{Kind: cost.NormalLoss, Percent: quantity.WholePercent(2), From: onDay("2026-01-01")},
		{Kind: cost.NormalLoss, Subject: "vat-dip", Percent: quantity.WholePercent(3), From: onDay("2026-01-01")},
		{Kind: cost.Pooled, Subject: "alum", On: true, From: onDay("2026-01-01")},
		{Kind: cost.Pooled, Subject: "alum", On: false, From: onDay("2026-06-01")},
	}
	for _, c := range []struct {
		got, want quantity.Money
	}{
		{rates.Labour(40_000, onDay("2026-05-14")).Money, eur(16_000_000)}, {rates.Labour(40_000, onDay("2026-07-01")).Money, eur(18_000_000)},
		{rates.Pot("pot-40", onDay("2026-05-14")).Money, eur(8_000_000)}, {rates.Pot("tub-60", onDay("2026-05-14")).Money, eur(6_000_000)},
	} {
		if c.got != c.want {
			t.Errorf("%v, want %v", c.got, c.want)
		}
	}
	if p, say := rates.Usual([]string{"dye", "vat-dip", "vat-dip"}, onDay("2026-05-14")); p != quantity.WholePercent(5) || say != "usual loss: in all 2 %, vat-dip 3 %" {
		t.Error(p, say)
	}
	if !rates.IsPooled("alum", onDay("2026-05-14")) || rates.IsPooled("alum", onDay("2026-06-01")) || rates.IsPooled("weld", onDay("2026-05-14")) {
		t.Error("pooled")
	}
	for say, p := range map[string]cost.Priced{"the first is from 2026-01-01": rates.Labour(1, onDay("2025-12-31")), "no rate for a test by iso-105-x12": rates.Test("iso-105-x12", onDay("2026-05-14"))} {
		if !strings.Contains(strings.Join(p.Unknown, ""), say) {
			t.Errorf("%v, want %q", p.Unknown, say)
		}
	}
	if got := len(rates.InForce(onDay("2026-08-01"))); got != 6 {
		t.Errorf("%d in force", got)
	}
}

func TestARateIsRefusedByItsField(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		rate  cost.Rate
		field string
	}{
		{cost.Rate{Kind: "rent", Money: eur(1)}, "kind"}, {cost.Rate{Kind: cost.LabourHour}, "money"}, {cost.Rate{Kind: cost.LabourHour, Money: eur(-1)}, "money"},
		{cost.Rate{Kind: cost.LabourHour, Money: quantity.Money{Micro: 1, Currency: "DKK"}}, "money"}, {cost.Rate{Kind: cost.LabourHour, Money: eur(1), Subject: "dyer-1"}, "subject"},
		{cost.Rate{Kind: cost.TestRate, Money: eur(1)}, "subject"}, {cost.Rate{Kind: cost.TestRate, Money: eur(1), Subject: "sniff"}, "subject"},
		{cost.Rate{Kind: cost.NormalLoss, Percent: quantity.WholePercent(51)}, "percent"}, {cost.Rate{Kind: cost.NormalLoss, Subject: "boil"}, "subject"}, {cost.Rate{Kind: cost.Pooled}, "subject"},
		{cost.Rate{Kind: cost.PotDayRate, Money: eur(200_000_000_000)}, "money"},
	} {
		if f, ok := fault.Of(c.rate.Check("EUR")); !ok || f.Field != c.field {
			t.Errorf("%+v: %v, want field %s", c.rate, f, c.field)
		}
	}
	if _, err := cost.RuleOf("last-use"); err == nil {
		t.Error("a rule that nobody states")
	}
}
