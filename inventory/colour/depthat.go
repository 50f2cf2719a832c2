package colour

import (
	"math"

	"dyelot/inventory/fault"
)

// KSAt is the K/S of the cloth at one wavelength, in nm. Between two readings
// the reflectance is that of the cubic through the four nearest, so that cloths
// read at different steps can be compared. A wavelength beyond the readings, or
// a reflectance of 0, is a fault.BadField on the spectrum's field.
func (s Spectrum) KSAt(nm float64) (float64, error) {
	first, last := s.Range()
	if !(nm >= first && nm <= last) {
		return 0, fault.BadField(s.field, "is read from %v to %v nm, and not at %v nm", first, last, nm)
	}
	steps := (nm - s.at.first) / s.at.step
	from := min(max(int(steps)-1, 0), len(s.r)-fewest)
	r := lagrange([fewest]float64(s.r[from:]), steps-float64(from))
	if near := math.Round(steps); near == steps {
		r = s.r[int(near)]
	}
	if !(r > 0) {
		return 0, fault.BadField(s.field, "the reflectance at %v nm is %v, but K/S needs one above 0", nm, max(r, 0))
	}
	return kubelkaMunk(min(r, 1)), nil
}

// KSOver is the K/S that the dye alone adds at one wavelength: that of the
// undyed cloth is taken off. It is negative where the dyed cloth is the paler.
func (s Spectrum) KSOver(undyed Spectrum, nm float64) (float64, error) {
	ks, err := s.KSAt(nm)
	if err != nil {
		return 0, err
	}
	ground, err := undyed.KSAt(nm)
	return ks - ground, err
}

// PeakOver finds where, from one wavelength to another, the dye alone adds the
// largest K/S, and that K/S. It looks at the wavelengths of s that lie within
// and that the undyed cloth reaches; the two may be read at different steps. Of
// equals it takes the shortest wavelength. With no wavelength left it is a
// fault.BadField on the field of s.
func (s Spectrum) PeakOver(undyed Spectrum, from, to float64) (nm, ks float64, err error) {
	first, last := undyed.Range()
	from, to = max(from, first), min(to, last)
	found := false
	for i := range s.r {
		at := s.nm(i)
		if at < from || at > to {
			continue
		}
		v, err := s.KSOver(undyed, at)
		if err != nil {
			return 0, 0, err
		}
		if !found || v > ks {
			found, nm, ks = true, at, v
		}
	}
	if !found {
		return 0, 0, fault.BadField(s.field, "has no reading from %v to %v nm, where the others are read", from, to)
	}
	return nm, ks, nil
}
