package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// rule parts the stages of a card, so that a wet finger finds its place.
var rule = strings.Repeat("=", columns)

// Card is the bench card of one lot: a large plain part for each stage, with
// what to weigh, how hot, how long, in which vessel, what to mind, and a box to
// tick. poisonCentre is the number to ring; a card without it says so.
func (s *Sheet) Card(r *dyelotv1.GetBenchCardResponse, poisonCentre string) {
	l := r.GetLot()
	s.Line("%s", rule[:s.width])
	s.Title("BENCH CARD, LOT %s, %s", l.GetCode(), named(r.GetColourwayName(), l.GetColourwayCode()))
	s.Line("%s", rule[:s.width])
	s.Para(0, "%s", joined("; ", prefixed("run ", l.GetRunCode()), fmt.Sprintf("recipe %s version %d", l.GetRecipeCode(), l.GetRecipeVersion()),
		prefixed("due ", r.GetRun().GetDueOn()), matched(r.GetRun())))
	n := len(l.GetGarments())
	s.Para(0, "%d %s of %s in %s", n, plural(n, "garment"), otherwise(l.GetFibre(), "cloth"), or(l.GetVesselCode()))
	s.Para(0, "fibre %s", fibre(l))
	if tags := tagsOf(l.GetGarments()); tags != "" {
		s.Para(0, "tags %s", tags)
	}
	if !l.GetIssued() {
		s.hang(loud, "", fmt.Sprintf("NOT ISSUED YET: first dyelot lot issue %s", l.GetCode()))
	}
	s.shout(r.GetRun().GetShortages())
	s.before(l)
	for _, iron := range r.GetIron() {
		s.ironSoFar(mind, "", iron)
	}
	s.Gap()
	s.Title("ALWAYS")
	s.cautions(r.GetGeneral())
	s.Para(2, "poison centre: %s", otherwise(poisonCentre, "NOT SET, ask the owner for the number before you begin"))
	s.Para(2, "Where no source stands behind a caution, it is common practice.")
	for _, st := range r.GetStages() {
		s.cardStage(st, l.GetCode(), r.GetNextPosition())
	}
	s.Line("%s", rule[:s.width])
}

func (s *Sheet) cardStage(c *dyelotv1.CardStage, lot string, next int32) {
	st := c.GetStage()
	s.Line("%s", rule[:s.width])
	head := fmt.Sprintf("%d %s", st.GetPosition(), strings.ToUpper(otherwise(st.GetKindName(), st.GetKind())))
	if st.GetShared() {
		head += ", one bath for " + strings.Join(st.GetLotCodes(), ", ")
	}
	if rec := st.GetRecord(); rec != nil {
		s.Title("%s", head)
		s.Para(4, "[x] %s", s.doneLine(rec))
		return
	}
	if st.GetPosition() == next {
		head += " (this comes next)"
	}
	s.Title("%s", head)
	if some(st.GetBathVolume()) {
		s.fact("vessel", otherwise(st.GetVesselCode(), "________________"))
		s.fact("bath", litres(st.GetBathVolume())+" for "+amount(st.GetFibreMass())+" of fibre, air-dry")
	}
	if st.GetCelsius() != 0 {
		s.fact("heat", fmt.Sprintf("%d °C", st.GetCelsius()))
	}
	if st.GetMinutes() != 0 {
		s.fact("time", minutes(st.GetMinutes()))
	}
	s.fact("acidity", acidity(st))
	for _, d := range st.GetDoses() {
		s.cardDose(st, d)
	}
	for _, b := range st.GetBrewed() {
		s.tick(fmt.Sprintf("pour in this lot's share of the brew, what %s of %s gave", amount(b.GetAmount()), b.GetItemCode()))
	}
	for _, b := range st.GetBrewedLiquor() {
		s.fact("brew", litres(b.GetAmount())+" of it, as it was measured and divided by fibre mass")
	}
	s.fact("note", st.GetNote())
	s.warn(4, c.GetWarnings())
	s.cautions(c.GetCautions())
	s.tick(fmt.Sprintf("done at ______ by ____________; then dyelot stage record %s %d", lots(st, lot), st.GetPosition()))
}

// lots are those to record together: all that share the bath, else the card's.
func lots(st *dyelotv1.PlannedStage, card string) string {
	if len(st.GetLotCodes()) > 0 {
		return strings.Join(st.GetLotCodes(), ",")
	}
	return card
}

func (s *Sheet) fact(name, text string) {
	if text != "" {
		s.hang(plain, fmt.Sprintf("    %-9s", name), text)
	}
}

func (s *Sheet) tick(text string) { s.hang(bold, "    [ ] ", text) }

// cardDose is one thing to weigh or measure, with a box for each parcel.
func (s *Sheet) cardDose(st *dyelotv1.PlannedStage, d *dyelotv1.PlannedDose) {
	name := named(d.GetItemName(), d.GetItemCode())
	about := " (" + joined(", ", d.GetAsked(), makes(d)) + ")"
	taken := d.GetPicks()
	switch {
	case len(taken) == 0:
		taken = []*dyelotv1.Taken{{ParcelCode: "________", Amount: d.GetAmount()}}
	case len(taken) > 1:
		s.hang(plain, "        ", fmt.Sprintf("%s of %s in all%s:", amount(d.GetAmount()), name, about))
		about = ""
	}
	for _, p := range taken {
		s.tick(fmt.Sprintf("%s of %s from %s%s", amount(p.GetAmount()), name, p.GetParcelCode(), about))
	}
	if some(d.GetShort()) {
		s.hang(loud, "        SHORT  ", fmt.Sprintf("%s of %s is not promised. Do not make do with less.", amount(d.GetShort()), name))
	}
	if d.GetNote() != "" {
		s.hang(plain, "        ", d.GetNote())
	}
	s.falls(8, st.GetShares(), d.GetItemCode())
}

func (s *Sheet) cautions(cs []*dyelotv1.Caution) {
	for _, c := range cs {
		text := c.GetText()
		if from := source(c.GetSource()); from != "" && from != usual {
			text += " (" + from + ")"
		}
		s.hang(mind, "    ! ", text)
	}
}
