package lot_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fault"
	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

func day(n int) time.Time { return time.Date(2026, 5, n, 12, 0, 0, 0, time.UTC) }

func litres(n int64) quantity.Amount { return quantity.Millilitres(n * 1000) }

// keptTub is a mordant tub of 1 May, used on the 1st and the 10th.
func keptTub(entries ...lot.Entry) lot.Liquor {
	for i := range entries {
		entries[i].ID = int64(i + 1)
	}
	return lot.Liquor{ID: 3, Code: "B3", Kind: kind("mordant"), Vessel: lot.Pot{ID: 1, Code: "tub-60"}, OpenedAt: day(1), UseAt: []time.Time{day(1), day(10)}, LastUse: day(10),
		Measured: litres(43), Use: 1, Entries: entries}
}

func refused(t testing.TB, err error, reason string) {
	t.Helper()
	f, is := fault.Of(err)
	switch {
	case reason == "" && err != nil:
		t.Errorf("refused: %v", err)
	case reason != "" && (!is || f.Reason != reason && f.Field != reason):
		t.Errorf("want %s, got %v", reason, err)
	}
}

func TestABathGoesOnUntilItIsSpent(t *testing.T) {
	t.Parallel()
	spent := lot.Entry{Kind: lot.EntrySpent, AfterUse: 2, HappenedAt: day(20), Litres: litres(40), Route: "foul sewer"}
	undone := spent
	undone.Undone = true
	for name, c := range map[string]struct {
		bath   lot.Liquor
		kind   string
		at     time.Time
		reason string
	}{
		"a third use":       {keptTub(), "mordant", day(12), ""},
		"at the same time":  {keptTub(), "mordant", day(10), ""},
		"before the second": {keptTub(), "mordant", day(9), "BATH_EARLIER"},
		"for dyeing":        {keptTub(), "dye", day(12), "OTHER_BATH"},
		"after it is spent": {keptTub(spent), "mordant", day(21), "BATH_SPENT"},
		"spent by mistake":  {keptTub(undone), "mordant", day(21), ""},
		"before a top-up":   {keptTub(lot.Entry{Kind: lot.EntryTopUp, AfterUse: 2, HappenedAt: day(15)}), "mordant", day(14), "BATH_EARLIER"},
	} {
		t.Run(name, func(t *testing.T) { refused(t, c.bath.MayServe(kind(c.kind), c.at), c.reason) })
	}
}

func TestWhatADiaryTakes(t *testing.T) {
	t.Parallel()
	ph := 650
	spent := lot.Entry{Kind: lot.EntrySpent, AfterUse: 2, HappenedAt: day(20), Litres: litres(40), Route: "foul sewer"}
	for name, c := range map[string]struct {
		bath   lot.Liquor
		entry  lot.Entry
		feed   int
		reason string
	}{
		"kept":                    {keptTub(), lot.Entry{Kind: lot.EntryKept, HappenedAt: day(11)}, 0, ""},
		"kept before its use":     {keptTub(), lot.Entry{Kind: lot.EntryKept, HappenedAt: day(9)}, 0, "BATH_EARLIER"},
		"kept with feed":          {keptTub(), lot.Entry{Kind: lot.EntryKept, HappenedAt: day(11)}, 1, "used"},
		"topped up late":          {keptTub(), lot.Entry{Kind: lot.EntryTopUp, HappenedAt: day(5), Litres: litres(2)}, 0, ""},
		"topped up before it was": {keptTub(), lot.Entry{Kind: lot.EntryTopUp, HappenedAt: day(1).Add(-time.Hour), Litres: litres(2)}, 0, "BATH_EARLIER"},
		"topped up after spent":   {keptTub(spent), lot.Entry{Kind: lot.EntryTopUp, HappenedAt: day(21), Litres: litres(2)}, 0, "BATH_SPENT"},
		"fed before spent":        {keptTub(spent), lot.Entry{Kind: lot.EntryTopUp, HappenedAt: day(19)}, 1, ""},
		"topped up with nothing":  {keptTub(), lot.Entry{Kind: lot.EntryTopUp, HappenedAt: day(11)}, 0, "litres"},
		"read":                    {keptTub(), lot.Entry{Kind: lot.EntryNote, HappenedAt: day(11), PH: &ph}, 0, ""},
		"nothing noted":           {keptTub(), lot.Entry{Kind: lot.EntryNote, HappenedAt: day(11)}, 0, "note"},
		"spent":                   {keptTub(), lot.Entry{Kind: lot.EntrySpent, HappenedAt: day(11), Litres: litres(40), Route: "foul sewer"}, 0, ""},
		"spent nowhere":           {keptTub(), lot.Entry{Kind: lot.EntrySpent, HappenedAt: day(11), Litres: litres(40)}, 0, "route"},
		"spent, no litres":        {keptTub(), lot.Entry{Kind: lot.EntrySpent, HappenedAt: day(11), Route: "foul sewer"}, 0, "litres"},
		"spent twice":             {keptTub(spent), spent, 0, "BATH_SPENT"},
		"a route of a kept bath":  {keptTub(), lot.Entry{Kind: lot.EntryKept, HappenedAt: day(11), Route: "garden"}, 0, "route"},
		"set by hand":             {keptTub(), lot.Entry{Kind: lot.EntrySet, HappenedAt: day(11)}, 0, "kind"},
		"no such word":            {keptTub(), lot.Entry{Kind: "stirred", HappenedAt: day(11)}, 0, "kind"},
	} {
		t.Run(name, func(t *testing.T) { refused(t, c.bath.MayLog(c.entry, c.feed), c.reason) })
	}
}

// By hand: 43 L read at use 1, 40 L kept after it, 2 L topped up: 42 L.
func TestLitresAsFarAsTheyWereMeasured(t *testing.T) {
	t.Parallel()
	kept, top := lot.Entry{Kind: lot.EntryKept, AfterUse: 1, Litres: litres(40)}, lot.Entry{Kind: lot.EntryTopUp, AfterUse: 1, Litres: litres(2)}
	spent := lot.Entry{Kind: lot.EntrySpent, AfterUse: 2, Litres: litres(41)}
	unknown := keptTub(top)
	unknown.Measured = quantity.Amount{}
	later := keptTub(kept)
	later.Measured, later.Use = litres(38), 2
	for name, c := range map[string]struct {
		bath lot.Liquor
		want quantity.Amount
	}{
		"as read":                  {keptTub(), litres(43)},
		"kept":                     {keptTub(kept), litres(40)},
		"topped up":                {keptTub(kept, top), litres(42)},
		"spent":                    {keptTub(kept, top, spent), litres(0)},
		"topped up, of no measure": {unknown, quantity.Amount{}},
		"read since":               {later, litres(38)},
	} {
		t.Run(name, func(t *testing.T) {
			if got := c.bath.Litres(); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
		})
	}
}

func TestWhatIsAskedAboutKeptBaths(t *testing.T) {
	t.Parallel()
	kept := lot.Entry{Kind: lot.EntryKept, AfterUse: 2, HappenedAt: day(10)}
	vat := keptTub(lot.Entry{Kind: lot.EntrySet, HappenedAt: day(1)}, lot.Entry{Kind: lot.EntryNote, HappenedAt: day(14)})
	vat.Kind = kind("vat-dip")
	for name, c := range map[string]struct {
		bath lot.Liquor
		now  time.Time
		want string
	}{
		"nobody kept it":         {keptTub(), day(31), ""},
		"fourteen days":          {keptTub(kept), day(24), ""},
		"fifteen days":           {keptTub(kept), day(25), "mordant bath in tub-60 kept 24 days, used twice: use it or log it spent"},
		"a vat looked at":        {vat, day(28), ""},
		"a vat left to itself":   {vat, day(30), "tub-60, vat, nobody dipped or looked for 16 days: note its pH and feed it, or log it spent"},
		"poured away in between": {keptTub(kept, lot.Entry{Kind: lot.EntrySpent, HappenedAt: day(11)}), day(31), ""},
	} {
		t.Run(name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, c.bath.Ask(c.now)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// 20 L less 2 L over the choir's 541 g and 539 g: 9.02 L and 8.98 L (by hand).
func TestABrewIsDividedByFibre(t *testing.T) {
	t.Parallel()
	choir := []lot.BathLot{{LotID: 1, Fibre: g(541)}, {LotID: 2, Fibre: g(539)}}
	if diff := cmp.Diff([]quantity.Amount{quantity.Millilitres(9020), quantity.Millilitres(8980)}, lot.DivideLiquor(litres(20), litres(2), choir)); diff != "" {
		t.Error(diff)
	}
	for name, got := range map[string][]quantity.Amount{
		"not measured": lot.DivideLiquor(quantity.Amount{}, litres(1), choir), "more left than there was": lot.DivideLiquor(litres(1), litres(2), choir), "no lot": lot.DivideLiquor(litres(1), quantity.Amount{}, nil),
	} {
		if got != nil {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// Law 4: the shares of a liquor and what is left sum to what was got.
func TestLaw4SharesOfALiquorSumToIt(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		got := rapid.Int64Range(1, 200_000_000).Draw(t, "got")
		left := rapid.Int64Range(0, got).Draw(t, "left")
		var lots []lot.BathLot
		for i := range rapid.IntRange(1, 6).Draw(t, "lots") {
			lots = append(lots, lot.BathLot{LotID: int64(i + 1), Fibre: quantity.Amount{N: rapid.Int64Range(1, 5_000_000_000).Draw(t, "fibre"), Unit: quantity.Mass}})
		}
		sum := left
		for _, s := range lot.DivideLiquor(quantity.Amount{N: got, Unit: quantity.Volume}, quantity.Amount{N: left, Unit: quantity.Volume}, lots) {
			sum += s.N
		}
		if sum != got {
			t.Fatalf("%d were got and %d are told of", got, sum)
		}
	})
}

// A use that is over by a time counts, and no later one does; so an entry
// written late lies between the uses that it lay between.
func TestUsesByATimeNeverGoBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := lot.Liquor{}
		at := day(1)
		for range rapid.IntRange(0, 8).Draw(t, "uses") {
			at = at.Add(time.Duration(rapid.IntRange(0, 50).Draw(t, "hours")) * time.Hour)
			b.UseAt = append(b.UseAt, at)
		}
		from := day(1).Add(time.Duration(rapid.IntRange(-10, 300).Draw(t, "from")) * time.Hour)
		to := from.Add(time.Duration(rapid.IntRange(0, 100).Draw(t, "to")) * time.Hour)
		if b.UsesBy(from) > b.UsesBy(to) || b.UsesBy(at) != b.Uses() {
			t.Fatalf("%v: %d by %s, %d by %s", b.UseAt, b.UsesBy(from), from, b.UsesBy(to), to)
		}
	})
}
