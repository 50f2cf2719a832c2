package paper

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// needsBasis is said once under every sheet of needs.
const needsBasis = "Free is on hand, good today and promised to nobody. Weighed dyes at reference strength (100 %), cloth air-dry, liquors at the strength of the one in hand."

// Needs is what collections need: what is short first, then each item in a line;
// of a single item its arithmetic.
func (s *Sheet) Needs(r *dyelotv1.PlanNeedsResponse) {
	if of := r.GetItems(); len(of) == 1 && (len(of[0].GetWhy()) > 0 || len(of[0].GetWeeks()) == 0) {
		s.needsWhy(of[0], r.GetNotes())
		return
	}
	of := strings.Join(r.GetCollectionCodes(), ", ")
	s.Title("Needs%s, %s: %s", prefixed(" of ", of), r.GetToday(), toPlan(r.GetPieces(), r.GetPlanned()))
	if len(r.GetItems()) == 0 {
		s.Para(0, "Nothing is needed. A collection begins with: dyelot collection add spring-27")
		s.notes(r.GetNotes())
		return
	}
	short := false
	for _, i := range r.GetItems() {
		short = s.shortOf(i) || short
	}
	if !short {
		s.Line("Nothing is short.")
	}
	s.potWeeks(r)
	s.Gap()
	var rows [][]string
	for _, i := range r.GetItems() {
		rows = append(rows, []string{i.GetItemCode(), amount(i.GetNeeded()), amount(i.GetFree()), amount(i.GetArriving()), amount(i.GetShort()), or(i.GetShortBy())})
	}
	s.Table([]string{"item", ">needed", ">free", ">on order", ">short", "by"}, rows)
	s.besides(r.GetItems())
	s.hang(plain, "Spares: ", r.GetSpares())
	s.notes(r.GetNotes())
	s.Para(0, "%s", needsBasis)
	s.Para(0, "The arithmetic of one item: dyelot season needs --why %s", r.GetItems()[0].GetItemCode())
}

// shortOf says what is short of an item and by when; false where nothing is.
func (s *Sheet) shortOf(i *dyelotv1.ItemNeeds) bool {
	if !some(i.GetShort()) {
		return false
	}
	lead, by := "SHORT  ", "by "+i.GetShortBy()
	if i.GetLate() {
		lead, by = "LATE  ", "since "+i.GetShortBy()
	}
	text := fmt.Sprintf("%s of %s %s", amount(i.GetShort()), named(i.GetItemName(), i.GetItemCode()), by)
	if amount(i.GetShortFirst()) != amount(i.GetShort()) {
		text = fmt.Sprintf("%s of %s, the first %s %s", amount(i.GetShort()), named(i.GetItemName(), i.GetItemCode()), amount(i.GetShortFirst()), by)
	}
	s.hang(loud, lead, text)
	return true
}

func (s *Sheet) potWeeks(r *dyelotv1.PlanNeedsResponse) {
	if len(r.GetPots()) == 0 {
		return
	}
	var parts []string
	for _, w := range r.GetPots() {
		parts = append(parts, fmt.Sprintf("%s %d (%d %s)", w.GetWeek(), w.GetPotDays(), w.GetLoads(), plural(int(w.GetLoads()), "load")))
	}
	s.hang(plain, fmt.Sprintf("Pot-days, with %d %s to dye in: ", r.GetDyePots(), plural(int(r.GetDyePots()), "pot")), strings.Join(parts, ", "))
}

// besides tells the use beside the plan, of those items that have a history.
func (s *Sheet) besides(items []*dyelotv1.ItemNeeds) {
	var told []string
	rest := 0
	for _, i := range items {
		if b := i.GetBeyond(); b.GetHigh() != nil {
			told = append(told, fmt.Sprintf("%s %s", i.GetItemCode(), monthly(b)))
		} else {
			rest++
		}
	}
	switch {
	case rest > 0 && len(told) > 0:
		told = append(told, fmt.Sprintf("too little history to tell the other %d", rest))
	case rest > 0:
		told = append(told, "too little history to tell any use, so the minimum of each item is kept instead")
	}
	s.hang(plain, "Beside the plan (repairs, swatches): ", strings.Join(told, "; "))
}

// monthly is "20 to 45 g a month".
func monthly(b *dyelotv1.BeyondPlan) string {
	low, high := amount(b.GetLow()), amount(b.GetHigh())
	if value, unit, ok := strings.Cut(low, " "); ok && strings.HasSuffix(high, " "+unit) {
		low = value
	}
	return low + " to " + high + " a month"
}

func (s *Sheet) notes(notes []string) {
	for _, n := range notes {
		s.hang(mind, "Mind: ", n)
	}
}

// needsWhy is the arithmetic of one item.
func (s *Sheet) needsWhy(i *dyelotv1.ItemNeeds, notes []string) {
	if !s.shortOf(i) {
		s.Title("%s: nothing is short", named(i.GetItemName(), i.GetItemCode()))
	}
	s.Line("  %s needed, %s free, %s on order", amount(i.GetNeeded()), amount(i.GetFree()), amount(i.GetArriving()))
	for _, w := range i.GetWhy() {
		s.hang(plain, "  "+w.GetOn()+"  ", fmt.Sprintf("%s: %s%s", amount(w.GetAmount()), followed(w.GetCollectionCode(), ", "), w.GetText()))
	}
	var rows [][]string
	for _, w := range i.GetWeeks() {
		week := w.GetWeek()
		if w.GetPastDue() {
			week = "past due"
		}
		rows = append(rows, []string{week, w.GetMonday(), amount(w.GetNeeded()), amount(w.GetArriving()), amount(w.GetOutOfDate()), amount(w.GetShort()), amount(w.GetLeft())})
	}
	if len(rows) > 0 {
		s.Table([]string{"week", "from", ">needed", ">on order", ">out of date", ">short", ">left"}, rows)
	}
	for _, p := range i.GetPassedOver() {
		s.hang(plain, "Not counted: ", p)
	}
	b := i.GetBeyond()
	if b.GetHigh() != nil {
		s.hang(plain, "Beside the plan: ", monthly(b)+" ("+b.GetText()+")")
	} else {
		s.hang(plain, "Beside the plan: ", "nothing is told ("+b.GetText()+"); "+keptMinimum(b))
	}
	s.notes(notes)
	s.Para(0, "%s", needsBasis)
}

func keptMinimum(b *dyelotv1.BeyondPlan) string {
	if !some(b.GetMinimum()) {
		return "no minimum is set: dyelot item terms"
	}
	return amount(b.GetMinimum()) + " is kept as a minimum"
}

// followed puts something behind a text that is there.
func followed(text, after string) string {
	if text == "" {
		return ""
	}
	return text + after
}

var needsColumns = []string{"item", "name", "kind", "unit", "week", "monday", "past_due", "needed", "on_order", "out_of_date", "short", "left"}

// NeedsCSV writes a row a week of each item: RFC 4180, figures exact to the
// smallest step.
func NeedsCSV(w io.Writer, r *dyelotv1.PlanNeedsResponse) error {
	out := csv.NewWriter(w)
	if err := out.Write(needsColumns); err != nil {
		return err
	}
	for _, i := range r.GetItems() {
		for _, n := range i.GetWeeks() {
			past := ""
			if n.GetPastDue() {
				past = "yes"
			}
			record := []string{inert(i.GetItemCode()), inert(i.GetItemName()), inert(i.GetItemKind()), n.GetNeeded().GetUnit(), n.GetWeek(), n.GetMonday(), past}
			for _, a := range []*dyelotv1.Amount{n.GetNeeded(), n.GetArriving(), n.GetOutOfDate(), n.GetShort(), n.GetLeft()} {
				record = append(record, a.GetValue())
			}
			if err := out.Write(record); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}
