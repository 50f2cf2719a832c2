package season

import (
	"cmp"

	"gonum.org/v1/gonum/mathext"
)

// Newsvendor says how much to take of what comes once a year, when what will be
// needed is only known as a mean and a standard deviation (normal). Over is
// what one unit too many costs, under what one unit too few costs; both are
// above zero and in the same money. Quantity is in the unit of the mean and may
// fall below zero where sd is large and over dear: then take none.
//
//	ratio    = under / (under + over)
//	quantity = mean + z(ratio) · sd
//
// Source: Snyder & Shen, Fundamentals of Supply Chain Theory, 2nd ed., § 4.3.
// Errors: fault.Invalid naming mean, sd, over or under.
func Newsvendor(mean, sd, over, under float64) (quantity, ratio float64, err error) {
	err = cmp.Or(
		notNegative("mean", mean),
		notNegative("sd", sd),
		positive("over", over),
		positive("under", under),
	)
	if err != nil {
		return 0, 0, err
	}
	// The quantile is taken in the smaller tail, where a ratio next to 1 would
	// have lost its digits.
	z := -mathext.NormalQuantile(over / (over + under))
	if under < over {
		z = mathext.NormalQuantile(under / (over + under))
	}
	return mean + z*sd, under / (over + under), nil
}
