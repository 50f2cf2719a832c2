package trace

import (
	"fmt"
	"slices"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// History is what the books say of where things went. Only what stands is in
// it: what was undone or reversed never happened.
type History struct {
	Given   []Given
	Makings []Making
	Members []Member
}

// Given is what a lot got of one parcel, from a bath or with its cloth.
type Given struct {
	Lot     int64
	Through Node // the stage record, the entry that fed its bath, or the lot itself where it was issued
	Parcel  int64
	// Blanks became the garments themselves: each garment has only those of its
	// own parcel in it.
	Blanks bool
	// Share is absent where nobody can say: of an earlier use of the same bath.
	Share quantity.Amount
}

// Making is an amount of one parcel that went into another one.
type Making struct {
	Parent, Child int64
	Amount        quantity.Amount // of the parent
	Made          quantity.Amount // all that the child ever was: made, or found later
}

// Member is a garment that was issued with a lot. Dyed over, it is a member of
// two lots.
type Member struct {
	Garment int64
	Lot     int64
	Parcel  int64 // of its blank
}

// Bath is one use of one liquor: who was in it, and what went in.
type Bath struct {
	Record int64
	Lots   []lot.BathLot
	Poured []Poured
}

// Poured is an amount of one parcel in a bath.
type Poured struct {
	Parcel int64
	Amount quantity.Amount
	Step   quantity.Amount // what the studio's scale resolves
}

// Given divides the bath among its lots by fibre mass. The shares of each
// parcel sum to what was poured (law 4).
func (b Bath) Given() []Given {
	var all []Given
	for _, p := range b.Poured {
		for i, share := range lot.Divide(p.Amount, b.Lots, p.Step) {
			all = append(all, Given{Lot: b.Lots[i].LotID, Through: RecordNode(b.Record), Parcel: p.Parcel, Share: share})
		}
	}
	return all
}

// Graph draws the history.
func (h History) Graph() *Graph {
	g := &Graph{}
	for _, m := range h.Makings {
		g.Link(ParcelNode(m.Parent), ParcelNode(m.Child))
	}
	for _, m := range h.Members {
		g.Link(LotNode(m.Lot), GarmentNode(m.Garment))
	}
	for _, x := range h.Given {
		switch {
		case x.Blanks:
			for _, m := range h.Members {
				if m.Lot == x.Lot && m.Parcel == x.Parcel {
					g.Link(ParcelNode(x.Parcel), GarmentNode(m.Garment))
				}
			}
		case x.Through == LotNode(x.Lot):
			g.Link(ParcelNode(x.Parcel), LotNode(x.Lot))
		default:
			g.Link(ParcelNode(x.Parcel), x.Through)
			g.Link(x.Through, LotNode(x.Lot))
		}
	}
	return g
}

// Of is the history of one garment: of the blanks that its lots were issued, it
// has only those of its own parcel.
func (h History) Of(blank int64) History {
	h.Given = slices.DeleteFunc(slices.Clone(h.Given), func(x Given) bool { return x.Blanks && x.Parcel != blank })
	return h
}

// OfLot is the history of one lot among several.
func (h History) OfLot(lotID int64) History {
	h.Given = slices.DeleteFunc(slices.Clone(h.Given), func(x Given) bool { return x.Lot != lotID })
	return h
}

// Source is a parcel above a garment or a lot.
type Source struct {
	Parcel int64
	Depth  int // makings between it and the bath, the fewest
	// Share is what the lot got of it: of a parent, in proportion to what the
	// lot got of what was made from it. Absent where nobody can say; at least
	// this, where one of several ways cannot be told.
	Share   quantity.Amount
	Through []Node  // records and issues
	Into    []int64 // the parcels made from it that the lot has in it
}

// Sources lists the parcels above everything that was given, the nearest first.
// It fails where the books say that a parcel is made of itself.
//
// 30 mL of a liquor of 500 mL, made of 100 g of copperas, bring 6 g of it.
func (h History) Sources() ([]Source, error) {
	h.Members = nil
	order, cycle := h.Graph().order()
	if cycle != nil {
		return nil, fmt.Errorf("the books have a cycle in the trace: %v", cycle)
	}
	madeOf := map[int64][]Making{}
	for _, m := range h.Makings {
		madeOf[m.Child] = append(madeOf[m.Child], m)
	}
	found := map[Node]*Source{}
	at := func(parcel int64, depth int) *Source {
		n := ParcelNode(parcel)
		if found[n] == nil {
			found[n] = &Source{Parcel: parcel, Depth: depth}
		}
		found[n].Depth = min(found[n].Depth, depth)
		return found[n]
	}
	for _, x := range h.Given {
		s := at(x.Parcel, 0)
		s.Share = s.Share.Add(x.Share)
		s.Through = append(s.Through, x.Through)
	}
	for _, n := range order {
		child := found[n]
		if child == nil {
			continue // a record, a lot, or what this lot has nothing of
		}
		for _, m := range madeOf[child.Parcel] {
			parent := at(m.Parent, child.Depth+1)
			parent.Through, parent.Into = append(parent.Through, child.Through...), append(parent.Into, child.Parcel)
			if child.Share.Unit != 0 && m.Made.N > 0 {
				parent.Share = parent.Share.Add(quantity.Amount{N: quantity.MulDiv(m.Amount.N, child.Share.N, m.Made.N), Unit: m.Amount.Unit})
			}
		}
	}
	return sorted(found), nil
}

func sorted(found map[Node]*Source) []Source {
	sources := make([]Source, 0, len(found))
	for _, s := range found {
		slices.SortFunc(s.Through, compareNodes)
		s.Through = slices.Compact(s.Through)
		slices.Sort(s.Into)
		s.Into = slices.Compact(s.Into)
		sources = append(sources, *s)
	}
	slices.SortFunc(sources, func(a, b Source) int {
		if a.Depth != b.Depth {
			return a.Depth - b.Depth
		}
		return compareNodes(ParcelNode(a.Parcel), ParcelNode(b.Parcel))
	})
	return sources
}
