package paper

import (
	"encoding/csv"
	"fmt"
	"io"
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
