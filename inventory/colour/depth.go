package colour

import "dyelot/inventory/fault"

// Depth is how much dye a cloth shows, by the Kubelka-Munk ratio K/S of what it
// takes up to what it scatters. At a shallow depth K/S grows in step with the
// dye; near saturation it does not. K/S has no unit.
type Depth struct {
	MaxNM float64 // the wavelength of the largest K/S in nm; of equals, the shortest
	Max   float64 // K/S there
	Sum   float64 // K/S added up over the measured wavelengths; compare only sums of one scale
}

// KS is the Kubelka-Munk ratio (1 − R)²/2R of an opaque cloth (Kubelka & Munk,
// Z. techn. Phys. 12 (1931) 593–601). R must be above 0 and at most 1; anything
// else is a fault.BadField on field.
func KS(field string, r float64) (float64, error) {
	if !(r > 0 && r <= 1) {
		return 0, fault.BadField(field, "the reflectance is %v, but K/S needs one above 0 and at most 1", r)
	}
	return kubelkaMunk(r), nil
}

func kubelkaMunk(r float64) float64 { return (1 - r) * (1 - r) / (2 * r) }

// Depth returns the K/S of the cloth as measured. A reflectance of 0 is a
// fault.BadField on the spectrum's field.
func (s Spectrum) Depth() (Depth, error) {
	ks, err := s.ks()
	if err != nil {
		return Depth{}, err
	}
	return s.depth(ks), nil
}

// DepthOver returns the K/S that the dye alone adds: at each wavelength the K/S
// of the undyed cloth is taken off first. Both must be measured at the same
// wavelengths; other wavelengths, and a reflectance of 0, are a fault.BadField
// on the field of the spectrum that is off. Where the dyed cloth is the paler
// one the difference is negative and counts so.
func (s Spectrum) DepthOver(undyed Spectrum) (Depth, error) {
	if a, b := s.at, undyed.at; a.first != b.first || a.step != b.step || a.n != b.n {
		return Depth{}, fault.BadField(undyed.field, "the undyed cloth must be measured at the wavelengths of the dyed one")
	}
	ks, err := s.ks()
	if err != nil {
		return Depth{}, err
	}
	ground, err := undyed.ks()
	if err != nil {
		return Depth{}, err
	}
	for i := range ks {
		ks[i] -= ground[i]
	}
	return s.depth(ks), nil
}

func (s Spectrum) ks() ([]float64, error) {
	ks := make([]float64, len(s.r))
	for i, r := range s.r {
		if r == 0 {
			return nil, fault.BadField(s.field, "the reflectance at %v nm is 0, but K/S needs one above 0", s.nm(i))
		}
		ks[i] = kubelkaMunk(r)
	}
	return ks, nil
}

func (s Spectrum) depth(ks []float64) Depth {
	top, sum := 0, 0.0
	for i, v := range ks {
		sum += v
		if v > ks[top] {
			top = i
		}
	}
	return Depth{s.nm(top), ks[top], sum}
}
