package client

import (
	"context"
	"strconv"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) vatCommand() *cobra.Command {
	return s.noun("vat", "Woad and indigo: set a vat and keep its diary",
		`A vat is a bath that lives on. Set it, note its pH, its warmth and what fed it, dip
into it with dyelot stage record L1 vat-dip --bath B7 --dips 3 --airings 3, top it up
and log it spent as any other bath (dyelot bath). Its diary: dyelot bath show B7.`,
		s.vatSet(), s.vatNote())
}

func (s *session) vatSet() *cobra.Command {
	return s.command(verb{
		use: "set VESSEL", short: "Set a vat: what went in, litres, pH, warmth",
		long: `Set a vat: what went in, litres, pH, warmth. Keep the reductant from water and acid
until it goes in. With --fibre every pH is held against that fibre's limits; without
it, against those of protein and of plant fibre apart.`,
		example: `dyelot vat set vat-50 --litres 38 --used P12=50g,P13=40g --ph 9.3 --fibre wool`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.SetVatRequest{}
			f.fills("VESSEL", "vessel_code")
			f.takens(&q.Used, "used", "what went in, such as P12=50g; repeated, or with commas between")
			f.litres(&q.Litres, "litres", "how much it is")
			f.decimal(&q.Ph, "ph", "pH as read")
			f.number(&q.Celsius, "celsius", "the temperature as read")
			f.text(&q.Fibre, "fibre", "the fibre it is meant for, such as wool")
			f.text(&q.By, "by", "who did it (whose token this is)")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.fills("at", "happened_at")
			f.text(&q.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				q.VesselCode = args[0]
				return answer(ctx, s, s.pots().SetVat, q, (*paper.Sheet).VatSet)
			}
		},
	})
}

func (s *session) vatNote() *cobra.Command {
	return s.logged("note", verb{
		use: "note VAT", short: "Note how a vat is, and what fed it",
		example: `dyelot vat note B7 --ph 9.2 --celsius 28 --used P12=5g
dyelot vat note B7 --note "coppery flower, green beneath"`,
	}, func(f *form, q *dyelotv1.LogBathRequest) {
		f.decimal(&q.Ph, "ph", "pH as read")
		f.number(&q.Celsius, "celsius", "the temperature as read")
		f.takens(&q.Used, "used", "feed or reductant, such as P12=5g; repeated, or with commas between")
		f.litres(&q.Litres, "litres", "how much it is")
	})
}

// againFlags are those of a bath that is used again and of counted dips.
func againFlags(f *form, q *dyelotv1.RecordStageRequest) {
	f.text(&q.BathCode, "bath", "a kept bath or vat, used again: B3")
	f.fills("bath", "bath_code")
	f.offers("bath", listBaths)
	whole := &dyelotv1.Dips{}
	send := sync.OnceFunc(func() { q.Dips = append(q.Dips, whole) })
	f.counted(&whole.Dips, "dips", "vat: how often the lot was dipped", send)
	f.counted(&whole.Airings, "airings", "vat: how often it was aired", send)
	f.fills("dips", "dips[0].dips")
	f.fills("airings", "dips[0].airings")
	f.value("dipped", "tags=dips/airings", "vat: a group counted apart, such as 16JD,16KF=4/3; repeated", func(text string) error {
		d, err := dipsOf(text)
		if err == nil {
			q.Dips = append(q.Dips, d)
		}
		return err
	})
	f.fills("dipped", "dips")
}

// counted is a number that, once given, asks for something to be sent along.
func (f *form) counted(into *int32, name, usage string, given func()) {
	f.value(name, "number", usage, func(text string) error {
		n, err := strconv.ParseInt(strings.TrimSpace(text), 10, 32)
		if err != nil {
			return fault.BadField("", "%.20q is no number", text)
		}
		*into = int32(n)
		given()
		return nil
	})
}

// dipsOf reads "16JD,16KF=4/3": four dips and three airings; "16JD=4" is four of
// each.
func dipsOf(text string) (*dyelotv1.Dips, error) {
	tags, counts, found := strings.Cut(text, "=")
	dips, airings, both := strings.Cut(counts, "/")
	if !both {
		airings = dips
	}
	d, err := strconv.ParseInt(strings.TrimSpace(dips), 10, 32)
	a, bad := strconv.ParseInt(strings.TrimSpace(airings), 10, 32)
	if !found || err != nil || bad != nil || len(splitList(tags)) == 0 {
		return nil, fault.BadField("", "%.40q is no group such as 16JD,16KF=4/3: tags, dips and airings", text)
	}
	return &dyelotv1.Dips{Tags: splitList(tags), Dips: int32(d), Airings: int32(a)}, nil
}

func listBaths(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.pots().ListBaths, &dyelotv1.ListBathsRequest{PageSize: pageSize}, (*dyelotv1.ListBathsResponse).GetBaths,
		func(b *dyelotv1.Bath) (string, string) { return b.GetCode(), b.GetKindName() + " " + b.GetVesselCode() })
}
