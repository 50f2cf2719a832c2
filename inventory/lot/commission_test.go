package lot_test

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

const (
	tunicID = 51
	scarfID = 52
)

// choirsSet is the choir's commission of the worked story, with two scarves.
func choirsSet() lot.Commission {
	return lot.Commission{ID: 1, Reference: "choir-7", Colourway: "olive-silk", StandardCode: "choir-olive", SetTolerance: 1000, Spares: 1, DueOn: july9,
		Pieces:   []lot.CommissionPieces{{ItemID: tunicID, ItemCode: "tunic", Count: 10}, {ItemID: scarfID, ItemCode: "scarf", Count: 2}},
		SignOffs: []lot.SignOff{{Standard: "choir-olive", ByRole: "conductor", On: may14}}}
}

func TestWhatACommissionMustSay(t *testing.T) {
	t.Parallel()
	if err := choirsSet().Check(may14); err != nil || choirsSet().Asked() != 12 || choirsSet().String() != "W1 (choir-7)" {
		t.Error(err)
	}
	for says, how := range map[string]func(*lot.Commission){
		"reference: \"\": the order's own reference":          func(c *lot.Commission) { c.Reference = "" },
		"reference: \"Choir of the North\"":                   func(c *lot.Commission) { c.Reference = "Choir of the North" },
		"reference: \"a@b.example\"":                          func(c *lot.Commission) { c.Reference = "a@b.example" },
		"reference: \"w7\"":                                   func(c *lot.Commission) { c.Reference = "w7" }, // it would read as a code
		"set_tolerance: 0: a CIEDE2000 above 0":               func(c *lot.Commission) { c.SetTolerance = 0 },
		"due_on: 2026-07-09 is past: today is 2026-07-10":     nil,
		"pieces: is needed":                                   func(c *lot.Commission) { c.Pieces = nil },
		"pieces[1].item_code: tunic is named twice":           func(c *lot.Commission) { c.Pieces[1] = c.Pieces[0] },
		"pieces[0].count: 0 pieces of tunic: 1 to 2000":       func(c *lot.Commission) { c.Pieces[0].Count = 0 },
		"spares: -1 spare pieces":                             func(c *lot.Commission) { c.Spares = -1 },
		"pieces[1].count: 2001 pieces of scarf: 1 to 2000":    func(c *lot.Commission) { c.Pieces[1].Count = 2001 },
		"set_tolerance: 100.001: a CIEDE2000 above 0 and at ": func(c *lot.Commission) { c.SetTolerance = 100_001 },
	} {
		c, today := choirsSet(), may14
		if how == nil {
			today = july9.Truncate(24*time.Hour).AddDate(0, 0, 1)
			c.DueOn = july9.Truncate(24 * time.Hour)
		} else {
			how(&c)
		}
		wantFault(t, c.Check(today), fault.Invalid, "INVALID_FIELD", says)
	}
}

func TestASignOffIsOfOneSwatchByNoName(t *testing.T) {
	t.Parallel()
	fine := lot.SignOff{ReadingID: 4, ByRole: "conductor", On: may14}
	if err := fine.Check(choirsSet()); err != nil {
		t.Error(err)
	}
	for says, how := range map[string]func(*lot.SignOff){
		"exactly one of a reading, a lot or the standard":                  func(s *lot.SignOff) { s.LotID = 2 },
		"say which swatch was agreed to":                                   func(s *lot.SignOff) { s.ReadingID = 0 },
		"standard_code: gold is not what W1 is judged by":                  func(s *lot.SignOff) { s.ReadingID, s.Standard = 0, "gold" },
		"by_role: \"Ann of the Hill\": who agreed, in one lower-case word": func(s *lot.SignOff) { s.ByRole = "Ann of the Hill" },
		"by_role: \"\"":        func(s *lot.SignOff) { s.ByRole = "" },
		"signed_on: is needed": func(s *lot.SignOff) { s.On = time.Time{} },
	} {
		s := fine
		how(&s)
		wantFault(t, s.Check(choirsSet()), fault.Invalid, "INVALID_FIELD", says)
	}
}

func TestNoRunIsPlannedBeforeASwatchIsSigned(t *testing.T) {
	t.Parallel()
	c := choirsSet()
	if err := c.MayPlan("olive-silk"); err != nil {
		t.Error(err)
	}
	wantFault(t, c.MayPlan("harbour-gold"), fault.Invalid, "INVALID_FIELD", "colourway_code: W1 (choir-7) is for olive-silk, not for harbour-gold")
	c.SignOffs = nil
	wantFault(t, c.MayPlan("olive-silk"), fault.Refused, "COMMISSION_UNSIGNED", "no run is planned for W1 (choir-7): nobody of the customer's side has signed a swatch off yet")
}

// setLot is a lot with so many tunics, of which so many passed and left.
func setLot(id int64, s lot.State, tunics, passed, gone int) lot.SetLot {
	planned := tunics
	if s == lot.Imperfect || s == lot.ReDye || s == lot.Scrapped {
		planned = 0
	}
	return lot.SetLot{ID: id, Code: "L" + string(rune('0'+id)), State: s, Pieces: []lot.SetPieces{{ItemID: tunicID, Count: tunics, Planned: planned, Passed: passed, Gone: gone}}}
}

func TestASetPassesAsASetOrNotAtAll(t *testing.T) {
	t.Parallel()
	c := choirsSet()
	c.Pieces = c.Pieces[:1]
	scarf := lot.SetLot{ID: 9, Code: "L9", State: lot.Passed, Pieces: []lot.SetPieces{{ItemID: scarfID, Count: 4, Planned: 4, Passed: 4}}}
	for _, k := range []struct {
		what  string
		lots  []lot.SetLot
		says  string // empty: it may go
		state string
	}{
		{"none", nil, "of tunic 0 of the 10 asked for have passed", "signed"},
		{"both passed, in two runs", []lot.SetLot{setLot(1, lot.Passed, 5, 5, 0), setLot(2, lot.Passed, 5, 5, 0)}, "", "judged"},
		{"one is held", []lot.SetLot{setLot(1, lot.Passed, 5, 5, 0), setLot(2, lot.Held, 5, 0, 0)}, "lot L2 is held; of tunic 5 of the 10 asked for have passed", "in-work"},
		{"enough passed, and one lot is not judged yet", []lot.SetLot{setLot(1, lot.Passed, 10, 10, 0), setLot(2, lot.WaitingForTests, 1, 0, 0)}, "lot L2 is waiting for tests", "in-work"},
		{"one is planned", []lot.SetLot{setLot(1, lot.Passed, 10, 10, 0), setLot(2, lot.Planned, 1, 0, 0)}, "lot L2 is planned", "in-work"},
		{"a spoiled lot and its second run", []lot.SetLot{setLot(1, lot.Passed, 5, 5, 0), setLot(2, lot.Scrapped, 5, 0, 0), setLot(3, lot.Passed, 5, 5, 0)}, "", "judged"},
		{"a spoiled lot alone", []lot.SetLot{setLot(1, lot.Passed, 5, 5, 0), setLot(2, lot.Imperfect, 5, 0, 0)}, "of tunic 5 of the 10 asked for have passed", "in-work"},
		{"the spare stands in for a torn one", []lot.SetLot{setLot(1, lot.Passed, 11, 10, 0)}, "", "judged"},
		{"scarves are no tunics", []lot.SetLot{setLot(1, lot.Passed, 8, 8, 0), scarf}, "of tunic 8 of the 10 asked for have passed", "in-work"},
		{"closed, and gone", []lot.SetLot{setLot(1, lot.Closed, 10, 10, 10)}, "", "handed-over"},
	} {
		err := c.Whole(k.lots)
		if k.says == "" && err != nil {
			t.Errorf("%s: %v", k.what, err)
		} else if k.says != "" {
			wantFault(t, err, fault.Refused, "WHOLE_SET", "no piece of W1 (choir-7) leaves: a set passes as a set or not at all, and "+k.says)
		}
		if got := c.State(k.lots); got != k.state {
			t.Errorf("%s: %s, want %s", k.what, got, k.state)
		}
	}
	c.SignOffs = nil
	if got := c.State(nil); got != "unsigned" {
		t.Error(got)
	}
}

// The set may go exactly when nothing of it is open and enough of it passed.
func TestWholeIsNothingElse(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := choirsSet()
		c.Pieces[0].Count, c.Pieces = rapid.IntRange(1, 12).Draw(t, "asked"), c.Pieces[:1]
		var lots []lot.SetLot
		open, passed := false, 0
		for i := range rapid.IntRange(0, 5).Draw(t, "lots") {
			s := rapid.SampledFrom(lot.States()).Draw(t, "state")
			if s == lot.Cancelled {
				continue // those are not loaded
			}
			n := rapid.IntRange(1, 6).Draw(t, "pieces")
			yes := 0
			if s == lot.Passed || s == lot.Closed {
				yes = rapid.IntRange(0, n).Draw(t, "passed")
			}
			open = open || s == lot.Planned || s == lot.InWork || s == lot.WaitingForTests || s == lot.Held
			passed += yes
			lots = append(lots, setLot(int64(i+1), s, n, yes, 0))
		}
		if may := c.Whole(lots) == nil; may != (!open && passed >= c.Pieces[0].Count) {
			t.Fatalf("%v with %+v", may, lots)
		}
	})
}

func TestWhatIsMissingOfASetIsSaidWhenItIsPlanned(t *testing.T) {
	t.Parallel()
	c := choirsSet()
	c.Pieces = c.Pieces[:1]
	for planned, want := range map[int]string{
		8:  "of tunic 8 of the 10 asked for are planned",
		10: "0 of 1 spare pieces are planned, and a piece dyed later never matches",
		11: "",
	} {
		if got := c.Short([]lot.SetLot{setLot(1, lot.Planned, planned, 0, 0)}); got != want {
			t.Errorf("%d: %q, want %q", planned, got, want)
		}
	}
}

// A customer's garment is given back once it was judged, even where it failed,
// and never sold.
func TestTheCustomersOwnIsGivenBackAndNeverSold(t *testing.T) {
	t.Parallel()
	shirt := lot.Garment{Tag: "1000Q", LotID: 1, Place: lot.PlaceShelf, CommissionID: 1}
	if shirt.MayBeDyedFor(1) != nil || (lot.Garment{Tag: "1000Q"}).MayBeDyedFor(1) != nil || (lot.Garment{Tag: "1000Q"}).MayBeDyedFor(0) != nil {
		t.Error("their commission's run takes it once more, and any run the studio's own")
	}
	for _, other := range []int64{0, 2} {
		wantFault(t, shirt.MayBeDyedFor(other), fault.Refused, "CUSTOMERS_OWN", "1000Q belongs to the customer of W1: it is dyed for that commission and given back, never taken for another run")
	}
	for _, s := range lot.States() {
		l := lot.Lot{ID: 1, Code: "L1", State: s}
		wantFault(t, shirt.MayLeave(l), fault.Refused, "CUSTOMERS_OWN", "1000Q belongs to the customer of W1: it is given back, never sold")
		err := shirt.MayGiveBack(1, l)
		switch s {
		case lot.Passed, lot.Closed, lot.Imperfect, lot.ReDye, lot.Scrapped:
			if err != nil {
				t.Errorf("%s: %v", s, err)
			}
			if in := shirt.InSet(l); in != (s == lot.Passed || s == lot.Closed) {
				t.Errorf("%s: in its set: %v", s, in)
			}
		default:
			wantFault(t, err, fault.Refused, "NEEDS_VERDICT", "1000Q is not given back yet: it is "+s.Words())
		}
	}
	passed := lot.Lot{ID: 1, Code: "L1", State: lot.Passed}
	wantFault(t, shirt.MayGiveBack(2, passed), fault.Refused, "NOT_CUSTOMERS", "does not belong to the customer of W2")
	own := shirt
	own.CommissionID = 0
	wantFault(t, own.MayGiveBack(1, passed), fault.Refused, "NOT_CUSTOMERS", "does not belong to the customer of W1")
	gone := shirt
	gone.Place = lot.PlaceGivenBack
	wantFault(t, gone.MayGiveBack(1, passed), fault.Refused, "GARMENT_AWAY", "1000Q is given back already")
}

// blendOf is a parcel of weld that somebody mixed and nobody sampled.
func blendOf(id int64, onHand quantity.Amount) stock.Parcel {
	p := bag(id, weld, onHand, g(0))
	p.Origin, p.Unsampled = stock.FromMaking, true
	return p
}

// Law 11: a matched set takes one harvest of each dyestuff, or a blend that was
// sampled first; what is no set may take any.
func TestLaw11ASetPassesABlendOverThatNobodySampled(t *testing.T) {
	t.Parallel()
	dose := func() []lot.Bath { return []lot.Bath{oneBath(lot.Line{Item: weld, Ask: wof("60")})} }
	blend, harvest := blendOf(1, g(900)), bag(2, weld, g(700), g(0))

	shelf := shelfOf(blend, harvest)
	if d := filled(t, dose(), shelf, true, nil)[0].Doses[0]; d.Picks[0].Code != "P2" || len(shelf.PassedOver) != 1 || !strings.HasPrefix(shelf.PassedOver[0], "P1 is a blend of weld that no swatch was dyed with") {
		t.Errorf("%+v, %v", d, shelf.PassedOver)
	}
	if d := filled(t, dose(), shelfOf(blend, harvest), false, nil)[0].Doses[0]; d.Picks[0].Code != "P1" {
		t.Errorf("no set, the oldest that suffices: %+v", d)
	}
	if d := filled(t, dose(), shelfOf(blend), true, nil)[0].Doses[0]; d.Short != g(600) || !strings.Contains(d.Note, "; P1 is a blend of weld that no swatch was dyed with, and a matched set takes one harvest or a blend that was sampled") {
		t.Errorf("%+v", d)
	}
	wantFault(t, lot.Fill(dose(), shelfOf(blend, harvest), true, map[int64]int64{weld.ID: 1}), fault.Refused, "BLEND_NOT_SAMPLED", "stage 1, weld: P1 is a blend of weld that no swatch was dyed with")
	blend.Unsampled = false
	if d := filled(t, dose(), shelfOf(blend, harvest), true, nil)[0].Doses[0]; d.Picks[0].Code != "P1" {
		t.Errorf("sampled: %+v", d)
	}
}

// Law 11 over runs: the second run of a commission takes what the first one
// took, or nothing.
func TestLaw11TheSecondRunOfACommissionTakesTheFirstOnesHarvest(t *testing.T) {
	t.Parallel()
	dose := func() []lot.Bath {
		return []lot.Bath{oneBath(lot.Line{Item: weld, Ask: wof("60")}, lot.Line{Item: alum, Ask: wof("15")})}
	}
	salt := bag(9, alum, g(500), g(0))
	bound := func(parcels ...stock.Parcel) *lot.Shelf {
		s := shelfOf(append(parcels, salt)...)
		s.Bound = map[int64][]int64{weld.ID: {2}}
		return s
	}
	first, second := bag(1, weld, g(900), g(0)), bag(2, weld, g(900), g(0))
	baths := filled(t, dose(), bound(first, second), true, nil)
	if d := baths[0].Doses[0]; d.Picks[0].Code != "P2" {
		t.Errorf("%+v", d)
	}
	if d := baths[0].Doses[1]; d.Picks[0].Code != "P9" {
		t.Errorf("a mordant is bound by nothing: %+v", d)
	}
	wantFault(t, lot.Fill(dose(), bound(first, second), true, map[int64]int64{weld.ID: 1}), fault.Refused, "ONE_HARVEST",
		"stage 1, weld: weld of the other runs of this commission comes from P2: a matched set takes one harvest of each dyestuff, so P1 cannot join it")
	second.OnHand = g(100)
	if d := filled(t, dose(), bound(first, second), true, nil)[0].Doses[0]; d.Short != g(600) || !strings.Contains(d.Note, "P2 has 100 g free: 500 g short; another run of this commission took P2") {
		t.Errorf("%+v", d)
	}
}

// The set's row of a commission goes by what was agreed, and names whose it is.
func TestTheSetOfACommissionIsNamed(t *testing.T) {
	t.Parallel()
	agreed := olive
	agreed.SetTolerance = 2000
	j := judged(t, lot.Case{Lot: lotA, Sisters: []lot.Measured{lotB}, Matched: true, Set: "W1", Standard: agreed})
	if j.Set.Asked != "2" || j.Set.Found != "1.78" || j.SetStands() != nil || !strings.HasPrefix(j.Set.Title, "lots of the set of W1 to each other, ") {
		t.Errorf("%+v", j.Set)
	}
}

func TestAReadingThatIsBeyondItsStandard(t *testing.T) {
	t.Parallel()
	near, far, wet := reading(1, 62, -2, 38), reading(2, 50, -2, 38), reading(3, 62, -2, 38)
	wet.Wet = true
	if near.Beyond(olive) != "" || !strings.Contains(far.Beyond(olive), "beyond its tolerance of 1.5") || !strings.Contains(wet.Beyond(olive), "not dry and rested") {
		t.Error(near.Beyond(olive), far.Beyond(olive), wet.Beyond(olive))
	}
	other := near
	other.View = colour.View{Illuminant: colour.A}
	if !strings.Contains(other.Beyond(olive), "another light") {
		t.Error(other.Beyond(olive))
	}
}
