package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Recorded says what was taken, what is left, what differs, what to mind, what
// comes next, and how to take it back.
func (s *Sheet) Recorded(r *dyelotv1.RecordStageResponse) {
	rec := r.GetRecord()
	s.shout(r.GetShortages())
	s.warn(0, r.GetWarnings())
	s.record(rec, rec.GetKind())
	for _, p := range r.GetParcels() {
		s.Line("left: %s", leftWords(p))
	}
	if r.GetNext() != "" {
		s.Para(0, "next: %s", r.GetNext())
	} else {
		s.Line("next: nothing, all stages are done")
	}
	s.Line("to take this back: dyelot stage undo %s --reason \"…\"", rec.GetCode())
}

func leftWords(p *dyelotv1.Parcel) string {
	words := fmt.Sprintf("%s of %s", amount(p.GetOnHand()), named(p.GetItemName(), p.GetCode()))
	if some(p.GetPromised()) {
		words += fmt.Sprintf(", %s of it promised", amount(p.GetPromised()))
	}
	return words
}

// Skipped confirms that a stage was left out.
func (s *Sheet) Skipped(r *dyelotv1.SkipStageResponse) {
	rec := r.GetRecord()
	s.Para(0, "%s: %s of %s was left out: %s", rec.GetCode(), rec.GetKind(), strings.Join(rec.GetLotCodes(), ", "), or(rec.GetReason()))
	s.Line("to take this back: dyelot stage undo %s --reason \"…\"", rec.GetCode())
}

// Undone confirms that a record was taken back.
func (s *Sheet) Undone(r *dyelotv1.UndoStageResponse) {
	s.warn(0, r.GetWarnings())
	s.Para(0, "%s is taken back: %s. The record stays, marked.", r.GetRecord().GetCode(), or(r.GetRecord().GetUndoneReason()))
	for _, l := range r.GetMovement().GetLegs() {
		s.Line("  %s back to %s", amount(l.GetAmount()), l.GetParcelCode())
	}
}

// record writes one stage record whole.
func (s *Sheet) record(rec *dyelotv1.StageRecord, kind string) {
	s.Title("%d %s, %s: %s", rec.GetPosition(), joined("", kind, addition(rec)), strings.Join(rec.GetLotCodes(), ", "), s.doneLine(rec))
	s.looked(2, rec)
	for _, u := range rec.GetUsed() {
		s.used(u)
		s.falls(4, rec.GetShares(), u.GetItemCode())
	}
	if as := asRead(rec); as != "" {
		s.Line("  as read: %s", as)
	}
	s.dips(2, rec)
	s.liquor(2, rec)
	for _, d := range rec.GetDeviations() {
		if d.GetKey() != "addition" { // the whole record is one
			s.hang(mind, "  differs: ", deviation(d))
		}
	}
	if rec.GetOverrideBy() != "" {
		s.hang(mind, "  overridden by ", rec.GetOverrideBy()+": "+or(rec.GetOverrideReason()))
	}
	if rec.GetNote() != "" {
		s.hang(plain, "  note: ", rec.GetNote())
	}
}

// doneLine: "S2, done 2026-05-14 09:30 by dyer-1 in tub-60".
func (s *Sheet) doneLine(rec *dyelotv1.StageRecord) string {
	what := "done"
	if rec.GetSkipped() {
		what = "LEFT OUT"
	}
	line := fmt.Sprintf("%s, %s %s", rec.GetCode(), what, s.when(rec.GetHappenedAt()))
	line += prefixed(" by ", rec.GetBy()) + prefixed(" in ", rec.GetVesselCode()) + usedAgain(rec) + prefixed(", corrects ", rec.GetCorrects())
	if rec.GetSkipped() {
		line += prefixed(", because ", rec.GetReason())
	}
	if rec.GetUndone() {
		line += ", TAKEN BACK" + prefixed(": ", rec.GetUndoneReason()) + prefixed("; put right by ", rec.GetCorrectedBy())
	}
	return line
}

// used: "162 g of alum (P9), 15 % WOF". Of a liquor of unknown strength no % WOF
// can be said.
func (s *Sheet) used(u *dyelotv1.Used) {
	text := fmt.Sprintf("%s of %s", amount(u.GetAmount()), named(u.GetItemName(), u.GetParcelCode()))
	switch {
	case u.GetWofPercent() != "":
		text += ", " + percent(u.GetWofPercent()) + " WOF"
	case liquid(u.GetAmount()):
		text += ", " + unknownStrength
	}
	s.hang(plain, "  ", text)
	if some(u.GetFound()) {
		s.hang(mind, "    found: ", fmt.Sprintf("the book held %s less than was weighed out; it is set right", amount(u.GetFound())))
	}
}

func asRead(rec *dyelotv1.StageRecord) string {
	var parts []string
	if some(rec.GetBathVolume()) {
		parts = append(parts, litres(rec.GetBathVolume()))
	}
	if rec.GetCelsius() != 0 {
		parts = append(parts, fmt.Sprintf("%d °C", rec.GetCelsius()))
	}
	if rec.GetMinutes() != 0 {
		parts = append(parts, minutes(rec.GetMinutes()))
	}
	if rec.GetPh() != "" {
		parts = append(parts, "pH "+rec.GetPh())
	}
	return strings.Join(parts, ", ")
}

func deviation(d *dyelotv1.Deviation) string {
	text := d.GetText()
	if text == "" {
		text = fmt.Sprintf("%s planned %s, was %s", d.GetKey(), or(d.GetPlanned()), or(d.GetActual()))
	}
	return text + prefixed(", because ", d.GetReason())
}
