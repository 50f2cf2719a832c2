package client

import (
	"fmt"
	"strings"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/instrument"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// fileRead is an instrument's file, as far as it was asked for.
type fileRead struct {
	file       *dyelotv1.InstrumentFile
	instrument string
	samples    []instrument.Sample
	places     []string // of each sample its name, numbered where it comes again
	// Light and eye that a person named; empty: the file's or the standard's.
	illuminant string
	observer   int32
}

// number makes each sample's name its own: the second of a name is "16JD (2)".
func (r *fileRead) number() {
	times := map[string]int{}
	for _, sample := range r.samples {
		name := strings.TrimSpace(sample.Name)
		if times[name]++; times[name] > 1 {
			name = fmt.Sprintf("%s (%d)", name, times[name])
		}
		r.places = append(r.places, name)
	}
}

// spot is one sample as the contract has it.
func (r *fileRead) spot(i int) *dyelotv1.Spot {
	sample := r.samples[i]
	if sample.Bands != nil {
		return &dyelotv1.Spot{Place: r.places[i], Spectrum: bandsOf(sample)}
	}
	return &dyelotv1.Spot{Place: r.places[i], Lab: &dyelotv1.LabValues{L: sample.Lab.L, A: sample.Lab.A, B: sample.Lab.B}}
}

// view is the one light and eye of the L*a*b* among some samples; false where
// they are all spectra, which have a colour in any light.
func (r *fileRead) view(samples []int) (v colour.View, ok bool, err error) {
	for _, i := range samples {
		lab := r.samples[i].Lab
		switch {
		case lab == nil:
			continue
		case lab.View == nil:
			return v, false, fault.BadField("FILE", "line %d: %q is L*a*b* without its light and eye: say --illuminant and --observer", r.samples[i].Line, r.samples[i].Name)
		case ok && *lab.View != v:
			return v, false, fault.BadField("FILE", "line %d: %q is for %s, and a spot before it for %s: they do not compare", r.samples[i].Line, r.samples[i].Name, *lab.View, v)
		}
		v, ok = *lab.View, true
	}
	return v, ok, nil
}

// single is a sample, or the mean of all, as a standard or a ground keeps it.
type single struct {
	spectrum *dyelotv1.Spectrum
	lab      *dyelotv1.Lab // where there is no spectrum
	file     *dyelotv1.InstrumentFile
}

// mean is the mean of the samples: their one spectrum, or their one colour.
func (r *fileRead) mean() (one single, err error) {
	var all []int
	var spots []colour.Spot
	v, labs, err := r.view(allOf(r.samples))
	if err != nil {
		return one, err
	}
	for i, sample := range r.samples {
		all = append(all, i)
		spot := colour.Spot{Place: r.places[i]}
		if sample.Bands != nil {
			c := colour.Curve{FirstNM: sample.Bands.FirstNM, StepNM: sample.Bands.StepNM, Reflectance: sample.Bands.Reflectance, Specular: colour.Specular(sample.Specular)}
			if spot, err = colour.NewSpot("FILE", r.places[i], c, v); err != nil {
				return one, err
			}
		} else {
			spot.Lab = sample.Lab.Lab
		}
		spots = append(spots, spot)
	}
	a, err := colour.Average(v, spots)
	if err != nil {
		return one, fault.BadField("FILE", "%s", said(err))
	}
	one.file = &dyelotv1.InstrumentFile{Name: r.file.GetName(), Sha256: r.file.GetSha256(), Sample: r.places[0]}
	if len(all) > 1 {
		one.file.Sample = fmt.Sprintf("mean of %d samples", len(all))
	}
	switch {
	case a.Curve != nil:
		one.spectrum = &dyelotv1.Spectrum{FirstNm: int32(a.Curve.FirstNM), StepNm: int32(a.Curve.StepNM), Reflectance: a.Curve.Reflectance, Specular: string(a.Curve.Specular)}
	case labs && len(spots) == countLabs(r.samples):
		one.lab = &dyelotv1.Lab{L: a.Lab.L, A: a.Lab.A, B: a.Lab.B, Illuminant: v.Illuminant.String(), Observer: int32(v.Observer.Degrees())}
	default:
		return one, fault.BadField("FILE", "its samples are not all spectra of the same wavelengths, and have no mean: say which one with --sample")
	}
	return one, nil
}

func allOf(samples []instrument.Sample) (all []int) {
	for i := range samples {
		all = append(all, i)
	}
	return all
}

func countLabs(samples []instrument.Sample) (n int) {
	for _, sample := range samples {
		if sample.Lab != nil {
			n++
		}
	}
	return n
}

// masterFrom fills in a standard from an instrument's file.
func (s *session) masterFrom(path string, w *fileWords, st *dyelotv1.ShadeStandard, view *dyelotv1.Lab) error {
	w.illuminant, w.observer = view.GetIlluminant(), view.GetObserver()
	read, err := s.readInstrument(path, w)
	if f, bad := fault.Of(err); bad && f.Field == "FILE" {
		return f.At("--from")
	}
	if err != nil {
		return err
	}
	one, err := read.mean()
	if f, bad := fault.Of(err); bad {
		return f.At("--from")
	}
	if one.spectrum == nil {
		if st.Colour != nil {
			return fault.BadField("--lab", "the file has a colour of its own: give one of the two")
		}
		st.Colour, st.Note = one.lab, strings.TrimSpace(st.Note+fmt.Sprintf(" (from %s, SHA-256 %s)", one.file.GetName(), one.file.GetSha256()))
		return nil
	}
	if st.Spectrum, st.File = one.spectrum, one.file; st.Instrument == "" {
		st.Instrument = read.instrument
	}
	if st.Colour == nil && (view.GetIlluminant() != "" || view.GetObserver() != 0) {
		st.Colour = view // its light and eye alone
	}
	return nil
}
