package paper

import (
	"fmt"

	"dyelot/inventory/depth"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// DoseProposed says the dose that reaches a depth in one line, what to mind of
// it, and where it is asked for, why.
func (s *Sheet) DoseProposed(r *dyelotv1.ProposeDoseResponse, why bool) {
	s.Title("%s", r.GetText())
	var minds []*dyelotv1.Warning
	for _, w := range r.GetWarnings() {
		if why || w.GetKey() != "depth-only" {
			minds = append(minds, w)
		}
	}
	s.warn(0, minds)
	if n := len(r.GetPassedOver()); n > 0 && !why {
		s.Para(0, "%d more %s passed over; which, and how this was found: --why", n, wasWere(n))
	}
	if !why {
		return
	}
	s.Gap()
	s.Para(0, "To reach K/S %s at %.0f nm%s, on %s after %s: %s.", depth.Number(r.GetTargetKs()), r.GetWavelengthNm(), prefixed(" over ", r.GetGround()), r.GetFibre(), r.GetMordant(), r.GetTarget())
	s.Para(0, "In brackets: the doses that a new swatch of that depth would come from, 19 times of 20.")
	s.Gap()
	s.depthCurves(r)
	s.Gap()
	s.depthSwatches(r)
	for _, p := range r.GetPassedOver() {
		s.hang(plain, "passed over  ", p.GetCode()+": "+p.GetWhy())
	}
	s.Para(0, "Nothing was applied.")
}

func wasWere(n int) string {
	if n == 1 {
		return "swatch was"
	}
	return "swatches were"
}

func (s *Sheet) depthCurves(r *dyelotv1.ProposeDoseResponse) {
	var rows [][]string
	for _, c := range r.GetCurves() {
		state := c.GetUnfit()
		if c.GetChosen() {
			state = "taken"
		}
		rows = append(rows, []string{c.GetForm(), c.GetEquation(), depth.Number(c.GetLeftOutError()), state})
	}
	s.Table([]string{"curve", "w in % WOF", ">left-out error", "to know"}, rows)
	s.Para(0, "The left-out error is by how much K/S the curve misses a swatch when it is laid through all the others; the smallest is taken.")
}

func (s *Sheet) depthSwatches(r *dyelotv1.ProposeDoseResponse) {
	strengths := false
	for _, one := range r.GetSwatches() {
		strengths = strengths || one.GetStrengthPercent() != ""
	}
	heads := []string{"swatch", ">% WOF", ">K/S", ">by the curve", "of", "dyed"}
	if strengths {
		heads = []string{"swatch", ">% WOF", ">at full strength", ">K/S", ">by the curve", "of", "dyed"}
	}
	var rows [][]string
	for _, one := range r.GetSwatches() {
		of := or(one.GetParcelCode())
		if one.GetStrengthPercent() != "" {
			of += ", " + percent(one.GetStrengthPercent())
		}
		row := []string{one.GetCode(), dose(one.GetPercentWof())}
		if strengths {
			row = append(row, dose(one.GetAtFullStrength()))
		}
		rows = append(rows, append(row, fmt.Sprintf("%.2f", one.GetKs()), fmt.Sprintf("%.2f", one.GetCurveKs()), of, one.GetDyedOn()))
	}
	s.Table(heads, rows)
}
