package api

import (
	"context"
	"fmt"
	"strings"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
	"dyelot/inventory/shade"
	"dyelot/server/store"
)

// ShadeServer answers ShadeService.
type ShadeServer struct {
	dyelotv1.UnsafeShadeServiceServer
	store *store.Store
}

// NewShadeServer answers from a store.
func NewShadeServer(s *store.Store) *ShadeServer { return &ShadeServer{store: s} }

// SortShades sorts and keeps nothing.
func (s *ShadeServer) SortShades(ctx context.Context, req *dyelotv1.SortShadesRequest) (*dyelotv1.SortShadesResponse, error) {
	return read(ctx, s.store, func(tx *store.Tx) (*dyelotv1.SortShadesResponse, error) {
		rail, err := openRail(tx, req, false)
		if err != nil {
			return nil, err
		}
		return rail.answer(tx)
	})
}

// KeepShades sorts what is measured now and keeps the groups. The lots are held,
// so that nothing is read or dyed in between.
func (s *ShadeServer) KeepShades(ctx context.Context, req *dyelotv1.KeepShadesRequest) (*dyelotv1.KeepShadesResponse, error) {
	return change(ctx, s.store, req, func(tx *store.Tx) (*dyelotv1.KeepShadesResponse, error) {
		rail, err := openRail(tx, req.GetSort(), true)
		if err != nil {
			return nil, fault.In("sort", err)
		}
		if len(rail.sorted.Groups) == 0 {
			return nil, fault.Refuse("NOTHING_MEASURED", "there is nothing to keep: no garment of %s has a reading of its own that counts", rail.of).With("of", rail.of)
		}
		if _, err := tx.AddShadeSort(rail.kept(otherwise(req.GetBy(), tx.By.Name))); err != nil {
			return nil, err
		}
		sorted, err := rail.answer(tx)
		return &dyelotv1.KeepShadesResponse{Sorted: sorted}, err
	})
}

// kept is the sort as it is written down.
func (r *rail) kept(by string) store.ShadeSort {
	k := store.ShadeSort{Of: r.of, StandardID: r.standard.ID, Tolerance: r.tolerance, Groups: len(r.sorted.Groups), Proved: r.sorted.Proved, By: by}
	for _, l := range r.lots {
		k.LotIDs = append(k.LotIDs, l.ID)
	}
	for i, g := range r.sorted.Groups {
		for _, m := range g.Members {
			at := r.byTag[m.Tag]
			k.Garments = append(k.Garments, store.ShadedGarment{GarmentID: at.ID, LotID: at.LotID, Group: i + 1, Colour: m.Colour})
		}
	}
	return k
}

// answer encodes a sort, with the newest that was kept.
func (r *rail) answer(tx *store.Tx) (*dyelotv1.SortShadesResponse, error) {
	m := &dyelotv1.SortShadesResponse{
		Of: r.of, StandardCode: r.standard.Code, View: r.standard.View.String(), Tolerance: r.tolerance.Decimal(), ToleranceFrom: r.toleranceFrom,
		Proved: r.sorted.Proved, Proof: proofOf(r.sorted, r.tolerance.Decimal()), Pairs: int32(r.sorted.Pairs), PairsBeyond: int32(r.sorted.Beyond),
		Unmeasured: r.unmeasured, Apart: r.apart, Warnings: r.warnings,
	}
	var ids []int64
	for _, l := range r.lots {
		m.LotCodes, ids = append(m.LotCodes, l.Code), append(ids, l.ID)
	}
	for i, g := range r.sorted.Groups {
		m.Groups = append(m.Groups, r.encodeGroup(i+1, g))
	}
	if len(r.asked) > 0 {
		m.Set = r.encodeSet(shade.Pick(r.sorted, r.asked, r.owner))
	}
	last, err := tx.NewestShadeSort(ids)
	if err == nil && last.ID != 0 {
		m.Kept = &dyelotv1.KeptShades{Of: last.Of, KeptAt: stamp(last.KeptAt), By: last.By, Tolerance: last.Tolerance.Decimal(), Groups: int32(last.Groups), Garments: int32(len(last.Garments)), StillSo: r.same(last)}
	}
	return m, err
}

// same tells whether the same lots would be kept in the same groups today.
func (r *rail) same(last store.ShadeSort) bool {
	now := r.kept("")
	if last.Tolerance != now.Tolerance || len(last.Garments) != len(now.Garments) || len(last.LotIDs) != len(now.LotIDs) {
		return false
	}
	group := map[int64]int{}
	for _, g := range last.Garments {
		group[g.GarmentID] = g.Group
	}
	for _, g := range now.Garments {
		if group[g.GarmentID] != g.Group {
			return false
		}
	}
	return true
}

// proofOf says why no fewer groups will do, or that it is not known.
func proofOf(s shade.Sorted, tolerance string) string {
	n := len(s.Groups)
	switch {
	case n < 2:
		return ""
	case len(s.Mutual) == n && n == 2:
		return fmt.Sprintf("%s are more than %s apart, so no fewer than 2 groups will do", strings.Join(s.Mutual, " and "), tolerance)
	case len(s.Mutual) == n:
		return fmt.Sprintf("%s are each more than %s from all the others, so no fewer than %d groups will do", strings.Join(s.Mutual, ", "), tolerance, n)
	case s.Proved:
		return fmt.Sprintf("every way to make %d groups was tried, so no fewer than %d will do", n-1, n)
	}
	return fmt.Sprintf("the search was cut short: fewer than %d groups may do, but not fewer than %d", n, len(s.Mutual))
}

func (r *rail) encodeGroup(number int, g shade.Group) *dyelotv1.ShadeGroup {
	m := &dyelotv1.ShadeGroup{Number: int32(number), Mean: encodeLab(g.Mean, r.standard.View), Spread: r.tolerance.Shown(g.Spread)}
	for _, p := range g.Members {
		e := &dyelotv1.ShadeGarment{Tag: p.Tag, LotCode: p.Lot, ItemCode: p.Item, Style: p.Style, Size: p.Size, Colour: encodeLab(p.Colour, r.standard.View), ReadingCodes: p.Readings, WorstTag: p.Worst}
		if p.Worst != "" {
			e.WorstDifference = r.tolerance.Shown(p.Difference)
		}
		m.Garments = append(m.Garments, e)
	}
	return m
}

func (r *rail) encodeSet(p shade.Picked) *dyelotv1.ShadeSet {
	m := &dyelotv1.ShadeSet{Group: int32(p.Group), Tags: p.Tags, Exact: p.Exact, Across: p.Across}
	for _, a := range r.asked {
		m.Pieces = append(m.Pieces, &dyelotv1.ShadePieces{What: a.What, Count: int32(a.Count)})
	}
	if p.Group != 0 || p.Across {
		m.Spread, m.WorstTag, m.WorstOtherTag = r.tolerance.Shown(p.Spread), p.Of[0], p.Of[1]
	}
	for _, l := range p.Lacks {
		m.Lacks = append(m.Lacks, &dyelotv1.ShadeLack{Group: int32(l.Group), Text: l.Text})
	}
	return m
}
