package swatch

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
)

// Grade is one component of one test of a swatch.
type Grade struct {
	Page      string // the page's code, "T12"
	Method    string
	Edition   string
	Variant   string
	Component string
	Kind      string // the kind of test that the component answers
	Scale     fastness.Scale
	Grade     fastness.Grade
	Assessor  string
	Evidence  string
	Tested    time.Time
}

// Text is the grade as it is written on its scale.
func (g Grade) Text() string { return g.Scale.Text(g.Grade) }

// Grades reads what one test of a swatch found. What a fastness test of a lot
// may not be, that of a swatch may not either (see fastness.Test.Validate), and
// somebody must have judged it.
func Grades(page string, t fastness.Test, assessor, evidence string) ([]Grade, error) {
	t.Subject = fastness.Subject{Scope: fastness.EachRecipe, Code: page} // a trial; it is evidence for no lot
	if err := t.Validate(); err != nil {
		return nil, err
	}
	if strings.TrimSpace(assessor) == "" {
		return nil, fault.BadField("assessor", "is needed: who judged it")
	}
	m, err := fastness.MethodOf(t.Method)
	if err != nil {
		return nil, err
	}
	var grades []Grade
	for _, c := range m.Components {
		if g, graded := t.Grades[c.Key]; graded {
			grades = append(grades, Grade{page, t.Method, t.Edition, t.Variant, c.Key, c.Kind, c.Scale, g, assessor, evidence, t.Date})
		}
	}
	return grades, nil
}

// Expected is what like swatches had in one kind of test, on one scale.
type Expected struct {
	Kind   fastness.Kind
	Scale  fastness.Scale
	Grades []Grade // the worst first
}

// Expect sorts the grades of like swatches by kind and scale, in the order of
// fastness.Kinds. It is what to expect, and never a lot's own grade.
func Expect(grades []Grade) []Expected {
	var all []Expected
	for _, k := range fastness.Kinds() {
		for _, s := range k.Scales {
			e := Expected{Kind: k, Scale: s}
			for _, g := range grades {
				if g.Kind == k.Key && g.Scale == s {
					e.Grades = append(e.Grades, g)
				}
			}
			if len(e.Grades) > 0 {
				slices.SortStableFunc(e.Grades, func(a, b Grade) int { return cmp.Compare(a.Grade, b.Grade) })
				all = append(all, e)
			}
		}
	}
	return all
}

// Worst is the lowest grade.
func (e Expected) Worst() fastness.Grade { return e.Grades[0].Grade }

// Middle is the lower median: the grade that at least half of them reached.
func (e Expected) Middle() fastness.Grade { return e.Grades[(len(e.Grades)-1)/2].Grade }

// String is "expect 3-4 from T12 (studio-window)", or of several "expect 3 at
// worst, 3-4 in the middle: 3 from T2 (…), 3-4 from T12 (…)".
func (e Expected) String() string {
	var each []string
	for _, g := range e.Grades {
		each = append(each, g.Text()+" from "+g.Page+" ("+g.Method+componentWord(g)+")")
	}
	if len(each) == 1 {
		return "expect " + each[0]
	}
	return "expect " + e.Scale.Text(e.Worst()) + " at worst, " + e.Scale.Text(e.Middle()) + " in the middle: " + strings.Join(each, ", ")
}

// componentWord names the strip that was stained, where there are several.
func componentWord(g Grade) string {
	if i := strings.Index(g.Component, "stain-"); i >= 0 {
		return ", on " + g.Component[i+len("stain-"):]
	}
	return ""
}
