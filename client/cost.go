package client

import (
	"context"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) costCommand() *cobra.Command {
	return s.noun("cost", "What a lot cost, against what it was planned to",
		`What a lot cost, against what it was planned to: each parcel by its own cost, labour,
pots, tests and losses. What nobody wrote down is said, and never made up. Owner and
dyers see money; the bench writes its minutes.`,
		s.costLot(), s.costRun(), s.costRates(), s.costSetRates(), s.costLabour())
}

// costFlags are what every cost may be asked with.
func costFlags(f *form, rule, margin *string) {
	f.text(rule, "exhaust", "who bears what is in a bath used again: first-use (if not said) or by-fibre")
	f.fills("exhaust", "exhaust_rule")
	f.offers("exhaust", fixed("first-use", "by-fibre"))
	f.percent(margin, "margin", "a price of cost and so many per cent of it; kept nowhere")
	f.fills("margin", "margin_percent")
}

func (s *session) costLot() *cobra.Command {
	return s.command(verb{
		use:   "lot LOT",
		short: "What a lot cost a garment, and why more or less than planned",
		long: `What a lot cost a garment, and the three biggest reasons why that is more or less than
planned. --why says each line with its method. Loss beyond the usual stands apart and
is in no garment's cost; imperfect ones are sold apart.`,
		example: "dyelot cost lot L1\ndyelot cost lot L1 --why\ndyelot cost lot L1 --margin 60% --exhaust by-fibre",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetLotCostRequest{}
			var why bool
			f.fills("LOT", "lot_code", "lot")
			f.flag(&why, "why", "every line of it and of the plan, and by which method")
			costFlags(f, &q.ExhaustRule, &q.MarginPercent)
			return func(ctx context.Context, args []string) error {
				q.LotCode = args[0]
				return answer(ctx, s, s.costs().GetLotCost, q, func(p *paper.Sheet, r *dyelotv1.GetLotCostResponse) { p.LotCost(r.GetLot(), why) })
			}
		},
	})
}

func (s *session) costRun() *cobra.Command {
	return s.command(verb{
		use:     "run RUN",
		short:   "The same of each lot of a run; --csv for a spreadsheet",
		example: "dyelot cost run R1\ndyelot cost run R1 --csv cost-r1.csv",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetRunCostRequest{}
			var why bool
			var file string
			f.fills("RUN", "run_code", "run")
			f.flag(&why, "why", "every line of it and of the plan, and by which method")
			costFlags(f, &q.ExhaustRule, &q.MarginPercent)
			f.text(&file, "csv", "write a table to this file; - is standard output")
			return func(ctx context.Context, args []string) error {
				q.RunCode = args[0]
				if file == "" {
					return answer(ctx, s, s.costs().GetRunCost, q, func(p *paper.Sheet, r *dyelotv1.GetRunCostResponse) { p.RunCost(r, why) })
				}
				resp, err := s.costs().GetRunCost(ctx, q)
				if err != nil {
					return err
				}
				if file == "-" {
					return paper.RunCostCSV(s.Out, resp)
				}
				if err := putPrivate(file, func(w io.Writer) error { return paper.RunCostCSV(w, resp) }); err != nil {
					return err
				}
				s.say("%s: what %s cost", file, resp.GetRunCode())
				return nil
			}
		},
	})
}

func (s *session) costRates() *cobra.Command {
	return s.command(verb{
		use:     "rates",
		short:   "The rates in force: an hour, a pot-day, tests, usual loss",
		example: "dyelot cost rates\ndyelot cost rates --on 2026-05-14",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetRatesRequest{}
			f.day(&q.On, "on", "in force on this day (today)")
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.costs().GetRates, q, func(p *paper.Sheet, r *dyelotv1.GetRatesResponse) { p.Rates(r.GetRates(), r.GetOn()) })
			}
		},
	})
}

func (s *session) costSetRates() *cobra.Command {
	return s.command(verb{
		use:   "set-rates",
		short: "Say what an hour, a pot-day and a test cost, from a day on",
		long: `Say what an hour, a pot-day and a test cost, from a day on, in the studio's currency.
What is not named stays as it is; what was in force before stays in the books.

A pot-day is heat, water and room of one vessel for one day, shared by the fibre in it.
Usual loss is a share of the pieces, in all or by a kind of stage; a lot's is their sum.`,
		example: `dyelot cost set-rates --labour 24 --pot-day 6 --pot-day vat-50=9 --from 2026-01-01
dyelot cost set-rates --test iso-105-x12=18 --usual-loss 2% --usual-loss vat-dip=3%
dyelot cost set-rates --pooled alum --not-pooled weld`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.SetRatesRequest{}
			rateFlags(f, q)
			f.day(&q.FromOn, "from", "in force from this day on (today)")
			f.fills("from", "from_on")
			f.text(&q.Note, "note", "why")
			return func(ctx context.Context, _ []string) error {
				if len(q.Rates) == 0 {
					return fault.BadField("--labour", "or another rate is needed; see: dyelot cost set-rates --help")
				}
				house, err := s.house(ctx)
				if err != nil {
					return err
				}
				for _, r := range q.Rates {
					if r.GetMoney() != nil && r.GetMoney().GetCurrency() == "" {
						r.Money.Currency = house.GetCurrency()
					}
				}
				return answer(ctx, s, s.costs().SetRates, q, func(p *paper.Sheet, r *dyelotv1.SetRatesResponse) { p.Rates(r.GetRates(), r.GetOn()) })
			}
		},
	})
}

// rateFlags each add a rate: "6", or "vat-50=9" for one vessel, method or stage.
func rateFlags(f *form, q *dyelotv1.SetRatesRequest) {
	add := func(flag, kind, what, usage string, read func(r *dyelotv1.CostRate, text string) error) {
		f.value(flag, what, usage, func(text string) error {
			r := &dyelotv1.CostRate{Kind: kind}
			if subject, value, named := strings.Cut(text, "="); named {
				r.Subject, text = strings.TrimSpace(subject), value
			}
			q.Rates = append(q.Rates, r)
			return read(r, text)
		})
	}
	money := func(r *dyelotv1.CostRate, text string) (err error) {
		r.Money, err = moneyOf(text)
		return err
	}
	add("labour", "labour", "money", "an hour of work", money)
	add("pot-day", "pot-day", "money", "a day of any vessel, or of one: vat-50=9", money)
	add("test", "test", "method=money", "a test by a method: iso-105-x12=18", money)
	add("usual-loss", "normal-loss", "percent", "of the pieces, in all or at a stage: vat-dip=3%", func(r *dyelotv1.CostRate, text string) (err error) {
		r.Percent, err = percentOf(text)
		return err
	})
	for _, p := range []struct {
		flag, usage string
		on          bool
	}{{"pooled", "an item whose parcels are one heap, at a moving average", true}, {"not-pooled", "an item whose parcels are priced each by its own again", false}} {
		f.value(p.flag, "item", p.usage, func(text string) error {
			for _, item := range splitList(text) {
				q.Rates = append(q.Rates, &dyelotv1.CostRate{Kind: "pooled", Subject: item, Pooled: p.on})
			}
			return nil
		})
		f.offers(p.flag, listItems)
	}
}

func (s *session) costLabour() *cobra.Command {
	return s.command(verb{
		use:   "labour LOT-OR-RECORD MINUTES",
		short: "Write minutes of work at a lot, a stage record or a harvest",
		long: `Write minutes of work at a lot (L1), a stage record (S4) or a harvest (P3). Minutes of a
lot as a whole stand in the place of what its plan says. What was written too much is
taken off with --less and a reason; both stay in the books.`,
		example: `dyelot cost labour L1 40min --by dyer-1
dyelot cost labour S4 "1h 10min" --by dyer-1 --on 2026-07-03
dyelot cost labour L1 10min --less --reason "a break"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.RecordLabourRequest{}
			var less bool
			f.fills("LOT-OR-RECORD", "of")
			f.fills("MINUTES", "minutes")
			f.text(&q.By, "by", "who worked, as a role (whose token this is)")
			f.day(&q.On, "on", "which day (today)")
			f.flag(&less, "less", "take them off")
			f.text(&q.Note, "reason", "why they are taken off, or anything else to know")
			f.fills("reason", "note")
			return func(ctx context.Context, args []string) (err error) {
				q.Of = args[0]
				if q.Minutes, err = minutesOf(args[1]); err != nil {
					return fault.In("MINUTES", err)
				}
				if less {
					q.Minutes = -q.Minutes
				}
				return answer(ctx, s, s.costs().RecordLabour, q, (*paper.Sheet).Laboured)
			}
		},
	})
}

// minutesOf reads "40", "40min", "2h" or "1h 10min".
func minutesOf(text string) (int32, error) {
	total, rest := int64(0), strings.ReplaceAll(strings.TrimSpace(text), " ", "")
	for _, part := range []struct {
		unit string
		each int64
	}{{"h", 60}, {"min", 1}} {
		digits, after, ok := strings.Cut(rest, part.unit)
		if !ok && part.unit == "min" && rest != "" {
			digits, after, ok = rest, "", true
		}
		if !ok {
			continue
		}
		n, err := strconv.ParseInt(digits, 10, 16)
		if err != nil || n < 0 {
			return 0, fault.BadField("", "%.40q is no time such as 40min or \"1h 10min\"", text)
		}
		total, rest = total+n*part.each, after
	}
	if rest != "" || total == 0 {
		return 0, fault.BadField("", "%.40q is no time such as 40min or \"1h 10min\"", text)
	}
	return int32(total), nil
}
