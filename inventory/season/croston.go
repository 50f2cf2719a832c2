package season

import (
	"cmp"

	"dyelot/inventory/fault"
)

// FewestMonths with any use below which no forecast is made: with fewer, the
// first guess still outweighs what was seen (common practice).
const FewestMonths = 8

// Forecast is what an item that is used now and then is expected to need.
type Forecast struct {
	Size     float64 // used in a month that uses any
	Interval float64 // months from one such month to the next
	Rate     float64 // used a month over all: Size / Interval
	Months   int     // months with use that this rests on
}

// Croston forecasts an item that most months do not use: it smooths the size of
// each use and the months between uses apart, both with the same alpha (above 0
// to 1; 0.1 is usual), starting from the first size and the first interval.
//
// Source: Croston, Operational Research Quarterly 23 (1972) 289–303; Hyndman &
// Athanasopoulos, Forecasting, 2nd ed., § 13.2. Errors: fault.Invalid naming
// use or alpha; fault.Refused FORECAST_TOO_THIN under FewestMonths months with
// use.
func Croston(use []float64, alpha float64) (Forecast, error) {
	err := cmp.Or(each("use", use, notNegative), positive("alpha", alpha))
	switch {
	case err != nil:
		return Forecast{}, err
	case len(use) == 0:
		return Forecast{}, fault.BadField("use", "at least one month is needed")
	case alpha > 1:
		return Forecast{}, fault.BadField("alpha", "%v is above 1", alpha)
	}
	var f Forecast
	lastUse := -1
	for month, size := range use {
		if size == 0 {
			continue
		}
		interval := float64(month - lastUse)
		if f.Months == 0 {
			f.Size, f.Interval = size, interval
		}
		f.Size += alpha * (size - f.Size)
		f.Interval += alpha * (interval - f.Interval)
		f.Months++
		lastUse = month
	}
	if f.Months < FewestMonths {
		return Forecast{}, fault.Refuse("FORECAST_TOO_THIN",
			"%d months with use are too few to forecast from, at least %d are needed", f.Months, FewestMonths)
	}
	f.Rate = f.Size / f.Interval
	return f, nil
}
