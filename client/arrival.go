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

func (s *session) arrivalCommand() *cobra.Command {
	return s.noun("arrival", "Blanks on arrival: looked at before anything is dyed",
		`Blanks on arrival: looked at before anything is dyed. They are booked in with dyelot
stock receive; what is rejected goes back with dyelot stock send-back.`,
		s.arrivalCheck(), s.arrivalShow())
}

func (s *session) arrivalCheck() *cobra.Command {
	return s.command(verb{
		use:   "check PARCEL",
		short: "Record what was seen of a delivery of blanks, and accept or reject",
		long: `Record what was seen of a delivery of blanks before it is dyed. Not all need be done at
once: a later check goes before an earlier one in what it says and leaves the rest.

Drop test: a drop of water on the cloth; on clean cloth it goes in within a few
seconds, and what stands longer shows wax or a finish (common practice). A rejected
delivery is blocked until it goes back.`,
		example: `dyelot arrival check P5 --size-before 62x48cm --size-after 60x47cm --drop-test 3s --brightener no --thread cotton --buttons shell --cut-off "dyed first: took even" --verdict accept --by bench-1
dyelot arrival check P6 --thread polyester --verdict reject --note "seams will stay white"`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CheckArrivalRequest{Check: &dyelotv1.ArrivalCheck{}}
			c := q.Check
			sizeFlag(f, &c.SizeBefore, "size-before", "length x width of a piece as it came, such as 62x48cm")
			sizeFlag(f, &c.SizeAfter, "size-after", "the same piece scoured and dried")
			f.value("drop-test", "seconds", "how long a drop of water stood, such as 3s; 0s: it went in at once", func(text string) error {
				n, err := strconv.ParseInt(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "s")), 10, 32)
				if err != nil {
					return fault.BadField("", "%.20q is no time in seconds, such as 3s", text)
				}
				seconds := int32(n)
				c.DropSeconds = &seconds
				return nil
			})
			f.fills("drop-test", "check.drop_seconds")
			f.text(&c.Brightener, "brightener", "does it shine under ultraviolet: no or yes")
			f.fills("brightener", "check.brightener")
			f.offers("brightener", fixed("no", "yes"))
			f.text(&c.Thread, "thread", "polyester, cotton, silk, linen, wool or unknown: burn an end of it")
			f.fills("thread", "check.thread")
			f.offers("thread", fixed("polyester", "cotton", "silk", "linen", "wool", "unknown"))
			f.text(&c.Buttons, "buttons", "what they are of")
			f.fills("buttons", "check.buttons")
			f.text(&c.CutOff, "cut-off", "how a cut-off that was dyed first came out")
			f.fills("cut-off", "check.cut_off")
			f.text(&c.Verdict, "verdict", "accept or reject")
			f.fills("verdict", "check.verdict")
			f.offers("verdict", fixed("accept", "reject"))
			f.text(&c.By, "by", "who looked (you)")
			f.fills("by", "check.by")
			f.text(&c.Note, "note", "anything else to know")
			f.fills("note", "check.note")
			f.when(&c.HappenedAt, "at", "when (now)")
			f.fills("at", "check.happened_at")
			return func(ctx context.Context, args []string) error {
				q.ParcelCode = args[0]
				return answer(ctx, s, s.orders().CheckArrival, q, (*paper.Sheet).ArrivalChecked)
			}
		},
	})
}

// sizeFlag reads "62x48cm" or "62x48": a length and a width in centimetres.
func sizeFlag(f *form, into **dyelotv1.ClothSize, name, usage string) {
	f.value(name, "LxWcm", usage, func(text string) error {
		length, width, ok := strings.Cut(strings.ReplaceAll(strings.TrimSuffix(strings.TrimSpace(text), "cm"), "×", "x"), "x")
		if length, width = strings.TrimSpace(length), strings.TrimSpace(width); !ok || length == "" || width == "" {
			return fault.BadField("", "%.30q is no size: write it as 62x48cm", text)
		}
		*into = &dyelotv1.ClothSize{LengthCm: length, WidthCm: width}
		return nil
	})
	f.fills(name, "check."+strings.ReplaceAll(name, "-", "_"))
}

func (s *session) arrivalShow() *cobra.Command {
	return s.command(verb{
		use:     "show PARCEL",
		short:   "Show what was seen of a delivery of blanks",
		example: "dyelot arrival show P5",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("PARCEL", "parcel_code")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.orders().GetArrival, &dyelotv1.GetArrivalRequest{ParcelCode: args[0]}, (*paper.Sheet).Arrival)
			}
		},
	})
}

func (s *session) stockSampled() *cobra.Command {
	return s.command(verb{
		use:   "sampled PARCEL",
		short: "Record that a swatch was dyed with a blend",
		long: `Record that a swatch was dyed with a blend. A matched set takes one harvest of each
dyestuff, or a blend that was made and sampled first.`,
		example: "dyelot stock sampled P9 --reading C4\ndyelot stock sampled P9 --note \"swatch book p. 31\" --on 2026-05-02 --by dyer-1",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.SampleParcelRequest{}
			f.text(&q.ReadingCode, "reading", "the reading of the swatch, such as C4")
			f.text(&q.LotCode, "lot", "the lot that was dyed with it")
			f.offers("lot", listLots)
			f.text(&q.Note, "note", "where the swatch is: the page of the swatch book")
			f.day(&q.SampledOn, "on", "the day (today)")
			f.fills("on", "sampled_on")
			f.text(&q.By, "by", "who dyed it (you)")
			return func(ctx context.Context, args []string) error {
				q.ParcelCode = args[0]
				return answer(ctx, s, s.orders().SampleParcel, q, (*paper.Sheet).Sampled)
			}
		},
	})
}
