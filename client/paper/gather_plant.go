package paper

import (
	"strconv"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

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
