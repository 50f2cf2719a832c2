package lot

import (
	"strconv"
	"time"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Standard is the kept, dated colour that a lot is judged by.
type Standard struct {
	ID           int64
	Code         string
	Name         string
	Colour       colour.Lab
	View         colour.View // the light and the eye that the numbers belong to
	Tolerance    Tolerance   // of a lot to the standard
	SetTolerance Tolerance   // between two lots of one set
	DatedOn      time.Time   // when the sealed master was made
	RenewOn      time.Time   // when it should be made again, for standards fade too; zero: no date
	Note         string
}

// Check refuses (fault.Invalid, naming the field) a standard that nothing can
// be judged by: a colour that no surface has, a tolerance of nothing, a master
// from the future, a renewal that is not after it.
func (s Standard) Check(today time.Time) error {
	if err := s.Colour.Check(); err != nil {
		return fault.In("colour", err)
	}
	for _, t := range []struct {
		field string
		is    Tolerance
	}{{"tolerance", s.Tolerance}, {"set_tolerance", s.SetTolerance}} {
		if t.is <= 0 || t.is > widest {
			return fault.BadField(t.field, "%s: a CIEDE2000 above 0 and at most %s is needed", t.is, widest)
		}
	}
	if s.DatedOn.After(today) {
		return fault.BadField("dated_on", "%s is in the future: today is %s", s.DatedOn.Format(time.DateOnly), today.Format(time.DateOnly))
	}
	if !s.RenewOn.IsZero() && !s.RenewOn.After(s.DatedOn) {
		return fault.BadField("renew_on", "%s is not after %s, when the master was made", s.RenewOn.Format(time.DateOnly), s.DatedOn.Format(time.DateOnly))
	}
	return nil
}

// Tolerance is the greatest colour difference that passes, in thousandths of a
// CIEDE2000 unit, as the owner typed it.
type Tolerance int64

// widest: black and white are 100 apart.
const widest = Tolerance(100_000)

// ParseTolerance reads a plain decimal such as "1.5", with at most three
// decimals; else fault.Invalid on field.
func ParseTolerance(field, s string) (Tolerance, error) {
	// A g/L is read in thousandths too, so a number is written one way everywhere.
	n, err := quantity.ParseConcentration(s)
	if f, bad := fault.Of(err); bad {
		return 0, f.At(field)
	}
	return Tolerance(n), err
}

// Decimal is the number: "1.5".
func (t Tolerance) Decimal() string { return quantity.Concentration(t).Decimal() }

// String is Decimal.
func (t Tolerance) String() string { return t.Decimal() }

// within tells whether a difference passes. The 1e-9 spares a difference that
// is the tolerance itself but for the last bits of its computing.
func (t Tolerance) within(difference float64) bool {
	return difference <= float64(t)/1000+1e-9
}

// show rounds a difference once, for a person: to hundredths, and finer only
// where hundredths would seem to say the opposite of the judgement.
func (t Tolerance) show(difference float64) string {
	for digits := 2; digits < 12; digits++ {
		s := strconv.FormatFloat(difference, 'f', digits, 64)
		if shown, err := strconv.ParseFloat(s, 64); err == nil && t.within(shown) == t.within(difference) {
			return s
		}
	}
	return strconv.FormatFloat(difference, 'f', -1, 64) // to its last bit
}

// mean is the mean of some colours in L*, a* and b*; ok is false of none.
func mean(colours []colour.Lab) (m colour.Lab, ok bool) {
	n := float64(len(colours))
	for _, c := range colours {
		m.L, m.A, m.B = m.L+c.L/n, m.A+c.A/n, m.B+c.B/n
	}
	return m, len(colours) > 0
}
