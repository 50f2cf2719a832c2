package calc

import (
	"encoding/json"
	"math"
	"math/big"
	"strconv"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Bounds of one written number, so that no exponent can ask for gigabytes:
// 1e100 in full has 101 digits, and season takes 100 decimals.
const (
	maxDigits   = 250
	maxExponent = 300
)

// maxBits bounds the exact work of one question, so that the longest lists of the
// longest numbers are refused at once and not answered after a minute: 100 000
// periods with 180 digits between their numbers are about as much.
const maxBits = 60_000_000

// withinReach refuses lists which together hold more than maxBits.
func withinReach(at string, lists ...[]*big.Rat) error {
	longest, bits := 0, 0
	for _, list := range lists {
		longest = max(longest, len(list))
		before, behind := 0, 0 // the point
		for _, r := range list {
			if r != nil {
				before, behind = max(before, r.Num().BitLen()), max(behind, r.Denom().BitLen())
			}
		}
		bits += before + behind
	}
	if bits > maxBits/max(longest, 1) {
		return fault.BadField(at, "a list of %d with numbers of so many digits is more than is computed with here: shorten one or the other", longest)
	}
	return nil
}

// isNumber holds what a flag says to the grammar of a JSON number (RFC 8259,
// section 6), as a document's numbers are.
func isNumber(s string) bool {
	return s != "" && strings.Trim(s[:1], "-0123456789") == "" && strings.TrimSpace(s) == s && json.Valid([]byte(s))
}

// exactly reads a number as the decimal that it is written as.
func exactly(at string, n json.Number) (*big.Rat, error) {
	text := n.String()
	mantissa, exponent, _ := strings.Cut(strings.ToLower(text), "e")
	if e, err := strconv.Atoi(exponent); len(mantissa) > maxDigits || exponent != "" && (err != nil || e > maxExponent || e < -maxExponent) {
		return nil, fault.BadField(at, "%s has more digits than are computed with here (at most %d digits, exponents from -%d to %d)", clip(text), maxDigits, maxExponent, maxExponent)
	}
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		return nil, fault.BadField(at, "%s is not a number", clip(text))
	}
	return r, nil
}

// nearly reads a number as the float64 next to it.
func nearly(at string, n json.Number) (float64, error) {
	if _, err := exactly(at, n); err != nil {
		return 0, err
	}
	f, err := n.Float64()
	if err != nil {
		return 0, fault.BadField(at, "%s is beyond what is computed with here (about 1.8e308)", clip(n.String()))
	}
	return f, nil
}

// whole reads an integer; 3.0 and 3e2 are integers too.
func whole(at string, n json.Number) (int64, error) {
	r, err := exactly(at, n)
	switch {
	case err != nil:
		return 0, err
	case !r.IsInt():
		return 0, fault.BadField(at, "%s is not a whole number", clip(n.String()))
	case !r.Num().IsInt64():
		return 0, fault.BadField(at, "%s is beyond the largest whole number here, %d", clip(n.String()), int64(math.MaxInt64))
	}
	return r.Num().Int64(), nil
}

// decimal is an exact number of an answer. It prints in full: 162, 10.8.
type decimal struct{ *big.Rat }

// decimals wraps a list; an empty one prints as [].
func decimals(rs []*big.Rat) []decimal {
	ds := make([]decimal, len(rs))
	for i, r := range rs {
		ds[i] = decimal{r}
	}
	return ds
}

// String is the decimal in full. Sums and products of decimals always end, so
// nothing is rounded here.
func (d decimal) String() string {
	digits, _ := d.FloatPrec()
	return d.FloatString(digits)
}

// MarshalJSON prints the decimal as a JSON number.
func (d decimal) MarshalJSON() ([]byte, error) { return []byte(d.String()), nil }

// real is an estimated number of an answer, printed with as many digits as tell
// it from its neighbours.
type real float64

// MarshalJSON prints a JSON number, never -0. What is no number cannot be
// printed; answer.go turns that into a refusal.
func (r real) MarshalJSON() ([]byte, error) {
	if r == 0 {
		return []byte("0"), nil
	}
	return json.Marshal(float64(r))
}

// reals wraps a list.
func reals(fs ...float64) []real {
	rs := make([]real, len(fs))
	for i, f := range fs {
		rs[i] = real(f)
	}
	return rs
}

// shown is a figure for people: so many decimals at most, no trailing zeros, no
// -0, and figures too large or small for that in short.
func shown(f float64, decimals int) string {
	if a := math.Abs(f); a >= 1e15 || a != 0 && a < math.Pow10(-decimals)/2 && decimals > 3 {
		return strconv.FormatFloat(f, 'g', 6, 64)
	}
	s := strconv.FormatFloat(f, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// fixed is a figure of a column: always so many decimals.
func fixed(f float64, decimals int) string {
	s := strconv.FormatFloat(f, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// plain is a number of an answer that is written in full already.
type plain string

// MarshalJSON prints it as a JSON number.
func (p plain) MarshalJSON() ([]byte, error) { return []byte(p), nil }

func amountOf(a quantity.Amount) plain {
	v, _ := a.Decimal()
	return plain(v)
}

// kept is an amount for people, in full, as it is kept.
func kept(a quantity.Amount) string {
	v, unit := a.Decimal()
	return v + nbsp + unit
}

// said is an amount to be read aloud: to the milligram or hundredth of a
// millilitre, which no scale of a studio shows, but in full where that would
// leave little of it.
func said(a quantity.Amount) string {
	if one := map[quantity.Unit]int64{quantity.Mass: 1_000_000, quantity.Volume: 1_000}[a.Unit]; a.N < one {
		return kept(a)
	}
	return tight(a.String())
}

// num is an exact number for people.
func num(r *big.Rat) string { return decimal{r}.String() }

// tight keeps a figure and its unit on one line: "15 %".
func tight(s string) string { return strings.ReplaceAll(s, " ", nbsp) }
