package client

import (
	"context"
	"strconv"
	"strings"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/instrument"
	"dyelot/inventory/swatch"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// baths is a flag such as --bath "mordant alum=15%".
func (f *form) baths(into *[]*dyelotv1.SwatchBath, name, usage string) {
	f.value(name, "bath", usage, func(text string) error {
		kind, substance, percent, metal, err := swatch.BathText(text)
		if err != nil {
			return err
		}
		if percent != "" {
			if percent, err = percentOf(percent); err != nil {
				return err
			}
		}
		*into = append(*into, &dyelotv1.SwatchBath{Kind: kind, Substance: substance, PercentWof: percent, Metal: metal})
		return nil
	})
	f.fills(name, "swatch.baths")
}

// cardColourFlags are the colour of a swatch: typed, or from an instrument's file.
func cardColourFlags(f *form, w *dyelotv1.Swatch) {
	colourFlags(f, &w.Colour, "swatch.colour")
	var file, sample, ground string
	f.text(&file, "file", "the file that the instrument wrote; - is standard input")
	f.fills("file", "swatch.spectrum", "swatch.file", "file")
	f.text(&sample, "sample", "which sample of the file, where it holds several")
	f.text(&ground, "ground", "a file with the undyed cloth alone, at the same wavelengths")
	f.fills("ground", "swatch.ground")
	f.text(&w.Instrument, "instrument", "which instrument (as the file says)")
	f.day(&w.ReadOn, "read", "the day it was read")
	f.fills("read", "swatch.read_on")
	f.later = append(f.later, func(context.Context) error {
		switch {
		case file == "" && sample != "":
			return fault.BadField("--sample", "is of a file: say which with --file")
		case file == "" && ground != "":
			return fault.BadField("--ground", "undyed cloth is compared wavelength by wavelength: give the swatch's own file too, with --file")
		case file != "" && f.changed("lab"):
			return fault.BadField("--lab", "and --file: say one of them")
		case file == "":
			return nil
		}
		view, err := f.viewSaid()
		if err != nil {
			return err
		}
		if err := f.session.swatchFile(w, file, sample, view); err != nil {
			return err
		}
		if ground == "" {
			return nil
		}
		undyed, _, err := f.session.sampleOf("--ground", ground, "", nil)
		if err == nil && undyed.Bands == nil {
			err = fault.BadField("--ground", "%s holds a colour and no spectrum", ground)
		}
		if err == nil {
			w.Ground = bandsOf(undyed)
		}
		return err
	})
}

// viewSaid is the light and the eye that were asked for; nil where neither was.
func (f *form) viewSaid() (*colour.View, error) {
	if !f.changed("illuminant") && !f.changed("observer") {
		return nil, nil
	}
	var v colour.View
	var err error
	if f.changed("illuminant") {
		if v.Illuminant, err = colour.NewIlluminant("--illuminant", f.command.Flag("illuminant").Value.String()); err != nil {
			return nil, err
		}
	}
	if f.changed("observer") {
		degrees, bad := strconv.Atoi(f.command.Flag("observer").Value.String())
		if bad != nil {
			return nil, bad // the flag was read as a number
		}
		v.Observer, err = colour.NewObserver("--observer", degrees)
	}
	return &v, err
}

// swatchFile puts a file's sample on the page, in the light and by the eye that
// were asked for. A file that holds L*a*b* alone has its own.
func (s *session) swatchFile(w *dyelotv1.Swatch, path, name string, view *colour.View) error {
	sample, file, err := s.sampleOf("--file", path, name, view)
	if err != nil {
		return err
	}
	w.File = file.of(sample.Name)
	if w.Instrument == "" {
		w.Instrument = file.Instrument
	}
	if sample.Bands != nil {
		w.Spectrum = bandsOf(sample)
		if view != nil {
			w.Colour = &dyelotv1.Lab{Illuminant: view.Illuminant.String(), Observer: int32(view.Observer.Degrees())}
		}
		return nil
	}
	if sample.Lab.View == nil {
		return fault.BadField("--file", "%s does not say the light and the eye of its L*a*b*: say them with --illuminant and --observer", path)
	}
	v := *sample.Lab.View
	w.Colour = &dyelotv1.Lab{L: sample.Lab.L, A: sample.Lab.A, B: sample.Lab.B, Illuminant: v.Illuminant.String(), Observer: int32(v.Observer.Degrees())}
	return nil
}

// sampleOf reads one sample of an instrument's file.
func (s *session) sampleOf(flag, path, name string, view *colour.View) (found instrument.Sample, file *instrumentFile, err error) {
	if file, err = s.openInstrument(flag, path, instrument.Hint{View: view}); err != nil {
		return found, nil, err
	}
	var names []string
	hits := 0
	for _, one := range file.Samples {
		names = append(names, one.Name)
		if name == "" && len(file.Samples) == 1 || name != "" && strings.EqualFold(one.Name, name) {
			found = one
			hits++
		}
	}
	const most = 12
	if len(names) > most {
		names = append(names[:most], "…")
	}
	switch {
	case name == "" && hits == 0:
		return found, nil, fault.BadField("--sample", "%s holds %d samples, say which: %s", path, len(file.Samples), strings.Join(names, ", "))
	case hits == 0:
		return found, nil, fault.BadField("--sample", "%s holds no %.40q, but: %s", path, name, strings.Join(names, ", "))
	case hits > 1:
		return found, nil, fault.BadField("--sample", "%s holds %q %d times: one name must be one cloth", path, name, hits)
	}
	return found, file, nil
}
