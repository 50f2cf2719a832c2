package logbook

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/recipe"
)

// Scale is a scale read with a check mass on it.
type Scale struct {
	Mass quantity.Amount // the check mass
	Read quantity.Amount
	Step quantity.Amount // the smallest step that the scale shows
}

// Error is what was read less the check mass.
func (s Scale) Error() quantity.Amount { return s.Read.Sub(s.Mass) }

// Percent is the error in per cent of the check mass, half-even to 0.0001.
func (s Scale) Percent() quantity.Percent { return quantity.PercentOf(s.Error(), s.Mass) }

// PerMille is the error in thousandths of the check mass, as a decimal.
func (s Scale) PerMille() string {
	return quantity.Percent(quantity.MulDiv(s.Error().N, 1000*tenThousandths, s.Mass.N)).Decimal()
}

func (s *Scale) validate() error {
	for _, m := range []struct {
		field  string
		amount quantity.Amount
		least  int64
	}{{"check_mass", s.Mass, 1}, {"read", s.Read, 0}, {"resolution", s.Step, 1}} {
		if m.amount.Unit != quantity.Mass || m.amount.N < m.least {
			return fault.BadField(m.field, "%s: a mass above nothing is needed", m.amount)
		}
	}
	if s.Step.N > s.Mass.N {
		return fault.BadField("resolution", "%s is more than the check mass of %s: it would show nothing", s.Step, s.Mass)
	}
	return nil
}

func (s *Scale) text() string {
	text := fmt.Sprintf("read %s for a check mass of %s: ", s.Read, s.Mass)
	if s.Error().N == 0 {
		return text + fmt.Sprintf("right to its step of %s", s.Step)
	}
	return text + fmt.Sprintf("%s, %s or %s ‰ of the check mass; it shows steps of %s", signed(s.Error()), s.Percent(), s.PerMille(), s.Step)
}

// warnings: an error of the scale's own step is what it cannot help.
func (s *Scale) warnings(scale string) []recipe.Warning {
	off := s.Error()
	if off.N < 0 {
		off.N = -off.N
	}
	if off.N <= s.Step.N {
		return nil
	}
	return []recipe.Warning{{Key: "scale-off", Source: recipe.Source{Mark: recipe.Practice},
		Text: fmt.Sprintf("%s is off by %s at %s (%s of the check mass), more than the %s that it shows: level it, let it warm up, check again, and have it adjusted or use another; what was weighed since its last good check may be off by as much",
			scale, signed(s.Error()), s.Mass, s.Percent(), s.Step)}}
}

// Buffer is a pH meter read in a buffer.
type Buffer struct{ PH, Read recipe.PH }

// bufferWithin is how far a meter may stand from a fresh buffer: common
// practice for a vat, whose range is half a pH.
const bufferWithin = recipe.PH(5)

// Error is what was read less the buffer.
func (b Buffer) Error() recipe.PH { return b.Read - b.PH }

func (b *Buffer) validate() error {
	for _, p := range []struct {
		field string
		ph    recipe.PH
	}{{"ph", b.PH}, {"read", b.Read}} {
		if p.ph < 0 || p.ph > 1400 {
			return fault.BadField(p.field, "%s: 0 to 14 is believed", p.ph.Decimal())
		}
	}
	return nil
}

func (b *Buffer) text() string {
	return fmt.Sprintf("read %s in a buffer of pH %s: %s", twoDecimals(b.Read), twoDecimals(b.PH), plusMinus(b.Error()))
}

func (b *Buffer) warnings(meter string) []recipe.Warning {
	if e := b.Error(); e >= -bufferWithin && e <= bufferWithin {
		return nil
	}
	return []recipe.Warning{{Key: "ph-off", Source: recipe.Source{Mark: recipe.Practice},
		Text: fmt.Sprintf("%s is off by %s at pH %s, more than %s: rinse it, take fresh buffer, calibrate it, and do not trust it in a vat before", meter, plusMinus(b.Error()), twoDecimals(b.PH), twoDecimals(bufferWithin))}}
}

// twoDecimals writes a pH as a meter shows it: "7.00".
func twoDecimals(p recipe.PH) string { return fmt.Sprintf("%d.%02d", p/100, p%100) }

func plusMinus(p recipe.PH) string {
	if p < 0 {
		return "-" + twoDecimals(-p)
	}
	return "+" + twoDecimals(p)
}
