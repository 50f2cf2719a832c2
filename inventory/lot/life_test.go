package lot_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
)

// The life of a lot as the design has it: planned → in work → waiting for tests
// → held or passed → closed; to re-dye and scrapped leave it.
var turns = map[lot.State]map[lot.Act]lot.State{
	lot.Planned:         {lot.Issue: lot.InWork, lot.StageDone: lot.Planned, lot.Undo: lot.Planned, lot.Cancel: lot.Cancelled},
	lot.InWork:          {lot.StageDone: lot.InWork, lot.LastDone: lot.WaitingForTests, lot.Undo: lot.InWork, lot.Scrap: lot.Scrapped, lot.Shelve: lot.PartDone},
	lot.PartDone:        {lot.Scrap: lot.Scrapped},
	lot.WaitingForTests: {lot.Undo: lot.InWork, lot.Pass: lot.Passed, lot.Hold: lot.Held, lot.SellImperfect: lot.Imperfect, lot.SendToReDye: lot.ReDye, lot.Scrap: lot.Scrapped},
	lot.Held:            {lot.Pass: lot.Passed, lot.Hold: lot.Held, lot.SellImperfect: lot.Imperfect, lot.SendToReDye: lot.ReDye, lot.Scrap: lot.Scrapped},
	lot.Passed:          {lot.Hold: lot.Held, lot.Close: lot.Closed},
	lot.Imperfect:       {lot.Close: lot.Closed, lot.Scrap: lot.Scrapped},
	lot.ReDye:           {lot.Scrap: lot.Scrapped},
}

var acts = []lot.Act{lot.Issue, lot.StageDone, lot.LastDone, lot.Undo, lot.Cancel, lot.Shelve, lot.Pass, lot.Hold, lot.SellImperfect, lot.SendToReDye, lot.Scrap, lot.Close}

func TestEveryStateAndActIsInTheTableOrRefused(t *testing.T) {
	t.Parallel()
	for _, from := range lot.States() {
		for _, by := range acts {
			to, err := lot.Next("L7", from, by)
			want, ok := turns[from][by]
			if ok != (err == nil) || to != want {
				t.Errorf("%s by %s: %q, %v", from, by, to, err)
			}
			if err == nil {
				continue
			}
			f := wantFault(t, err, fault.Refused, "LOT_STATE", fmt.Sprintf("lot L7 is %s: ", from.Words()))
			if diff := cmp.Diff(map[string]string{"state": string(from), "lot": "L7"}, f.Numbers); diff != "" {
				t.Error(diff)
			}
			if _, what, _ := strings.Cut(f.Say, ": "); len(what) < len("it cannot pass") {
				t.Errorf("%s by %s says only %q", from, by, f.Say)
			}
		}
	}
	if _, err := lot.Next("L7", "lost", lot.Issue); err == nil {
		t.Error("a state that is not in the table")
	}
	if _, err := lot.Next("L7", lot.Planned, "steal"); err == nil {
		t.Error("an act that is not in the table")
	}
}

func TestSentencesOfALife(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		from lot.State
		by   lot.Act
		says string
	}{
		{lot.Passed, lot.StageDone, "lot L7 is passed: no stage can be recorded"},
		{lot.Held, lot.Undo, "lot L7 is held: no stage can be undone"},
		{lot.WaitingForTests, lot.Close, "lot L7 is waiting for tests: it cannot be closed"},
		{lot.InWork, lot.Cancel, "lot L7 is in work: it cannot be cancelled"},
		{lot.ReDye, lot.Pass, "lot L7 is to be re-dyed: it cannot pass"},
		{lot.PartDone, lot.StageDone, "lot L7 is part done: no stage can be recorded"},
		{lot.Passed, lot.Shelve, "lot L7 is passed: its cloth cannot be put on the shelf as part-done"},
		{lot.Closed, lot.Issue, "lot L7 is closed: its blanks cannot be issued"},
	} {
		_, err := lot.Next("L7", c.from, c.by)
		wantFault(t, err, fault.Refused, "LOT_STATE", c.says)
	}
}

// Whatever is done to a lot: what has ended has ended, only a plan is cancelled,
// nothing passes before its last stage is done, and nothing closes that was
// neither passed nor sold as imperfect.
func TestALifeWalkedAtRandom(t *testing.T) {
	t.Parallel()
	ended := map[lot.State]bool{lot.Closed: true, lot.Scrapped: true, lot.Cancelled: true}
	rapid.Check(t, func(t *rapid.T) {
		is, been := lot.Planned, map[lot.State]bool{lot.Planned: true}
		for range rapid.IntRange(1, 40).Draw(t, "acts") {
			by := rapid.SampledFrom(acts).Draw(t, "act")
			to, err := lot.Next("L1", is, by)
			if err != nil {
				continue
			}
			switch {
			case ended[is]:
				t.Fatalf("%s, and then %s", is, to)
			case to == lot.Cancelled && (is != lot.Planned || been[lot.InWork]):
				t.Fatalf("cancelled from %s", is)
			case to == lot.Planned && is != lot.Planned:
				t.Fatalf("planned again from %s", is)
			case (to == lot.Passed || to == lot.Imperfect) && !been[lot.WaitingForTests]:
				t.Fatalf("%s without its last stage", to)
			case to == lot.Closed && is != lot.Passed && is != lot.Imperfect:
				t.Fatalf("closed from %s", is)
			}
			is, been[to] = to, true
		}
	})
}

func TestTheStateOfARunSumsItsLotsUp(t *testing.T) {
	t.Parallel()
	lots := func(states ...lot.State) []lot.Lot {
		var all []lot.Lot
		for _, s := range states {
			all = append(all, lot.Lot{State: s})
		}
		return all
	}
	for _, c := range []struct {
		lots []lot.Lot
		want string
	}{
		{lots(lot.Planned, lot.Planned), "planned"},
		{lots(lot.Planned, lot.InWork), "in-work"},
		{lots(lot.Closed, lot.WaitingForTests), "in-work"},
		{lots(lot.Passed, lot.Imperfect), "in-work"},
		{lots(lot.Imperfect), "in-work"},
		{lots(lot.Closed, lot.Scrapped, lot.ReDye), "closed"},
		{lots(lot.Planned, lot.Scrapped), "in-work"},
		{lots(lot.PartDone, lot.Closed), "closed"},
	} {
		if got := (lot.Run{}).StateOf(c.lots); got != c.want {
			t.Errorf("%v is %s, want %s", c.lots, got, c.want)
		}
	}
	if got := (lot.Run{CancelledAt: may14}).StateOf(lots(lot.Cancelled)); got != "cancelled" {
		t.Error(got)
	}
}

func TestUndoBringsLotsBackIntoWork(t *testing.T) {
	t.Parallel()
	got, err := lot.UndoStates([]lot.Lot{{ID: 1, State: lot.WaitingForTests}, {ID: 2, State: lot.InWork}, {ID: 3, State: lot.Planned}})
	if diff := cmp.Diff(map[int64]lot.State{1: lot.InWork, 2: lot.InWork, 3: lot.Planned}, got); diff != "" || err != nil {
		t.Errorf("%v %s", err, diff)
	}
	got, err = lot.UndoStates([]lot.Lot{{ID: 1, Code: "L1", State: lot.InWork}, {ID: 2, Code: "L2", State: lot.Passed}})
	wantFault(t, err, fault.Refused, "LOT_STATE", "lot L2 is passed: no stage can be undone")
	if got != nil {
		t.Errorf("half undone: %v", got)
	}
}
