package api

import (
	"cmp"
	"context"
	"slices"
	"sync"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/server/store"
)

// The nearest-colour search keeps the colours of the whole book in memory, one
// index for each light and eye that is asked for.
const (
	// mostPages bounds an index: an id, a colour, and their place in the tree are
	// about 100 bytes, so some 400 MB at the most, and 100 MB at a million pages.
	mostPages = 4_000_000
	// mostViews bounds how many lights and eyes are kept at once: a studio works in
	// one, and looks at the shop's light now and then.
	mostViews = 2
	// loadPages is how many colours are read in one statement.
	loadPages = 20_000
	// A tree is built anew when this many pages, and one in eight of those in it,
	// came since; until then they are scanned beside it.
	fewNew, partNew = 2000, 8
)

// swatchIndexes holds an index for each view; the one asked last comes first.
type swatchIndexes struct {
	mu    sync.Mutex
	views []*swatchIndex
}

func newSwatchIndexes() *swatchIndexes { return &swatchIndexes{} }

// of finds a view's index, or begins one and forgets the one longest unused.
func (all *swatchIndexes) of(v colour.View) *swatchIndex {
	all.mu.Lock()
	defer all.mu.Unlock()
	i := slices.IndexFunc(all.views, func(x *swatchIndex) bool { return x.view == v })
	if i < 0 {
		all.views = append(all.views[:min(len(all.views), mostViews-1)], &swatchIndex{view: v, busy: make(chan struct{}, 1)})
		i = len(all.views) - 1
	}
	x := all.views[i]
	all.views = slices.Insert(slices.Delete(all.views, i, i+1), 0, x)
	return x
}

// swatchIndex is the book in one view. One call at a time brings it up to date;
// what it hands out does not change any more.
type swatchIndex struct {
	view colour.View
	busy chan struct{} // a lock that a call may stop waiting for
	now  swatchShelf
}

// swatchShelf is the book at one moment: pages by rising id. Those up to
// len(tree's colours) are in the tree, the others are scanned.
type swatchShelf struct {
	last    int64 // the newest page looked at, with a colour or without
	ids     []int64
	labs    []colour.Lab
	inTree  int
	tree    *colour.Nearest
	leftOut []int64 // ids of pages that cannot be seen in this view
	struck  map[int64]bool
	marked  int64 // struck pages, as counted
}

// upToDate is the book as the transaction sees it: one cheap look where nothing
// came since, else the new pages alone are read.
func (x *swatchIndex) upToDate(ctx context.Context, tx *store.Tx) (swatchShelf, error) {
	select {
	case x.busy <- struct{}{}:
		defer func() { <-x.busy }()
	case <-ctx.Done():
		return swatchShelf{}, ctx.Err()
	}
	last, struck, err := tx.SwatchMark()
	if err != nil {
		return swatchShelf{}, err
	}
	next := x.now
	for next.last < last {
		if err := next.load(tx, x.view, last); err != nil {
			return swatchShelf{}, err
		}
		x.now = next // a call that runs out of time leaves what it has read to the next
	}
	if struck > next.marked {
		if err := next.loadStruck(tx, struck); err != nil {
			return swatchShelf{}, err
		}
	}
	if fresh := len(next.labs) - next.inTree; fresh > fewNew && fresh > next.inTree/partNew {
		next.tree, next.inTree = colour.NewNearest(next.labs), len(next.labs)
	}
	x.now = next
	return next.until(last), nil
}

// load reads the next colours; what has none up to the newest id is passed over.
func (b *swatchShelf) load(tx *store.Tx, v colour.View, last int64) error {
	rows, err := tx.SwatchColours(b.last, v, loadPages)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if c, ok := r.Measured.In(v); ok {
			b.ids, b.labs = append(b.ids, r.ID), append(b.labs, c)
		} else {
			b.leftOut = append(b.leftOut, r.ID)
		}
		b.last = r.ID
	}
	if len(b.ids) > mostPages {
		return fault.New(fault.Exhausted, "BOOK_TOO_LARGE", "the nearest colour is looked for among at most %d pages: look by words or by plant", mostPages)
	}
	if len(rows) < loadPages {
		b.last = max(b.last, last)
	}
	return nil
}

func (b *swatchShelf) loadStruck(tx *store.Tx, count int64) error {
	ids, err := tx.StruckSwatches()
	b.struck, b.marked = make(map[int64]bool, len(ids)), count
	for _, id := range ids {
		b.struck[id] = true
	}
	return err
}

// until hides what came after the transaction's snapshot, which a later call may
// have read already.
func (b swatchShelf) until(last int64) swatchShelf {
	n, _ := slices.BinarySearch(b.ids, last+1)
	b.ids, b.labs = b.ids[:n], b.labs[:n]
	n, _ = slices.BinarySearch(b.leftOut, last+1)
	b.leftOut = b.leftOut[:n]
	return b
}

// find is the k nearest of the pages that keep lets through, struck ones never:
// those in the tree, and beside it those that came since. Of two equally far the
// older page comes first.
func (b swatchShelf) find(q colour.Lab, k int, keep func(i int) bool) []colour.Neighbour {
	open := func(i int) bool { return i < len(b.ids) && !b.struck[b.ids[i]] && (keep == nil || keep(i)) }
	var found []colour.Neighbour
	if b.tree != nil {
		found = b.tree.Find(q, k, open)
	}
	for i := b.inTree; i < len(b.labs); i++ {
		if open(i) {
			found = append(found, colour.Neighbour{Index: i, Difference: colour.CIEDE2000(q, b.labs[i])})
		}
	}
	slices.SortFunc(found, func(x, y colour.Neighbour) int {
		return cmp.Or(cmp.Compare(x.Difference, y.Difference), cmp.Compare(x.Index, y.Index))
	})
	return found[:min(k, len(found))]
}

// counts are the pages that were compared, and those that could not be.
func (b swatchShelf) counts() (compared, leftOut int64) {
	compared, leftOut = int64(len(b.ids)), int64(len(b.leftOut))
	for id := range b.struck { // few
		if _, there := slices.BinarySearch(b.ids, id); there {
			compared--
		}
		if _, there := slices.BinarySearch(b.leftOut, id); there {
			leftOut--
		}
	}
	return compared, leftOut
}
