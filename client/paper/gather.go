package paper

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Gather is the list of what to gather: a line each, week by week, then what was
// missed with what can stand in.
func (s *Sheet) Gather(r *dyelotv1.GetGatherListResponse, why bool) {
	known := 0
	for _, l := range r.GetLines() {
		if l.GetState() == "missed" && l.GetNote() == nil {
			continue
		}
		known++
		s.gatherLine(gatherLead(l, r.GetToday()), l, why)
	}
	if known == 0 {
		s.Para(0, "Nothing to gather until %s: no open run and no collection lacks a plant whose weeks are then.", r.GetTo())
	}
	if r.GetLater() > 0 {
		s.Para(0, "%s after %s; --weeks looks further.", counted(r.GetLater(), "plant is due", "plants are due"), r.GetTo())
	}
	var instead []*dyelotv1.ColourwayStandIns
	missed := false
	for _, l := range r.GetLines() {
		if l.GetState() == "missed" && l.GetNote() == nil {
			s.Gap()
			s.missedLine(l, why)
			missed, instead = true, append(instead, l.GetStandIns()...)
		}
	}
	s.standInFoot(instead)
	if missed {
		s.Gap()
		s.Para(0, "To give a plant's year up: dyelot gather missed PLANT --reason \"…\" --stand-in SWATCH")
	}
	if len(r.GetLines()) > 0 {
		s.gatherFoot(r.GetCautions(), why)
	}
}

// gatherLead is "this week: ", "week of 6 July: ".
func gatherLead(l *dyelotv1.GatherLine, today string) string {
	switch monday, err := time.Parse(time.DateOnly, l.GetWeek()); {
	case l.GetNote() != nil:
		return "given up: "
	case err != nil:
		return "no weeks known: "
	case l.GetWeek() <= today:
		return "this week: "
	default:
		return "week of " + dayWords(monday, today) + ": "
	}
}

// dayWords is "6 July", with the year where it is another.
func dayWords(day time.Time, today string) string {
	if strings.HasPrefix(today, day.Format("2006")) {
		return day.Format("2 January")
	}
	return day.Format("2 January 2006")
}

func (s *Sheet) gatherLine(lead string, l *dyelotv1.GatherLine, why bool) {
	s.hang(bold, lead, l.GetText())
	var of []string
	for _, f := range l.GetFor() {
		of = append(of, f.GetText())
	}
	s.hang(plain, "  for ", strings.Join(of, "; "))
	if low, high := l.GetPickingsLow(), l.GetPickingsHigh(); high > 0 && l.GetState() != "missed" {
		text := counted(high, "picking", "pickings")
		if low != high {
			text = fmt.Sprintf("%d to %s", low, text)
		}
		s.Para(2, "%s there, by what it gave", text)
	}
	if n := l.GetNote(); n != nil {
		s.noted("  ", n)
	}
	if l.GetSupplier() != "" {
		s.Para(2, "or buy it from %s", l.GetSupplier())
	}
	s.why(l, why)
}

func (s *Sheet) why(l *dyelotv1.GatherLine, why bool) {
	if !why {
		return
	}
	for _, w := range l.GetWhy() {
		s.hang(plain, "    why: ", w)
	}
}

func (s *Sheet) missedLine(l *dyelotv1.GatherLine, why bool) {
	s.hang(loud, "", l.GetText())
	for _, f := range l.GetFor() {
		s.hang(plain, "  hits ", f.GetText())
	}
	if l.GetSupplier() != "" {
		s.Para(2, "or buy it from %s", l.GetSupplier())
	}
	s.why(l, why)
	for _, c := range l.GetStandIns() {
		s.standIns("  ", c)
	}
}

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

// gatherFoot: the cautions come with every list; where figures are from is said
// with the arithmetic.
func (s *Sheet) gatherFoot(cautions []*dyelotv1.Caution, why bool) {
	s.Gap()
	if why {
		s.Para(0, "Fresh is as it comes in; dry is as it hangs on the shelf. Weeks are a guide: the year decides.")
	}
	var texts []string
	for _, c := range cautions {
		texts = append(texts, c.GetText())
	}
	s.hang(mind, "! ", strings.Join(texts, " "))
}

// PlantYear shows a plant's weeks and the own log of it.
func (s *Sheet) PlantYear(r *dyelotv1.GetPlantYearResponse) {
	var instead []*dyelotv1.ColourwayStandIns
	for i, p := range r.GetParts() {
		if i > 0 {
			s.Gap()
		}
		s.plantPart(r.GetPlant(), p)
		for _, l := range p.GetLines() {
			instead = append(instead, l.GetStandIns()...)
		}
	}
	s.standInFoot(instead)
	s.gatherFoot(r.GetCautions(), false)
}

func (s *Sheet) plantPart(plant string, p *dyelotv1.PlantPart) {
	w := p.GetWeeks()
	name := joined(", ", plant, p.GetPart())
	switch {
	case w.GetKnown():
		s.Title("%s: %s, %s", name, w.GetText(), w.GetStateText())
		s.Para(2, "weeks: %s", w.GetSource())
	case w.GetBought():
		s.Title("%s: bought, not gathered", name)
	default:
		s.Title("%s: nobody knows its weeks; log each harvest", name)
	}
	if w.GetOwn() && w.GetTableText() != "" {
		s.Para(2, "the table: %s", w.GetTableText())
	}
	if !w.GetBought() {
		s.Para(2, "fresh to dry: %s", p.GetRatio().GetText())
	}
	for _, y := range p.GetPlaces() {
		s.hang(plain, "  place: ", y.GetText()+", last "+y.GetLastPickedOn())
	}
	s.ownHarvests(p.GetYears())
	for _, l := range p.GetLines() {
		if l.GetState() == "missed" && l.GetNote() == nil {
			s.missedLine(l, false)
		} else {
			s.gatherLine("  ", l, false)
		}
	}
	for _, n := range p.GetMissed() {
		s.noted("  ", n)
	}
}

func (s *Sheet) ownHarvests(years []*dyelotv1.PlantHarvestYear) {
	var rows [][]string
	for _, y := range years {
		for _, h := range y.GetHarvests() {
			ratio := ""
			if h.GetRatio() != "" {
				ratio = h.GetRatio() + " : 1"
			}
			dry := amount(h.GetDry())
			if !some(h.GetDry()) {
				dry = "damp"
			}
			rows = append(rows, []string{h.GetPickedOn(), h.GetParcelCode(), amount(h.GetFresh()), dry, ratio, h.GetPlace()})
		}
		if len(y.GetHarvests()) > 1 {
			rows = append(rows, []string{strconv.Itoa(int(y.GetYear())), "sum", amount(y.GetFresh()), amount(y.GetDry()), "", ""})
		}
	}
	if len(rows) > 0 {
		s.Table([]string{"picked", "parcel", ">fresh", ">dry", ">ratio", "place"}, rows)
	}
}

func (s *Sheet) noted(indent string, n *dyelotv1.MissedNote) {
	instead := ""
	if code := otherwise(n.GetSwatchCode(), n.GetColourwayCode()); code != "" {
		instead = "; " + code + " stands in"
	}
	s.hang(plain, indent, fmt.Sprintf("%d given up by %s on %s: %s%s", n.GetYear(), n.GetBy(), s.day(n.GetRecordedAt()), n.GetReason(), instead))
}

// MissedNoted confirms a note.
func (s *Sheet) MissedNoted(r *dyelotv1.NoteMissedResponse) {
	n := r.GetNote()
	s.Title("Noted: %s", joined(", ", n.GetPlant(), n.GetPart()))
	s.noted("  ", n)
	s.Para(2, "dyelot today is silent about it from now on")
	s.warn(0, r.GetWarnings())
}

var gatherColumns = []string{"state", "week", "item", "plant", "part", "opens", "closes", "unit", "dry", "fresh_low", "fresh_high", "ratio", "place", "pickings_low", "pickings_high", "for", "text"}

// GatherCSV writes the list as a table for a spreadsheet: RFC 4180, masses in
// grams and exact.
func GatherCSV(w io.Writer, r *dyelotv1.GetGatherListResponse) error {
	out := csv.NewWriter(w)
	if err := out.Write(gatherColumns); err != nil {
		return err
	}
	for _, l := range r.GetLines() {
		var of []string
		for _, f := range l.GetFor() {
			of = append(of, f.GetText())
		}
		state := l.GetState()
		if l.GetNote() != nil {
			state = "given-up"
		}
		if err := out.Write([]string{state, l.GetWeek(), inert(l.GetItemCode()), inert(l.GetPlant()), inert(l.GetPart()), l.GetOpens(), l.GetCloses(), inert(l.GetDry().GetUnit()),
			l.GetDry().GetValue(), l.GetFreshLow().GetValue(), l.GetFreshHigh().GetValue(), l.GetRatio().GetRatio(), inert(l.GetPlace().GetPlace()),
			strconv.Itoa(int(l.GetPickingsLow())), strconv.Itoa(int(l.GetPickingsHigh())), inert(strings.Join(of, "; ")), inert(l.GetText())}); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
