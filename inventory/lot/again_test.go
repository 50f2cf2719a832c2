package lot_test

import (
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

func piece(place lot.Place, outcome string) lot.Garment {
	return lot.Garment{ID: 1, Tag: "1000X", LotID: 1, Place: place, Outcome: outcome, Dry: g(240)}
}

// What the studio means by over-dyeing: a garment, returned or imperfect, goes
// into a new lot; part-done cloth goes into its first dye.
func TestWhatMayBeDyedAgain(t *testing.T) {
	t.Parallel()
	planned := piece(lot.PlaceReturned, "")
	planned.Next = 7
	for _, c := range []struct {
		garment lot.Garment
		state   lot.State
		reason  string // empty: it may
		says    string
	}{
		{piece(lot.PlaceReturned, ""), lot.Passed, "", ""},
		{piece(lot.PlaceReturned, ""), lot.Closed, "", ""},
		{piece(lot.PlaceReturned, "imperfect"), lot.Imperfect, "", ""},
		{piece(lot.PlaceShelf, ""), lot.Imperfect, "", ""},
		{piece(lot.PlaceShelf, "imperfect"), lot.Passed, "", ""},
		{piece(lot.PlaceInWork, ""), lot.ReDye, "", ""},
		{piece(lot.PlaceInWork, "re-dye"), lot.Passed, "", ""},
		{piece(lot.PlacePartDone, ""), lot.PartDone, "", ""},
		{piece(lot.PlaceShelf, ""), lot.Passed, "NOT_TO_DYE", "1000X is passed: only what came back, is imperfect"},
		{piece(lot.PlaceShelf, "passed"), lot.Imperfect, "NOT_TO_DYE", "1000X is passed"},
		{piece(lot.PlaceInWork, ""), lot.Held, "NOT_TO_DYE", "1000X is held"},
		{piece(lot.PlaceInWork, "held"), lot.Passed, "NOT_TO_DYE", "1000X is held"},
		{piece(lot.PlaceInWork, ""), lot.InWork, "LOT_STATE", "lot L1, which is in work"},
		{piece(lot.PlaceShelf, "imperfect"), lot.WaitingForTests, "LOT_STATE", "lot L1, which is waiting for tests"},
		{piece(lot.PlaceReturned, ""), lot.WaitingForTests, "LOT_STATE", "its own lot is dyed and decided about first"},
		{piece(lot.PlaceSold, ""), lot.Imperfect, "GARMENT_AWAY", "1000X is sold"},
		{piece(lot.PlaceScrapped, "scrapped"), lot.Passed, "GARMENT_AWAY", "1000X is scrapped"},
		{piece(lot.PlacePlanned, ""), lot.Planned, "GARMENT_AWAY", "1000X is planned"},
		{piece(lot.PlaceGone, ""), lot.Cancelled, "GARMENT_AWAY", "1000X is cancelled"},
		{planned, lot.Passed, "PLANNED_AGAIN", "1000X is planned into lot L7"},
	} {
		err := c.garment.MayDyeAgain(lot.Lot{ID: 1, Code: "L1", State: c.state})
		if c.reason == "" {
			if err != nil {
				t.Errorf("%+v of a lot that is %s: %v", c.garment, c.state, err)
			}
			continue
		}
		wantFault(t, err, fault.Refused, c.reason, c.says)
	}
}

// What is planned into another lot is neither sold nor judged, wherever it lies
// and whatever was decided.
func TestWhatIsPlannedAgainStaysForItsLot(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		garment := piece(rapid.SampledFrom([]lot.Place{lot.PlaceShelf, lot.PlaceReturned, lot.PlaceInWork, lot.PlacePartDone}).Draw(t, "place"), rapid.SampledFrom([]string{"", "imperfect", "re-dye", "passed"}).Draw(t, "outcome"))
		l := lot.Lot{ID: 1, Code: "L1", State: rapid.SampledFrom(lot.States()).Draw(t, "state")}
		garment.Next = rapid.Int64Range(2, 9).Draw(t, "next")
		if garment.MayDyeAgain(l) == nil || garment.MayLeave(l) == nil {
			t.Fatalf("%+v goes elsewhere", garment)
		}
		j := lot.Judgement{Code: "L1", State: l.State}
		for _, word := range []string{"held", "imperfect", "re-dye", "scrapped"} {
			o, err := lot.OutcomeOf(word)
			if err != nil {
				t.Fatal(err)
			}
			if j.GiveSingle(o, "because", []lot.Garment{garment}, 1) == nil {
				t.Fatalf("%+v is %s", garment, word)
			}
		}
		if !garment.In(1) || !garment.In(garment.Next) || garment.In(10) {
			t.Fatalf("%+v", garment)
		}
	})
}

func TestWhatMayBeMended(t *testing.T) {
	t.Parallel()
	for _, place := range lot.Places() {
		err := piece(place, "").MayMend()
		switch place {
		case lot.PlaceInWork, lot.PlacePartDone, lot.PlaceShelf, lot.PlaceReturned:
			if err != nil {
				t.Errorf("%s: %v", place, err)
			}
		default:
			wantFault(t, err, fault.Refused, "GARMENT_AWAY", "what is mended has to be in the house")
		}
	}
}
