package quantity

import (
	"regexp"

	"dyelot/inventory/fault"
)

// Money is an exact sum in millionths of its currency (ISO 4217 code).
type Money struct {
	Micro    int64
	Currency string
}

var currencyCode = regexp.MustCompile(`^[A-Z]{3}$`)

// ParseMoney reads a plain decimal with at most six decimals, and an ISO 4217
// code such as EUR. It is not held against the list of codes: they change.
func ParseMoney(value, currency string) (Money, error) {
	if !currencyCode.MatchString(currency) {
		return Money{}, fault.BadField("currency", "%q is not a code of three capital letters (ISO 4217)", clip(currency))
	}
	n, err := fixed("value", value, 6, Max)
	return Money{n, currency}, err
}

// Decimal is the exact value.
func (m Money) Decimal() string { return point(m.Micro, 6) }

// String shows the sum half-even to hundredths, two always: "12.50 EUR".
func (m Money) String() string {
	if m.Currency == "" {
		return "–"
	}
	cents := MulDiv(m.Micro, 1, 10_000)
	whole, dec := abs(cents)/100, abs(cents)%100
	sign := ""
	if cents < 0 {
		sign = "-"
	}
	return sign + point(whole, 0) + "." + string([]byte{byte('0' + dec/10), byte('0' + dec%10)}) + " " + m.Currency
}

// Add refuses two currencies.
func (m Money) Add(b Money) (Money, error) {
	if m.Currency == "" {
		return b, nil
	}
	if b.Currency != "" && m.Currency != b.Currency {
		return Money{}, fault.BadField("currency", "%s and %s do not add without a rate", m.Currency, b.Currency)
	}
	return Money{m.Micro + b.Micro, m.Currency}, nil
}

// Part is the share n/of of the sum, half-even to a millionth.
func (m Money) Part(n, of int64) Money {
	if of == 0 {
		return Money{0, m.Currency}
	}
	return Money{MulDiv(m.Micro, n, of), m.Currency}
}
