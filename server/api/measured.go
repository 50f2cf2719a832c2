package api

import (
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// decodeMeasured grades each pair of colours by the program, beside what the
// assessor says.
func decodeMeasured(m *dyelotv1.FastnessTest, f *store.FastnessTest) error {
	method, err := fastness.MethodOf(m.GetMethod())
	if err != nil {
		return err
	}
	for i, g := range m.GetMeasured() {
		at := fmt.Sprintf("measured[%d]", i)
		c, err := componentOf(method, at+".component", g.GetComponent())
		if err != nil {
			return err
		}
		p, err := decodePair(method, c.Key, g)
		if err != nil {
			return fault.In(at, err)
		}
		if _, twice := f.Measured[c.Key]; twice {
			return fault.BadField(at+".component", "%s is measured twice", c.Key)
		}
		if p.Instrument == "" {
			p.Instrument = f.Instrument
		}
		if f.Measured == nil {
			f.Measured = map[string]fastness.Measured{}
		}
		f.Measured[c.Key] = p.Measured
		f.Pairs = append(f.Pairs, p)
	}
	return nil
}

// decodePair reads two colours, or two spectra for the light and eye of before,
// and grades the component from them.
func decodePair(method fastness.Method, component string, g *dyelotv1.MeasuredGrade) (p store.MeasuredPair, err error) {
	p.Instrument = g.GetInstrument()
	var before, after colour.Lab
	switch spectra := g.GetBeforeSpectrum() != nil || g.GetAfterSpectrum() != nil; {
	case spectra:
		if before, after, err = decodeSpectra(g, &p); err != nil {
			return p, err
		}
	default:
		if before, after, err = decodeColours(g, &p); err != nil {
			return p, err
		}
	}
	p.Measured, err = method.Measure(component, asLab(before), asLab(after))
	return p, err
}

func asLab(c colour.Lab) fastness.Lab { return fastness.Lab{c.L, c.A, c.B} }

func decodeColours(g *dyelotv1.MeasuredGrade, p *store.MeasuredPair) (before, after colour.Lab, err error) {
	for _, side := range []struct {
		field string
		m     *dyelotv1.Lab
	}{{"before", g.GetBefore()}, {"after", g.GetAfter()}} {
		if side.m == nil {
			return before, after, fault.BadField(side.field, "is needed: L*a*b* before and after the test, or both spectra")
		}
	}
	if before, p.View, err = decodeLab(g.GetBefore()); err != nil {
		return before, after, fault.In("before", err)
	}
	var view colour.View
	if after, view, err = decodeLab(g.GetAfter()); err != nil {
		return before, after, fault.In("after", err)
	}
	if view != p.View {
		return before, after, fault.BadField("after", "is for %s and before for %s: colours of two lights or eyes are never compared", view, p.View)
	}
	return before, after, nil
}

func decodeSpectra(g *dyelotv1.MeasuredGrade, p *store.MeasuredPair) (before, after colour.Lab, err error) {
	one, other := g.GetBeforeSpectrum(), g.GetAfterSpectrum()
	for field, s := range map[string]*dyelotv1.Spectrum{"before_spectrum": one, "after_spectrum": other} {
		if s == nil {
			return before, after, fault.BadField(field, "is needed beside the other one")
		}
	}
	if one.GetFirstNm() != other.GetFirstNm() || one.GetStepNm() != other.GetStepNm() || len(one.GetReflectance()) != len(other.GetReflectance()) {
		return before, after, fault.BadField("after_spectrum", "is not at the wavelengths of the one before")
	}
	if one.GetSpecular() != other.GetSpecular() {
		return before, after, fault.BadField("after_spectrum.specular", "%.20q, and before %.20q: gloss is included in both or in neither", other.GetSpecular(), one.GetSpecular())
	}
	if !slices.Contains([]string{"", "included", "excluded"}, one.GetSpecular()) {
		return before, after, fault.BadField("before_spectrum.specular", "%.20q is neither included nor excluded", one.GetSpecular())
	}
	if p.View, err = viewOf(g.GetBefore()); err != nil {
		return before, after, fault.In("before", err)
	}
	nm := make([]float64, len(one.GetReflectance()))
	for i := range nm {
		nm[i] = float64(one.GetFirstNm()) + float64(i)*float64(one.GetStepNm())
	}
	scale, err := colour.NewWavelengths("before_spectrum", nm)
	if err != nil {
		return before, after, err
	}
	a, err := scale.Spectrum("before_spectrum.reflectance", one.GetReflectance())
	if err != nil {
		return before, after, err
	}
	b, err := scale.Spectrum("after_spectrum.reflectance", other.GetReflectance())
	if err != nil {
		return before, after, err
	}
	p.Spectra = store.PairSpectra{FirstNM: int(one.GetFirstNm()), StepNM: int(one.GetStepNm()), Before: one.GetReflectance(), After: other.GetReflectance(), Specular: one.GetSpecular()}
	return bounded(a.Lab(p.View)), bounded(b.Lab(p.View)), nil
}

// bounded takes the last bits off a white or a black.
func bounded(c colour.Lab) colour.Lab {
	c.L = min(max(c.L, 0), 100)
	return c
}

// viewOf is the light and eye of a colour whose figures do not matter.
func viewOf(m *dyelotv1.Lab) (colour.View, error) {
	_, v, err := decodeLab(&dyelotv1.Lab{L: 50, Illuminant: m.GetIlluminant(), Observer: m.GetObserver()})
	return v, err
}

// encodeMeasured adds what was measured, and where assessor and instrument are
// apart.
func encodeMeasured(f store.FastnessTest, m *dyelotv1.FastnessTest) {
	apart := map[string]string{}
	for _, a := range f.Apart() {
		a.Test = ""
		apart[a.Component] = a.String()
	}
	method, err := fastness.MethodOf(f.Method)
	if err != nil {
		return
	}
	for _, p := range f.Pairs {
		g := encodePair(p)
		c, _ := method.Component(p.Component)
		_, g.Counts, _ = f.Counting(c)
		g.Disagreement, g.OtherScale = apart[p.Component], c.Scale != p.Scale
		m.Measured = append(m.Measured, g)
		if m.ProposedDirection == "" {
			m.ProposedDirection = g.GetDirection()
		}
	}
}

func encodePair(p store.MeasuredPair) *dyelotv1.MeasuredGrade {
	g := &dyelotv1.MeasuredGrade{
		Component: p.Component, Before: encodeLab(colourOf(p.Before), p.View), After: encodeLab(colourOf(p.After), p.View), Instrument: p.Instrument,
		Grade: p.Scale.Text(p.Grade), Formula: p.Formula(), Difference: strconv.FormatFloat(p.Figure, 'f', 2, 64), Direction: strings.Join(p.Directions, ", "),
	}
	if s := p.Spectra; len(s.Before) > 0 {
		spectrum := func(r []float64) *dyelotv1.Spectrum {
			return &dyelotv1.Spectrum{FirstNm: int32(s.FirstNM), StepNm: int32(s.StepNM), Reflectance: r, Specular: s.Specular}
		}
		g.BeforeSpectrum, g.AfterSpectrum = spectrum(s.Before), spectrum(s.After)
	}
	return g
}

func colourOf(c fastness.Lab) colour.Lab { return colour.Lab{L: c[0], A: c[1], B: c[2]} }

// decodeReport reads the name and the hash of a laboratory's report, both or
// neither.
func decodeReport(m *dyelotv1.FastnessTest) (r store.Report, err error) {
	if r.Name = strings.TrimSpace(m.GetReportName()); r.Name == "" && m.GetReportSha256() == "" {
		return r, nil
	}
	if r.Name == "" {
		return r, fault.BadField("report_name", "is needed beside its hash: the file's name")
	}
	r.SHA256, err = hex.DecodeString(m.GetReportSha256())
	if err != nil || len(r.SHA256) != 32 || m.GetReportSha256() != strings.ToLower(m.GetReportSha256()) {
		return r, fault.BadField("report_sha256", "is not a SHA-256 of a file: 64 hexadecimal digits, lower case")
	}
	return r, nil
}
