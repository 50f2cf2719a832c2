package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Lots lists lots.
func (s *Sheet) Lots(r *dyelotv1.ListLotsResponse) {
	if len(r.GetLots()) == 0 {
		s.Line("No lot.")
		return
	}
	var rows [][]string
	for _, l := range r.GetLots() {
		rows = append(rows, []string{l.GetCode(), l.GetRunCode(), l.GetColourwayCode(), l.GetState(), l.GetVesselCode(), amount(l.GetFibreMass())})
	}
	s.Table([]string{"lot", "run", "colourway", "state", "pot", ">air-dry"}, rows)
}

// Lot shows one lot: its garments, its stages, what was recorded.
func (s *Sheet) Lot(r *dyelotv1.GetLotResponse) {
	s.lotHead(r.GetLot())
	s.garments(r.GetLot().GetGarments())
	s.afterwards(r.GetLot())
	s.before(r.GetLot())
	s.concerned(r.GetActions())
	for _, st := range r.GetStages() {
		s.Gap()
		if rec := st.GetRecord(); rec != nil {
			s.record(rec, otherwise(st.GetKindName(), st.GetKind()))
			for _, more := range st.GetAdditions() {
				s.record(more, otherwise(st.GetKindName(), st.GetKind()))
			}
			continue
		}
		s.bath(st)
		s.Line("  not done yet")
	}
}

func (s *Sheet) lotHead(l *dyelotv1.Lot) {
	s.Title("Lot %s, %s: %s", l.GetCode(), l.GetColourwayCode(), l.GetState())
	s.Para(0, "%s", joined("; ", prefixed("run ", l.GetRunCode()), prefixed("pot ", l.GetVesselCode()), l.GetFibre(),
		fmt.Sprintf("recipe %s version %d", l.GetRecipeCode(), l.GetRecipeVersion())))
	s.Para(0, "%s; bath %s", fibre(l), litres(l.GetBathVolume()))
}

// fibre is what every dose of a lot is reckoned on: its garments and its witness
// cloth. That there is none of it is worth reading: nothing can be tested then.
func fibre(l *dyelotv1.Lot) string {
	return fmt.Sprintf("%s air-dry: %s of garments and %s of witness cloth", amount(l.GetFibreMass()), amount(l.GetGarmentMass()), amount(l.GetWitnessMass()))
}

// afterwards says what became of a lot's garments since.
func (s *Sheet) afterwards(l *dyelotv1.Lot) {
	if l.GetShade() != "" {
		s.Para(0, "Put on the shelf part-done, meant for %s. What is open below is not done any more.", l.GetShade())
	}
	for _, g := range l.GetMovedOn() {
		s.Para(0, "%s was of it, and is of lot %s now: %s", g.GetTag(), g.GetLotCode(), g.GetPlace())
	}
	if l.GetIssued() {
		s.planned("", l.GetGarments())
	}
}

// Garments lists garments.
func (s *Sheet) Garments(r *dyelotv1.ListGarmentsResponse) {
	if len(r.GetGarments()) == 0 {
		s.Line("No garment.")
		return
	}
	s.garments(r.GetGarments())
}

func (s *Sheet) garments(gs []*dyelotv1.Garment) {
	if len(gs) == 0 {
		return
	}
	var rows [][]string
	sorted := false
	for _, g := range gs {
		rows = append(rows, []string{g.GetTag(), g.GetLotCode(), joined(" ", g.GetStyle(), g.GetSize()), amount(g.GetDryMass()), g.GetParcelCode(), g.GetPlace(), g.GetOrderRef()})
		sorted = sorted || g.GetShade() != ""
	}
	heads := []string{"tag", "lot", "style", ">air-dry", "blank from", "place", "order"}
	if sorted { // a column for those who sort by shade
		heads = append(heads, "shade group")
		for i, g := range gs {
			rows[i] = append(rows[i], or(g.GetShade()))
		}
	}
	s.Table(heads, rows)
}

// Issued confirms that a lot's blanks left the shelf.
func (s *Sheet) Issued(r *dyelotv1.IssueLotResponse) {
	l := r.GetLot()
	if r.GetMovement() == nil {
		s.Line("%s is issued: %s air-dry, all of it dyed or mordanted before", l.GetCode(), amount(l.GetFibreMass()))
	} else {
		s.Line("%s is issued: %s air-dry off the shelf (%s)", l.GetCode(), amount(l.GetFibreMass()), or(r.GetMovement().GetCode()))
	}
	for _, leg := range r.GetMovement().GetLegs() {
		s.Line("  %s of %s", amount(leg.GetAmount()), leg.GetParcelCode())
	}
	if tags := tagsOf(l.GetGarments()); tags != "" {
		s.Para(0, "tags: %s", tags)
	}
	s.Line("next: dyelot lot card %s", l.GetCode())
}

func tagsOf(gs []*dyelotv1.Garment) string {
	tags := make([]string, len(gs))
	for i, g := range gs {
		tags[i] = g.GetTag()
	}
	return strings.Join(tags, ", ")
}

// Sent confirms that garments left, with what every later view says too.
func (s *Sheet) Sent(r *dyelotv1.DispatchGarmentsResponse) {
	s.warn(0, r.GetWarnings())
	n := len(r.GetGarments())
	s.Line("%d %s sent", n, plural(n, "garment"))
	s.garments(r.GetGarments())
}

// TakenBack confirms a return.
func (s *Sheet) TakenBack(r *dyelotv1.TakeBackGarmentResponse) {
	g := r.GetGarment()
	s.Line("%s of lot %s is back", g.GetTag(), g.GetLotCode())
	s.Line("next: dyelot trace %s", g.GetTag())
	s.Line("to mend it: dyelot garment mend %s --text \"…\"", g.GetTag())
	s.Line("to dye it again: dyelot run plan COLOURWAY --garments %s --pots POT", g.GetTag())
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}
