package recipe

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Part is the part of a plant that was gathered.
type Part uint8

// The parts that the trade gives a fresh : dry ratio for; zero is any other.
const (
	Leaf Part = iota + 1
	Flower
	Root
	Bark // and hulls
)

type drying struct {
	name      string
	low, high FreshDry
}

// The trade's ratios, from memory: a reason to look again, never a default for
// a harvest's own.
var dryings = map[Part]drying{
	Leaf:   {"leaves", 4000, 6000},
	Flower: {"flowers", 5000, 8000},
	Root:   {"roots", 3000, 4000},
	Bark:   {"barks and hulls", 2000, 3000},
}

// FreshDry is how much fresh plant makes one of dry, in thousandths.
type FreshDry int64

// Decimal is the ratio half-even to hundredths: "5.41".
func (r FreshDry) Decimal() string {
	hundredths := quantity.MulDiv(int64(r), 1, 10)
	return quantity.Percent(hundredths * 100).Decimal()
}

// String shows it as it is said: "5.41 : 1".
func (r FreshDry) String() string { return r.Decimal() + " : 1" }

// Fresh is the fresh plant that dries to a wanted mass at this ratio; absent for
// what is not a mass.
func (r FreshDry) Fresh(dry quantity.Amount) quantity.Amount {
	if dry.Unit != quantity.Mass {
		return quantity.Amount{}
	}
	n, _ := quotient([]int64{max(dry.N, 0), int64(r)}, []int64{1000})
	return quantity.Amount{N: n, Unit: quantity.Mass}
}

// DriedDown is the ratio of one own harvest, weighed fresh and then dry:
// 14.6 kg of weld that dries to 2.70 kg is 5.41 : 1. Measure each plant, site
// and year; no table stands in for it.
//
// Refused (fault.Invalid): what is not a mass above zero, dry not below fresh
// (still damp, or the two are swapped), more than 100 : 1.
func DriedDown(fresh, dry quantity.Amount) (FreshDry, error) {
	switch {
	case fresh.Unit != quantity.Mass || fresh.N <= 0:
		return 0, fault.BadField("fresh", "%s: a mass above 0 g is needed", fresh)
	case dry.Unit != quantity.Mass || dry.N <= 0:
		return 0, fault.BadField("dry", "%s: a mass above 0 g is needed", dry)
	case dry.N >= fresh.N:
		return 0, fault.BadField("dry", "%s dry of %s fresh: it is still damp, or the two are swapped", dry, fresh)
	}
	n, ok := quotient([]int64{fresh.N, 1000}, []int64{dry.N})
	if !ok || n > 100_000 {
		return 0, fault.BadField("dry", "%s dry of %s fresh is less than 1 in 100", dry, fresh)
	}
	return FreshDry(n), nil
}

// UsualDrying is the trade's range for a part, from memory; ok is false where it
// has none. It is told as a range, and never stands in for an own ratio.
func UsualDrying(p Part) (low, high FreshDry, ok bool) {
	usual, ok := dryings[p]
	return usual.low, usual.high, ok
}

// CheckDrying warns where a harvest dried to a ratio outside the trade's: well
// below it the bag is perhaps still damp, and damp is not booked as dry.
func CheckDrying(p Part, r FreshDry) []Warning {
	usual, known := dryings[p]
	switch {
	case !known:
		return nil
	case r < usual.low:
		return []Warning{{"still-damp", fmt.Sprintf("%s is less than the %s to %s of %s: weigh again after another day, damp is not booked as dry", r, usual.low.Decimal(), usual.high, usual.name), recalled}}
	case r > usual.high:
		return []Warning{{"dried-far", fmt.Sprintf("%s is more than the %s to %s of %s: check both weighings", r, usual.low.Decimal(), usual.high, usual.name), recalled}}
	}
	return nil
}
