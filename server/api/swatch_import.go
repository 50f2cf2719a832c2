package api

import (
	"bytes"
	"context"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/opening"
	"dyelot/server/store"
)

// AddSwatches brings old swatch cards in, all of them or none. A dry run writes
// them too, and rolls back.
func (s *SwatchServer) AddSwatches(ctx context.Context, req *dyelotv1.AddSwatchesRequest) (*dyelotv1.AddSwatchesResponse, error) {
	cards, err := decodeCards(req)
	if err != nil {
		return nil, err
	}
	do := func(tx *store.Tx) (*dyelotv1.AddSwatchesResponse, error) { return cards.into(tx) }
	if req.GetDryRun() {
		return preview(ctx, s.store, do)
	}
	return change(ctx, s.store, req, do)
}

// cardsCall is the request, taken apart.
type cardsCall struct {
	dryRun bool
	form   opening.Form
	sheet  opening.Sheet
	name   string
	off    opening.Notes
}

func decodeCards(req *dyelotv1.AddSwatchesRequest) (c cardsCall, err error) {
	c = cardsCall{dryRun: req.GetDryRun(), name: req.GetSheet().GetName()}
	if c.form.Mark, err = opening.MarkOf(req.GetDecimalMark()); err != nil {
		return c, err
	}
	if c.form.Days, err = opening.OrderOf(req.GetDayOrder()); err != nil {
		return c, err
	}
	if req.GetSheet() == nil {
		return c, fault.BadField("sheet", "no sheet was given: the cards as CSV")
	}
	c.sheet, err = opening.Read(opening.Swatches, bytes.NewReader(req.GetSheet().GetContent()), &c.off)
	return c, err
}

func (c cardsCall) into(tx *store.Tx) (*dyelotv1.AddSwatchesResponse, error) {
	today, err := tx.Today()
	if err != nil {
		return nil, err
	}
	off, mind := c.off, opening.Notes{}
	off.List = append([]opening.Note(nil), c.off.List...) // the transaction may run again
	cards := opening.SwatchCards(c.sheet, c.form, today, tx.By.Name, &off, &mind)
	resp := &dyelotv1.AddSwatchesResponse{DryRun: c.dryRun, Warnings: encodeNotes(mind.List), WarningCount: int32(mind.Count),
		Read: &dyelotv1.OpeningRead{Sheet: string(opening.Swatches), Name: c.name, Separator: c.sheet.SeparatorName(), Rows: int32(len(c.sheet.Rows)), Columns: c.sheet.Columns}}
	switch {
	case off.Count > 0 && !c.dryRun:
		return nil, notesRefused("CARDS_OFF", off)
	case off.Count > 0:
		resp.Findings, resp.FindingCount = encodeNotes(off.List), int32(off.Count)
		return resp, nil
	}
	pages := make([]store.Swatch, len(cards))
	for i, card := range cards {
		pages[i] = store.Swatch{Page: card.Page}
	}
	ids, err := tx.AddSwatches(pages)
	if err != nil {
		return nil, err
	}
	for i, card := range cards {
		pages[i].ID, pages[i].Grades = ids[i], card.Grades
		one := &dyelotv1.ImportedSwatch{Line: int32(card.Line), Text: card.Page.String()}
		if !c.dryRun {
			one.Code = pages[i].Code()
		}
		resp.Swatches = append(resp.Swatches, one)
	}
	return resp, tx.AddGradesOf(pages)
}

// ListSwatchColumns shows what a sheet of cards may have.
func (s *SwatchServer) ListSwatchColumns(context.Context, *dyelotv1.ListSwatchColumnsRequest) (*dyelotv1.ListSwatchColumnsResponse, error) {
	resp := &dyelotv1.ListSwatchColumnsResponse{}
	for _, c := range opening.Columns(opening.Swatches) {
		resp.Columns = append(resp.Columns, &dyelotv1.OpeningColumn{Sheet: string(opening.Swatches), Name: c.Name, Needed: c.Needed, What: c.What, Example: c.Example})
	}
	return resp, nil
}
