package season

import (
	"math"
	"math/big"
	"strconv"

	"dyelot/inventory/fault"
)

// largest is far beyond any studio, and small enough that a product of three
// such numbers is still a float64; smallest is its counterpart where a number
// divides.
const (
	largest  = 1e100
	smallest = 1e-100
)

var (
	largestRat = new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(100), nil))
	finestBits = largestRat.Num().BitLen() // of a denominator: about 100 decimals
)

// Exact takes each number as the decimal that it prints as: 0.1 is one tenth,
// and not the nearest binary fraction. NaN and the infinities become nil, which
// every function of this package refuses by the name of its field.
func Exact(numbers ...float64) []*big.Rat {
	exact := make([]*big.Rat, len(numbers))
	for i, v := range numbers {
		if r, ok := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', -1, 64)); ok {
			exact[i] = r
		}
	}
	return exact
}

func finite(field string, v float64) error {
	if math.IsNaN(v) || math.Abs(v) > largest {
		return fault.BadField(field, "%v is not a number from -1e100 to 1e100", v)
	}
	return nil
}

func notNegative(field string, v float64) error {
	if err := finite(field, v); err != nil {
		return err
	}
	if v < 0 {
		return fault.BadField(field, "%v is below zero", v)
	}
	return nil
}

func positive(field string, v float64) error {
	if err := finite(field, v); err != nil {
		return err
	}
	if v < smallest {
		return fault.BadField(field, "%v is not above zero (at least 1e-100)", v)
	}
	return nil
}

// share refuses what does not lie strictly between nothing and all.
func share(field string, v float64) error {
	if !(v > 0 && v < 1) {
		return fault.BadField(field, "%v does not lie between 0 and 1, both excluded", v)
	}
	return nil
}

func present(field string, r *big.Rat) error {
	if r == nil {
		return fault.BadField(field, "a number is needed here")
	}
	if r.Denom().BitLen() > finestBits || new(big.Rat).Abs(r).Cmp(largestRat) > 0 {
		return fault.BadField(field, "a number from -1e100 to 1e100 with at most 100 decimals is needed here")
	}
	return nil
}

func amount(field string, r *big.Rat) error {
	if err := present(field, r); err != nil {
		return err
	}
	if r.Sign() < 0 {
		return fault.BadField(field, "%s is below zero", shown(r))
	}
	return nil
}

// amountIfAny lets an absent amount pass.
func amountIfAny(field string, r *big.Rat) error {
	if r == nil {
		return nil
	}
	return amount(field, r)
}

// each applies a check to a list, naming the place: "demand[2]".
func each[T any](field string, list []T, check func(string, T) error) error {
	for i, v := range list {
		if err := check(field+"["+strconv.Itoa(i)+"]", v); err != nil {
			return err
		}
	}
	return nil
}

// shown writes a fraction as its exact decimal, where it has one.
func shown(r *big.Rat) string {
	if digits, ends := r.FloatPrec(); ends {
		return r.FloatString(digits)
	}
	return r.RatString()
}

// orZero reads an absent amount as nothing.
func orZero(r *big.Rat) *big.Rat {
	if r == nil {
		return new(big.Rat)
	}
	return r
}
