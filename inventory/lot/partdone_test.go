package lot_test

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

func did(id int64, key string) lot.Standing { return lot.Standing{ID: id, Kind: kind(key)} }

func TestWhatMayWaitOnTheShelf(t *testing.T) {
	t.Parallel()
	undone, skipped := did(3, "dye"), did(4, "after-dip")
	undone.Undone, skipped.Skipped = true, true
	for _, c := range []struct {
		what   string
		state  lot.State
		recs   []lot.Standing
		reason string
		says   string
	}{
		{"mordanted", lot.InWork, []lot.Standing{did(1, "scour"), did(2, "mordant"), did(5, "dry")}, "", ""},
		{"tannined", lot.InWork, []lot.Standing{did(1, "tannin")}, "", ""},
		{"a dye that was taken back, a dip that was left out", lot.InWork, []lot.Standing{did(1, "scour"), undone, skipped}, "", ""},
		{"only wetted", lot.InWork, []lot.Standing{did(1, "wet-out")}, "NOTHING_DONE", "lot L3 is neither scoured, tannined nor mordanted"},
		{"nothing", lot.InWork, nil, "NOTHING_DONE", ""},
		{"dyed", lot.InWork, []lot.Standing{did(1, "mordant"), did(2, "dye")}, "DYED_ALREADY", "lot L3 had its dye (S2)"},
		{"a brew was drawn", lot.InWork, []lot.Standing{did(1, "mordant"), did(2, "brew")}, "DYED_ALREADY", "lot L3 had its brew (S2)"},
		{"saddened", lot.InWork, []lot.Standing{did(9, "after-dip")}, "DYED_ALREADY", ""},
		{"not issued", lot.Planned, nil, "LOT_STATE", "lot L3 is planned: its cloth cannot be put on the shelf"},
		{"all done", lot.WaitingForTests, []lot.Standing{did(1, "mordant")}, "LOT_STATE", ""},
		{"there already", lot.PartDone, []lot.Standing{did(1, "mordant")}, "LOT_STATE", "lot L3 is part done"},
	} {
		next, err := lot.ShelveCloth(lot.Lot{ID: 3, Code: "L3", State: c.state}, c.recs)
		if c.reason != "" {
			wantFault(t, err, fault.Refused, c.reason, c.says)
			continue
		}
		if err != nil || next != lot.PartDone {
			t.Errorf("%s: %s, %v", c.what, next, err)
		}
	}
}

func had(id int64, key string, fibre int64, used ...lot.Used) lot.Had {
	return lot.Had{Record: id, Lot: "L3", Kind: kind(key), At: time.Date(2026, 5, int(id), 9, 0, 0, 0, time.UTC), Used: used,
		Bath: lot.Bath{Kind: kind(key), Lots: []lot.BathLot{{LotID: 3, Fibre: g(fibre)}}}}
}

// The recipe asks 15 % of alum, common practice on cellulose after tannin; 36 g
// on 240 g are that.
func TestWhatARecipeLeavesOut(t *testing.T) {
	t.Parallel()
	salt, hide := bag(1, alum, g(500), g(0)), bag(6, galls, quantity.Pieces(50), quantity.Pieces(0))
	copperas := bag(5, powder, g(100), g(0))
	scour, tannin := stage(1, "scour", true, lot.Line{Item: soap, Ask: wof("2")}), stage(2, "tannin", true, lot.Line{Item: galls, Ask: recipe.Ask{Basis: recipe.Counted, PerKilo: quantity.Pieces(50)}})
	mordant, wet, dye := stage(3, "mordant", true, lot.Line{Item: alum, Ask: wof("15")}), stage(4, "wet-out", false), stage(5, "dye", false)
	whole := []lot.Stage{scour, tannin, mordant, wet, dye, stage(6, "mordant", false, lot.Line{Item: alum, Ask: wof("15")})}
	plain := []lot.Stage{scour, mordant, wet, dye}
	litre := []lot.Stage{stage(1, "mordant", true, lot.Line{Item: alum, Ask: gPerL(4)}), dye}
	read := had(2, "mordant", 240, lot.Used{Parcel: salt, Amount: g(38)})
	read.Bath.Volume = mL(9600)
	for _, c := range []struct {
		what    string
		stages  []lot.Stage
		had     []lot.Had
		left    []int
		differs string
	}{
		{"nothing was done", whole, nil, nil, ""},
		{"scoured", whole, []lot.Had{had(1, "scour", 240)}, []int{1}, ""},
		{"all that comes before the dye", whole, []lot.Had{had(1, "scour", 240), had(2, "tannin", 240, lot.Used{Parcel: hide, Amount: quantity.Pieces(12)}), had(3, "mordant", 240, lot.Used{Parcel: salt, Amount: g(36)})}, []int{1, 2, 3}, ""},
		{"no tannin under the alum", whole, []lot.Had{had(3, "mordant", 240, lot.Used{Parcel: salt, Amount: g(36)})}, nil, ""},
		{"cloth with its mordant is not scoured again", plain, []lot.Had{had(3, "mordant", 240, lot.Used{Parcel: salt, Amount: g(36)})}, []int{1, 3}, ""},
		{"a tenth less", plain, []lot.Had{had(3, "mordant", 240, lot.Used{Parcel: salt, Amount: mg(32_400)})}, []int{1, 3}, ""},
		{"more than a tenth less", plain, []lot.Had{had(3, "mordant", 240, lot.Used{Parcel: salt, Amount: mg(32_300)})}, nil, "mordant S3 of L3, 2026-05-03: 32.3 g of alum, 13.458 % WOF, and the recipe asks 15 % WOF of alum"},
		{"more than a tenth more", plain, []lot.Had{had(3, "mordant", 240, lot.Used{Parcel: salt, Amount: g(40)})}, nil, "and the recipe asks 15 % WOF of alum"},
		{"with iron in it", plain, []lot.Had{had(3, "mordant", 240, lot.Used{Parcel: salt, Amount: g(36)}, lot.Used{Parcel: copperas, Amount: g(2)})}, nil, "the recipe has no copperas in it"},
		{"another salt", plain, []lot.Had{had(1, "scour", 240), had(3, "mordant", 240, lot.Used{Parcel: copperas, Amount: g(2)})}, []int{1}, "the recipe asks 15 % WOF of alum"},
		{"the second time was right", plain, []lot.Had{had(3, "mordant", 240, lot.Used{Parcel: salt, Amount: g(20)}), had(4, "mordant", 240, lot.Used{Parcel: salt, Amount: g(36)})}, []int{1, 3}, ""},
		{"dyed since, so it is over-dyed and starts afresh", plain, []lot.Had{had(1, "scour", 240), had(3, "mordant", 240, lot.Used{Parcel: salt, Amount: g(36)}), had(4, "dye", 240)}, nil, ""},
		{"in g/L, and the bath was measured", litre, []lot.Had{read}, []int{1}, ""},
		{"in g/L, and nobody measured the bath", litre, []lot.Had{had(2, "mordant", 240, lot.Used{Parcel: salt, Amount: g(38)})}, nil, "whether that was 4 g/L of alum nobody can say"},
	} {
		left, differs := lot.LeaveOut(c.stages, c.had)
		var positions []int
		for _, x := range left {
			positions = append(positions, x.Position)
			if x.Why == "" {
				t.Errorf("%s: stage %d is left out without a reason", c.what, x.Position)
			}
		}
		if diff := cmp.Diff(c.left, positions); diff != "" {
			t.Errorf("%s: %s", c.what, diff)
		}
		if text := strings.Join(differs, "; "); (text == "") != (c.differs == "") || !strings.Contains(text, c.differs) {
			t.Errorf("%s: %q, want %q", c.what, text, c.differs)
		}
	}
}

// A stage that one lot leaves out has a bath for the others alone; one that all
// leave out has none.
func TestABathIsLaidForWhomItIsFor(t *testing.T) {
	t.Parallel()
	lots := choirLots()
	lots[0].LeftOut = []lot.LeftOut{{Position: 1, Kind: kind("mordant"), Why: "it has its alum"}}
	baths, err := lot.Baths(choirStages(), oneToForty, lots, map[int]lot.Pot{1: tub})
	if err != nil {
		t.Fatal(err)
	}
	if b := baths[0]; b.Position != 1 || len(b.Lots) != 1 || b.Lots[0].LotID != 1 || b.Fibre() != g(539) || b.Volume != mL(21560) {
		t.Errorf("%+v", b)
	}
	lots[1].LeftOut = lots[0].LeftOut
	baths, err = lot.Baths(choirStages(), oneToForty, lots, map[int]lot.Pot{1: tub})
	if err != nil || baths[0].Position != 2 || len(baths[0].Lots) != 2 {
		t.Errorf("%+v %v", baths[0], err)
	}
}
