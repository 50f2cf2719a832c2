package instrument

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

// found is what one of the three readers has found, before it is known what its
// figures mean.
type found struct {
	File
	drafts []draft
	said   said // by the header, for what does not say itself

	scale       Scale // said by a keyword or a heading
	scaleLine   int
	oddNorm     string // a SPECTRAL_NORM that is neither 1 nor 100
	oddNormLine int
	measures    string // MEAS_TYPE, where there is one
	comma       int    // the first line with a decimal comma, or 0
	point       int    // the first line with a decimal point, or 0
}

// draft is a sample in the file's own figures.
type draft struct {
	name     string
	line     int
	nm, r    []float64
	lab, xyz []float64 // three, or none
	said     said
}

func (f *found) note(format string, args ...any) {
	n := fmt.Sprintf(format, args...)
	if len(f.Notes) < MaxNotes && !slices.Contains(f.Notes, n) {
		f.Notes = append(f.Notes, n)
	}
}

// settle decides what the figures mean, once for the whole file, and checks
// each sample.
func (f *found) settle(hint Hint) (File, error) {
	if len(f.drafts) == 0 {
		return File{}, refuse(0, "holds no sample")
	}
	whole, err := f.white(hint.Scale)
	if err != nil {
		return File{}, err
	}
	if err := f.brightEnough(); err != nil {
		return File{}, err
	}
	called := map[string]int{}
	for i, d := range f.drafts {
		s := Sample{Name: d.name, Line: d.line, Specular: d.said.specular}
		if s.Name == "" {
			s.Name = "sample " + itoa(i+1)
			f.note("samples without a name are called by their order: sample 1, sample 2 …")
		}
		if called[s.Name]++; called[s.Name] == 2 {
			f.note("more than one sample is called %s", s.Name)
		}
		if d.nm != nil {
			s.Bands, err = f.bands(d, whole)
		} else {
			s.Lab, err = f.colour(d, hint.View)
		}
		if err != nil {
			return File{}, err
		}
		f.Samples = append(f.Samples, s)
	}
	f.gloss()
	return f.File, nil
}

// gloss is the specular component of the whole file, where all samples agree.
func (f *found) gloss() {
	f.Specular = f.Samples[0].Specular
	for _, s := range f.Samples {
		if s.Specular != f.Specular {
			f.Specular = ""
			f.note("samples differ in their specular component: each says its own")
			return
		}
	}
}

// sure is how high a reading must be before the file is in per cent for sure:
// half as much again as a perfect white. No cloth with a brightener throws back
// so much, and no cloth dyed all black throws back less than 1.5 % at every
// wavelength.
const sure = 1.5

// white is what a perfect white reads in this file: 1 or 100.
func (f *found) white(hint Scale) (float64, error) {
	var highest float64
	at, spectra := draft{}, 0
	for _, d := range f.drafts {
		if d.nm == nil {
			continue
		}
		spectra++
		if m := slices.Max(d.r); m > highest || spectra == 1 {
			highest, at = m, d
		}
	}
	switch {
	case spectra == 0:
		return 1, nil
	case f.oddNorm != "":
		return 0, refuse(f.oddNormLine, "says SPECTRAL_NORM %s: a perfect white reads 1 or 100 in a file of reflectance, so these are readings of light", clip(f.oddNorm))
	case hint != Unsaid && f.scale != Unsaid && hint != f.scale:
		return 0, refuse(f.scaleLine, "says that reflectance is in %s, but %s was given", scaleWords[f.scale], scaleWords[hint])
	case hint != Unsaid:
		f.note("reflectance is in %s, as was given", scaleWords[hint])
		return whites[hint], nil
	case f.scale == Percent && highest <= 1:
		return 0, refuse(f.scaleLine, "says per cent, but no reading of the file is above 1: say which scale it is in")
	case f.scale == Fraction && highest > sure:
		return 0, refuse(at.line, "%s reads %v, but line %d says shares of 1", at.called(), highest, f.scaleLine)
	case f.scale != Unsaid:
		f.note("reflectance is in %s, as line %d says", scaleWords[f.scale], f.scaleLine)
		return whites[f.scale], nil
	case highest <= 1:
		f.note("reflectance is in shares of 1: no reading is above %.4g", highest)
		return 1, nil
	case highest <= sure:
		return 0, refuse(at.line, "%s reads at most %v, so the file may be in per cent of a nearly black cloth, or in shares of 1 of a cloth with a brightener: say which", at.called(), highest)
	}
	for _, d := range f.drafts {
		if d.nm != nil && slices.Max(d.r) <= 1 {
			return 0, refuse(d.line, "%s reads at most %v and %s (line %d) reads %v: a file must be all per cent or all shares of 1; where it is, say which", d.called(), slices.Max(d.r), at.called(), at.line, highest)
		}
	}
	f.note("reflectance is in per cent: readings go up to %.4g", highest)
	return 100, nil
}

var whites = map[Scale]float64{Fraction: 1, Percent: 100}

func (d draft) called() string {
	if d.name == "" {
		return "the sample"
	}
	return clip(d.name)
}

// bands puts a spectrum in order and on its scale.
func (f *found) bands(d draft, white float64) (*colour.Curve, error) {
	order := make([]int, len(d.nm))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return d.nm[order[i]] < d.nm[order[j]] })
	nm, r := make([]float64, len(order)), make([]float64, len(order))
	for i, o := range order {
		nm[i], r[i] = d.nm[o], d.r[o]/white
	}
	b, err := spaced(d.line, nm, r)
	if err != nil {
		return nil, err
	}
	if b.StepNM == 1 {
		b = thinned(b)
		f.note("bands 1 nm apart were thinned to those at 5 nm: the sums of CIE 015 ask for no more")
	}
	for i, v := range b.Reflectance {
		at := b.FirstNM + i*b.StepNM
		switch {
		case v > 1:
			return nil, refuse(d.line, "%s throws back %.4g %% at %d nm: more than it receives, so a brightener gives off light of its own and there is no reflectance colour", d.called(), 100*v, at)
		case !(v >= 0): // written so that NaN fails
			return nil, refuse(d.line, "%s throws back %.4g %% at %d nm, below nothing: calibrate the instrument's black and measure again", d.called(), 100*v, at)
		}
	}
	if _, err := b.Spectrum("file"); err != nil {
		return nil, atLine(d.line, err)
	}
	return &b, nil
}

// spaced checks that bands lie evenly, 1, 5, 10 or 20 nm apart, and begin at a
// whole nanometre.
func spaced(line int, nm, r []float64) (colour.Curve, error) {
	const rounding = 0.02 // nm: 383.33 for 383 1/3
	if len(nm) < 4 {
		return colour.Curve{}, refuse(line, "has %d bands, but a spectrum needs at least 4", len(nm))
	}
	least := math.Inf(1)
	for i := 1; i < len(nm); i++ {
		if nm[i] == nm[i-1] {
			return colour.Curve{}, refuse(line, "has the band at %v nm twice", nm[i])
		}
		least = min(least, nm[i]-nm[i-1])
	}
	for i := 1; i < len(nm); i++ {
		if gap := nm[i] - nm[i-1]; gap > least+rounding {
			return colour.Curve{}, refuse(line, "has no band between %v and %v nm, where others lie %.4g nm apart: export every band", nm[i-1], nm[i], least)
		}
	}
	step := (nm[len(nm)-1] - nm[0]) / float64(len(nm)-1)
	whole := math.Round(step)
	if math.Abs(step-whole) > 1e-6 || !slices.Contains([]float64{1, 5, 10, 20}, whole) {
		return colour.Curve{}, refuse(line, "has bands %.4g nm apart, but only 5, 10 and 20 nm are kept, and no band is made up between two others: export at 10 nm", step)
	}
	for i, w := range nm {
		if math.Abs(w-(math.Round(nm[0])+float64(i)*whole)) > 1e-6 {
			return colour.Curve{}, refuse(line, "has a band at %v nm, but bands must lie at whole nanometres: export at 10 nm, from 400 nm", w)
		}
	}
	return colour.Curve{FirstNM: int(math.Round(nm[0])), StepNM: int(whole), Reflectance: r}, nil
}

// thinned keeps of a list by 1 nm what stands at a multiple of 5 nm, untouched.
func thinned(b colour.Curve) colour.Curve {
	skip := (5 - b.FirstNM%5) % 5
	out := colour.Curve{FirstNM: b.FirstNM + skip, StepNM: 5}
	for i := skip; i < len(b.Reflectance); i += 5 {
		out.Reflectance = append(out.Reflectance, b.Reflectance[i])
	}
	return out
}

// atLine puts a refusal of package colour where it belongs.
func atLine(line int, err error) error {
	f, is := fault.Of(err)
	if !is {
		return err
	}
	return refuse(line, "%s", f.Say)
}
