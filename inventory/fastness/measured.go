package fastness

import (
	"fmt"

	"dyelot/inventory/fault"
)

// Measured is what two colours of one component, before and after its test, say
// by formula. It stands beside the grade that a person gave, and counts only
// where nobody gave one.
type Measured struct {
	Component     string
	Before, After Lab     // in one light and by one eye
	Scale         Scale   // the grey scale of Grade
	Figure        float64 // ΔE_F of ISO 105-A05, or ΔE_GS of ISO 105-A04
	Grade         Grade
	// Directions are proposed from the two colours, the greatest first; none for
	// a strip that was stained, whose colour is the dye's.
	Directions []string
}

// Measure grades one component of the method from two colours: staining after
// ISO 105-A04, everything else as a change after ISO 105-A05. Two colours of a
// component that is graded against blue wools say how much it changed, and never
// which blue wool it is. INVALID_FIELD faults are on "component", "before" or
// "after".
func (m Method) Measure(component string, before, after Lab) (Measured, error) {
	c, ok := m.Component(component)
	if !ok {
		return Measured{}, fault.BadField("component", "%s does not grade %q", m.Key, component)
	}
	if err := checkPair("before", before, "after", after); err != nil {
		return Measured{}, err
	}
	out := Measured{Component: component, Before: before, After: after}
	if c.Scale == GreyStaining {
		stain, err := StainGrade(before, after)
		out.Scale, out.Figure, out.Grade = GreyStaining, stain.DeltaEGS, stain.Grade
		return out, err
	}
	change, err := ChangeGrade(before, after)
	out.Scale, out.Figure, out.Grade = GreyChange, change.DeltaEF, change.Grade
	out.Directions = DirectionsOf(before, after)
	return out, err
}

// Formula names what the grade was computed by.
func (m Measured) Formula() string {
	if m.Scale == GreyStaining {
		return "ISO 105-A04"
	}
	return "ISO 105-A05"
}

// Counting is the grade of a component that counts: the assessor's, and where
// none was given the measured one, if that is on the component's own scale. ok is
// false where neither is there.
func (t Test) Counting(c Component) (g Grade, measured, ok bool) {
	if g, ok = t.Grades[c.Key]; ok {
		return g, false, true
	}
	m, there := t.Measured[c.Key]
	if !there || m.Scale != c.Scale {
		return 0, false, false
	}
	return m.Grade, true, true
}

// Apart is a component whose assessor and whose instrument disagree by more than
// half a grade. Both grades are kept; the assessor's counts.
type Apart struct {
	Test, Component    string
	Assessed, Measured Grade
	Scale              Scale
}

// halfGrade is as far as two grades may lie apart before it is said: two good
// assessors differ by as much (common practice).
const halfGrade = 1

// Apart lists the components whose two grades lie more than half a grade apart,
// in the method's order. Grades of two scales are never compared.
func (t Test) Apart() []Apart {
	m, _ := lookUp(t.Method)
	var out []Apart
	for _, c := range m.Components {
		by, graded := t.Grades[c.Key]
		is, measured := t.Measured[c.Key]
		if graded && measured && is.Scale == c.Scale && max(by-is.Grade, is.Grade-by) > halfGrade {
			out = append(out, Apart{t.ID, c.Key, by, is.Grade, c.Scale})
		}
	}
	return out
}

// String is "change of F7: the assessor says 4, the instrument 2-3: more than
// half a grade apart, and the assessor's counts".
func (a Apart) String() string {
	what := a.Component
	if a.Test != "" {
		what += " of " + a.Test
	}
	return fmt.Sprintf("%s: the assessor says %s, the instrument %s: more than half a grade apart, and the assessor's counts",
		what, a.Scale.Text(a.Assessed), a.Scale.Text(a.Measured))
}
