package trace_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/trace"
)

// The choir's ten silk tunics, worked by hand by two people: lots 1 and 2 of
// 541 g and 539 g share a mordant tub and a brew; each has its own after-dip
// out of one bottle of iron liquor, made of 100 g of copperas in 500 mL.
const (
	tunics, witness, alum, weld, copperas, liquor = 1, 2, 3, 4, 5, 6
)

func both(record int64, poured ...trace.Poured) trace.Bath {
	return trace.Bath{Record: record, Lots: []lot.BathLot{{LotID: 1, Fibre: quantity.Grams(541)}, {LotID: 2, Fibre: quantity.Grams(539)}}, Poured: poured}
}

func alone(record, lotID int64, poured ...trace.Poured) trace.Bath {
	return trace.Bath{Record: record, Lots: []lot.BathLot{{LotID: lotID, Fibre: quantity.Grams(540)}}, Poured: poured}
}

func choir() trace.History {
	tenth := quantity.Amount{N: 100_000, Unit: quantity.Mass}
	h := trace.History{Makings: []trace.Making{{Parent: copperas, Child: liquor, Amount: quantity.Grams(100), Made: quantity.Millilitres(500)}}}
	for _, b := range []trace.Bath{
		both(1, trace.Poured{Parcel: alum, Amount: quantity.Grams(162), Step: tenth}),
		both(2, trace.Poured{Parcel: weld, Amount: quantity.Grams(720), Step: quantity.Grams(1)}),
		alone(6, 1, trace.Poured{Parcel: liquor, Amount: quantity.Millilitres(27), Step: quantity.Millilitres(1)}),
		alone(7, 2, trace.Poured{Parcel: liquor, Amount: quantity.Millilitres(30), Step: quantity.Millilitres(1)}),
	} {
		h.Given = append(h.Given, b.Given()...)
	}
	for lotID := range int64(2) {
		own := lotID + 1
		h.Given = append(h.Given,
			trace.Given{Lot: own, Through: trace.LotNode(own), Parcel: tunics, Blanks: true, Share: quantity.Pieces(5)},
			trace.Given{Lot: own, Through: trace.LotNode(own), Parcel: witness, Share: quantity.Grams(18)})
		for i := range int64(5) {
			h.Members = append(h.Members, trace.Member{Garment: lotID*5 + i + 1, Lot: own, Parcel: tunics})
		}
	}
	return h
}

func TestSourcesOfTheChoirsSecondLot(t *testing.T) {
	t.Parallel()
	got, err := choir().OfLot(2).Of(tunics).Sources()
	if err != nil {
		t.Fatal(err)
	}
	issue, want := trace.LotNode(2), []trace.Source{
		{Parcel: tunics, Share: quantity.Pieces(5)},
		{Parcel: witness, Share: quantity.Grams(18)},
		{Parcel: alum, Share: quantity.Amount{N: 80_800_000, Unit: quantity.Mass}}, // 162 × 539/1080 = 80.85; by tenths the first lot takes the odd one
		{Parcel: weld, Share: quantity.Grams(359)},
		{Parcel: liquor, Share: quantity.Millilitres(30)},
		{Parcel: copperas, Depth: 1, Share: quantity.Grams(6), Into: []int64{liquor}}, // 6.0 g, as the story says
	}
	for i, through := range []trace.Node{issue, issue, trace.RecordNode(1), trace.RecordNode(2), trace.RecordNode(7), trace.RecordNode(7)} {
		want[i].Through = []trace.Node{through}
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestBlanksLeadOnlyToTheirOwnGarments(t *testing.T) {
	t.Parallel()
	h := choir()
	h.Given = append(h.Given, trace.Given{Lot: 1, Through: trace.LotNode(1), Parcel: 9, Blanks: true, Share: quantity.Pieces(1)})
	h.Members = append(h.Members, trace.Member{Garment: 11, Lot: 1, Parcel: 9})
	g := h.Graph()
	if d := cmp.Diff([]trace.Node{trace.GarmentNode(11)}, g.Below(trace.ParcelNode(9))); d != "" {
		t.Error(d)
	}
	if up := g.Above(trace.GarmentNode(11)); slices.Contains(up, trace.ParcelNode(tunics)) || !slices.Contains(up, trace.ParcelNode(copperas)) {
		t.Errorf("garment 11 is made of %v", up)
	}
	if up := g.Above(trace.GarmentNode(1)); slices.Contains(up, trace.ParcelNode(9)) {
		t.Errorf("garment 1 is made of %v", up)
	}
}

// A bath used again passes on what the first lot left in it, and nobody can say
// how much that was.
func TestExhaustBathPassesItsMordantOn(t *testing.T) {
	t.Parallel()
	h := trace.History{Given: []trace.Given{
		{Lot: 1, Through: trace.RecordNode(1), Parcel: alum, Share: quantity.Grams(80)},
		{Lot: 2, Through: trace.RecordNode(1), Parcel: alum},
		{Lot: 2, Through: trace.RecordNode(2), Parcel: weld, Share: quantity.Grams(300)},
	}}
	got, err := h.OfLot(2).Sources()
	if err != nil {
		t.Fatal(err)
	}
	want := []trace.Source{{Parcel: alum, Through: []trace.Node{trace.RecordNode(1)}}, {Parcel: weld, Share: quantity.Grams(300), Through: []trace.Node{trace.RecordNode(2)}}}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// The same copperas by two ways: dry into one bath, as liquor into another.
func TestSourceByTwoWaysIsOneRow(t *testing.T) {
	t.Parallel()
	h := choir().OfLot(1)
	h.Given = append(h.Given, alone(8, 1, trace.Poured{Parcel: copperas, Amount: quantity.Grams(2), Step: quantity.Grams(1)}).Given()...)
	sources, err := h.Sources()
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(sources, func(s trace.Source) bool { return s.Parcel == copperas })
	want := trace.Source{Parcel: copperas, Share: quantity.Amount{N: 7_400_000, Unit: quantity.Mass}, // 2 g and 27 mL × 200 g/L
		Through: []trace.Node{trace.RecordNode(6), trace.RecordNode(8)}, Into: []int64{liquor}}
	if d := cmp.Diff(want, sources[i]); d != "" {
		t.Error(d)
	}
}

// What was found in a bottle came from its parents too, so the shares of all
// that it gave are what went into it.
func TestFoundLiquorThinsItsParents(t *testing.T) {
	t.Parallel()
	h := choir().OfLot(1)
	h.Makings[0].Made = quantity.Millilitres(540) // 40 mL were found later
	sources, err := h.Sources()
	if err != nil {
		t.Fatal(err)
	}
	if s := sources[len(sources)-1]; s.Parcel != copperas || s.Share != quantity.Grams(5) { // 100 g × 27/540
		t.Errorf("copperas: %+v", s)
	}
}

func TestBooksWithACycleAreNotTraced(t *testing.T) {
	t.Parallel()
	h := choir()
	h.Makings = append(h.Makings, trace.Making{Parent: liquor, Child: 7, Amount: quantity.Grams(1), Made: quantity.Grams(1)},
		trace.Making{Parent: 7, Child: copperas, Amount: quantity.Grams(1), Made: quantity.Grams(1)})
	_, err := h.Sources()
	if err == nil || !strings.Contains(err.Error(), "P5 P6 P7") {
		t.Errorf("got %v", err)
	}
}
