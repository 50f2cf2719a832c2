package paper

import (
	"encoding/csv"
	"io"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// Year shows the books of a period: each item's sum, below it its parcels.
func (s *Sheet) Year(r *dyelotv1.GetYearResponse) {
	s.Title("The shelf from %s to %s", r.GetFrom(), r.GetTo())
	if len(r.GetItems()) == 0 {
		s.Line("Nothing lay on it.")
		return
	}
	late := false
	for _, item := range r.GetItems() {
		s.Gap()
		s.yearItem(item)
		late = late || item.GetSum().GetLate()
	}
	s.Gap()
	s.Para(0, "Opening + in + found - used - spoiled - sent back + counted = book. Counted is what counts said more or less than the book. "+
		"As weighed on the shelf: cloth in pieces or air-dry, plants dry, salts as sold, liquors by volume.")
	if late {
		s.Para(0, "* written down, or taken back, after the period had ended.")
	}
}

// yearItem: an item of one parcel is one line.
func (s *Sheet) yearItem(item *dyelotv1.YearItem) {
	sum := item.GetSum()
	s.Title("%s", named(sum.GetItemName(), sum.GetItemCode()))
	var rows [][]string
	for _, l := range item.GetParcels() {
		rows = append(rows, yearRow(l.GetParcelCode(), l))
	}
	if len(rows) > 1 {
		rows = append(rows, yearRow("sum", sum))
	}
	s.Table([]string{"", ">opening", ">in", ">found", ">used", ">spoiled", ">back", ">counted", ">book"}, rows)
	for _, l := range item.GetParcels() {
		if c := l.GetLastCount(); c != nil {
			s.hang(plain, "  "+l.GetParcelCode()+" ", s.lastCount(c))
		}
	}
}

func yearRow(name string, l *dyelotv1.YearLine) []string {
	if l.GetLate() {
		name += "*"
	}
	row := []string{name, amount(l.GetOpening())}
	for _, a := range []*dyelotv1.Amount{l.GetIn(), l.GetFound(), l.GetUsed(), l.GetSpoiled(), l.GetSentBack(), l.GetCounted()} {
		text := ""
		if some(a) {
			text = strings.TrimSuffix(amount(a), " "+l.GetBook().GetUnit())
		}
		row = append(row, text)
	}
	return append(row, amount(l.GetBook()))
}

// lastCount: "counted 2026-12-30 10:00 by bench-1: 337 g, 13 g less than the
// book, stocktaking".
func (s *Sheet) lastCount(c *dyelotv1.Count) string {
	text := "counted " + s.when(c.GetHappenedAt()) + prefixed(" by ", c.GetBy()) + ": " + amount(c.GetCounted())
	if some(c.GetDifference()) {
		text += ", " + moreOrLess(c.GetDifference()) + " than the book"
	} else {
		text += ", as in the book"
	}
	return text + prefixed(", ", c.GetReason())
}

var yearColumns = []string{"item", "name", "kind", "parcel", "unit", "opening", "in", "found", "used", "spoiled", "sent_back", "counted_difference", "book",
	"last_counted", "last_counted_at", "last_counted_difference", "last_counted_by", "last_counted_reason", "written_after"}

// YearCSV writes the same as a table for a spreadsheet: RFC 4180, a row a parcel,
// figures exact to the smallest step, times in UTC.
func YearCSV(w io.Writer, r *dyelotv1.GetYearResponse) error {
	out := csv.NewWriter(w)
	if err := out.Write(yearColumns); err != nil {
		return err
	}
	for _, item := range r.GetItems() {
		for _, l := range item.GetParcels() {
			if err := out.Write(yearRecord(l)); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

func yearRecord(l *dyelotv1.YearLine) []string {
	record := []string{inert(l.GetItemCode()), inert(l.GetItemName()), inert(l.GetItemKind()), inert(l.GetParcelCode()), inert(l.GetBook().GetUnit())}
	for _, a := range []*dyelotv1.Amount{l.GetOpening(), l.GetIn(), l.GetFound(), l.GetUsed(), l.GetSpoiled(), l.GetSentBack(), l.GetCounted(), l.GetBook()} {
		record = append(record, a.GetValue())
	}
	at, late := "", ""
	c := l.GetLastCount()
	if c.GetHappenedAt() != nil {
		at = c.GetHappenedAt().AsTime().UTC().Format(time.RFC3339)
	}
	if l.GetLate() {
		late = "yes"
	}
	return append(record, c.GetCounted().GetValue(), at, c.GetDifference().GetValue(), inert(c.GetBy()), inert(c.GetReason()), late)
}

// inert puts a quote before words that a spreadsheet would take for a formula,
// wherever the sign stands behind blanks or in its wide form; figures are not
// words, and are left alone.
func inert(text string) string {
	bare := strings.TrimLeft(text, " \t\r\n\u00a0\ufeff'\"")
	if strings.IndexAny(bare, "=+-@＝＋－＠|%") == 0 || strings.IndexAny(text, "\t\r\n") == 0 {
		return "'" + text
	}
	return text
}
