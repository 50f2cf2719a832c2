package paper

import (
	"fmt"
	"slices"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// standIns is what may stand in for one colourway.
func (s *Sheet) standIns(indent string, c *dyelotv1.ColourwayStandIns) {
	head := fmt.Sprintf("instead for %s, near %s on %s", c.GetColourwayCode(), c.GetStandardCode(), c.GetFibre())
	if c.GetFibreMass() != nil {
		head += ", " + amount(c.GetFibreMass()) + " air-dry"
	}
	s.hang(bold, indent, head)
	if c.GetNoneText() != "" {
		s.hang(plain, indent+"  ", "none: "+c.GetNoneText())
	}
	for _, one := range c.GetStandIns() {
		w := one.GetSwatch()
		lead := indent + "  " + fmt.Sprintf("%-4s ", w.GetCode())
		under := strings.Repeat(" ", len(lead))
		s.hang(plain, lead, one.GetDifference()+" away: "+w.GetText())
		s.hang(plain, under, one.GetWayText())
		for _, e := range one.GetExpected() {
			s.hang(plain, under, e.GetTitle()+": "+e.GetText())
		}
	}
	if n := c.GetPassedOver(); n > 0 && c.GetNoneText() == "" {
		s.Para(len(indent)+2, "%s passed over: nobody can have the plant now", counted(n, "nearer page was", "nearer pages were"))
	}
}

// StandIns lists what may stand in, colourway by colourway.
func (s *Sheet) StandIns(r *dyelotv1.ListStandInsResponse) {
	if len(r.GetColourways()) == 0 {
		s.Line("No colourway has that plant in its recipe.")
		return
	}
	for i, c := range r.GetColourways() {
		if i > 0 {
			s.Gap()
		}
		s.standIns("", c)
	}
	s.standInFoot(r.GetColourways())
}

// standInFoot says what the differences and the grades are.
func (s *Sheet) standInFoot(all []*dyelotv1.ColourwayStandIns) {
	var views []string
	graded := false
	for _, c := range all {
		for _, one := range c.GetStandIns() {
			if view := light(c.GetColour()); !slices.Contains(views, view) {
				views = append(views, view)
			}
			graded = graded || len(one.GetExpected()) > 0
		}
	}
	if len(views) > 0 {
		s.Gap()
		s.Para(0, "Differences are CIEDE2000 for %s. %% WOF is on air-dry fibre.", strings.Join(views, " and for "))
	}
	if graded {
		s.Para(0, neverTheLots)
	}
}
