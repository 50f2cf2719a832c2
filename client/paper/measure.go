package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Measured confirms measurements, each with what it came to.
func (s *Sheet) Measured(r *dyelotv1.RecordMeasurementsResponse) {
	for i, m := range r.GetMeasurements() {
		if i > 0 {
			s.Gap()
		}
		s.measurement(m)
	}
	s.formulas(r.GetMeasurements()...)
}

// Measurement shows one reading with each of its spots.
func (s *Sheet) Measurement(r *dyelotv1.GetMeasurementResponse) {
	m := r.GetMeasurement()
	s.measurement(m)
	if len(m.GetSpots()) > 0 {
		s.Gap()
		s.spots(m)
	}
	s.formulas(m)
}

// WouldMeasure shows which spots are of which cloth, before anything is recorded.
func (s *Sheet) WouldMeasure(q *dyelotv1.RecordMeasurementsRequest) {
	spots := 0
	var rows [][]string
	for _, m := range q.GetMeasurements() {
		spots += len(m.GetSpots())
		var names []string
		for _, p := range m.GetSpots() {
			name := otherwise(p.GetPlace(), nothing)
			if p.GetLeftOut() != "" {
				name += " (left out: " + p.GetLeftOut() + ")"
			}
			names = append(names, name)
		}
		rows = append(rows, []string{joined(" ", m.GetLotCode(), m.GetTag()), fmt.Sprint(len(m.GetSpots())), conditionWords(m), strings.Join(names, ", ")})
	}
	s.Title("Nothing is recorded yet: %d %s of %d %s, from %s", spots, plural(spots, "spot"), len(rows), plural(len(rows), "cloth"), or(q.GetMeasurements()[0].GetFile().GetName()))
	s.Table([]string{"cloth", ">spots", "read", "samples"}, rows)
	s.Para(0, "SHA-256 of the file: %s", or(q.GetMeasurements()[0].GetFile().GetSha256()))
}

func conditionWords(m *dyelotv1.Measurement) string {
	switch {
	case m.GetCondition() != "dry":
		return or(m.GetCondition())
	case m.GetRested():
		return "dry and rested"
	}
	return "dry, not rested"
}

// asLab is the mean of a measurement in its light and by its eye.
func asLab(m *dyelotv1.Measurement) *dyelotv1.Lab {
	mean := m.GetColour().GetMean()
	return &dyelotv1.Lab{L: mean.GetL(), A: mean.GetA(), B: mean.GetB(), Illuminant: m.GetIlluminant(), Observer: m.GetObserver()}
}

func (s *Sheet) measurement(m *dyelotv1.Measurement) {
	c := m.GetColour()
	where := viewWords(m.GetIlluminant(), m.GetObserver())
	s.hang(bold, m.GetCode()+"  ", fmt.Sprintf("%s: L* %.2f, a* %.2f, b* %.2f, C* %.2f, h %.1f°%s (%s)", joined(" ", s.swatch(asLab(m)), m.GetLotCode(), m.GetTag()),
		c.GetMean().GetL(), c.GetMean().GetA(), c.GetMean().GetB(), c.GetChroma(), c.GetHue(), prefixed(", ", words(asLab(m))), where))
	s.Para(4, "%s", joined(", ", conditionWords(m), "by "+or(m.GetBy()), prefixed("with ", m.GetInstrument()), s.day(m.GetHappenedAt()))+fromFile(m.GetFile())+prefixed("; ", m.GetNote())+
		withdrawn(m.GetWithdrawnBy(), m.GetWithdrawnReason(), s.day(m.GetWithdrawnAt())))
	if n := len(m.GetSpots()); n > 0 {
		s.Para(4, "%s", spreadWords(c, n, where))
	}
	if d := c.GetToStandard(); d != nil {
		s.differenceTo(d, where)
	}
	if d := c.GetDepth(); d != nil {
		s.Para(4, "K/S %.2f at %d nm, %.1f summed, %s", d.GetMax(), d.GetMaxNm(), d.GetSum(), overWords(d))
	}
	if len(c.GetMetamerism()) > 0 {
		var words []string
		for _, x := range c.GetMetamerism() {
			words = append(words, fmt.Sprintf("%.2f from %s to %s", x.GetIndex(), lightWords(x.GetReference()), lightWords(x.GetTest())))
		}
		s.Para(4, "metamerism to the standard: %s (ΔE*ab, %d° observer)", strings.Join(words, ", "), c.GetMetamerism()[0].GetObserver())
	}
	s.warn(4, m.GetWarnings())
}

// lightWords says what a buyer calls a light.
func lightWords(illuminant string) string {
	return illuminant + map[string]string{"D65": " (daylight)", "F11": " (shop tube)", "A": " (lamp)"}[illuminant]
}

func fromFile(f *dyelotv1.InstrumentFile) string {
	if f == nil {
		return ""
	}
	return ", from " + joined(", ", f.GetName(), prefixed("sample ", f.GetSample()), "SHA-256 "+short(f.GetSha256()))
}

// short is enough of a hash to find a file by; --json has all of it.
func short(hash string) string { return hash[:min(len(hash), 12)] + "…" }

func spreadWords(c *dyelotv1.MeasuredColour, of int, where string) string {
	if of == 1 {
		return "one spot: nothing tells whether it is level"
	}
	counted := fmt.Sprint(c.GetCounted())
	if int(c.GetCounted()) < of {
		counted = fmt.Sprintf("%d of %d", c.GetCounted(), of)
	}
	what := "mean L*a*b*"
	if c.GetMeanOf() == "reflectances" {
		what = "mean reflectance"
	}
	return fmt.Sprintf("%s of %s spots, which lie %.2f from it on average and %.2f at most (CIEDE2000, %s)", what, counted, c.GetSpreadMean(), c.GetSpreadGreatest(), where)
}

func (s *Sheet) differenceTo(d *dyelotv1.StandardDifference, where string) {
	st, within := plain, "within "+d.GetTolerance()
	if !d.GetWithin() {
		st, within = loud, "BEYOND "+d.GetTolerance()
	}
	s.hang(st, "    ", fmt.Sprintf("to standard %s, for %s: CIEDE2000 %s, %s; CMC(2:1) %.2f; ΔE*ab %.2f with ΔL* %+.2f, ΔC* %+.2f, ΔH* %+.2f",
		d.GetStandardCode(), where, d.GetCiede2000(), within, d.GetCmc(), d.GetDeltaE(), d.GetDeltaL(), d.GetDeltaC(), d.GetDeltaH()))
}

func overWords(d *dyelotv1.ClothDepth) string {
	if d.GetOverItemCode() != "" {
		return "over undyed " + d.GetOverItemCode()
	}
	return "the cloth's own in it: " + or(d.GetWhyNot())
}

// viewWords is light and eye: "D65, 10° observer".
func viewWords(illuminant string, observer int32) string {
	return light(&dyelotv1.Lab{Illuminant: illuminant, Observer: observer})
}

// spots is a table of them; how they were read stands above it where it is the
// same for all.
func (s *Sheet) spots(m *dyelotv1.Measurement) {
	var rows [][]string
	read, alike := spectrumWords(m.GetSpots()[0].GetSpectrum()), true
	for _, p := range m.GetSpots() {
		alike = alike && spectrumWords(p.GetSpectrum()) == read
	}
	if alike {
		s.Line("Its spots, read as %s:", read)
	}
	for i, p := range m.GetSpots() {
		remark := ""
		switch {
		case p.GetLeftOut() != "":
			remark = "left out: " + p.GetLeftOut()
		case p.GetOutlier():
			remark = "STANDS OUT"
		}
		if !alike {
			remark = joined("; ", spectrumWords(p.GetSpectrum()), remark)
		}
		rows = append(rows, []string{fmt.Sprint(i + 1), otherwise(p.GetPlace(), nothing), fmt.Sprintf("%.2f", p.GetLab().GetL()), fmt.Sprintf("%.2f", p.GetLab().GetA()), fmt.Sprintf("%.2f", p.GetLab().GetB()),
			fmt.Sprintf("%.2f", p.GetToMean()), remark})
	}
	s.Table([]string{">spot", "where", ">L*", ">a*", ">b*", ">to mean", "remark"}, rows)
}

// spectrumWords is "400 to 700 nm by 10, gloss excluded".
func spectrumWords(c *dyelotv1.Spectrum) string {
	if c == nil {
		return "L*a*b*"
	}
	last := int(c.GetFirstNm()) + (len(c.GetReflectance())-1)*int(c.GetStepNm())
	return fmt.Sprintf("%d–%d nm by %d%s", c.GetFirstNm(), last, c.GetStepNm(), prefixed(", gloss ", c.GetSpecular()))
}

// formulas names, once a sheet, what figures were computed by.
func (s *Sheet) formulas(ms ...*dyelotv1.Measurement) {
	seen := map[string]bool{}
	var all []string
	note := func(formula string) {
		if formula != "" && !seen[formula] {
			seen[formula] = true
			all = append(all, formula)
		}
	}
	for _, m := range ms {
		note(m.GetColour().GetDepth().GetFormula())
		for _, x := range m.GetColour().GetMetamerism() {
			note(x.GetFormula())
		}
	}
	if len(all) > 0 {
		s.Gap()
	}
	for _, f := range all {
		s.Para(0, "%s", f)
	}
}

// GroundKept shows what K/S is counted from now.
func (s *Sheet) GroundKept(r *dyelotv1.RecordGroundResponse) {
	g := r.GetGround()
	undyed := &dyelotv1.Lab{L: g.GetColour().GetL(), A: g.GetColour().GetA(), B: g.GetColour().GetB()}
	s.Title("Undyed %s: K/S of its dyed pieces is counted from this now", g.GetItemCode())
	s.Para(2, "%s", joined(" ", s.swatch(undyed), fmt.Sprintf("L* %.2f, a* %.2f, b* %.2f%s (%s); %s", g.GetColour().GetL(), g.GetColour().GetA(), g.GetColour().GetB(), prefixed(", ", words(undyed)), viewWords("", 0), spectrumWords(g.GetSpectrum()))))
	s.Para(2, "its own K/S: %.3f at %d nm, %.2f summed; %s", g.GetDepth().GetMax(), g.GetDepth().GetMaxNm(), g.GetDepth().GetSum(), g.GetDepth().GetFormula())
	s.Para(2, "%s", joined(", ", "by "+or(g.GetBy()), prefixed("with ", g.GetInstrument()), s.day(g.GetHappenedAt()))+fromFile(g.GetFile()))
}

// EyeJudged confirms what eyes said, beside what the instrument says.
func (s *Sheet) EyeJudged(r *dyelotv1.JudgeByEyeResponse) {
	s.eye(r.GetJudgement(), "")
	s.warn(0, r.GetWarnings())
}

func (s *Sheet) eye(e *dyelotv1.EyeJudgement, indent string) {
	against := "to the standard"
	if e.GetAgainstLotCode() != "" {
		against = "to " + e.GetAgainstLotCode()
	}
	rested := "not rested"
	if e.GetRested() {
		rested = "dry and rested"
	}
	text := fmt.Sprintf("%s by eye: %s", joined(" ", e.GetLotCode(), e.GetTag()), joined(", ", fmt.Sprintf("%s %s by the grey scale for change (ISO 105-A02)", e.GetGrade(), against),
		strings.Join(e.GetDirections(), ", "), "under "+or(e.GetLight()), rested, "by "+joined(" and ", or(e.GetBy()), e.GetSecondBy()), s.day(e.GetHappenedAt())))
	if e.GetMeasuredGrade() != "" {
		text += fmt.Sprintf("; the instrument, for %s: ΔE*ab %.2f, a %s; CIEDE2000 %s", viewWords(e.GetMeasuredIlluminant(), e.GetMeasuredObserver()), e.GetMeasuredDeltaE(), e.GetMeasuredGrade(), e.GetMeasuredCiede2000())
	}
	s.hang(plain, indent+e.GetCode()+"  ", text+prefixed("; ", e.GetNote())+withdrawn(e.GetWithdrawnBy(), e.GetWithdrawnReason(), s.day(e.GetWithdrawnAt())))
	for _, d := range e.GetDisagreements() {
		s.hang(mind, indent+"    EYE AND INSTRUMENT DISAGREE: ", d)
	}
}
