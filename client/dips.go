package client

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) dipsCommand() *cobra.Command {
	return s.noun("dips", "Test dips: how strong a harvest is against another", `Test dips: how strong a harvest is against another. Each is dyed on the same cloth at two
or more pale doses; strength is the ratio of the doses that dye equally deep.`, s.dipsRecord(), s.dipsShow(), s.dipsList())
}

func (s *session) dipsRecord() *cobra.Command {
	return s.command(verb{
		use:   "record PARCEL",
		short: "Record test dips of a harvest, and say its strength",
		long: `Record test dips of a harvest and of its reference, and say its strength: 100 times the
dose of the reference over that of the harvest where both dye equally deep, at a pale
depth. Dip two doses or more of each, such as 1, 2 and 4 % WOF, and one of them twice:
then there is an interval.

--file is what the instrument wrote: CGATS, CxF3 or a CSV sheet of spectra. Its samples
are named by parcel and dose, "P6 2%" and "P2 4%" ("reference 4%" where the reference is
no parcel), and the undyed cloth "undyed"; words may follow. Or name each one:
--dip 2%=FILE:SAMPLE, --reference-dip 2%=FILE:SAMPLE, --undyed FILE:SAMPLE.

Nothing is set unless you say --set: then the strength becomes the parcel's own, from the
day of the dips, and doses planned from then on go by it.`,
		example: `dyelot dips record P6 --against P2 --file dips.csv --fibre wool --mordant "alum 12 %" --by bench-1
dyelot dips record P6 --against "last year's weld" --dip 1%=a.csv --dip 2%=b.csv --reference-dip 1%=c.csv:1 --reference-dip 2%=c.csv:2 --undyed-of wool-strip --fibre wool --set`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.RecordTestDipsRequest{}
			d := &dipFiles{s: s}
			var against, file, undyed string
			f.text(&against, "against", "the reference: a parcel, or words for what is in no book")
			f.fills("against", "reference_parcel_code", "reference")
			f.offers("against", listParcels)
			f.text(&file, "file", "the instrument's file, its samples named by parcel and dose")
			f.fills("file", "dips", "reference_dips")
			f.value("dip", "dose=file:sample", "one dip of the parcel; repeated", d.into(&d.sample))
			f.value("reference-dip", "dose=file:sample", "one dip of the reference; repeated", d.into(&d.reference))
			f.text(&undyed, "undyed", "undyed cloth treated as the dips were: file:sample")
			f.fills("undyed", "ground")
			f.text(&q.GroundItemCode, "undyed-of", "or the item whose undyed cloth the books hold")
			f.fills("undyed-of", "ground_item_code")
			f.offers("undyed-of", listItems)
			f.text(&q.Fibre, "fibre", "what was dyed, such as wool")
			f.text(&q.Mordant, "mordant", "what the cloth had before, in words")
			f.flag(&q.Set, "set", "make it the parcel's strength, which sets doses")
			f.text(&q.By, "by", "who dipped (whose token this is)")
			f.when(&q.HappenedAt, "at", "when (now)")
			f.text(&q.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				q.ParcelCode = args[0]
				if q.Reference = strings.TrimSpace(against); parcelCode().MatchString(q.Reference) {
					q.ReferenceParcelCode, q.Reference = q.Reference, ""
				}
				if err := d.gather(q, file, undyed); err != nil {
					return err
				}
				for _, left := range d.left {
					if _, err := s.Err.Write([]byte(left + "\n")); err != nil {
						return err
					}
				}
				return answer(ctx, s, s.depths().RecordTestDips, q, (*paper.Sheet).DipsRecorded)
			}
		},
	})
}

func (s *session) dipsShow() *cobra.Command {
	return s.command(verb{
		use:     "show DIPS",
		short:   "Show test dips and the strength they say",
		example: "dyelot dips show D1",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("DIPS", "code", "test dip series")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.depths().GetTestDips, &dyelotv1.GetTestDipsRequest{Code: args[0]}, (*paper.Sheet).Dips)
			}
		},
	})
}

func (s *session) dipsList() *cobra.Command {
	return s.command(verb{
		use:     "list [PARCEL]",
		short:   "List test dips, the newest first",
		example: "dyelot dips list P6",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, args []string) error {
				q := &dyelotv1.ListTestDipsRequest{}
				if len(args) > 0 {
					q.ParcelCode = args[0]
				}
				return answer(ctx, s, s.depths().ListTestDips, q, (*paper.Sheet).DipsList)
			}
		},
	})
}

func listTestDips(ctx context.Context, s *session) ([]string, error) {
	return offered(ctx, s.depths().ListTestDips, &dyelotv1.ListTestDipsRequest{}, (*dyelotv1.ListTestDipsResponse).GetDips,
		func(d *dyelotv1.TestDips) (string, string) {
			return d.GetCode(), d.GetParcelCode() + ", " + d.GetItemName()
		})
}

func (s *session) recipeDose() *cobra.Command {
	return s.command(verb{
		use:   "dose [STANDARD]",
		short: "Propose the % WOF that reaches a depth, from the swatch book",
		long: `Propose the % WOF that reaches the depth of a standard, of a lot or of a K/S, from the
swatches of that plant on that fibre after the same baths. Three curves are laid through
them, and the one that best foretells a swatch it has not seen is taken; nothing is
guessed beyond the swatches. What is in brackets is where a new swatch of that depth
would have come from, 19 times of 20. --why shows the swatches and the curves.

Nothing is applied: a recipe is written with dyelot recipe add.`,
		example: `dyelot recipe dose harbour-gold --plant weld --fibre wool --mordant alum
dyelot recipe dose harbour-gold --parcel P6 --fibre wool --mordant alum --mordant copperas --why
dyelot recipe dose --ks 4.5 --plant weld --fibre silk`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.ProposeDoseRequest{}
			var why bool
			f.fills("STANDARD", "standard_code")
			f.text(&q.LotCode, "lot", "or the depth of this lot, as it was last read dry")
			f.fills("lot", "lot_code")
			f.offers("lot", listLots)
			f.real(&q.TargetKs, "ks", "or this K/S, over undyed cloth")
			f.fills("ks", "target_ks")
			f.real(&q.WavelengthNm, "nm", "with --ks: at which wavelength (where the deepest swatch takes up most)")
			f.fills("nm", "wavelength_nm")
			f.text(&q.Plant, "plant", "the dyestuff by its plant")
			f.text(&q.ItemCode, "item", "or by its item")
			f.fills("item", "item_code")
			f.offers("item", listItems)
			f.text(&q.Part, "part", "only swatches of this part of it")
			f.text(&q.Fibre, "fibre", "the fibre, such as wool")
			f.texts(&q.Mordants, "mordant", "substance", "what the swatches had, in order: substance or metal; repeated; none for nothing")
			f.fills("mordant", "mordants")
			f.text(&q.ParcelCode, "parcel", "the dose of this harvest, by its strength")
			f.fills("parcel", "parcel_code")
			f.offers("parcel", listParcels)
			f.text(&q.GroundItemCode, "undyed-of", "item whose undyed cloth is taken off (that of the newest swatch)")
			f.fills("undyed-of", "ground_item_code", "ground")
			f.flag(&why, "why", "show the swatches, the curves and what was passed over")
			return func(ctx context.Context, args []string) error {
				if len(args) > 0 {
					q.StandardCode = args[0]
				}
				if q.StandardCode == "" && q.LotCode == "" && !f.changed("ks") {
					return fault.New(fault.Invalid, "ARGUMENT_MISSING", "which depth? Name a STANDARD, --lot or --ks")
				}
				if f.changed("ks") && q.TargetKs <= 0 {
					return fault.BadField("--ks", "%v is no depth: K/S above 0 is needed", q.TargetKs)
				}
				return answer(ctx, s, s.depths().ProposeDose, q, func(p *paper.Sheet, r *dyelotv1.ProposeDoseResponse) { p.DoseProposed(r, why) })
			}
		},
	})
}
