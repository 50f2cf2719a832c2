package client

import (
	"context"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/timestamppb"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

var runCode = pattern(`^[Rr][0-9]+$`)

func (s *session) readingImport() *cobra.Command {
	return s.command(verb{
		use:   "import TARGET FILE",
		short: "Record what an instrument measured, from its file",
		long: `Record what an instrument measured, from the file that it wrote: CGATS text, CxF3 or plain
CSV, with spectra or L*a*b*. Several spots of one cloth become one reading, their mean;
how far they lie apart is shown, and a spot that stands out is pointed out.

TARGET is a lot, a tag or a run. Of a lot or a tag, all samples are spots of that cloth,
unless they name its garments. Of a run, such as R1, each
sample is named by its garment's tag or its lot: "16JD", "16JD 2" and "16JD-2" are spots
of garment 16JD, "L1/3" is one of lot L1's witness cloth. A name that is none of the
run's is refused, with its line. Try it with --dry-run first.

--leave-out says which spot does not count, and why; it stays to be seen. A file of
L*a*b* must say its light and observer, or you do.`,
		example: `dyelot reading import R1 tuesday.txt --rested --by bench-1 --dry-run
dyelot reading import L1 strip.cxf --rested --leave-out "L1 3=rust stain"
dyelot reading import 16JD cuff.csv --wet --specular excluded`,
		build: func(f *form) func(context.Context, []string) error {
			i := &importing{}
			file := fileFlags(f)
			viewFlags(f, file)
			f.fills("TARGET", "measurements", "lot", "garment", "run", "code")
			f.flag(&i.rested, "rested", "the cloth rested a day in the dark first")
			f.flag(&i.wet, "wet", "the cloth was wet")
			f.value("leave-out", "spot=reason", `which spot does not count, and why, such as "16JD 3=rust stain"; repeated`, i.leave)
			f.text(&i.by, "by", "who read it (whose token this is)")
			f.text(&i.with, "instrument", "which instrument (as the file says)")
			f.when(&i.at, "at", "when (now)")
			f.text(&i.note, "note", "anything else to know, of every reading")
			f.flag(&i.dryRun, "dry-run", "show which spot is of which cloth, record nothing")
			return func(ctx context.Context, args []string) error {
				if i.wet && i.rested {
					return fault.BadField("--rested", "wet cloth has not rested")
				}
				var err error
				if i.read, err = s.readInstrument(args[1], file); err != nil {
					return err
				}
				q, err := i.request(ctx, s, args[0])
				if err != nil {
					return err
				}
				if i.dryRun {
					return s.show(ctx, q, func(p *paper.Sheet) { p.WouldMeasure(q) })
				}
				resp, err := s.measures().RecordMeasurements(ctx, q, grpc.MaxCallRecvMsgSize(mostBytes))
				if err != nil {
					return err
				}
				return s.show(ctx, resp, func(p *paper.Sheet) { p.Measured(resp) })
			}
		},
	})
}

// importing is an import as it was asked for.
type importing struct {
	read        *fileRead
	rested, wet bool
	by, with    string
	note        string
	at          *timestamppb.Timestamp
	out         [][2]string // sample, reason
	dryRun      bool
}

// leave reads "16JD 3=rust stain".
func (i *importing) leave(text string) error {
	sample, reason, ok := strings.Cut(text, "=")
	sample, reason = strings.TrimSpace(sample), strings.TrimSpace(reason)
	if !ok || sample == "" || reason == "" {
		return fault.BadField("", "%.60q is not a spot and a reason, such as \"16JD 3=rust stain\"", text)
	}
	i.out = append(i.out, [2]string{sample, reason})
	return nil
}

func (i *importing) request(ctx context.Context, s *session, target string) (*dyelotv1.RecordMeasurementsRequest, error) {
	cloths, err := i.cloths(ctx, s, target)
	if err != nil {
		return nil, err
	}
	reasons, err := i.leftOut()
	if err != nil {
		return nil, err
	}
	q := &dyelotv1.RecordMeasurementsRequest{}
	for _, c := range cloths {
		m, err := i.measurement(c, reasons)
		if err != nil {
			return nil, err
		}
		q.Measurements = append(q.Measurements, m)
	}
	return q, nil
}

func (i *importing) measurement(c lot.Cloth, reasons map[int]string) (*dyelotv1.Measurement, error) {
	m := &dyelotv1.Measurement{Illuminant: i.read.illuminant, Observer: i.read.observer, Condition: "dry", Rested: i.rested, By: i.by, Instrument: i.with,
		File: i.read.file, HappenedAt: i.at, Note: i.note}
	if i.wet {
		m.Condition = "wet"
	}
	if m.Instrument == "" {
		m.Instrument = i.read.instrument
	}
	v, ok, err := i.read.view(c.Samples)
	if err != nil {
		return nil, err
	}
	if ok {
		m.Illuminant, m.Observer = v.Illuminant.String(), int32(v.Observer.Degrees())
	}
	if lotCode().MatchString(c.Code) {
		m.LotCode = c.Code
	} else {
		m.Tag = c.Code
	}
	for _, n := range c.Samples {
		spot := i.read.spot(n)
		spot.LeftOut = reasons[n]
		m.Spots = append(m.Spots, spot)
	}
	return m, nil
}

// leftOut finds the samples that do not count, by their names.
func (i *importing) leftOut() (map[int]string, error) {
	reasons := map[int]string{}
	for _, o := range i.out {
		var found []int
		for n, place := range i.read.places {
			if strings.EqualFold(place, o[0]) {
				found = append(found, n)
			}
		}
		if len(found) != 1 {
			return nil, fault.BadField("--leave-out", "the file holds no sample called %q; it holds %s", o[0], samplesInWords(i.read.samples))
		}
		reasons[found[0]] = o[1]
	}
	return reasons, nil
}

// cloths asks the books which tags and lots may be meant, and groups the samples.
func (i *importing) cloths(ctx context.Context, s *session, target string) ([]lot.Cloth, error) {
	var samples []lot.Sample
	for _, sample := range i.read.samples {
		samples = append(samples, lot.Sample{Name: sample.Name, Line: sample.Line})
	}
	switch {
	case runCode().MatchString(target):
		resp, err := s.runs().GetRun(ctx, &dyelotv1.GetRunRequest{Code: target})
		if err != nil {
			return nil, err
		}
		return lot.Cloths("FILE", samples, codesOf(resp.GetRun().GetLots()...))
	case lotCode().MatchString(target):
		resp, err := s.runs().GetLot(ctx, &dyelotv1.GetLotRequest{Code: target})
		if err != nil {
			return nil, err
		}
		return lot.OneCloth("FILE", strings.ToUpper(target), samples, append(codesOf(resp.GetLot()), strings.ToUpper(target)))
	}
	return lot.OneCloth("FILE", target, samples, []string{target})
}

// codesOf are the codes of lots and the tags of their garments.
func codesOf(lots ...*dyelotv1.Lot) (codes []string) {
	for _, l := range lots {
		if l.GetCode() != "" {
			codes = append(codes, l.GetCode())
		}
		for _, g := range l.GetGarments() {
			codes = append(codes, g.GetTag())
		}
	}
	return codes
}
