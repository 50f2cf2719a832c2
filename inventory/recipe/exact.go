package recipe

import (
	"math/big"

	"dyelot/inventory/quantity"
)

// quotient returns the product of above over the product of below, exact in
// between and rounded once, half to even. Factors must be positive; ok is
// false where the result is larger than any amount that is kept.
func quotient(above, below []int64) (n int64, ok bool) {
	return halfEven(multiply(above), multiply(below))
}

// halfEven is num / den, both positive, rounded half to even; ok is false where
// it is larger than any amount that is kept.
func halfEven(num, den *big.Int) (n int64, ok bool) {
	q, rest := new(big.Int).QuoRem(num, den, new(big.Int))
	twice := rest.Lsh(rest, 1)
	if c := twice.Cmp(den); c > 0 || c == 0 && q.Bit(0) == 1 {
		q.Add(q, big.NewInt(1))
	}
	return q.Int64(), q.IsInt64() && q.Int64() <= quantity.Max
}

func multiply(factors []int64) *big.Int {
	p := big.NewInt(1)
	for _, f := range factors {
		p.Mul(p, big.NewInt(f))
	}
	return p
}
