package cost

import (
	"strconv"

	"dyelot/inventory/quantity"
)

// Quantity is so much of what is paid for: stock in its smallest step, labour in
// thousandths of a minute, pots in millionths of a pot-day, tests by the piece.
type Quantity struct {
	N    int64
	Unit string // g, mL, pc, min, pot-day or test
}

// Stock is an amount as a quantity.
func Stock(a quantity.Amount) Quantity { return Quantity{a.N, a.Unit.Name()} }

// Minutes, PotDays and Tests build one from whole numbers.
func Minutes(n int64) Quantity { return Quantity{n * 1000, "min"} }
func PotDays(n int64) Quantity { return Quantity{n * 1_000_000, "pot-day"} }
func Tests(n int64) Quantity   { return Quantity{n, "test"} }

var stockUnits = map[string]quantity.Unit{"g": quantity.Mass, "mL": quantity.Volume, "pc": quantity.Count}

// Decimal is the exact number.
func (q Quantity) Decimal() string {
	switch q.Unit {
	case "min":
		return quantity.Concentration(q.N).Decimal()
	case "pot-day":
		return quantity.Money{Micro: q.N}.Decimal()
	case "test":
		return strconv.FormatInt(q.N, 10)
	}
	value, _ := quantity.Amount{N: q.N, Unit: stockUnits[q.Unit]}.Decimal()
	return value
}

// String shows it for a person: minutes to whole ones, pot-days to hundredths.
func (q Quantity) String() string {
	switch q.Unit {
	case "min":
		return strconv.FormatInt(quantity.RoundTo(q.N, 1000)/1000, 10) + " min"
	case "pot-day":
		days := quantity.Money{Micro: quantity.RoundTo(q.N, 10_000)}.Decimal()
		if days == "1" {
			return "1 pot-day"
		}
		return days + " pot-days"
	case "test":
		if q.N == 1 {
			return "1 test"
		}
		return strconv.FormatInt(q.N, 10) + " tests"
	}
	return quantity.Amount{N: q.N, Unit: stockUnits[q.Unit]}.String()
}

// Show writes a sum for a person: two decimals as money is, and more of them
// where it would else read as nothing: "0.003 EUR".
func Show(m quantity.Money) string {
	size := max(m.Micro, -m.Micro)
	if size == 0 || size >= 5000 {
		return m.String()
	}
	step := int64(1)
	for step*10 <= size {
		step *= 10
	}
	return quantity.Money{Micro: quantity.RoundTo(m.Micro, step)}.Decimal() + " " + m.Currency
}

// Signed is Show with a plus before what is above zero.
func Signed(m quantity.Money) string {
	if m.Micro > 0 {
		return "+" + Show(m)
	}
	return Show(m)
}
