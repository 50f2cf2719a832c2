package quantity

import (
	"math/big"
	"strconv"
	"strings"

	"dyelot/inventory/fault"
)

// MulDiv returns a·b/c, exact in between and rounded half to even. c must not
// be zero and the result must fit an int64.
func MulDiv(a, b, c int64) int64 {
	n, _ := roundRat(new(big.Rat).SetFrac(new(big.Int).Mul(big.NewInt(a), big.NewInt(b)), big.NewInt(c)))
	return n
}

// RoundTo rounds n half to even to a multiple of step; a step below one is one.
func RoundTo(n, step int64) int64 {
	if step <= 1 {
		return n
	}
	return MulDiv(n, 1, step) * step
}

// roundRat rounds half to even; ok is false where the result leaves int64.
func roundRat(r *big.Rat) (n int64, ok bool) {
	two := big.NewInt(2)
	q, m := new(big.Int).DivMod(r.Num(), r.Denom(), new(big.Int)) // m ≥ 0
	switch new(big.Int).Mul(m, two).Cmp(r.Denom()) {
	case 1:
		q.Add(q, big.NewInt(1))
	case 0:
		if q.Bit(0) == 1 {
			q.Add(q, big.NewInt(1))
		}
	}
	return q.Int64(), q.IsInt64()
}

// decimal reads digits with at most one sign and one point. Exponents, commas,
// hexadecimals, NaN and more than 40 characters are refused: what a person
// writes on a bench is shorter.
func decimal(field, s string) (*big.Rat, error) {
	t := strings.TrimSpace(s)
	bad := func(why string) error { return fault.BadField(field, "%q %s", clip(s), why) }
	switch {
	case t == "":
		return nil, bad("is empty: a number is needed")
	case len(t) > 40:
		return nil, bad("is too long for a number")
	case strings.Contains(t, ","):
		return nil, bad("has a comma: write a decimal point, and no thousands mark")
	}
	digits := strings.TrimLeft(t, "+-")
	if len(t)-len(digits) > 1 || strings.Trim(digits, "0123456789.") != "" || strings.Count(digits, ".") > 1 || strings.Trim(digits, ".") == "" {
		return nil, bad("is not a number such as 12 or 12.5")
	}
	r, ok := new(big.Rat).SetString(t)
	if !ok {
		return nil, bad("is not a number such as 12 or 12.5")
	}
	return r, nil
}

// fixed reads a decimal into an integer of 10^-digits; more digits than that
// are refused, since rounding what someone typed would hide it.
func fixed(field, s string, digits int, limit int64) (int64, error) {
	r, err := decimal(field, s)
	if err != nil {
		return 0, err
	}
	scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(digits)), nil)
	r.Mul(r, new(big.Rat).SetInt(scale))
	if !r.IsInt() {
		return 0, fault.BadField(field, "%q has more than %d decimals", clip(s), digits)
	}
	if !r.Num().IsInt64() || r.Num().Int64() > limit || r.Num().Int64() < -limit {
		return 0, fault.BadField(field, "%q is beyond the limit of %s", clip(s), point(limit, digits))
	}
	return r.Num().Int64(), nil
}

// point writes n·10^-digits without trailing zeros.
func point(n int64, digits int) string {
	s := strconv.FormatUint(uint64(abs(n)), 10)
	if digits > 0 {
		if len(s) <= digits {
			s = strings.Repeat("0", digits-len(s)+1) + s
		}
		s = strings.TrimRight(s[:len(s)-digits]+"."+s[len(s)-digits:], "0")
		s = strings.TrimSuffix(s, ".")
	}
	if n < 0 {
		return "-" + s
	}
	return s
}

func abs(n int64) int64 {
	if n < 0 {
		return -n
	}
	return n
}

// clip keeps a quoted input short in an error.
func clip(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
