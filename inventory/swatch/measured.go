package swatch

import (
	"time"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

// Measured is how a swatch's colour was read: L*a*b* in a light and by an eye,
// and the reflectance behind it where that was kept.
type Measured struct {
	Lab        colour.Lab // computed from the spectrum where there is one
	View       colour.View
	Spectrum   *colour.Curve
	Ground     *colour.Curve // the undyed cloth, at the same wavelengths
	Instrument string
	Read       time.Time // zero: nobody knows
	Specular   string    // included, excluded, or empty where nobody said
	FileName   string
	FileSHA256 []byte
}

// In is the colour in a view: as it was kept, or computed anew from the
// spectrum. ok is false where it was read in another light or by another eye and
// no spectrum was kept: colours of two views are never compared.
func (m Measured) In(v colour.View) (c colour.Lab, ok bool) {
	if m.View == v {
		return m.Lab, true
	}
	if m.Spectrum == nil {
		return c, false
	}
	s, err := m.Spectrum.Spectrum("spectrum")
	if err != nil {
		return c, false
	}
	return s.Lab(v), true
}

func (m Measured) check(dyed, today time.Time) (Measured, error) {
	switch {
	case m.Ground != nil && m.Spectrum == nil:
		return m, fault.BadField("ground", "undyed cloth is compared wavelength by wavelength: give the swatch's own spectrum too")
	case m.Read.After(today):
		return m, fault.BadField("read_on", "%s is in the future: today is %s", day(m.Read), day(today))
	case !m.Read.IsZero() && m.Read.Before(dyed):
		return m, fault.BadField("read_on", "%s is before it was dyed on %s", day(m.Read), day(dyed))
	}
	switch m.Specular {
	case "", "included", "excluded":
	default:
		return m, fault.BadField("spectrum.specular", "%.40q is neither included nor excluded", m.Specular)
	}
	if m.Spectrum == nil {
		return m, fault.In("colour", m.Lab.Check())
	}
	s, err := m.Spectrum.Spectrum("spectrum.reflectance")
	if err != nil {
		return m, err
	}
	m.Lab = s.Lab(m.View)
	m.Lab.L = min(max(m.Lab.L, 0), 100) // a white may be off by its last bits
	if g := m.Ground; g != nil {
		if g.FirstNM != m.Spectrum.FirstNM || g.StepNM != m.Spectrum.StepNM || len(g.Reflectance) != len(m.Spectrum.Reflectance) {
			return m, fault.BadField("ground", "undyed cloth must be read at the swatch's own wavelengths: %d readings from %d nm by %d nm", len(m.Spectrum.Reflectance), m.Spectrum.FirstNM, m.Spectrum.StepNM)
		}
		if _, err := g.Spectrum("ground.reflectance"); err != nil {
			return m, err
		}
	}
	return m, nil
}
