package paper

import (
	"fmt"
	"strconv"
	"strings"

	"google.golang.org/genproto/googleapis/rpc/errdetails"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// shownCodes is how many codes of each kind are printed: beyond that they are
// asked for as JSON, for labels.
const shownCodes = 40

// Opening shows what an opening import brought in, or would.
func (s *Sheet) Opening(r *dyelotv1.ImportOpeningResponse) {
	switch {
	case r.GetFindingCount() > 0:
		s.hang(loud, "", fmt.Sprintf("Would be refused: %s off. Nothing is recorded.", counted(r.GetFindingCount(), "thing is", "things are")))
	case r.GetDryRun():
		s.hang(good, "", "Dry run: nothing is recorded. It would bring in:")
	default:
		s.hang(good, "", "Brought in:")
	}
	s.Para(2, "%s, %s, %s with %s", counted(r.GetItems(), "item", "items"), counted(r.GetParcels(), "parcel", "parcels"),
		counted(r.GetLots(), "past lot", "past lots"), counted(r.GetGarments(), "garment", "garments"))
	for _, read := range r.GetRead() {
		s.Para(2, "%s: %s%s", read.GetSheet(), counted(read.GetRows(), "row", "rows"), prefixed(", ", joined(", ", prefixed("from ", read.GetName()), prefixed("separated by ", read.GetSeparator()))))
	}
	if len(r.GetFindings()) > 0 {
		s.Gap()
		s.OpeningNotes(r.GetFindings())
	}
	s.openingWarnings(r)
	if len(r.GetUnderstood()) > 0 {
		s.Gap()
		s.Title("The first rows, as they were understood")
		s.OpeningNotes(r.GetUnderstood())
	}
	s.openingSums(r)
	s.openedParcels(r)
	s.openedLots(r)
}

func counted(n int32, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(int(n)) + " " + many
}

func (s *Sheet) openingWarnings(r *dyelotv1.ImportOpeningResponse) {
	if r.GetWarningCount() == 0 {
		return
	}
	s.Gap()
	for _, w := range r.GetWarnings() {
		s.hang(mind, "Mind: ", joined(": ", place(w), w.GetText()))
	}
	if more := r.GetWarningCount() - int32(len(r.GetWarnings())); more > 0 {
		s.Para(0, "and %d more to mind", more)
	}
}

// place is where in the sheets a note stands: "parcels, line 12, amount".
func place(n *dyelotv1.OpeningNote) string {
	line := ""
	if n.GetLine() > 0 {
		line = fmt.Sprintf("line %d", n.GetLine())
	}
	return joined(", ", n.GetSheet(), line, n.GetColumn())
}

// OpeningNotes lists notes with their places, sheet by sheet.
func (s *Sheet) OpeningNotes(notes []*dyelotv1.OpeningNote) {
	var rows [][]string
	for _, n := range notes {
		line := nothing
		if n.GetLine() > 0 {
			line = strconv.Itoa(int(n.GetLine()))
		}
		rows = append(rows, []string{n.GetSheet(), line, n.GetColumn(), n.GetText()})
	}
	headings := []string{"file", ">line", "column", "what"}
	if !anyColumn(notes) {
		headings = []string{"file", ">line", "what"}
		for i := range rows {
			rows[i] = append(rows[i][:2], rows[i][3])
		}
	}
	s.Table(headings, rows)
}

func anyColumn(notes []*dyelotv1.OpeningNote) bool {
	for _, n := range notes {
		if n.GetColumn() != "" {
			return true
		}
	}
	return false
}

// NotesOf reads the fields of a refusal, "parcels:12:amount", as notes.
func NotesOf(violations []*errdetails.BadRequest_FieldViolation) []*dyelotv1.OpeningNote {
	var notes []*dyelotv1.OpeningNote
	for _, v := range violations {
		parts := append(strings.SplitN(v.GetField(), ":", 3), "", "")
		line, err := strconv.Atoi(parts[1])
		if err != nil {
			line = 0
		}
		notes = append(notes, &dyelotv1.OpeningNote{Sheet: parts[0], Line: int32(line), Column: parts[2], Text: v.GetDescription()})
	}
	return notes
}

func (s *Sheet) openingSums(r *dyelotv1.ImportOpeningResponse) {
	if len(r.GetSums()) == 0 {
		return
	}
	s.Gap()
	var rows [][]string
	for _, sum := range r.GetSums() {
		rows = append(rows, []string{sum.GetItemCode(), strconv.Itoa(int(sum.GetParcels())), amount(sum.GetOnHand()), amount(sum.GetUsed())})
	}
	s.Table([]string{"item", ">parcels", ">on the shelf", ">used before"}, rows)
	s.Para(0, "As weighed on the shelf: cloth air-dry, plants dry, salts as sold, liquors by volume.")
}

func (s *Sheet) openedParcels(r *dyelotv1.ImportOpeningResponse) {
	all := r.GetOpenedParcels()
	if len(all) == 0 {
		return
	}
	s.Gap()
	s.Title("Write these on the bags")
	var rows [][]string
	for _, p := range all[:min(len(all), shownCodes)] {
		rows = append(rows, []string{p.GetCode(), p.GetItemCode(), or(p.GetRef()), strconv.Itoa(int(p.GetLine())), amount(p.GetOnHand())})
	}
	s.Table([]string{"parcel", "item", "your word", ">line", ">on the shelf"}, rows)
	s.rest(len(all), "dyelot stock list")
}

func (s *Sheet) openedLots(r *dyelotv1.ImportOpeningResponse) {
	all := r.GetOpenedLots()
	if len(all) == 0 {
		return
	}
	s.Gap()
	s.Title("Past lots, and the tags of their garments")
	for _, l := range all[:min(len(all), shownCodes)] {
		lead := "  " + l.GetLotCode() + "  "
		s.hang(plain, lead, joined(", ", fmt.Sprintf("line %d", l.GetLine()), prefixed("your lot ", l.GetRef()), l.GetState())+": "+strings.Join(l.GetTags(), ", "))
	}
	s.rest(len(all), "dyelot garment list")
}

func (s *Sheet) rest(n int, all string) {
	if n > shownCodes {
		s.Para(0, "and %d more: %s", n-shownCodes, all)
	}
}

// OpeningColumns lists the columns of each sheet.
func (s *Sheet) OpeningColumns(r *dyelotv1.ListOpeningColumnsResponse) {
	last := ""
	for _, c := range r.GetColumns() {
		if c.GetSheet() != last {
			if last != "" {
				s.Gap()
			}
			s.Title("%s (* is needed)", c.GetSheet())
			last = c.GetSheet()
		}
		name := c.GetName()
		if c.GetNeeded() {
			name += " *"
		}
		s.hang(plain, fmt.Sprintf("  %-18s", name), c.GetWhat()+". Such as: "+c.GetExample())
	}
}
