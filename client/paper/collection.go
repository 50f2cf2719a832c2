package paper

import (
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// CollectionAdded confirms a collection.
func (s *Sheet) CollectionAdded(r *dyelotv1.CreateCollectionResponse) {
	c := r.GetCollection()
	s.Line("%s begun", named(c.GetName(), c.GetCode()))
	s.Para(2, "set its lines with: dyelot collection set %s COLOURWAY ITEM=PIECES --due DAY", c.GetCode())
}

// CollectionLineSet confirms one line.
func (s *Sheet) CollectionLineSet(r *dyelotv1.SetCollectionLineResponse) {
	n := r.GetLine()
	what := fmt.Sprintf("%s in %s, due %s", n.GetItemCode(), n.GetColourwayCode(), n.GetDueOn())
	before := ""
	if r.GetPiecesBefore() > 0 {
		before = fmt.Sprintf(" (%d before)", r.GetPiecesBefore())
	}
	switch {
	case n.GetPieces() == 0:
		s.Para(0, "%s: %s is taken out%s", r.GetCollection().GetCode(), what, before)
	default:
		s.Para(0, "%s: %d × %s%s; %d pieces in all", r.GetCollection().GetCode(), n.GetPieces(), what, before, r.GetCollection().GetPieces())
	}
}

// Collection shows a collection's lines.
func (s *Sheet) Collection(r *dyelotv1.GetCollectionResponse) {
	c := r.GetCollection()
	s.Title("%s: %s", named(c.GetName(), c.GetCode()), toPlan(c.GetPieces(), c.GetPlanned()))
	if c.GetNote() != "" {
		s.Para(2, "%s", c.GetNote())
	}
	if len(c.GetLines()) == 0 {
		s.Para(0, "Set a line with: dyelot collection set %s COLOURWAY ITEM=PIECES --due DAY", c.GetCode())
		return
	}
	var rows [][]string
	for _, n := range c.GetLines() {
		rows = append(rows, []string{n.GetDueOn(), n.GetColourwayCode(), n.GetItemCode(), fmt.Sprint(n.GetPieces()), fmt.Sprint(n.GetPlanned()), fmt.Sprint(max(0, n.GetPieces()-n.GetPlanned()))})
	}
	s.Table([]string{"due", "colourway", "blank", ">pieces", ">in runs", ">left"}, rows)
	if len(c.GetRunCodes()) > 0 {
		s.Para(0, "Runs: %s", strings.Join(c.GetRunCodes(), ", "))
	}
}

// Collections lists them.
func (s *Sheet) Collections(r *dyelotv1.ListCollectionsResponse) {
	if len(r.GetCollections()) == 0 {
		s.Line("No collection yet. Begin one with: dyelot collection add spring-27")
		return
	}
	var rows [][]string
	for _, c := range r.GetCollections() {
		rows = append(rows, []string{c.GetCode(), c.GetName(), fmt.Sprint(c.GetPieces()), fmt.Sprint(c.GetPlanned())})
	}
	s.Table([]string{"collection", "name", ">pieces", ">in runs"}, rows)
}

// toPlan says how far a collection is planned.
func toPlan(pieces, planned int32) string {
	left := max(0, pieces-planned)
	if pieces == 0 {
		return "no line yet"
	}
	if left == 0 {
		return fmt.Sprintf("all %d pieces are in runs", pieces)
	}
	return fmt.Sprintf("%d of %d pieces are in no run yet", left, pieces)
}
