package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Added says what was added, what is left, and how to keep it or take it back.
func (s *Sheet) Added(r *dyelotv1.AddToBathResponse) {
	rec := r.GetRecord()
	s.shout(r.GetShortages())
	s.warn(0, r.GetWarnings())
	s.record(rec, rec.GetKind())
	for _, p := range r.GetParcels() {
		s.Line("left: %s", leftWords(p))
	}
	for _, l := range rec.GetLotCodes()[:min(1, len(rec.GetLotCodes()))] {
		s.Para(0, "when it worked, as the next recipe version: dyelot recipe from-lot %s", l)
	}
	s.Line("to take this back: dyelot stage undo %s --reason \"…\"", rec.GetCode())
}

// addition marks a record that adds to another one.
func addition(rec *dyelotv1.StageRecord) string {
	return prefixed(", addition to ", rec.GetAdditionTo())
}

// looked: what was seen of a dried corner.
func (s *Sheet) looked(in int, rec *dyelotv1.StageRecord) {
	lead := strings.Repeat(" ", in)
	if rec.GetLookBefore() != "" {
		s.hang(plain, lead+"looked: ", rec.GetLookBefore())
	}
	if rec.GetLookAfter() != "" {
		s.hang(plain, lead+"looked again: ", rec.GetLookAfter())
	}
}

// usedAgain: " (B3, use 2)", for a bath that had been used before.
func usedAgain(rec *dyelotv1.StageRecord) string {
	if rec.GetBathUse() < 2 {
		return ""
	}
	return fmt.Sprintf(" (%s, use %d)", rec.GetBathCode(), rec.GetBathUse())
}

// dips counts dips and airings, by group of garments.
func (s *Sheet) dips(in int, rec *dyelotv1.StageRecord) {
	for _, d := range rec.GetDips() {
		who := "the whole lot"
		if len(d.GetTags()) > 0 {
			who = strings.Join(d.GetTags(), ", ")
		}
		s.Para(in, "%d %s, %d %s: %s", d.GetDips(), plural(int(d.GetDips()), "dip"), d.GetAirings(), plural(int(d.GetAirings()), "airing"), who)
	}
}

// liquor is how a measured brew was divided, and where its rest went.
func (s *Sheet) liquor(in int, rec *dyelotv1.StageRecord) {
	var parts []string
	for _, sh := range rec.GetLiquorShares() {
		parts = append(parts, litres(sh.GetAmount())+" to "+sh.GetLotCode())
	}
	if len(parts) > 0 {
		s.Para(in, "the brew by fibre mass: %s", strings.Join(parts, ", "))
	}
	if some(rec.GetLeftOver()) {
		s.Para(in, "left over: %s%s", litres(rec.GetLeftOver()), prefixed(", ", rec.GetLeftWent()))
	}
}

// VatSet says what went into a vat, with its cautions.
func (s *Sheet) VatSet(r *dyelotv1.SetVatResponse) {
	s.entryAnswer(r.GetBath(), r.GetEntry(), r.GetWarnings(), r.GetShortages(), r.GetParcels(), r.GetCautions())
	s.Para(0, "dip into it: dyelot stage record LOT vat-dip --bath %s --dips 3 --airings 3", r.GetBath().GetCode())
}

// BathLogged says what was written into a bath's diary, and what to mind.
func (s *Sheet) BathLogged(r *dyelotv1.LogBathResponse) {
	s.entryAnswer(r.GetBath(), r.GetEntry(), r.GetWarnings(), r.GetShortages(), r.GetParcels(), r.GetCautions())
}

func (s *Sheet) entryAnswer(b *dyelotv1.Bath, e *dyelotv1.BathEntry, ws []*dyelotv1.Warning, short []*dyelotv1.Shortage, left []*dyelotv1.Parcel, cs []*dyelotv1.Caution) {
	s.shout(short)
	s.warn(0, ws)
	s.bathHead(b)
	s.entry(e)
	for _, p := range left {
		s.Line("left: %s", leftWords(p))
	}
	s.cautions(cs)
	s.Line("to take this back: dyelot bath undo %s --reason \"…\"", e.GetCode())
}

// EntryUndone confirms that an entry of a diary was taken back.
func (s *Sheet) EntryUndone(r *dyelotv1.UndoBathEntryResponse) {
	s.Para(0, "%s is taken back: %s. The entry stays, marked.", r.GetEntry().GetCode(), or(r.GetEntry().GetUndoneReason()))
	for _, l := range r.GetMovement().GetLegs() {
		s.Line("  %s back to %s", amount(l.GetAmount()), l.GetParcelCode())
	}
	s.bathHead(r.GetBath())
}

// bathHead: "B3, mordant in tub-60: kept, 16 days old, used twice, 40 L".
func (s *Sheet) bathHead(b *dyelotv1.Bath) {
	s.Title("%s, %s%s: %s", b.GetCode(), otherwise(b.GetKindName(), b.GetKind()), prefixed(" in ", b.GetVesselCode()),
		joined(", ", b.GetState(), age(b.GetAgeDays()), timesUsed(b.GetUses()), bathLitres(b), prefixed("pH ", b.GetPh()), warmth(b.GetCelsius()), prefixed("for ", b.GetFibre())))
}

func age(days int32) string {
	switch days {
	case 0:
		return "of today"
	case 1:
		return "1 day old"
	}
	return fmt.Sprintf("%d days old", days)
}

func timesUsed(n int32) string {
	switch n {
	case 0:
		return "never used"
	case 1:
		return "used once"
	case 2:
		return "used twice"
	}
	return fmt.Sprintf("used %d times", n)
}

func bathLitres(b *dyelotv1.Bath) string {
	if !some(b.GetLitres()) {
		return ""
	}
	return litres(b.GetLitres())
}

func warmth(celsius int32) string {
	if celsius == 0 {
		return ""
	}
	return fmt.Sprintf("%d °C", celsius)
}

// entry is one line of a diary, and what went in.
func (s *Sheet) entry(e *dyelotv1.BathEntry) {
	measured := ""
	if some(e.GetLitres()) {
		measured = litres(e.GetLitres())
	}
	undone := ""
	if e.GetUndone() {
		undone = "TAKEN BACK" + prefixed(": ", e.GetUndoneReason())
	}
	s.hang(plain, "  "+s.when(e.GetHappenedAt())+"  ", joined(", ", e.GetCode()+" "+e.GetKind()+prefixed(" by ", e.GetBy()), measured, prefixed("pH ", e.GetPh()), warmth(e.GetCelsius()),
		prefixed("to ", e.GetRoute()), e.GetNote(), undone))
	for _, u := range e.GetUsed() {
		s.hang(plain, "    ", fmt.Sprintf("%s of %s", amount(u.GetAmount()), named(u.GetItemName(), u.GetParcelCode())))
		if some(u.GetFound()) {
			s.hang(mind, "    found: ", fmt.Sprintf("the book held %s less than was weighed out; it is set right", amount(u.GetFound())))
		}
	}
}

// Baths lists baths.
func (s *Sheet) Baths(r *dyelotv1.ListBathsResponse) {
	if len(r.GetBaths()) == 0 {
		s.Line("No bath is kept.")
		return
	}
	var rows [][]string
	for _, b := range r.GetBaths() {
		rows = append(rows, []string{b.GetCode(), otherwise(b.GetKindName(), b.GetKind()), or(b.GetVesselCode()), b.GetState(), fmt.Sprint(b.GetAgeDays()), fmt.Sprint(b.GetUses()),
			or(bathLitres(b)), or(b.GetPh()), strings.Join(b.GetLotCodes(), ", ")})
	}
	s.Table([]string{"bath", "for", "vessel", "state", ">days", ">uses", ">litres", ">pH", "lots"}, rows)
	s.Para(0, "How much dye or salt a used bath still holds nobody knows; nothing is claimed of it.")
}

// Bath is a bath's whole life, its uses and its diary in the order in which
// they happened.
func (s *Sheet) Bath(r *dyelotv1.GetBathResponse) {
	b := r.GetBath()
	s.bathHead(b)
	entries := r.GetEntries()
	for _, rec := range r.GetRecords() {
		for len(entries) > 0 && entries[0].GetHappenedAt().AsTime().Before(rec.GetHappenedAt().AsTime()) {
			s.entry(entries[0])
			entries = entries[1:]
		}
		s.bathUse(rec)
	}
	for _, e := range entries {
		s.entry(e)
	}
	s.Para(0, "How much dye or salt it still holds after a use nobody knows; nothing is claimed of it.")
	if len(r.GetCautions()) > 0 {
		s.Line("Before it is poured away:")
		s.cautions(r.GetCautions())
	}
}

// bathUse is one use of a bath, or an addition to it, on a line.
func (s *Sheet) bathUse(rec *dyelotv1.StageRecord) {
	what := fmt.Sprintf("use %d", rec.GetBathUse())
	if rec.GetAdditionTo() != "" {
		what = "addition to " + rec.GetAdditionTo()
	}
	undone := ""
	if rec.GetUndone() {
		undone = "TAKEN BACK" + prefixed(": ", rec.GetUndoneReason())
	}
	s.hang(plain, "  "+s.when(rec.GetHappenedAt())+"  ", joined(", ", fmt.Sprintf("%s %s%s: %s", rec.GetCode(), what, prefixed(" by ", rec.GetBy()), strings.Join(rec.GetLotCodes(), ", ")), asRead(rec), undone))
	for _, u := range rec.GetUsed() {
		s.hang(plain, "    ", fmt.Sprintf("%s of %s", amount(u.GetAmount()), named(u.GetItemName(), u.GetParcelCode())))
	}
	s.looked(4, rec)
	s.dips(4, rec)
	s.liquor(4, rec)
}

// Proposed shows a recipe as a lot was dyed, as it can be typed.
func (s *Sheet) Proposed(r *dyelotv1.ProposeRecipeResponse) {
	one := r.GetRecipe()
	s.warn(0, r.GetWarnings())
	s.Title("Offered, not written: the next version of %s", one.GetCode())
	s.Para(0, "%s", one.GetNote())
	s.Para(0, "Doses are as weighed, on air-dry fibre. Type this, or change it first:")
	s.Gap()
	words := []string{"--fibre " + one.GetFibre() + " --ratio " + one.GetLiquorRatio()}
	if one.GetName() != one.GetCode() {
		words = append(words, "--name "+quoted(one.GetName()))
	}
	for _, st := range one.GetStages() {
		words = append(words, "--stage "+quoted(StageWords(st)))
	}
	s.typed("dyelot recipe add "+one.GetCode(), append(words, "--note '…'"))
}

// typed writes a command over several lines, to be typed as it stands: a shell
// goes on behind a backslash, and blanks within a stage are one blank.
func (s *Sheet) typed(command string, words []string) {
	s.emit(command + ` \`)
	for i, w := range words {
		lines := wrap(w, s.width-4)
		for j, l := range lines {
			if j == len(lines)-1 && i < len(words)-1 {
				l += ` \`
			}
			s.emit("  " + l)
		}
	}
}

// quoted is a text as a shell takes it whole.
func quoted(text string) string { return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'" }
