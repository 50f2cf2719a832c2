package lot

import (
	"fmt"
	"time"

	"dyelot/inventory/quantity"
)

// LeftOver is what was left of a measured liquor after one of its uses, and
// where it went: the first standing entry after it that keeps it or pours it
// away. Absent where nobody said.
func (b Liquor) LeftOver(use int) (Entry, bool) {
	for _, e := range b.standing() {
		switch {
		case e.AfterUse != use:
		case e.Kind == EntryTopUp:
			return Entry{}, false // what is measured from here on is more than was left
		case (e.Kind == EntryKept || e.Kind == EntrySpent) && e.Litres.Unit != 0:
			return e, true
		}
	}
	return Entry{}, false
}

// DivideLiquor shares a measured liquor among lots by fibre mass, in whole steps
// of 10 mL, after what was left over: 20 L less 2 L over 541 g and 539 g is
// 9.02 L and 8.98 L. Nil where it was not measured, or more was left than there
// was.
func DivideLiquor(got, left quantity.Amount, lots []BathLot) []quantity.Amount {
	if got.Unit != quantity.Volume || got.N <= 0 || left.N > got.N || len(lots) == 0 {
		return nil
	}
	return Divide(quantity.Amount{N: got.N - left.N, Unit: quantity.Volume}, lots, jugStep)
}

// jugStep is what a measuring jug shows.
var jugStep = quantity.Millilitres(10)

// KeptTooLong is the days after which a kept bath is asked about: by then it
// sours or grows mould (common practice). A vat lives longer, and its diary is
// asked about instead.
const KeptTooLong = 14

// Ask is what to ask about a bath that has stood too long without being used or
// looked at, in words; empty while it has not, or is not kept.
func (b Liquor) Ask(now time.Time) string {
	if b.State() != "kept" {
		return ""
	}
	last := b.OpenedAt
	if b.LastUse.After(last) {
		last = b.LastUse
	}
	for _, e := range b.standing() {
		if b.Kind.Uses == "vat" && e.HappenedAt.After(last) {
			last = e.HappenedAt
		}
	}
	days := int(now.Sub(last) / (24 * time.Hour))
	switch {
	case days <= KeptTooLong:
		return ""
	case b.Kind.Uses == "vat":
		return fmt.Sprintf("%s vat, nobody dipped or looked for %d days: note its pH and feed it, or log it spent", where(b.Vessel), days)
	}
	return fmt.Sprintf("%s bath%s kept %d days, %s: use it or log it spent", b.Kind.Name, prefixed(" in ", b.Vessel.Code), b.Days(now), timesUsed(b.Uses()))
}

func where(p Pot) string {
	if p.Code == "" {
		return "the"
	}
	return p.Code + ","
}

func prefixed(before, s string) string {
	if s == "" {
		return ""
	}
	return before + s
}

func timesUsed(n int) string {
	switch n {
	case 0:
		return "never used"
	case 1:
		return "used once"
	case 2:
		return "used twice"
	}
	return fmt.Sprintf("used %d times", n)
}
