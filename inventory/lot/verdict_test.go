package lot_test

import (
	"testing"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

func outcome(t *testing.T, word string) lot.Outcome {
	t.Helper()
	o, err := lot.OutcomeOf(word)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// The states and turns of the project's "A lot's life", with may-pass in front
// of passing.
func TestVerdictsOnWholeLots(t *testing.T) {
	t.Parallel()
	_, err := lot.OutcomeOf("lovely")
	wantFault(t, err, fault.Invalid, "INVALID_FIELD", "passed, held, imperfect, re-dye, scrapped, closed")
	good, bad := judged(t, choirCase(lotA, lotB, fastness.Whole(3))), judged(t, choirCase(lotB, lotA, fastness.Half(2)))
	for word, next := range map[string]lot.State{"held": lot.Held, "imperfect": lot.Imperfect, "re-dye": lot.ReDye, "scrapped": lot.Scrapped} {
		_, err := bad.Give(outcome(t, word), " ")
		wantFault(t, err, fault.Invalid, "INVALID_FIELD", word+" needs a reason")
		if state, err := bad.Give(outcome(t, word), "a stripe on three of them"); err != nil || state != next {
			t.Errorf("%s leads to %s, %v", word, state, err)
		}
	}
	if state, err := good.Give(outcome(t, "passed"), ""); err != nil || state != lot.Passed {
		t.Errorf("passed leads to %s, %v", state, err)
	}
	_, err = bad.Give(outcome(t, "passed"), "it will do")
	wantFault(t, err, fault.Refused, "HOUSE_STANDARD", "failed 2-3")
	_, err = good.Give(outcome(t, "closed"), "")
	wantFault(t, err, fault.Refused, "LOT_STATE", "waiting for tests: it cannot be closed")
	good.State = lot.InWork
	_, err = good.Give(outcome(t, "passed"), "")
	wantFault(t, err, fault.Refused, "LOT_STATE", "in work: it cannot pass")
}

func TestVerdictsOnSingleGarments(t *testing.T) {
	t.Parallel()
	good, bad := judged(t, choirCase(lotA, lotB, fastness.Whole(3))), judged(t, choirCase(lotB, lotA, fastness.Half(2)))
	one := []lot.Garment{{Tag: "16JD", LotID: 1, Place: lot.PlaceInWork}}
	for _, word := range []string{"held", "imperfect", "re-dye", "scrapped"} {
		if err := bad.GiveSingle(outcome(t, word), "a stripe", one, 1); err != nil {
			t.Errorf("%s: %v", word, err)
		}
		wantFault(t, bad.GiveSingle(outcome(t, word), "", one, 1), fault.Invalid, "INVALID_FIELD", "needs a reason")
	}
	pass := outcome(t, "passed")
	if err := good.GiveSingle(pass, "", one, 1); err != nil {
		t.Error(err)
	}
	wantFault(t, bad.GiveSingle(pass, "", one, 1), fault.Refused, "HOUSE_STANDARD", "failed 2-3")
	wantFault(t, good.GiveSingle(pass, "", one, 2), fault.Invalid, "INVALID_FIELD", "16JD is not of lot L1")
	wantFault(t, good.GiveSingle(outcome(t, "closed"), "", one, 1), fault.Invalid, "INVALID_FIELD", "only its lot")
	for _, away := range []lot.Place{lot.PlacePlanned, lot.PlaceSold, lot.PlaceScrapped, lot.PlaceGone} {
		one[0].Place = away
		wantFault(t, good.GiveSingle(pass, "", one, 1), fault.Refused, "GARMENT_AWAY", string(away))
	}
	one[0].Place = lot.PlaceReturned
	good.State = lot.Closed
	wantFault(t, good.GiveSingle(pass, "", one, 1), fault.Refused, "LOT_STATE", "closed")
	if err := good.GiveSingle(outcome(t, "imperfect"), "faded shoulders", one, 1); err != nil {
		t.Error(err)
	}
	one[0].Place = lot.PlaceInWork
	good.State = lot.InWork
	wantFault(t, good.GiveSingle(pass, "", one, 1), fault.Refused, "LOT_STATE", "in work")
	if err := good.GiveSingle(outcome(t, "scrapped"), "torn in the pot", one, 1); err != nil {
		t.Error(err)
	}
	for _, s := range []lot.State{lot.Planned, lot.Scrapped, lot.Cancelled} {
		good.State = s
		wantFault(t, good.GiveSingle(outcome(t, "scrapped"), "torn", one, 1), fault.Refused, "LOT_STATE", s.Words())
	}
}
