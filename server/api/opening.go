package api

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/opening"
	"dyelot/server/store"
)

// OpeningServer answers OpeningService: a studio's old sheets come in.
type OpeningServer struct {
	dyelotv1.UnsafeOpeningServiceServer
	store *store.Store
}

// NewOpeningServer answers from a store.
func NewOpeningServer(s *store.Store) *OpeningServer { return &OpeningServer{store: s} }

// ImportOpening reads the sheets, holds them against the books and writes all of
// them, or nothing. A dry run writes them too, and rolls back: what it lets
// through, the import does as well.
func (s *OpeningServer) ImportOpening(ctx context.Context, req *dyelotv1.ImportOpeningRequest) (*dyelotv1.ImportOpeningResponse, error) {
	o, err := decodeOpening(req)
	if err != nil {
		return nil, err
	}
	do := func(tx *store.Tx) (*dyelotv1.ImportOpeningResponse, error) { return o.into(tx) }
	if req.GetDryRun() {
		return preview(ctx, s.store, do)
	}
	return change(ctx, s.store, req, do)
}

// openingCall is the request, taken apart.
type openingCall struct {
	dryRun, again bool
	form          opening.Form
	sheets        opening.Sheets
	files         []store.OpeningSheet
	read          []*dyelotv1.OpeningRead
	off           opening.Notes
}

func decodeOpening(req *dyelotv1.ImportOpeningRequest) (o openingCall, err error) {
	o = openingCall{dryRun: req.GetDryRun(), again: req.GetAgain()}
	if o.form.Mark, err = opening.MarkOf(req.GetDecimalMark()); err != nil {
		return o, err
	}
	if o.form.Days, err = opening.OrderOf(req.GetDayOrder()); err != nil {
		return o, err
	}
	total := 0
	for _, f := range []struct {
		kind opening.Kind
		in   *dyelotv1.OpeningSheet
		into *opening.Sheet
	}{{opening.Items, req.GetItems(), &o.sheets.Items}, {opening.Parcels, req.GetParcels(), &o.sheets.Parcels}, {opening.Lots, req.GetLots(), &o.sheets.Lots}} {
		if f.in == nil {
			continue
		}
		if total += len(f.in.GetContent()); total > opening.MaxBytes {
			return o, fault.BadField(string(f.kind)+".content", "makes it more than %d MB together, which is all that is read at once: split the sheets", opening.MaxBytes/1_000_000)
		}
		if *f.into, err = opening.Read(f.kind, bytes.NewReader(f.in.GetContent()), &o.off); err != nil {
			return o, err
		}
		sum := sha256.Sum256(f.in.GetContent())
		o.files = append(o.files, store.OpeningSheet{Kind: f.kind, Name: f.in.GetName(), SHA256: sum[:]})
		o.read = append(o.read, &dyelotv1.OpeningRead{Sheet: string(f.kind), Name: f.in.GetName(), Separator: f.into.SeparatorName(),
			Rows: int32(len(f.into.Rows)), Columns: f.into.Columns})
	}
	if len(o.files) == 0 {
		return o, fault.BadField("items", "no sheet was given: items, parcels and lots are read")
	}
	return o, nil
}

func (o openingCall) into(tx *store.Tx) (*dyelotv1.ImportOpeningResponse, error) {
	u, zone, err := o.understand(tx)
	if err != nil {
		return nil, err
	}
	resp := &dyelotv1.ImportOpeningResponse{DryRun: o.dryRun, Read: o.read, Items: int32(len(u.Plan.Items)), Parcels: int32(len(u.Plan.Parcels)),
		Lots: int32(len(u.Plan.Lots)), Garments: int32(u.Plan.Garments()), Warnings: encodeNotes(u.Mind.List), WarningCount: int32(u.Mind.Count)}
	for _, s := range u.Sums {
		resp.Sums = append(resp.Sums, &dyelotv1.OpeningSum{ItemCode: s.Item, Parcels: int32(s.Parcels), OnHand: encode(s.Has), Used: encode(s.Used)})
	}
	switch {
	case u.Off.Count > 0 && !o.dryRun:
		return nil, openingRefused(u.Off)
	case u.Off.Count > 0:
		resp.Findings, resp.FindingCount = encodeNotes(u.Off.List), int32(u.Off.Count)
		return resp, nil
	}
	if o.dryRun {
		resp.Understood = encodeNotes(u.Plan.InWords())
	}
	house, err := rowsToTakeOn(tx)
	if err != nil {
		return nil, err
	}
	opened, err := tx.AddOpening(u.Plan, o.files, house, zone)
	if err == nil && !o.dryRun {
		encodeOpened(resp, u.Plan, opened)
	}
	return resp, err
}

// understand loads what the sheets name, and lets the rules decide.
func (o openingCall) understand(tx *store.Tx) (u opening.Understood, zone *time.Location, err error) {
	before, on, there, err := tx.OpenedBefore(o.files)
	if err != nil {
		return u, nil, err
	}
	if there && !o.again && !o.dryRun {
		return u, nil, fault.Refuse("IMPORTED_BEFORE", "the %s sheet was imported on %s already, to the letter: a second time would book everything in twice", before.Kind, on).
			With("sheet", string(before.Kind)).With("on", on)
	}
	books, err := tx.OpeningBooks(o.sheets.Wants())
	if err != nil {
		return u, nil, err
	}
	studio, err := tx.Studio()
	if err != nil {
		return u, nil, err
	}
	if books.Zone, err = time.LoadLocation(studio.TimeZone); err != nil {
		return u, nil, fmt.Errorf("studio's time zone: %w", err)
	}
	if books.Today, err = tx.Today(); err != nil {
		return u, nil, err
	}
	books.Currency, books.By = studio.Currency, tx.By.Name
	u = opening.Understand(o.sheets, books, o.form, o.off)
	if there && !o.again {
		u.Mind.List = append([]opening.Note{{Sheet: before.Kind, Text: "was imported on " + on + " already, to the letter: the import will be refused"}}, u.Mind.List...)
		u.Mind.Count++
	}
	return u, books.Zone, nil
}

// rowsToTakeOn are the keys that a lot is judged by: its colour, and each row of
// the house standard in force.
func rowsToTakeOn(tx *store.Tx) ([]string, error) {
	rows, err := tx.HouseRows(time.Time{})
	keys := []string{lot.RowColour}
	for _, r := range rows {
		if r.Active {
			keys = append(keys, r.Key)
		}
	}
	return keys, err
}

func encodeNotes(notes []opening.Note) []*dyelotv1.OpeningNote {
	var all []*dyelotv1.OpeningNote
	for _, n := range notes {
		all = append(all, &dyelotv1.OpeningNote{Sheet: string(n.Sheet), Line: int32(n.Line), Column: n.Column, Text: n.Text})
	}
	return all
}

func encodeOpened(resp *dyelotv1.ImportOpeningResponse, p opening.Plan, o store.Opened) {
	for i, q := range p.Parcels {
		resp.OpenedParcels = append(resp.OpenedParcels, &dyelotv1.OpenedParcel{Line: int32(q.Line), Ref: q.Ref, Code: store.Code('P', o.Parcels[i]),
			ItemCode: q.Item.Code, OnHand: encode(q.Item.Zero().Add(q.Has))})
	}
	for i, l := range p.Lots {
		resp.OpenedLots = append(resp.OpenedLots, &dyelotv1.OpenedLot{Line: int32(l.Line), Ref: l.Ref, LotCode: store.Code('L', o.Lots[i]),
			RunCode: store.Code('R', o.Runs[i]), State: string(l.State()), Tags: o.Tags[i]})
	}
}

// ListOpeningColumns shows what a sheet may have.
func (s *OpeningServer) ListOpeningColumns(context.Context, *dyelotv1.ListOpeningColumnsRequest) (*dyelotv1.ListOpeningColumnsResponse, error) {
	resp := &dyelotv1.ListOpeningColumnsResponse{}
	for _, k := range opening.Kinds() {
		for _, c := range opening.Columns(k) {
			what := c.What
			if c.Measure {
				what = strings.TrimSuffix(what, ".") + "; its header may hold the unit"
				if c.Name == "cost" {
					what = strings.TrimSuffix(what, "unit") + "currency"
				}
			}
			resp.Columns = append(resp.Columns, &dyelotv1.OpeningColumn{Sheet: string(k), Name: c.Name, Needed: c.Needed, What: what, Example: c.Example})
		}
	}
	return resp, nil
}
