package recipe

import (
	"math/big"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Weigh is the calculator's dose, from numbers as they were written: dry in g
// of air-dry fibre, wof in per cent on it, stock in g/L or nil, strength in per
// cent of the reference or nil for 100. It returns the strength-corrected mass
// and, where there is a stock solution, the volume of that mass; the volume is
// absent otherwise. Nothing is rounded before the end, and each once, half-even
// to the microgram and microlitre: 1080 g at 1 % from 200 g/L is 10.8 g in 54 mL.
//
//	mass   = dry × wof / 100 × 100 / strength
//	volume = mass / stock
//
// A recipe line keeps its per cent to 0.0001; a sum on the bench need not, so 1/3
// of a bag written as 33.333333 % is taken as it stands.
//
// Refused (fault.Invalid, field "dry_mass_g", "wof_percent", "stock_g_per_l" or
// "strength_percent"): what is not above zero, fibre above quantity.Max, more
// % WOF than Limit allows a dyestuff, a strength outside 1 to 1000 %, a stock
// above 10 000 g/L, an answer too small or too large to be kept.
func Weigh(dry, wof, stock, strength *big.Rat) (mass, volume quantity.Amount, err error) {
	if strength == nil {
		strength = big.NewRat(100, 1)
	}
	for _, f := range []struct {
		field, what string
		value       *big.Rat
		low, high   int64 // low 0 means above zero
	}{
		{"dry_mass_g", "g of air-dry fibre", dry, 0, quantity.Max / 1_000_000},
		{"wof_percent", "% WOF", wof, 0, 5000},
		{"strength_percent", "% of the reference strength", strength, 1, 1000},
		{"stock_g_per_l", "g/L of stock solution", stock, 0, 10_000},
	} {
		if f.value == nil && f.field == "stock_g_per_l" {
			continue
		}
		if err := believed(f.field, f.what, f.value, f.low, f.high); err != nil {
			return mass, volume, err
		}
	}
	grams := new(big.Rat).Mul(dry, wof)
	grams.Quo(grams, strength)
	if mass, err = keptAs(grams, 1_000_000, quantity.Mass, "wof_percent"); err != nil || stock == nil {
		return mass, volume, err
	}
	volume, err = keptAs(grams.Quo(grams, stock), 1_000_000, quantity.Volume, "stock_g_per_l")
	return mass, volume, err
}

func believed(field, what string, v *big.Rat, low, high int64) error {
	if v == nil {
		return fault.BadField(field, "a number is needed here")
	}
	if v.Cmp(big.NewRat(high, 1)) > 0 || v.Sign() <= 0 || v.Cmp(big.NewRat(low, 1)) < 0 {
		from := "more than 0"
		if low > 0 {
			from = new(big.Int).SetInt64(low).String()
		}
		return fault.BadField(field, "%.6g %s: %s and at most %d is believed", nearest(v), what, from, high)
	}
	return nil
}

// keptAs rounds to whole steps, refusing what leaves nothing or too much of it.
func keptAs(r *big.Rat, steps int64, unit quantity.Unit, field string) (quantity.Amount, error) {
	r = new(big.Rat).Mul(r, new(big.Rat).SetInt64(steps))
	n, ok := halfEven(r.Num(), r.Denom())
	switch {
	case !ok:
		return quantity.Amount{}, fault.BadField(field, "the answer is beyond what is kept here (at most %s)", quantity.Amount{N: quantity.Max, Unit: unit})
	case n == 0:
		value, name := quantity.Amount{N: 1, Unit: unit}.Decimal()
		return quantity.Amount{}, fault.BadField(field, "the answer is less than the smallest %s kept here, %s %s", unit, value, name)
	}
	return quantity.Amount{N: n, Unit: unit}, nil
}

// nearest is for sentences only.
func nearest(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}
