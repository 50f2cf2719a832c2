package client

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/instrument"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) measures() dyelotv1.MeasureServiceClient {
	return dyelotv1.NewMeasureServiceClient(s)
}

func (s *session) readingShow() *cobra.Command {
	return s.command(verb{
		use:   "show READING",
		short: "Show a reading: its spots, its spread, and all that it tells",
		long: `Show a reading: its spots and how far they lie apart, its difference to the standard by
each formula, and where it was read as spectra its depth (K/S) and its metamerism.`,
		example: "dyelot reading show C4",
		build: func(f *form) func(context.Context, []string) error {
			f.fills("READING", "code", "reading")
			return func(ctx context.Context, args []string) error {
				return answer(ctx, s, s.measures().GetMeasurement, &dyelotv1.GetMeasurementRequest{Code: args[0]}, (*paper.Sheet).Measurement)
			}
		},
	})
}

func (s *session) readingGround() *cobra.Command {
	return s.command(verb{
		use:   "ground ITEM FILE",
		short: "Keep how undyed cloth reads: what K/S is counted from",
		long: `Keep how the undyed, scoured cloth of a blank or of witness cloth reads. From now the K/S
of its dyed pieces is counted from it, where they are read at the same wavelengths. Of
a file with several samples the mean reflectance is taken, unless --sample says which.`,
		example: "dyelot reading ground silk-strip undyed-silk.txt --by bench-1\ndyelot reading ground tunic-silk-m whites.cxf --sample \"tunic silk\"",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.RecordGroundRequest{Ground: &dyelotv1.Ground{}}
			g := q.Ground
			file := fileFlags(f)
			f.fills("ITEM", "ground.item_code", "item_code", "item")
			f.fills("FILE", "ground.spectrum", "ground.file")
			f.text(&file.sample, "sample", "which sample of the file (the mean of all)")
			f.text(&g.By, "by", "who read it (whose token this is)")
			f.fills("by", "ground.by")
			f.text(&g.Instrument, "instrument", "which instrument (as the file says)")
			f.fills("instrument", "ground.instrument")
			f.when(&g.HappenedAt, "at", "when (now)")
			f.fills("at", "ground.happened_at")
			return func(ctx context.Context, args []string) error {
				read, err := s.readInstrument(args[1], file)
				if err != nil {
					return err
				}
				one, err := read.mean()
				if err != nil {
					return err
				}
				if one.spectrum == nil {
					return fault.BadField("FILE", "%s holds no reflectances, and K/S cannot be counted from L*a*b*", read.file.GetName())
				}
				g.ItemCode, g.Spectrum, g.File = args[0], one.spectrum, one.file
				if g.Instrument == "" {
					g.Instrument = read.instrument
				}
				return answer(ctx, s, s.measures().RecordGround, q, (*paper.Sheet).GroundKept)
			}
		},
	})
}

func (s *session) readingEye() *cobra.Command {
	return s.command(verb{
		use:   "eye LOT-OR-TAG",
		short: "Record what eyes said, by the grey scale, under a named light",
		long: `Record what eyes said of a lot's witness cloth, or of one garment by its tag: by the grey
scale for change, under a light that you name. Two people look. It is held against the
run's standard, or against another lot with --against; it stands beside the readings,
and where eye and instrument disagree the lot's page says so.`,
		example: `dyelot reading eye L1 --grade 4-5 --light "north light" --by dyer-1 --and-by owner --rested
dyelot reading eye L2 --against L1 --grade 4 --direction weaker,yellower --light "D65 lamp" --by dyer-1 --and-by owner`,
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.JudgeByEyeRequest{Judgement: &dyelotv1.EyeJudgement{}}
			e := q.Judgement
			f.fills("LOT-OR-TAG", "judgement.lot_code", "judgement.tag", "judgement.lot", "judgement.garment")
			f.text(&e.Grade, "grade", "of the grey scale for change, such as 4-5")
			f.fills("grade", "judgement.grade")
			f.texts(&e.Directions, "direction", "words", "how it differs: bluer, greener, redder, yellower, weaker, stronger, duller, brighter")
			f.fills("direction", "judgement.directions")
			f.offers("direction", fixed("bluer", "greener", "redder", "yellower", "weaker", "stronger", "duller", "brighter"))
			f.text(&e.Light, "light", "under which light, in words")
			f.fills("light", "judgement.light")
			f.text(&e.AgainstLotCode, "against", "another lot (the run's standard)")
			f.fills("against", "judgement.against_lot_code")
			f.offers("against", listLots)
			f.text(&e.By, "by", "who looked (whose token this is)")
			f.text(&e.SecondBy, "and-by", "who looked too")
			f.fills("and-by", "judgement.second_by")
			f.flag(&e.Rested, "rested", "the cloth was dry and had rested a day in the dark")
			f.when(&e.HappenedAt, "at", "when (now)")
			f.fills("at", "judgement.happened_at")
			f.text(&e.Note, "note", "anything else to know")
			return func(ctx context.Context, args []string) error {
				if lotCode().MatchString(args[0]) {
					e.LotCode = args[0]
				} else {
					e.Tag = args[0]
				}
				return answer(ctx, s, s.measures().JudgeByEye, q, (*paper.Sheet).EyeJudged)
			}
		},
	})
}

// fileWords is what a person says of an instrument's file that it may not say
// itself.
type fileWords struct {
	sample     string // only this one
	specular   string
	illuminant string
	observer   int32
}

// fileFlags are the flags of every command that reads such a file.
func fileFlags(f *form) *fileWords {
	w := &fileWords{}
	f.text(&w.specular, "specular", "gloss included or excluded, where the file does not say, or holds both")
	f.offers("specular", fixed("included", "excluded"))
	return w
}

// viewFlags are the light and the eye of L*a*b*.
func viewFlags(f *form, w *fileWords) {
	f.text(&w.illuminant, "illuminant", "A, D50, D65, F2 or F11 (the standard's)")
	f.offers("illuminant", fixed("A", "D50", "D65", "F2", "F11"))
	f.number(&w.observer, "observer", "2 or 10 degrees (the standard's)")
	f.offers("observer", fixed("2", "10"))
}

// hint is the view for the reader, where both parts of it were said.
func (w fileWords) hint() (h instrument.Hint, err error) {
	if w.illuminant == "" && w.observer == 0 {
		return h, nil
	}
	var v colour.View
	if w.illuminant != "" {
		if v.Illuminant, err = colour.NewIlluminant("--illuminant", w.illuminant); err != nil {
			return h, err
		}
	}
	if w.observer != 0 {
		if v.Observer, err = colour.NewObserver("--observer", int(w.observer)); err != nil {
			return h, err
		}
	}
	h.View = &v
	return h, nil
}

// readInstrument reads what an instrument wrote. Whatever is off is told of FILE, with
// its line.
func (s *session) readInstrument(path string, w *fileWords) (r *fileRead, err error) {
	hint, err := w.hint()
	if err != nil {
		return nil, err
	}
	file, err := s.openInstrument("FILE", path, hint)
	if err != nil {
		return nil, err
	}
	r = &fileRead{file: file.of(""), instrument: file.Instrument}
	if w.illuminant != "" || w.observer != 0 {
		r.illuminant, r.observer = hint.View.Illuminant.String(), int32(hint.View.Observer.Degrees())
	}
	if r.samples, err = w.chosen(file.Samples); err != nil {
		return nil, err
	}
	r.number()
	return r, nil
}

// chosen are the samples that were asked for, each with its gloss.
func (w fileWords) chosen(all []instrument.Sample) (kept []instrument.Sample, err error) {
	if _, err := colour.NewSpecular("--specular", w.specular); err != nil {
		return nil, err
	}
	said := map[string]bool{}
	for _, sample := range all {
		if w.sample != "" && !strings.EqualFold(strings.TrimSpace(w.sample), strings.TrimSpace(sample.Name)) {
			continue
		}
		if w.specular != "" && sample.Specular != "" && sample.Specular != w.specular {
			continue
		}
		if w.specular != "" {
			sample.Specular = w.specular
		}
		said[sample.Specular] = true
		kept = append(kept, sample)
	}
	switch {
	case len(kept) == 0 && w.sample != "":
		return nil, fault.BadField("--sample", "the file holds no sample called %q; it holds %s", w.sample, samplesInWords(all))
	case len(kept) == 0 && w.specular != "":
		return nil, fault.BadField("--specular", "the file holds nothing that was read with the gloss %s", w.specular)
	case len(kept) == 0:
		return nil, fault.BadField("FILE", "holds no sample")
	case said["included"] && said["excluded"]:
		return nil, fault.BadField("--specular", "the file holds samples with the gloss included and excluded, which do not compare: say which")
	}
	return kept, nil
}

func samplesInWords(all []instrument.Sample) string {
	var names []string
	for i, sample := range all {
		if i == 8 {
			names = append(names, fmt.Sprintf("and %d more", len(all)-i))
			break
		}
		names = append(names, fmt.Sprintf("%q", sample.Name))
	}
	return strings.Join(names, ", ")
}
