package fastness

import (
	"fmt"
	"strings"
)

// Specimens are the grades of several specimens of one component of one subject,
// the worst first.
type Specimens struct {
	Row       Row
	Component string
	Graded    []Graded
}

// enough: as long as a run of passes says less than that 95 % of such cloth
// passes, the specimens are few. That takes 59.
const enough = 0.95

// Specimens groups what counts for the row where one component of one subject was
// graded more than once. A single specimen is the rule and is not listed.
func (f Finding) Specimens() []Specimens {
	type of struct {
		Subject
		component string
	}
	at := map[of]int{}
	var all []Specimens
	for _, g := range f.Graded {
		key := of{g.Subject, g.Component}
		i, there := at[key]
		if !there {
			i = len(all)
			at[key] = i
			all = append(all, Specimens{Row: f.Row, Component: g.Component})
		}
		all[i].Graded = append(all[i].Graded, g)
	}
	var several []Specimens
	for _, s := range all {
		if len(s.Graded) > 1 {
			several = append(several, s)
		}
	}
	return several
}

// Passing counts the specimens that reach the row's minimum.
func (s Specimens) Passing() int {
	n := 0
	for _, g := range s.Graded {
		if g.Grade >= s.Row.Minimum {
			n++
		}
	}
	return n
}

// String lists every one, then the worst and the lower median, and what so many
// passes can say: "light, 3 specimens, which is few: F4 3, F2 3-4, F3 4; worst 3,
// lower median 3-4; 3 of 3 reach 3, which says at 95 % only that at least 0.37 of
// such cloth does". There is no mean: grades are an order, not a measure.
func (s Specimens) String() string {
	var listed []string
	var grades []Grade
	for _, g := range s.Graded {
		word := g.Test + " " + s.Row.Scale.Text(g.Grade)
		if g.Measured {
			word += " (measured)"
		}
		listed, grades = append(listed, word), append(grades, g.Grade)
	}
	n, passing := len(grades), s.Passing()
	worst, _ := Worst(grades)        // never empty
	median, _ := LowerMedian(grades) // never empty
	bound, _ := AtLeastShare(n)      // at least 2
	few := ""
	if bound < enough {
		few = ", which is few"
	}
	of := s.Component
	if subject := s.Graded[0].Subject; subject.Scope != EachLot {
		of += " of " + subject.String()
	}
	say := fmt.Sprintf("%s, %d specimens%s: %s; worst %s, lower median %s; %d of %d %s %s", of, n, few, strings.Join(listed, ", "),
		s.Row.Scale.Text(worst), s.Row.Scale.Text(median), passing, n, reach(passing), s.Row.Scale.Text(s.Row.Minimum))
	if passing == n {
		say += fmt.Sprintf(", which says at 95 %% only that at least %.2f of such cloth does", bound)
	}
	return say
}

func reach(n int) string {
	if n == 1 {
		return "reaches"
	}
	return "reach"
}
