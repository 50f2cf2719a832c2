package stock_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

// Shrinkage is (before − after) / before, as in ISO 5077 (from memory), here per
// side: 62 cm to 60 is 3.2258 %, 48 to 47 is 2.0833 %.
func TestShrinkage(t *testing.T) {
	t.Parallel()
	before, err := stock.ParseSize("size_before", "62", "48")
	if err != nil {
		t.Fatal(err)
	}
	after, err := stock.ParseSize("size_after", "60", "47.0")
	if err != nil {
		t.Fatal(err)
	}
	length, width, ok := stock.Shrinkage(before, after)
	if !ok || length.Decimal() != "3.2258" || width.Decimal() != "2.0833" {
		t.Error(length, width, ok)
	}
	if length, _, _ = stock.Shrinkage(after, before); length.Decimal() != "-3.3333" {
		t.Errorf("grown: %s", length)
	}
	if _, _, ok := stock.Shrinkage(before, stock.Size{}); ok {
		t.Error("nothing was measured after")
	}
	for _, bad := range [][2]string{{"62", ""}, {"0", "48"}, {"-1", "4"}, {"62.55", "48"}, {"wide", "48"}, {"62", "1000.1"}} {
		_, err := stock.ParseSize("size_before", bad[0], bad[1])
		field(t, err, "size_before")
	}
	if s, err := stock.ParseSize("size_before", "", ""); err != nil || s.Known() {
		t.Error("nothing given is not measured")
	}
}

func TestASizeIsWrittenAsItWasRead(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Int64Range(1, 10_000).Draw(t, "mm")
		s, err := stock.ParseSize("f", stock.CM(mm), "1")
		if err != nil || s.Length != mm {
			t.Fatal(mm, s, err)
		}
	})
}

func silkShirts() stock.Parcel {
	return stock.Parcel{ID: 5, Item: stock.Item{Code: "shirt", Name: "shirt", Kind: stock.Blank, Unit: quantity.Count, Fibres: []stock.FibrePart{{Fibre: "silk", Percent: quantity.WholePercent(100)}}}, Origin: stock.FromDelivery}
}

func seconds(n int) *int { return &n }

// A later check goes before an earlier one in what it says, and leaves the rest.
func TestChecksOfOneDeliveryAreSummedUp(t *testing.T) {
	t.Parallel()
	now, ok := stock.Seen([]stock.Arrival{
		{Before: stock.Size{Length: 620, Width: 480}, Drop: seconds(30), Thread: "unknown", By: "bench-1"},
		{After: stock.Size{Length: 600, Width: 470}, Drop: seconds(0), Thread: "cotton", Verdict: stock.Accepted, By: "dyer-1"},
	})
	want := stock.Arrival{Before: stock.Size{Length: 620, Width: 480}, After: stock.Size{Length: 600, Width: 470}, Drop: seconds(0), Thread: "cotton", Verdict: stock.Accepted, By: "dyer-1"}
	if diff := cmp.Diff(want, now); diff != "" || !ok {
		t.Error(diff)
	}
	if _, ok := stock.Seen(nil); ok {
		t.Error("nobody looked")
	}
}

// The drop test and the signs of thread and brightener are common practice.
func TestWhatToMindOfBlanks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what string
		seen stock.Arrival
		want []string
	}{
		{"nobody looked", stock.Arrival{}, []string{"arrival-unchecked"}},
		{"clean", stock.Arrival{Drop: seconds(3), Brightener: "no", Thread: "silk", Verdict: stock.Accepted}, nil},
		{"a drop for five seconds", stock.Arrival{Drop: seconds(5), Verdict: stock.Accepted}, nil},
		{"a drop for six", stock.Arrival{Drop: seconds(6), Verdict: stock.Accepted}, []string{"finish"}},
		{"brightened, and sewn with polyester", stock.Arrival{Brightener: "yes", Thread: "polyester", Verdict: stock.Accepted}, []string{"brightener", "polyester-thread"}},
		{"cotton on silk", stock.Arrival{Thread: "cotton", Verdict: stock.Accepted}, []string{"other-thread"}},
		{"nobody burnt it", stock.Arrival{Thread: "unknown", Verdict: stock.Accepted}, nil},
	} {
		var got []string
		for _, w := range c.seen.Warnings(silkShirts()) {
			got = append(got, w.Key)
			if w.Source.String() == "" || !strings.Contains(w.Text, "P5") {
				t.Errorf("%s: %+v", c.what, w)
			}
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: %s", c.what, diff)
		}
	}
}

func TestAnArrivalCheckSaysSomethingThatIsKnown(t *testing.T) {
	t.Parallel()
	for name, a := range map[string]stock.Arrival{
		"brightener":   {Brightener: "perhaps"},
		"thread":       {Thread: "gold"},
		"verdict":      {Verdict: "fine"},
		"drop_seconds": {Drop: seconds(-1)},
		"":             {Note: "nice"},
	} {
		field(t, a.Check(silkShirts()), name)
	}
	salt := silkShirts()
	salt.Item.Kind = stock.Mordant
	refused(t, stock.Arrival{Thread: "silk"}.Check(salt), "NOT_A_BLANK")
	refused(t, stock.Arrival{Verdict: stock.Rejected}.MayUseAgain(silkShirts()), "REJECTED")
	if err := (stock.Arrival{Verdict: stock.Accepted}).MayUseAgain(silkShirts()); err != nil {
		t.Error(err)
	}
}

// What is a customer's is dyed for them and given back: nothing else.
func TestTheCustomersOwnOnTheShelf(t *testing.T) {
	t.Parallel()
	theirs := silkShirts()
	theirs.Origin, theirs.CommissionID, theirs.OnHand, theirs.Promised = stock.FromCustomer, 1, quantity.Pieces(3), quantity.Pieces(2)
	if got, err := stock.TakeIn(theirs.Item, 3); err != nil || got != quantity.Pieces(3) {
		t.Error(got, err)
	}
	_, err := stock.TakeIn(theirs.Item, 0)
	field(t, err, "pieces")
	cloth := theirs.Item
	cloth.Kind = stock.WitnessCloth
	_, err = stock.TakeIn(cloth, 1)
	refused(t, err, "NOT_A_BLANK")
	if theirs.MayBeDyedFor(1) != nil || silkShirts().MayBeDyedFor(1) != nil || silkShirts().MayBeDyedFor(0) != nil {
		t.Error("their commission's run takes them, and any run the studio's own")
	}
	refused(t, theirs.MayBeDyedFor(2), "CUSTOMERS_OWN")
	refused(t, theirs.MayBeDyedFor(0), "CUSTOMERS_OWN")
	if leg, err := stock.GiveBack(theirs, 1, quantity.Pieces(1)); err != nil || leg != (stock.Leg{ParcelID: 5, From: stock.Shelf, To: stock.Customer, Amount: quantity.Pieces(1)}) {
		t.Error(leg, err)
	}
	_, err = stock.GiveBack(theirs, 1, quantity.Pieces(2))
	refused(t, err, "STOCK_SHORT")
	_, err = stock.GiveBack(theirs, 2, quantity.Pieces(1))
	refused(t, err, "NOT_CUSTOMERS")
	_, err = stock.GiveBack(silkShirts(), 1, quantity.Pieces(1))
	refused(t, err, "NOT_CUSTOMERS")
	_, err = stock.WriteOff(theirs, quantity.Pieces(1), "not ours", true)
	refused(t, err, "NOT_DELIVERED")
	_, err = stock.Make(theirs.Item, quantity.Pieces(1), []stock.Given{{Parcel: theirs, Amount: quantity.Pieces(1)}}, false)
	refused(t, err, "CUSTOMERS_OWN")
}

func TestOnlyABlendIsSampled(t *testing.T) {
	t.Parallel()
	plant := stock.Parcel{ID: 7, Item: stock.Item{Code: "weld", Name: "weld", Kind: stock.Dyestuff}, Origin: stock.FromMaking}
	if err := stock.MaySample(plant); err != nil {
		t.Error(err)
	}
	plant.Origin = stock.FromHarvest
	refused(t, stock.MaySample(plant), "NOT_A_BLEND")
	shirts := silkShirts()
	shirts.Origin = stock.FromMaking
	refused(t, stock.MaySample(shirts), "NOT_A_BLEND")
}
