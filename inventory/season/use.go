package season

import (
	"cmp"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"dyelot/inventory/fault"
)

// Method is how use beyond the plan is told.
type Method string

// The methods, by the pattern of use.
const (
	Nothing Method = "none"   // too few months with use: the hand-set minimum holds
	Steady  Method = "normal" // normal theory
	Lumpy   Method = "croston-tsb"
)

// Cut-offs between steady and lumpy use: months from one use to the next, and
// the squared coefficient of variation of the months that have any. Syntetos,
// Boylan & Croston, Journal of the Operational Research Society 56 (2005)
// 495–503 (from memory).
const (
	lumpyInterval = 1.32
	lumpyCV2      = 0.49
)

const (
	outlook = 3    // months that the range is a mean of: about as far as a shelf is planned ahead
	within  = 0.80 // the share of such times that it should hold
)

// smoothing is the usual weight of the newest month (Croston 1972: 0.1 to 0.3).
const smoothing = 0.1

// Beyond is what an item is expected to need a month beside what is planned.
type Beyond struct {
	Method    Method
	Low, High float64 // a month, as the mean of the next three months; both 0 with Nothing
	Months    int     // looked at
	Used      int     // of them with use
	Interval  float64 // months to a month with use
	CV2       float64 // of the months with use
	Why       string
}

// BeyondPlan tells the use that no plan covers, by month, the oldest first,
// none left out. Under FewestMonths months with use it tells nothing. Steady use
// (interval under 1.32, CV² under 0.49) is told by normal theory: mean ± t·s·√(1/3 + 1/n),
// the 80 % prediction interval for the mean of three months. Any other use is
// told by Croston and by TSB together: from the lower less z·s/√3 to the higher
// more z·s/√3, which is rough, since such use is not normal; never below zero.
//
// Errors: fault.Invalid naming use.
func BeyondPlan(use []float64) (Beyond, error) {
	if err := each("use", use, notNegative); err != nil {
		return Beyond{}, err
	}
	b := Beyond{Method: Nothing, Months: len(use)}
	var sum, squares float64
	for _, u := range use {
		if u > 0 {
			b.Used++
			sum += u
			squares += u * u
		}
	}
	if b.Used < FewestMonths {
		b.Why = fmt.Sprintf("%d of %d months had any use: under %d nothing is told", b.Used, b.Months, FewestMonths)
		return b, nil
	}
	n := float64(b.Used)
	mean := sum / n
	b.Interval = float64(b.Months) / n
	b.CV2 = (squares/n - mean*mean) * n / (n - 1) / (mean * mean)
	b.CV2 = max(b.CV2, 0)
	shape := fmt.Sprintf("%d of %d months had use, every %.2f months, CV² %.2f", b.Used, b.Months, b.Interval, b.CV2)
	if b.Interval < lumpyInterval && b.CV2 < lumpyCV2 {
		b.Method = Steady
		b.steady(use)
		b.Why = shape + ": steady (under 1.32 and 0.49), so by normal theory"
		return b, nil
	}
	b.Method = Lumpy
	croston, tsb, err := b.lumpy(use)
	b.Why = fmt.Sprintf("%s: lumpy (1.32 and 0.49 divide), so by Croston (%.3g) and TSB (%.3g)", shape, croston, tsb)
	return b, err
}

func (b *Beyond) steady(use []float64) {
	mean, sd := meanSD(use)
	n := float64(len(use))
	half := studentWithin(within, len(use)-1) * sd * math.Sqrt(1.0/outlook+1/n)
	b.Low, b.High = max(0, mean-half), mean+half
}

func (b *Beyond) lumpy(use []float64) (croston, tsb float64, err error) {
	c, err := Croston(use, smoothing)
	if err != nil {
		return 0, 0, err
	}
	t, err := TSB(use, smoothing, smoothing)
	if err != nil {
		return 0, 0, err
	}
	_, sd := meanSD(use)
	half := mathext.NormalQuantile((1+within)/2) * sd / math.Sqrt(outlook)
	b.Low, b.High = max(0, min(c.Rate, t.Rate)-half), max(c.Rate, t.Rate)+half
	return c.Rate, t.Rate, nil
}

func meanSD(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v
	}
	mean /= float64(len(x))
	for _, v := range x {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / float64(len(x)-1))
}

// TSB forecasts an item that is used now and then, and less and less: it smooths
// the size of each use, with alpha, and every month the chance that there is
// one, with beta, so that a run of months without use lowers the forecast, which
// Croston's does not. Both start as Croston's do, from the first use: its size,
// and one over the months until it.
//
// Source: Teunter, Syntetos & Babai, European Journal of Operational Research
// 214 (2011) 606–615. Errors as of Croston, and naming beta. Interval is one
// over the chance.
func TSB(use []float64, alpha, beta float64) (Forecast, error) {
	err := cmp.Or(each("use", use, notNegative), weight("alpha", alpha), weight("beta", beta))
	switch {
	case err != nil:
		return Forecast{}, err
	case len(use) == 0:
		return Forecast{}, fault.BadField("use", "at least one month is needed")
	}
	var f Forecast
	chance := 0.0
	for month, size := range use {
		switch {
		case size == 0 && f.Months == 0: // before the first use nothing is known
			continue
		case size == 0:
			chance -= beta * chance
			continue
		case f.Months == 0:
			f.Size, f.Months, chance = size, 1, 1/float64(month+1)
			continue
		}
		f.Size += alpha * (size - f.Size)
		chance += beta * (1 - chance)
		f.Months++
	}
	if f.Months < FewestMonths {
		return Forecast{}, fault.Refuse("FORECAST_TOO_THIN",
			"%d months with use are too few to forecast from, at least %d are needed", f.Months, FewestMonths)
	}
	f.Interval = 1 / chance
	f.Rate = f.Size * chance
	return f, nil
}

// weight is a smoothing weight: above 0 to 1.
func weight(field string, v float64) error {
	if err := positive(field, v); err != nil {
		return err
	}
	if v > 1 {
		return fault.BadField(field, "%v is above 1", v)
	}
	return nil
}
