package paper

import (
	"fmt"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Judged shows where a lot stands.
func (s *Sheet) Judged(r *dyelotv1.GetJudgementResponse) { s.judgement(r.GetJudgement()) }

// VerdictGiven confirms a verdict and shows where the lot stands now.
func (s *Sheet) VerdictGiven(r *dyelotv1.GiveVerdictResponse) {
	s.Title("%s", s.verdict(r.GetVerdict()))
	s.Gap()
	s.judgement(r.GetJudgement())
}

// Overridden shows where a lot stands after a row was overridden.
func (s *Sheet) Overridden(r *dyelotv1.OverrideRowResponse) { s.judgement(r.GetJudgement()) }

func (s *Sheet) judgement(j *dyelotv1.Judgement) {
	st, head := standing(j)
	s.hang(st, "", fmt.Sprintf("Lot %s: %s%s", j.GetLotCode(), j.GetState(), head))
	for _, row := range allRows(j) {
		s.judged(row)
	}
	s.pairs(j)
	s.Para(0, "Colour differences are CIEDE2000 for %s. Rows that name nobody are the studio's own, asked of each lot.", lightOf(j))
	s.judgedBy(j)
	for _, v := range j.GetVerdicts() {
		s.Para(0, "%s", s.verdict(v))
	}
}

// standing says whether a lot may pass, and, of one that did, what was
// overridden for it.
func standing(j *dyelotv1.Judgement) (style, string) {
	overridden := 0
	for _, row := range allRows(j) {
		if row.GetState() == "overridden" {
			overridden++
		}
	}
	st, head := good, ""
	switch {
	case !j.GetMayPass():
		return loud, ", may not pass" + prefixed(": ", strings.Join(j.GetBlocking(), ", "))
	case j.GetState() != "passed":
		head = ", may pass"
	}
	if overridden > 0 {
		st, head = mind, head+fmt.Sprintf(", with %d %s overridden", overridden, plural(overridden, "row"))
	}
	return st, head
}

// allRows are the lot's rows and the set's own.
func allRows(j *dyelotv1.Judgement) []*dyelotv1.JudgedRow {
	rows := slices.Clone(j.GetRows())
	if j.GetSet() != nil {
		rows = append(rows, j.GetSet())
	}
	return rows
}

// stateWords are what a row's state is on screen; what is not passed is loud.
var stateWords = map[string]struct {
	word  string
	style style
}{
	"passed":     {"passed", plain},
	"failed":     {"FAILED", loud},
	"not-tested": {"NOT TESTED", mind},
	"overridden": {"OVERRIDDEN", mind},
}

// judged is one row: its state, what was asked and found, and whoever overrode
// it, for good.
func (s *Sheet) judged(row *dyelotv1.JudgedRow) {
	state, known := stateWords[row.GetState()]
	if !known {
		state.word = row.GetState()
	}
	title, evidence := otherwise(row.GetTitle(), row.GetKey()), ""
	if row.GetEvidence() != "" {
		evidence = " (" + row.GetEvidence() + ")"
	}
	text := fmt.Sprintf("%s: asked %s, found %s", title, or(row.GetAsked()), or(row.GetFound())) + evidence
	if row.GetOverrideBy() != "" {
		by := fmt.Sprintf("overridden by %s on %s: %s", row.GetOverrideBy(), s.day(row.GetOverriddenAt()), row.GetOverrideReason())
		switch {
		case row.GetState() != "overridden": // a reading or test after it decides again
			text += "; " + by
		case row.GetFound() == "":
			text = fmt.Sprintf("%s: asked %s, not tested, %s", title, or(row.GetAsked()), by)
		default:
			text = fmt.Sprintf("%s: asked %s, failed %s, %s", title, or(row.GetAsked()), row.GetFound(), by) + evidence
		}
	}
	s.hang(state.style, fmt.Sprintf("  %-11s ", state.word), text)
	s.behind(row)
}

// behind is what a row's grade rests on where that is not plain: assessor and
// instrument apart, and several specimens of one component.
func (s *Sheet) behind(row *dyelotv1.JudgedRow) {
	for _, apart := range row.GetDisagreements() {
		s.hang(mind, "              DISAGREE: ", apart)
	}
	for _, specimens := range row.GetSpecimens() {
		s.hang(plain, "              ", specimens)
	}
}

func (s *Sheet) pairs(j *dyelotv1.Judgement) {
	for _, p := range j.GetPairs() {
		state, st := "within the set's tolerance", plain
		if !p.GetWithin() {
			state, st = "BEYOND the set's tolerance", loud
		}
		s.hang(st, strings.Repeat(" ", 14), fmt.Sprintf("%s to %s: %s, %s", p.GetLotCode(), p.GetOtherLotCode(), p.GetDifference(), state))
	}
}

// lightOf names what the readings were computed for; they are compared only
// where they agree.
func lightOf(j *dyelotv1.Judgement) string {
	for _, r := range j.GetReadings() {
		if r.GetColour() != nil {
			return light(r.GetColour())
		}
	}
	return light(nil)
}

// judgedBy lists the readings and tests that decide.
func (s *Sheet) judgedBy(j *dyelotv1.Judgement) {
	for _, r := range j.GetReadings() {
		s.hang(plain, "  "+r.GetCode()+"  ", s.reading(r))
	}
	for _, e := range j.GetEyes() {
		s.eye(e, "  ")
	}
	for _, t := range j.GetTests() {
		s.test("  ", t)
	}
}

func (s *Sheet) verdict(v *dyelotv1.Verdict) string {
	of := v.GetLotCode()
	if len(v.GetTags()) > 0 {
		of += " (only " + strings.Join(v.GetTags(), ", ") + ")"
	}
	return fmt.Sprintf("%s: %s by %s on %s%s", of, v.GetOutcome(), or(v.GetBy()), s.day(v.GetHappenedAt()), prefixed(": ", v.GetReason()))
}

// ReadingAdded confirms a reading, with its difference to the standard.
func (s *Sheet) ReadingAdded(r *dyelotv1.RecordReadingResponse) {
	s.hang(plain, r.GetReading().GetCode()+"  ", s.reading(r.GetReading()))
}

func (s *Sheet) reading(r *dyelotv1.Reading) string {
	state := r.GetCondition()
	if r.GetRested() {
		state += " and rested"
	}
	text := fmt.Sprintf("%s: %s (%s), %s, by %s with %s, %s", joined(" ", s.swatch(r.GetColour()), r.GetLotCode(), r.GetTag()), spoken(r.GetColour()), light(r.GetColour()),
		or(state), or(r.GetBy()), or(r.GetInstrument()), s.day(r.GetHappenedAt()))
	if r.GetToStandard() != "" {
		text += fmt.Sprintf("; %s to the standard by CIEDE2000", r.GetToStandard())
	}
	text += prefixed("; ", r.GetSpots()) + prefixed("; gloss ", r.GetSpecular())
	return text + prefixed("; ", r.GetNote()) + withdrawn(r.GetWithdrawnBy(), r.GetWithdrawnReason(), s.day(r.GetWithdrawnAt()))
}

// TestAdded confirms a fastness test.
func (s *Sheet) TestAdded(r *dyelotv1.RecordFastnessTestResponse) {
	s.test("", r.GetTest())
}

// test is one fastness test with what was measured beside it.
func (s *Sheet) test(lead string, t *dyelotv1.FastnessTest) {
	s.hang(plain, lead+t.GetCode()+"  ", s.fastness(t))
	for _, g := range t.GetMeasured() {
		if g.GetDisagreement() != "" {
			s.hang(mind, lead+"    DISAGREE: ", g.GetDisagreement())
		}
	}
}

func (s *Sheet) fastness(t *dyelotv1.FastnessTest) string {
	var grades []string
	for _, g := range t.GetGrades() {
		grades = append(grades, g.GetComponent()+" "+g.GetGrade()+byInstrument(t, g))
	}
	method := joined(" ", t.GetMethod(), prefixed("variant ", t.GetVariant()), prefixed("edition ", t.GetEdition()))
	return joined("; ", fmt.Sprintf("%s (%s), %s: %s", t.GetLotCode(), or(t.GetScope()), method, strings.Join(grades, ", ")), t.GetSpecimen(), moved(t),
		"judged by "+or(t.GetAssessor())+" on "+or(t.GetTestedOn())+with(t.GetInstrument()), laboratory(t), prefixed("report ", t.GetReportName()),
		prefixed("window test ", t.GetWindowCode()), t.GetEvidence(), t.GetNote()) +
		withdrawn(t.GetWithdrawnBy(), t.GetWithdrawnReason(), s.day(t.GetWithdrawnAt()))
}

// byInstrument is what two colours say of a component: that its grade is theirs
// alone, or which one they give beside the assessor's.
func byInstrument(t *dyelotv1.FastnessTest, g *dyelotv1.ComponentGrade) string {
	if g.GetMeasured() {
		return " (measured)"
	}
	for _, m := range t.GetMeasured() {
		switch {
		case m.GetComponent() != g.GetComponent() || m.GetFormula() == "":
		case m.GetOtherScale():
			return fmt.Sprintf(" (by the instrument it changed by grey scale %s, %s)", m.GetGrade(), m.GetFormula())
		default:
			return fmt.Sprintf(" (instrument %s by %s)", m.GetGrade(), m.GetFormula())
		}
	}
	return ""
}

// moved is how the colour moved: the person's word, or what is proposed.
func moved(t *dyelotv1.FastnessTest) string {
	if t.GetDirection() != "" || t.GetProposedDirection() == "" {
		return t.GetDirection()
	}
	return t.GetProposedDirection() + " (proposed from the colours)"
}

// with is how a test was judged, where somebody said.
func with(instrument string) string {
	if instrument == "eye" {
		return " by eye"
	}
	return prefixed(" with ", instrument)
}

func laboratory(t *dyelotv1.FastnessTest) string {
	if t.GetLaboratory() == t.GetAssessor() {
		return ""
	}
	return prefixed("tested at ", t.GetLaboratory())
}

// Methods lists the methods, with their components.
func (s *Sheet) Methods(r *dyelotv1.ListMethodsResponse) {
	for _, m := range r.GetMethods() {
		own := ""
		if m.GetOwn() {
			own = " (the studio's own)"
		}
		s.hang(plain, m.GetKey()+"  ", m.GetTitle()+own)
		s.hang(plain, "    components: ", strings.Join(m.GetComponents(), ", "))
		if len(m.GetVariants()) > 0 {
			s.hang(plain, "    variants: ", strings.Join(m.GetVariants(), ", "))
		}
		if m.GetCaution() != "" {
			s.hang(mind, "    ! ", m.GetCaution())
		}
	}
}

// House lists the rows of the house standard.
func (s *Sheet) House(r *dyelotv1.ListHouseStandardResponse) {
	for _, row := range r.GetRows() {
		s.houseRow(row)
	}
	if len(r.GetRows()) == 0 {
		s.Line("No row is in force.")
	}
}

// HouseSet shows a row as it is now.
func (s *Sheet) HouseSet(r *dyelotv1.SetHouseRowResponse) { s.houseRow(r.GetRow()) }

func (s *Sheet) houseRow(row *dyelotv1.HouseRow) {
	state := "in force"
	if !row.GetActive() {
		state = "off"
	}
	s.Title("%s: %s", row.GetKey(), otherwise(row.GetTitle(), row.GetKey()))
	s.Para(4, "at least %s, each %s, %s; source: %s", or(row.GetMinimum()), or(row.GetScope()), state, joined(", ", otherwise(row.GetSource(), "nobody named"), prefixed("edition ", row.GetEdition())))
	if row.GetNote() != "" {
		s.Para(4, "%s", row.GetNote())
	}
}
