package client

import (
	"fmt"
	"os"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/instrument"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

var (
	// dipName is "P6 2%", "reference 2.5 % again"; undyedName is "undyed 2".
	dipName    = pattern(`^(?i)(p[1-9][0-9]*|reference)[ _-]+([0-9]+(?:[.,][0-9]+)?)\s*%(?:\s.*)?$`)
	undyedName = pattern(`^(?i)undyed(?:\s.*)?$`)
)

// namedDip is one dip by --dip: its dose, and the file and sample of it.
type namedDip struct{ dose, from string }

// dipFiles is where the dips of one command are read from. Each file is read
// once.
type dipFiles struct {
	s                 *session
	sample, reference []namedDip
	read              map[string]*instrumentFile
	left              []string // what was left aside, in sentences
}

// into is what --dip does with "2%=FILE:SAMPLE".
func (d *dipFiles) into(list *[]namedDip) func(text string) error {
	return func(text string) error {
		dose, from, ok := strings.Cut(text, "=")
		if !ok || strings.TrimSpace(from) == "" {
			return fault.BadField("", "%.60q is not a dose and a file, such as 2%%=dips.csv:SAMPLE", text)
		}
		percent, err := percentOf(dose)
		if err != nil {
			return err
		}
		*list = append(*list, namedDip{percent, strings.TrimSpace(from)})
		return nil
	}
}

// gather fills the request with everything that was named.
func (d *dipFiles) gather(q *dyelotv1.RecordTestDipsRequest, file, undyed string) error {
	for flag, side := range map[string]struct {
		named []namedDip
		into  *[]*dyelotv1.TestDip
	}{"--dip": {d.sample, &q.Dips}, "--reference-dip": {d.reference, &q.ReferenceDips}} {
		for _, n := range side.named {
			s, from, err := d.one(flag, n.from)
			if err != nil {
				return err
			}
			*side.into = append(*side.into, &dyelotv1.TestDip{PercentWof: n.dose, Spectrum: bandsOf(s), File: from})
		}
	}
	if file != "" {
		if err := d.byName(q, file); err != nil {
			return err
		}
	}
	if undyed != "" {
		s, _, err := d.one("--undyed", undyed)
		if err != nil {
			return err
		}
		q.Ground = bandsOf(s)
	}
	if q.GroundItemCode != "" && undyed == "" {
		q.Ground = nil // the one in the file was not asked for
	}
	if len(q.Dips) == 0 {
		return fault.New(fault.Invalid, "FLAG_MISSING", "no dips are named: --file, whose samples are named like %q, or --dip", q.GetParcelCode()+" 2%")
	}
	return nil
}

// byName takes every sample of a file by its own name.
func (d *dipFiles) byName(q *dyelotv1.RecordTestDipsRequest, file string) error {
	f, err := d.open("--file", file)
	if err != nil {
		return err
	}
	var undyed []instrument.Sample
	var left []string
	for _, s := range f.Samples {
		name := strings.TrimSpace(s.Name)
		m := dipName().FindStringSubmatch(name)
		var into *[]*dyelotv1.TestDip
		switch {
		case undyedName().MatchString(name):
			undyed = append(undyed, s)
			continue
		case m == nil:
		case strings.EqualFold(m[1], q.GetParcelCode()):
			into = &q.Dips
		case strings.EqualFold(m[1], "reference") || strings.EqualFold(m[1], q.GetReferenceParcelCode()):
			into = &q.ReferenceDips
		}
		if into == nil {
			left = append(left, fmt.Sprintf("%q", name))
			continue
		}
		if s.Bands == nil {
			return fault.BadField("--file", "line %d: %q is a colour alone: strength is read from spectra", s.Line, name)
		}
		*into = append(*into, &dyelotv1.TestDip{PercentWof: strings.Replace(m[2], ",", ".", 1), Spectrum: bandsOf(s), File: f.of(s.Name)})
	}
	if q.Ground == nil && len(undyed) > 0 {
		if q.Ground, err = meanOf(undyed); err != nil {
			return err
		}
	}
	if len(left) > 0 {
		d.left = append(d.left, fmt.Sprintf("left aside in %s: %s (dips are named like %q, undyed cloth \"undyed\")", f.name, strings.Join(left, ", "), q.GetParcelCode()+" 2%"))
	}
	return nil
}

// one finds FILE:SAMPLE, or the only sample of FILE.
func (d *dipFiles) one(flag, text string) (instrument.Sample, *dyelotv1.InstrumentFile, error) {
	path, sample := text, ""
	if _, err := os.Stat(path); err != nil {
		path, sample, _ = strings.Cut(text, ":")
	}
	f, err := d.open(flag, path)
	if err != nil {
		return instrument.Sample{}, nil, err
	}
	var found []instrument.Sample
	var names []string
	for _, s := range f.Samples {
		names = append(names, fmt.Sprintf("%q", s.Name))
		if sample == "" || strings.EqualFold(strings.TrimSpace(s.Name), strings.TrimSpace(sample)) {
			found = append(found, s)
		}
	}
	switch {
	case len(found) == 0:
		return instrument.Sample{}, nil, fault.BadField(flag, "%s has no sample %q, only %s", f.name, sample, strings.Join(names, ", "))
	case len(found) > 1:
		return instrument.Sample{}, nil, fault.BadField(flag, "%s has several: write %s:SAMPLE, one of %s", f.name, path, strings.Join(names, ", "))
	case found[0].Bands == nil:
		return instrument.Sample{}, nil, fault.BadField(flag, "%q of %s is a colour alone: depth is read from a spectrum", found[0].Name, f.name)
	}
	return found[0], f.of(found[0].Name), nil
}

func (d *dipFiles) open(flag, path string) (*instrumentFile, error) {
	if f, read := d.read[path]; read {
		return f, nil
	}
	f, err := d.s.openInstrument(flag, path, instrument.Hint{})
	if err != nil {
		return nil, err
	}
	if d.read == nil {
		d.read = map[string]*instrumentFile{}
	}
	d.read[path] = f
	return f, nil
}

// meanOf is the mean of several looks at undyed cloth.
func meanOf(samples []instrument.Sample) (*dyelotv1.Spectrum, error) {
	var mean *dyelotv1.Spectrum
	for i, s := range samples {
		if s.Bands == nil {
			return nil, fault.BadField("--file", "line %d: %q is a colour alone: depth is counted from a spectrum of undyed cloth", s.Line, s.Name)
		}
		b := bandsOf(s)
		switch {
		case mean == nil:
			mean = &dyelotv1.Spectrum{FirstNm: b.FirstNm, StepNm: b.StepNm, Reflectance: append([]float64(nil), b.Reflectance...), Specular: b.Specular}
			continue
		case b.FirstNm != mean.FirstNm || b.StepNm != mean.StepNm || len(b.Reflectance) != len(mean.Reflectance):
			return nil, fault.BadField("--file", "line %d: %q is read at other wavelengths than the undyed cloth before it", s.Line, s.Name)
		}
		for j, r := range b.Reflectance {
			mean.Reflectance[j] += (r - mean.Reflectance[j]) / float64(i+1)
		}
	}
	return mean, nil
}
