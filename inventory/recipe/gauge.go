package recipe

import (
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Celsius is a temperature in tenths of a degree, the step of a bench
// thermometer.
type Celsius int64

// Degrees is a whole number of °C.
func Degrees(n int64) Celsius { return Celsius(n * 10) }

// hottest lets a pressing iron be recorded; what a liquor may reach is Check's
// business.
var hottest = Degrees(250)

// ParseCelsius reads a plain decimal with at most one decimal, 0 to 250 °C;
// else fault.Invalid on "temperature_c".
func ParseCelsius(s string) (Celsius, error) {
	n, err := gauge("temperature_c", s, 10)
	if err == nil && (n < 0 || Celsius(n) > hottest) {
		err = fault.BadField("temperature_c", "%s: 0 °C to %s is believed", Celsius(n), hottest)
	}
	return Celsius(n), err
}

// Decimal is the number of degrees: "82.5".
func (c Celsius) Decimal() string { return quantity.Percent(c * 1000).Decimal() }

// String shows it with its unit: "80 °C".
func (c Celsius) String() string { return c.Decimal() + " °C" }

// PH is a pH in hundredths.
type PH int64

// ParsePH reads a plain decimal with at most two decimals, 0 to 14; else
// fault.Invalid on "ph".
func ParsePH(s string) (PH, error) {
	n, err := gauge("ph", s, 100)
	if err == nil && (n < 0 || n > 1400) {
		err = fault.BadField("ph", "%s: 0 to 14 is believed", PH(n))
	}
	return PH(n), err
}

// Decimal is the number: "9.5".
func (p PH) Decimal() string { return quantity.Percent(p * 100).Decimal() }

// String shows it as it is said: "pH 9.5".
func (p PH) String() string { return "pH " + p.Decimal() }

// gauge reads a decimal into steps of 1/perUnit. It borrows the reading of a
// percentage, so that a number is written one way everywhere.
func gauge(field, s string, perUnit int64) (int64, error) {
	p, err := quantity.ParsePercent(s)
	if err != nil {
		return 0, onField(field, err)
	}
	per := int64(quantity.WholePercent(1)) / perUnit
	if int64(p)%per != 0 {
		return 0, fault.BadField(field, "%s is finer than the 1/%d that is kept", p.Decimal(), perUnit)
	}
	return int64(p) / per, nil
}
