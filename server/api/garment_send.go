package api

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/trace"
	"dyelot/server/store"
)

// DispatchGarments sends garments out against an order: all of them, or none.
func (s *GarmentServer) DispatchGarments(ctx context.Context, req *dyelotv1.DispatchGarmentsRequest) (*dyelotv1.DispatchGarmentsResponse, error) {
	serials, err := eachTagOnce(req.GetTags())
	if err != nil {
		return nil, err
	}
	if err := lot.OrderRef(req.GetOrderRef()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.DispatchGarmentsResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		garments, lots, err := lockGarments(tx, serials)
		if err != nil {
			return nil, err
		}
		warnings, err := mayLeave(tx, garments, lots)
		if err != nil {
			return nil, err
		}
		ref := strings.TrimSpace(req.GetOrderRef())
		shades, err := mixedShades(tx, garments, lots, ref)
		if err != nil {
			return nil, err
		}
		warnings = append(warnings, shades...)
		recalled, err := pastRecalls(tx, garments, letting{req.GetOverrideBy(), req.GetOverrideReason(), ref}, at)
		if err != nil {
			return nil, err
		}
		warnings = append(warnings, recalled...)
		if err := tx.SendGarments(garments, ref, at); err != nil {
			return nil, err
		}
		for i := range garments {
			garments[i].Place, garments[i].OrderRef = lot.PlaceSold, ref
		}
		return &dyelotv1.DispatchGarmentsResponse{Garments: encodeGarments(garments), Warnings: warnings}, nil
	})
}

// eachTagOnce reads tags as they were typed and refuses one that comes twice,
// since a hand that slipped once may have meant another garment.
func eachTagOnce(typed []string) ([]int64, error) {
	if len(typed) == 0 {
		return nil, fault.BadField("tags", "is needed: the garments that go out")
	}
	seen := map[int64]bool{}
	serials := make([]int64, len(typed))
	for i, t := range typed {
		at := fmt.Sprintf("tags[%d]", i)
		serial, err := trace.ParseTag(t)
		if err != nil {
			return nil, onField(at, err)
		}
		if seen[serial] {
			return nil, fault.BadField(at, "%s is named twice", properTag(serial))
		}
		seen[serial], serials[i] = true, serial
	}
	return serials, nil
}

// lockGarments locks the garments' lots, the other lots of their commissions,
// and more of them, in ascending id and then the garments, and loads both as
// they are once the locks are held.
func lockGarments(tx *store.Tx, serials []int64, more ...int64) ([]lot.Garment, map[int64]lot.Lot, error) {
	before, err := tx.GarmentsBySerial(serials)
	if err != nil {
		return nil, nil, err
	}
	found := map[string]bool{}
	ids := slices.Clone(more)
	for _, g := range before {
		found[g.Tag] = true
		if !slices.Contains(ids, g.LotID) {
			ids = append(ids, g.LotID)
		}
	}
	for _, s := range serials {
		if tag := properTag(s); !found[tag] {
			return nil, nil, fault.Missing("garment", tag)
		}
	}
	sets, err := tx.WithTheirSets(ids)
	if err != nil {
		return nil, nil, err
	}
	ids = slices.Compact(slices.Sorted(slices.Values(append(ids, sets...)))) // one that does not exist is named by the lock
	locked, err := tx.LockLots(ids)
	if err != nil {
		return nil, nil, err
	}
	lots := map[int64]lot.Lot{}
	for _, l := range locked {
		lots[l.ID] = l
	}
	garments, err := tx.GarmentsToJudge(serials)
	for _, g := range garments {
		if _, held := lots[g.LotID]; !held {
			return nil, nil, fault.New(fault.Conflict, "GARMENT_MOVED", "%s went to another lot a moment ago: look again", g.Tag)
		}
	}
	return garments, lots, err
}

// mayLeave holds each garment against the rules, then the sets of those that
// leave as passed, and says what every later view says too.
func mayLeave(tx *store.Tx, garments []lot.Garment, lots map[int64]lot.Lot) ([]*dyelotv1.Warning, error) {
	var matched, order []int64
	imperfect := map[int64][]string{}
	for _, g := range garments {
		l := lots[g.LotID]
		if err := g.MayLeave(l); err != nil {
			return nil, err
		}
		if !slices.Contains(order, l.ID) {
			order = append(order, l.ID)
		}
		if g.Verdict(l) == string(lot.Imperfect) {
			imperfect[l.ID] = append(imperfect[l.ID], g.Tag)
		} else if !slices.Contains(matched, l.ID) {
			matched = append(matched, l.ID)
		}
	}
	if err := mayLeaveSet(tx, matched, lots); err != nil {
		return nil, err
	}
	var said []*dyelotv1.Warning
	for _, id := range order {
		j, err := judgement(tx, id)
		if err != nil {
			return nil, err
		}
		said = overridden(j, said)
		if tags := imperfect[id]; len(tags) > 0 {
			said = append(said, soldImperfect(j, tags))
		}
	}
	return said, nil
}

// overridden are the rows of a lot that a named person took on; the set's row is
// told once for all its lots.
func overridden(j *dyelotv1.Judgement, told []*dyelotv1.Warning) []*dyelotv1.Warning {
	say := func(text string) {
		if !slices.ContainsFunc(told, func(w *dyelotv1.Warning) bool { return w.GetText() == text }) {
			told = append(told, &dyelotv1.Warning{Key: "overridden", Text: text, Source: "house standard"})
		}
	}
	for _, r := range j.GetRows() {
		if r.GetOverrideBy() != "" {
			say("lot " + j.GetLotCode() + ": " + r.GetText())
		}
	}
	if j.GetSet().GetOverrideBy() != "" {
		say(j.GetSet().GetText())
	}
	return told
}

func soldImperfect(j *dyelotv1.Judgement, tags []string) *dyelotv1.Warning {
	why := ""
	for _, v := range j.GetVerdicts() {
		own := len(v.GetTags()) == 0 || slices.ContainsFunc(v.GetTags(), func(t string) bool { return slices.Contains(tags, t) })
		if own && v.GetOutcome() == string(lot.Imperfect) {
			why = ": " + v.GetReason()
		}
	}
	return &dyelotv1.Warning{Key: "imperfect", Source: "verdict on lot " + j.GetLotCode(), Text: fmt.Sprintf("%s sold as imperfect%s", strings.Join(tags, ", "), why)}
}

// TakeBackGarment takes a sold garment back into the house, where it waits for
// a verdict of its own. Under which order it was sold stays in its events.
func (s *GarmentServer) TakeBackGarment(ctx context.Context, req *dyelotv1.TakeBackGarmentRequest) (*dyelotv1.TakeBackGarmentResponse, error) {
	serial, err := trace.ParseTag(req.GetTag())
	if err != nil {
		return nil, err
	}
	if err := needed("complaint", req.GetComplaint()); err != nil {
		return nil, err
	}
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.TakeBackGarmentResponse, error) {
		at, err := happened(tx, "happened_at", req.GetHappenedAt())
		if err != nil {
			return nil, err
		}
		garments, _, err := lockGarments(tx, []int64{serial})
		if err != nil {
			return nil, err
		}
		g := garments[0]
		sold, err := lastSold(tx, g.ID)
		if err != nil {
			return nil, err
		}
		if err := g.MayComeBack(sold, at); err != nil {
			return nil, err
		}
		if err := tx.TakeBackGarment(g, req.GetComplaint(), at); err != nil {
			return nil, err
		}
		g.Place, g.OrderRef = lot.PlaceReturned, ""
		return &dyelotv1.TakeBackGarmentResponse{Garment: encodeGarment(g)}, nil
	})
}

// lastSold is when a garment went out the last time; the zero time if never.
func lastSold(tx *store.Tx, garmentID int64) (time.Time, error) {
	events, err := tx.GarmentEvents(garmentID)
	var sold time.Time
	for _, e := range events {
		if e.Kind == string(lot.PlaceSold) {
			sold = e.HappenedAt
		}
	}
	return sold, err
}
