package calc

import "math/big"

// wholes are decimals as whole numbers of one step, for a search that counts in
// int64.
type wholes struct {
	n     []int64
	step  *big.Rat // what one of them is worth
	exact bool     // no number was rounded up to a step
}

// most bounds what a scaled list may come to: no sum of it leaves an int64.
var most = new(big.Rat).SetInt64(1 << 60)

// scaled turns decimals of one unit, none below zero, into whole numbers by the
// largest step that all of them are multiples of: 2, 1.5 and 3 are 4, 3 and 6
// halves. Where that is too fine beside their sum (a third of an hour, written
// with seventeen digits) they are rounded up to a power of ten some 10^-17 of
// the sum.
func scaled(all []*big.Rat) wholes {
	step, sum := new(big.Rat), new(big.Rat)
	for _, r := range all {
		step = commonStep(step, r)
		sum.Add(sum, r)
	}
	w := wholes{step: step, exact: true}
	if sum.Sign() == 0 {
		step.SetInt64(1)
	}
	// Rounding up adds less than one step to each number.
	room := new(big.Rat).Sub(most, new(big.Rat).SetInt64(int64(len(all))))
	if coarse := sum.Quo(sum, room); step.Cmp(coarse) < 0 {
		w.step, w.exact = powerOfTen(coarse), false
	}
	for _, r := range all {
		n, rest := new(big.Int), new(big.Int)
		steps := new(big.Rat).Quo(r, w.step)
		if n.QuoRem(steps.Num(), steps.Denom(), rest); rest.Sign() > 0 {
			n.Add(n, big.NewInt(1))
		}
		w.n = append(w.n, n.Int64())
	}
	return w
}

// powerOfTen is the least power of ten that is r or more, so that its multiples
// are decimals again.
func powerOfTen(r *big.Rat) *big.Rat {
	ten := big.NewRat(10, 1)
	p, lower := big.NewRat(1, 1), big.NewRat(1, 10)
	for p.Cmp(r) < 0 {
		p, lower = new(big.Rat).Mul(p, ten), p
	}
	for lower.Cmp(r) >= 0 {
		p, lower = lower, new(big.Rat).Quo(lower, ten)
	}
	return p
}

// commonStep is the largest fraction that both are multiples of; a zero is a
// multiple of anything.
func commonStep(a, b *big.Rat) *big.Rat {
	num := new(big.Int).Mul(a.Num(), b.Denom())
	num.GCD(nil, nil, num, new(big.Int).Mul(b.Num(), a.Denom()))
	return new(big.Rat).SetFrac(num, new(big.Int).Mul(a.Denom(), b.Denom()))
}

// worth is a whole number of steps as the number it stands for.
func (w wholes) worth(n int64) *big.Rat {
	return new(big.Rat).Mul(w.step, new(big.Rat).SetInt64(n))
}
