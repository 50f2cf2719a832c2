package paper

import (
	"fmt"
	"strconv"

	"dyelot/inventory/depth"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

// DipsRecorded confirms a series of test dips, and says what would make its
// strength the parcel's.
func (s *Sheet) DipsRecorded(r *dyelotv1.RecordTestDipsResponse) {
	d := r.GetDips()
	s.testDips(d)
	switch {
	case d.GetSetPercent() != "":
		s.Title("%s now stands at %s; doses planned from now on go by it", d.GetParcelCode(), percent(d.GetSetPercent()))
	case d.GetStrength().GetRefused() == "":
		s.Para(0, "Not set: doses do not go by it yet. To set it: dyelot stock strength %s %s%% --basis \"test dips %s\"", d.GetParcelCode(), d.GetStrength().GetParcelPercent(), d.GetCode())
	}
}

// Dips shows a series.
func (s *Sheet) Dips(r *dyelotv1.GetTestDipsResponse) {
	s.testDips(r.GetDips())
	if set := r.GetDips().GetSetPercent(); set != "" {
		s.Line("set as the strength of %s then: %s", r.GetDips().GetParcelCode(), percent(set))
	}
}

func (s *Sheet) testDips(d *dyelotv1.TestDips) {
	st := d.GetStrength()
	how := bold
	if st.GetRefused() != "" {
		how = mind
	}
	s.hang(how, d.GetCode()+"  ", st.GetText())
	indent := len(d.GetCode()) + 2
	s.Para(indent, "%s on %s%s, by %s, %s", named(d.GetItemName(), d.GetParcelCode()), d.GetFibre(), prefixed(" after ", d.GetMordant()), or(d.GetBy()), s.day(d.GetHappenedAt()))
	if d.GetNote() != "" {
		s.Para(indent, "note: %s", d.GetNote())
	}
	s.Gap()
	heads, sampled := []string{"of", ">% WOF", ">K/S", "sample"}, false
	var rows [][]string
	for _, side := range []struct {
		who  string
		dips []*dyelotv1.TestDip
	}{{d.GetParcelCode(), d.GetDips()}, {reference(d), d.GetReferenceDips()}} {
		for _, dip := range side.dips {
			sampled = sampled || dip.GetFile().GetSample() != ""
			rows = append(rows, []string{side.who, bare(dip.GetPercentWof()), fmt.Sprintf("%.3f", dip.GetKs()), dip.GetFile().GetSample()})
		}
	}
	if !sampled {
		heads = heads[:3]
		for i := range rows {
			rows[i] = rows[i][:3]
		}
	}
	s.Table(heads, rows)
	s.Para(0, "K/S at %.0f nm over undyed cloth; %% WOF of air-dry fibre.", d.GetWavelengthNm())
	if st.GetPercent() != "" && d.GetStrength().GetReferenceStrengthPercent() != "" {
		s.Para(0, "%s itself stood at %s: against full strength %s is %s.", reference(d), percent(st.GetReferenceStrengthPercent()), d.GetParcelCode(), percent(st.GetParcelPercent()))
	}
	if st.GetFirstGuessPercent() != "" {
		s.Para(0, "At %s %% WOF of both, K/S alone would say %s: a first guess, and no strength.", bare(st.GetFirstGuessPercentWof()), percent(st.GetFirstGuessPercent()))
	}
	s.warn(0, st.GetWarnings())
}

func reference(d *dyelotv1.TestDips) string {
	return otherwise(d.GetReferenceParcelCode(), d.GetReference())
}

// bare is a decimal without its sign, as a dose is written in a column.
func bare(text string) string { return otherwise(text, nothing) }

// DipsList lists series of test dips.
func (s *Sheet) DipsList(r *dyelotv1.ListTestDipsResponse) {
	if len(r.GetDips()) == 0 {
		s.Line("no test dips; record some with: dyelot dips record PARCEL")
		return
	}
	var rows [][]string
	for _, d := range r.GetDips() {
		said := percent(d.GetStrength().GetPercent())
		if between := d.GetStrength(); between.GetLowPercent() != "" {
			said += fmt.Sprintf(" (%s to %s)", dose(between.GetLowPercent()), dose(between.GetHighPercent()))
		}
		if d.GetStrength().GetRefused() != "" {
			said = "no number"
		}
		rows = append(rows, []string{d.GetCode(), d.GetParcelCode(), d.GetItemName(), reference(d), said, percent(d.GetSetPercent()), s.day(d.GetHappenedAt())})
	}
	s.Table([]string{"dips", "parcel", "item", "against", "strength", "set", "on"}, rows)
	if r.GetNextPageToken() != "" {
		s.Line("there are more")
	}
}

// dose writes % WOF with the digits that a dye bath can use.
func dose(text string) string {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return or(text)
	}
	return depth.Dose(v)
}
