package fastness

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Graded is one component grade that counts for one row.
type Graded struct {
	Test      string // the test's id
	Subject   Subject
	Component string
	Part      string // the part of the kind it answers, "" where there is but one
	Grade     Grade
	Date      time.Time
	Known     time.Time // when the studio knew of it
	Measured  bool      // computed from two colours, since no assessor gave one
}

// SetAside is a test of the right kind that does not count for a row, and why.
type SetAside struct {
	Test string
	Why  string
}

// find gathers what the tests say to one row, without deciding on it.
func find(lot Lot, row Row, tests []Test) Finding {
	f := Finding{Row: row}
	needs := subjectsFor(lot, row.Scope)
	for _, t := range tests {
		asked := t.answers(row)
		if len(asked) == 0 {
			continue
		}
		if why := asideBecause(lot, row, needs, t, asked[0].Scale); why != "" {
			f.SetAside = append(f.SetAside, SetAside{t.ID, why})
			continue
		}
		for _, c := range asked {
			g, measured, _ := t.Counting(c) // answers took only what is graded
			f.Graded = append(f.Graded, Graded{t.ID, t.Subject, c.Key, c.Part, g, t.Date, t.known(), measured})
		}
	}
	f.Apart = apartOf(f.Graded, tests)
	f.Missing = stillMissing(lot, row, needs, f.Graded)
	slices.SortFunc(f.Graded, worstFirst)
	slices.SortFunc(f.SetAside, func(a, b SetAside) int {
		return cmp.Or(cmp.Compare(a.Test, b.Test), cmp.Compare(a.Why, b.Why))
	})
	return f
}

// answers lists the components the test graded that the row asks about. Those of
// one kind share one scale within a method.
func (t Test) answers(row Row) []Component {
	var asked []Component
	m, _ := lookUp(t.Method)
	for _, c := range m.Components {
		if _, _, graded := t.Counting(c); graded && row.asks(c) {
			asked = append(asked, c)
		}
	}
	return asked
}

// apartOf lists the disagreements behind grades that count.
func apartOf(graded []Graded, tests []Test) []Apart {
	var all []Apart
	for _, t := range tests {
		for _, a := range t.Apart() {
			if slices.ContainsFunc(graded, func(g Graded) bool { return g.Test == a.Test && g.Component == a.Component }) {
				all = append(all, a)
			}
		}
	}
	return all
}

// subjectsFor lists what must each have been tested for a row of this scope. A
// lot without a harvest or recipe of its own can only be tested itself.
func subjectsFor(lot Lot, scope Scope) []Subject {
	var needs []Subject
	switch scope {
	case EachHarvest:
		for _, h := range lot.Harvests {
			if s := (Subject{EachHarvest, h}); !slices.Contains(needs, s) {
				needs = append(needs, s)
			}
		}
	case EachRecipe:
		if lot.Recipe != "" {
			needs = []Subject{{EachRecipe, lot.Recipe}}
		}
	}
	if len(needs) == 0 {
		needs = []Subject{{EachLot, lot.Code}}
	}
	return needs
}

// asideBecause says why a test does not count for a row, or "". A test of the lot
// itself counts for every scope: no trial of a harvest knows this lot better.
func asideBecause(lot Lot, row Row, needs []Subject, t Test, scale Scale) string {
	own := Subject{EachLot, lot.Code}
	switch {
	case t.Withdrawn != "":
		return "withdrawn: " + t.Withdrawn
	case t.Subject != own && !slices.Contains(needs, t.Subject):
		return fmt.Sprintf("of %s; the row asks for a test of %s", t.Subject, joinSubjects(needs))
	case scale != row.Scale:
		return fmt.Sprintf("graded on %s; the row is on %s, and the two are not compared", scale.Title(), row.Scale.Title())
	case !row.takes(t.Method):
		return fmt.Sprintf("by %s; the row takes %s", t.Method, strings.Join(row.Methods, ", "))
	}
	return ""
}

// stillMissing names each part of each subject that no counting test has graded.
func stillMissing(lot Lot, row Row, needs []Subject, graded []Graded) []string {
	own := Subject{EachLot, lot.Code}
	var missing []string
	for _, need := range needs {
		for _, part := range row.parts() {
			if slices.ContainsFunc(graded, func(g Graded) bool {
				return g.Part == part && (g.Subject == need || g.Subject == own)
			}) {
				continue
			}
			if part == "" {
				missing = append(missing, need.String())
			} else {
				missing = append(missing, part+", "+need.String())
			}
		}
	}
	return missing
}

func joinSubjects(subjects []Subject) string {
	var out []string
	for _, s := range subjects {
		out = append(out, s.String())
	}
	return strings.Join(out, " and ")
}

// worstFirst puts the worst grade first; of equal ones the latest, then by id and
// component, so that the same tests always name the same deciding one.
func worstFirst(a, b Graded) int {
	return cmp.Or(
		cmp.Compare(a.Grade, b.Grade),
		b.Date.Compare(a.Date),
		cmp.Compare(a.Test, b.Test),
		cmp.Compare(a.Component, b.Component),
	)
}
