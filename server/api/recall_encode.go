package api

import (
	"time"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/recall"
	"dyelot/server/store"
)

// encodeRecalled writes rows; of a preview only where each garment is.
func encodeRecalled(rows []store.RecallRow, opened bool) []*dyelotv1.RecallGarment {
	ms := make([]*dyelotv1.RecallGarment, len(rows))
	for i, r := range rows {
		m := &dyelotv1.RecallGarment{Tag: r.Tag, LotCode: store.Code('L', r.LotID), ItemCode: r.Blank.ItemCode, Style: r.Blank.Style, Size: r.Blank.Size, Place: string(r.Place),
			Since: stamp(r.Since), OrderRef: r.OrderRef, CustomersCommissionCode: codeOr('W', r.Blank.Commission)}
		if opened {
			m.FoundPlace, m.FoundOrderRef, m.SinceThen = string(r.FoundPlace), r.FoundOrderRef, r.SinceThen
			m.ToldAt, m.ToldHow, m.ToldBy = stamp(r.ToldAt), r.ToldHow, r.ToldBy
			m.Accounted, m.AccountedAt, m.AccountedBy, m.AccountedNote = string(r.Accounted), stamp(r.AccountedAt), r.AccountedBy, r.Note
			m.OverrideBy, m.OverrideReason = r.OverrideBy, r.OverrideWhy
		}
		ms[i] = m
	}
	return ms
}

// encodeRecall writes how a recall stands.
func encodeRecall(r store.Recall, rows []store.RecallRow) *dyelotv1.Recall {
	n := recall.Count(store.OfRecall(rows))
	m := &dyelotv1.Recall{Code: r.Code(), Title: r.Node.Title, Reason: r.Reason, By: r.By, OpenedAt: stamp(r.OpenedAt), ClosedAt: stamp(r.ClosedAt), ClosedBy: r.ClosedBy, CloseReason: r.CloseReason,
		Found: int32(n.Found), SinceThen: int32(n.SinceThen), ToTell: int32(n.ToTell), Told: int32(n.Told), ToldPercent: int32(recall.Percent(n.Told, n.ToTell)),
		Accounted: int32(n.Accounted), AccountedPercent: int32(recall.Percent(n.Accounted, n.All())), Held: int32(n.Held), StillOut: int32(n.StillOut),
		LastToldAt:      stamp(latest(rows, func(r store.RecallRow) time.Time { return r.ToldAt })),
		LastAccountedAt: stamp(latest(rows, func(r store.RecallRow) time.Time { return r.AccountedAt })), Node: encodeNode(r.Node)}
	for _, p := range n.Places {
		m.Places = append(m.Places, &dyelotv1.RecallPlace{Place: string(p.Place), Garments: int32(p.Count), Open: int32(p.Open)})
	}
	for _, h := range []struct {
		how recall.How
		n   int
	}{{recall.Returned, n.Returned}, {recall.Kept, n.Kept}, {recall.Destroyed, n.Destroyed}, {recall.Unreachable, n.Unreached}} {
		if h.n > 0 {
			m.Hows = append(m.Hows, &dyelotv1.RecallHow{How: string(h.how), Garments: int32(h.n)})
		}
	}
	return m
}

func latest(rows []store.RecallRow, at func(store.RecallRow) time.Time) (last time.Time) {
	for _, r := range rows {
		if at(r).After(last) {
			last = at(r)
		}
	}
	return last
}

// encodeNode writes a node that has a code or a lot of its supplier's or a day;
// of a garment and a recipe the title says it.
func encodeNode(n recall.Node) *dyelotv1.RecallNode {
	m := &dyelotv1.RecallNode{BathUse: int32(n.Use), Supplier: n.Supplier, PickedOn: showDay(n.Day)}
	for letter, kind := range recall.Letters {
		if kind == n.Kind {
			m.Code = store.Code(letter, n.ID)
		}
	}
	switch n.Kind {
	case recall.SupplierLot:
		m.SupplierLot = n.Words
	case recall.Harvest:
		m.Place = n.Words
	}
	return m
}
