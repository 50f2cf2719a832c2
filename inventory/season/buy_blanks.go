package season

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// BlankBuy is a question about blanks that are bought once for a season.
type BlankBuy struct {
	Mean, SD float64 // pieces that the season takes
	Price    quantity.Money
	Leftover quantity.Money // what one that is left over is worth
	Earns    quantity.Money // what a garment brings beyond its blank
}

// BlankAnswer is how many, and the range that nine seasons out of ten fall in.
type BlankAnswer struct {
	Quantity, Low, High int64
	Ratio               float64
}

// rangeTail: a range leaves out one season in twenty on each side.
const rangeTail = 0.05

// BlanksForSeason is the Newsvendor in money: a blank too many costs its price
// less what it is still worth, one too few what its garment would have brought.
// Numbers are whole pieces, rounded up, and none is below zero.
//
// A silk tunic at 18.00 that is worth 10.00 next year and brings 40.00: with 60
// give or take 10 expected, buy 70, since 44 to 76 are needed.
//
// Errors: fault.Invalid on mean, sd, price, leftover or earns; MIXED_CURRENCY.
func BlanksForSeason(b BlankBuy) (BlankAnswer, error) {
	switch {
	case b.Price.Micro <= 0:
		return BlankAnswer{}, fault.BadField("price", "%s: what a blank costs is above zero", b.Price)
	case b.Leftover.Micro < 0 || b.Leftover.Micro >= b.Price.Micro:
		return BlankAnswer{}, fault.BadField("leftover", "%s: what a blank that is left over is worth lies from 0 to below its price of %s, else buy as many as you can store", b.Leftover, b.Price)
	case b.Earns.Micro <= 0:
		return BlankAnswer{}, fault.BadField("earns", "%s: what a garment brings beyond its blank is above zero, else buy none", b.Earns)
	}
	for _, m := range []quantity.Money{b.Leftover, b.Earns} {
		if m.Currency != "" && m.Currency != b.Price.Currency {
			return BlankAnswer{}, fault.Refuse("MIXED_CURRENCY", "%s and %s are not compared without a rate", b.Price.Currency, m.Currency).With("one", b.Price.Currency).With("other", m.Currency)
		}
	}
	n, ratio, err := Newsvendor(b.Mean, b.SD, float64(b.Price.Micro-b.Leftover.Micro)/1e6, float64(b.Earns.Micro)/1e6)
	switch {
	case err != nil:
		return BlankAnswer{}, err
	case b.Mean > mostPieces:
		return BlankAnswer{}, fault.BadField("mean", "%v pieces: at most %d are believed", b.Mean, mostPieces)
	case b.SD > mostPieces:
		return BlankAnswer{}, fault.BadField("sd", "%v pieces: at most %d are believed", b.SD, mostPieces)
	}
	z := -mathext.NormalQuantile(rangeTail)
	up := func(x float64) int64 { return int64(max(math.Ceil(x-1e-9), 0)) }
	return BlankAnswer{Quantity: up(n), Low: int64(max(math.Floor(b.Mean-z*b.SD), 0)), High: up(b.Mean + z*b.SD), Ratio: ratio}, nil
}

const mostPieces = 1_000_000

// fewestSeasons whose use says how much seasons differ.
const fewestSeasons = 3

// Spread is the mean and the standard deviation of what past seasons took, as
// far as they say anything: ok is false of fewer than three.
func Spread(seasons []float64) (mean, sd float64, ok bool) {
	if len(seasons) < fewestSeasons {
		return 0, 0, false
	}
	for _, n := range seasons {
		mean += n / float64(len(seasons))
	}
	for _, n := range seasons {
		sd += (n - mean) * (n - mean)
	}
	return mean, math.Sqrt(sd / float64(len(seasons)-1)), true
}

// Method says how the number was found, a line each.
func (b BlankBuy) Method(a BlankAnswer, from string) []string {
	over := quantity.Money{Micro: b.Price.Micro - b.Leftover.Micro, Currency: b.Price.Currency}
	return []string{
		fmt.Sprintf("one too many costs %s (%s less the %s it is still worth), one too few %s", over, b.Price, quantity.Money{Micro: b.Leftover.Micro, Currency: b.Price.Currency}, b.Earns),
		fmt.Sprintf("so be able to serve %.0f seasons out of 100 (newsvendor, normal demand)", 100*a.Ratio),
		from,
	}
}
