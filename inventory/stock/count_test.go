package stock_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
)

func hour(h int) time.Time { return today.Add(time.Duration(h) * time.Hour) }

// Worked by hand: 350 g at 11:00, 337 g are counted, 50 g are used at 14:00;
// typed in at 17:00.
func TestACountIsHeldAgainstTheBookOfItsMoment(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name                        string
		now, then, counted          quantity.Amount
		difference, beyond, leftNow quantity.Amount
	}{
		{"13 g were missing, and 50 g were used since", g(300), g(350), g(337), g(-13), quantity.Amount{}, g(287)},
		{"the book was right at 11:00", g(300), g(350), g(350), g(0), quantity.Amount{}, g(300)},
		{"20 g more were there", g(300), g(350), g(370), g(20), quantity.Amount{}, g(320)},
		{"10 g were left, and 80 g were used since all the same", g(20), g(100), g(10), g(-90), g(70), g(0)},
		{"nothing was left, and the book has nothing to give", g(0), g(60), g(0), g(-60), g(60), g(0)},
		{"the book of the moment was below nothing", g(30), g(-20), g(5), g(25), quantity.Amount{}, g(55)},
	} {
		p := bag(1, alum, c.now, g(0))
		got, err := stock.Count(p, stock.Moment{At: hour(11), OnHand: c.then}, c.counted)
		taken(t, err)
		left := p.OnHand.Add(stock.OnShelf(got.Legs)[1])
		if got.Difference != c.difference || got.Beyond != c.beyond || left != c.leftNow || !got.HappenedAt.Equal(hour(11)) {
			t.Errorf("%s: difference %s, beyond %s, left %s", c.name, got.Difference, got.Beyond, left)
		}
		if len(got.Legs) > 0 && got.Legs[0].Amount.N <= 0 {
			t.Errorf("%s: %+v", c.name, got.Legs)
		}
	}
}

func TestACountOutOfItsTimeIsRefused(t *testing.T) {
	t.Parallel()
	p := bag(1, alum, g(300), g(0))
	_, err := stock.Count(p, stock.Moment{At: hour(0), OnHand: g(0), Came: hour(10)}, g(300))
	field(t, err, "happened_at")
	_, err = stock.Count(p, stock.Moment{At: hour(10), OnHand: g(300), Came: hour(10)}, g(300))
	taken(t, err)
	_, err = stock.Count(p, stock.Moment{At: hour(10), OnHand: g(300), CountedSince: hour(11)}, g(290))
	refused(t, err, "COUNTED_SINCE")
}

func TestWhatHappenedBeforeACountAndIsWrittenAfterItWarns(t *testing.T) {
	t.Parallel()
	p := bag(9, alum, g(300), g(0))
	w, is := stock.Overtaken(p, hour(10), hour(11), g(337))
	want := "this was at 2026-05-14 10:00, before P9 was counted at 2026-05-14 11:00 and 337 g were found, and it is written down after: that count may have booked it already, so count P9 again"
	if !is || w.Text != want {
		t.Errorf("%t, %s", is, cmp.Diff(want, w.Text))
	}
	for _, at := range []time.Time{hour(11), hour(12)} {
		if _, is := stock.Overtaken(p, at, hour(11), g(337)); is {
			t.Errorf("%s is not before the count", at)
		}
	}
	if _, is := stock.Overtaken(p, hour(1), time.Time{}, quantity.Amount{}); is {
		t.Error("nobody counted")
	}
}

// dated is one change of a shelf at an hour; the day is told in the order in
// which things happened, so what is typed in late was known late.
type dated struct {
	hour  int
	delta int64
}

// Whatever else happened that day and was written down: a bag that differed
// from its book by so much before the count holds, after the count is typed in,
// what is really in it.
func TestACountTypedInLateLeavesWhatIsReallyThere(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		start := rapid.Int64Range(0, 500).Draw(t, "booked")
		really := rapid.Int64Range(0, 500).Draw(t, "really")
		count := rapid.IntRange(1, 22).Draw(t, "hour of the count")
		book, atCount, inBag, counted := start, start, really, really
		day := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) dated {
			return dated{rapid.IntRange(0, 23).Draw(t, "hour"), rapid.Int64Range(-100, 100).Draw(t, "moved")}
		}), 0, 8).Draw(t, "day")
		for h := range 24 {
			if h == count {
				atCount, counted = book, inBag
			}
			for _, d := range day {
				if d.hour == h && min(book, inBag)+d.delta >= 0 { // what is not there cannot be taken
					book, inBag = book+d.delta, inBag+d.delta
				}
			}
		}
		p := bag(1, alum, quantity.Amount{N: book, Unit: quantity.Mass}, g(0))
		c, err := stock.Count(p, stock.Moment{At: hour(count), OnHand: quantity.Amount{N: atCount, Unit: quantity.Mass}}, quantity.Amount{N: counted, Unit: quantity.Mass})
		if err != nil {
			t.Fatal(err)
		}
		if left := p.OnHand.Add(stock.OnShelf(c.Legs)[1]); left.N != inBag || c.Beyond.N != 0 {
			t.Fatalf("booked %d, really %d, beyond %d", left.N, inBag, c.Beyond.N)
		}
	})
}
