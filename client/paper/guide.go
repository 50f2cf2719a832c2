package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Amount is an amount as the sheets show it, for a question.
func Amount(a *dyelotv1.Amount) string { return amount(a) }

// HasBath is true of a stage with a liquor, so with a vessel.
func HasBath(st *dyelotv1.PlannedStage) bool { return some(st.GetBathVolume()) }

// Waiting lists the lots that have a stage to come.
func (s *Sheet) Waiting(lots []*dyelotv1.Lot) {
	var rows [][]string
	for _, l := range lots {
		rows = append(rows, []string{l.GetCode(), l.GetColourwayCode(), l.GetVesselCode(), l.GetState()})
	}
	s.Table([]string{"lot", "colourway", "pot", "state"}, rows)
}

// AllDone says that no stage is left.
func (s *Sheet) AllDone(l *dyelotv1.Lot) {
	s.Para(0, "%s: every stage is recorded. It waits to be read and tested: dyelot verdict show %s", l.GetCode(), l.GetCode())
}

// spaced sets a word wide, to be read from the pot.
func spaced(word string) string {
	return strings.TrimSpace(strings.Join(strings.Split(strings.ToUpper(word), ""), " "))
}

// AtThePot is one stage on one screen, to be read at arm's length, with the
// poison centre's number.
func (s *Sheet) AtThePot(card *dyelotv1.GetBenchCardResponse, c *dyelotv1.CardStage, poisonCentre string) {
	st := c.GetStage()
	rule := strings.Repeat("=", min(s.width, columns))
	s.Gap()
	s.Line("%s", rule)
	s.Gap()
	s.emit(s.mark(bold, fmt.Sprintf("  %d   %s", st.GetPosition(), spaced(otherwise(st.GetKindName(), st.GetKind())))))
	s.Gap()
	s.hang(bold, "  ", lots(st, card.GetLot().GetCode())+": "+otherwise(card.GetColourwayName(), card.GetLot().GetColourwayCode()))
	s.Line("%s", rule)
	var big []string
	if HasBath(st) {
		big = append(big, litres(st.GetBathVolume()), amount(st.GetFibreMass())+" air-dry")
	}
	if st.GetCelsius() != 0 {
		big = append(big, fmt.Sprintf("%d °C", st.GetCelsius()))
	}
	if st.GetMinutes() != 0 {
		big = append(big, minutes(st.GetMinutes()))
	}
	if ph := acidity(st); ph != "" {
		big = append(big, ph)
	}
	if len(big) > 0 {
		s.hang(bold, "  ", strings.Join(big, ", "))
	}
	for _, b := range st.GetBrewed() {
		s.hang(plain, "  ", fmt.Sprintf("pour in this lot's share of the brew, what %s of %s gave", amount(b.GetAmount()), b.GetItemCode()))
	}
	if st.GetNote() != "" {
		s.hang(plain, "  note: ", st.GetNote())
	}
	s.hang(mind, "    ! ", "The supplier's safety sheet, local codes and licensed practice come first.")
	s.warn(4, c.GetWarnings())
	s.cautions(c.GetCautions())
	s.hang(mind, "    poison centre: ", otherwise(poisonCentre, "NOT SET, ask the owner for the number before you begin"))
	s.Para(4, "Where no source stands behind a caution, it is common practice.")
	s.Gap()
}
