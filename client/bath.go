package client

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) bathCommand() *cobra.Command {
	return s.noun("bath", "Tubs and pots of liquor: keep, top up, use again, pour away",
		`A bath begins with a stage record. What is kept of it may serve other lots:
dyelot stage record L3 mordant --bath B1 is its next use. How much is left in it of
what went in before nobody knows, and nothing is claimed; the trace of every later
use reaches what went into the earlier ones. A bath is named by its code, B1, or by
a stage record that was done in it, S3.`,
		s.bathKeep(), s.bathTopUp(), s.bathSpend(), s.bathList(), s.bathShow(), s.bathUndo())
}

// litres is a plain number of litres, or an amount: 40, 40L, 500mL.
func (f *form) litres(into **dyelotv1.Amount, name, usage string) {
	f.value(name, "number", usage, func(text string) (err error) {
		if _, err = strconv.ParseFloat(text, 64); err == nil {
			text += "L"
		}
		*into, err = amountOf(text)
		return err
	})
}

// logged is a verb that writes one kind of entry into a bath's diary.
func (s *session) logged(kind string, v verb, flags func(*form, *dyelotv1.LogBathRequest)) *cobra.Command {
	v.build = func(f *form) func(context.Context, []string) error {
		q := &dyelotv1.LogBathRequest{Kind: kind}
		_, place, _ := strings.Cut(v.use, " ") // BATH or VAT
		f.fills(place, "bath_code")
		flags(f, q)
		f.text(&q.By, "by", "who did it (whose token this is)")
		f.when(&q.HappenedAt, "at", "when (now)")
		f.fills("at", "happened_at")
		f.text(&q.Note, "note", "anything else to know")
		return func(ctx context.Context, args []string) error {
			q.BathCode = args[0]
			return answer(ctx, s, s.pots().LogBath, q, (*paper.Sheet).BathLogged)
		}
	}
	return s.command(v)
}

func (s *session) bathKeep() *cobra.Command {
	return s.logged("kept", verb{
		use: "keep BATH", short: "Keep a bath for its next use",
		long: `Keep a bath for its next use, with the litres that are left. Of a brew whose litres
were measured, what is left over is not divided among its lots.`,
		example: "dyelot bath keep B3 --litres 40",
	}, func(f *form, q *dyelotv1.LogBathRequest) {
		f.litres(&q.Litres, "litres", "how much is left")
	})
}

func (s *session) bathTopUp() *cobra.Command {
	return s.logged("top-up", verb{
		use: "top-up BATH", short: "Top a kept bath up, with water or from parcels",
		example: "dyelot bath top-up B3 --used P1=20g --litres 2",
	}, func(f *form, q *dyelotv1.LogBathRequest) {
		f.takens(&q.Used, "used", "what went in, such as P1=20g; repeated, or with commas between")
		f.litres(&q.Litres, "litres", "how much was added")
	})
}

func (s *session) bathSpend() *cobra.Command {
	return s.logged("spent", verb{
		use: "spend BATH", short: "Log a bath spent: litres, pH and where it went",
		example: `dyelot bath spend B3 --litres 40 --ph 6.5 --route "foul sewer"`,
	}, func(f *form, q *dyelotv1.LogBathRequest) {
		f.litres(&q.Litres, "litres", "how much was poured away")
		f.decimal(&q.Ph, "ph", "pH as read")
		f.text(&q.Route, "route", "where it went, such as \"foul sewer\"")
		f.offers("route", fixed("foul sewer", "septic tank", "hazardous waste"))
	})
}

func (s *session) bathList() *cobra.Command {
	return s.command(verb{
		use: "list", short: "List the baths that are kept, with age, uses and litres",
		example: "dyelot bath list --all",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ListBathsRequest{PageSize: pageSize}
			f.flag(&q.All, "all", "spent ones, and those that nobody said to keep, too")
			return func(ctx context.Context, _ []string) error {
				baths, err := pages(func(token string) ([]*dyelotv1.Bath, string, error) {
					q.PageToken = token
					resp, err := s.pots().ListBaths(ctx, q)
					return resp.GetBaths(), resp.GetNextPageToken(), err
				})
				if err != nil {
					return err
				}
				all := &dyelotv1.ListBathsResponse{Baths: baths}
				return s.show(ctx, all, func(p *paper.Sheet) { p.Baths(all) })
			}
		},
	})
}

func (s *session) bathShow() *cobra.Command {
	return s.command(verb{
		use: "show BATH", short: "Show a bath's whole life: uses, additions, diary",
		example: "dyelot bath show B3",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.GetBathRequest{}
			f.fills("BATH", "code", "bath")
			return func(ctx context.Context, args []string) error {
				q.Code = args[0]
				return answer(ctx, s, s.pots().GetBath, q, (*paper.Sheet).Bath)
			}
		},
	})
}

func (s *session) bathUndo() *cobra.Command {
	return s.command(verb{
		use: "undo ENTRY", short: "Take an entry of a bath's diary back",
		long: `Take an entry of a bath's diary back: what went in returns to its parcels by a
reversal. The entry stays, marked.`,
		example: `dyelot bath undo E4 --reason "that was another tub"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.UndoBathEntryRequest{}
			f.fills("ENTRY", "entry_code")
			f.text(&q.Reason, "reason", "why")
			return func(ctx context.Context, args []string) error {
				q.EntryCode = args[0]
				if err := s.needed(&q.Reason, "reason", "what was wrong with it"); err != nil {
					return err
				}
				return answer(ctx, s, s.pots().UndoBathEntry, q, (*paper.Sheet).EntryUndone)
			}
		},
	})
}
