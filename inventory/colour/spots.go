package colour

import (
	"fmt"

	"dyelot/inventory/fault"
)

// Spot is one place on a cloth, read in one View.
type Spot struct {
	Place string
	Curve *Curve // nil where only L*a*b* is known
	Lab   Lab    // of the curve where there is one
	// LeftOut is why a person left it out of the mean; empty: it counts.
	LeftOut string
}

// NewSpot sees a curve in a view. A fault.BadField on field where the curve is
// no spectrum.
func NewSpot(field, place string, c Curve, v View) (Spot, error) {
	s, err := c.Spectrum(field)
	return Spot{Place: place, Curve: &c, Lab: s.kept(v)}, err
}

// kept is the colour with L* within 0 to 100: a perfect white may be off by its
// last bits.
func (s Spectrum) kept(v View) Lab {
	if len(s.r) == 0 {
		return Lab{}
	}
	c := s.Lab(v)
	c.L = min(max(c.L, 0), 100)
	return c
}

// Averaged is what several spots come to. Only the spots that count make the mean
// and its spread; ToMean is of every spot.
type Averaged struct {
	Lab      Lab
	Curve    *Curve // the mean reflectance; nil where the mean was taken of L*a*b*
	Counted  int
	ToMean   []float64 // CIEDE2000 of each spot to the mean
	Greatest float64   // of the spots that count
	Mean     float64
	// Outliers are indexes of spots that count and stand out. They are pointed
	// out and stay in the mean until a person leaves them out.
	Outliers []int
}

// Average takes the mean of the spots that count: of their reflectances where
// all are spectra of one scale, since reflectance is what an instrument that
// sees the whole cloth would have averaged; else of L*, a* and b*.
//
// Errors are fault.BadField on "spots": none counts, or some were read with the
// gloss and some without.
func Average(v View, spots []Spot) (Averaged, error) {
	counted, err := counting(spots)
	if err != nil {
		return Averaged{}, err
	}
	a := Averaged{Counted: len(counted), ToMean: make([]float64, len(spots))}
	var labs []Lab
	var curves []Curve
	for _, i := range counted {
		labs = append(labs, spots[i].Lab)
		if spots[i].Curve != nil {
			curves = append(curves, *spots[i].Curve)
		}
	}
	a.Lab = meanLab(labs)
	if mean, ok := meanCurve(curves); ok && len(curves) == len(labs) {
		s, err := mean.Spectrum("spots")
		if err != nil {
			return Averaged{}, err
		}
		a.Curve, a.Lab = &mean, s.kept(v)
	}
	for i, s := range spots {
		a.ToMean[i] = CIEDE2000(a.Lab, s.Lab)
	}
	for _, i := range counted {
		a.Greatest = max(a.Greatest, a.ToMean[i])
		a.Mean += a.ToMean[i] / float64(len(counted))
	}
	for _, i := range outliers(labs) {
		a.Outliers = append(a.Outliers, counted[i])
	}
	return a, nil
}

// counting are the indexes of the spots that count.
func counting(spots []Spot) (counted []int, err error) {
	glossy := map[Specular]int{}
	for i, s := range spots {
		if s.LeftOut != "" {
			continue
		}
		counted = append(counted, i)
		if s.Curve != nil && s.Curve.Specular != "" {
			glossy[s.Curve.Specular] = i
		}
	}
	switch {
	case len(spots) == 0:
		return nil, fault.BadField("spots", "is empty: at least one spot is needed")
	case len(counted) == 0:
		return nil, fault.BadField("spots", "every spot is left out: at least one must count")
	case len(glossy) > 1:
		return nil, fault.BadField("spots", "%s was read with the gloss and %s without: they do not compare, so record them apart",
			called(spots, glossy[SpecularIncluded]), called(spots, glossy[SpecularExcluded]))
	}
	return counted, nil
}

// called names a spot by its number, and its place where it has one.
func called(spots []Spot, i int) string {
	if spots[i].Place == "" {
		return fmt.Sprintf("spot %d", i+1)
	}
	return fmt.Sprintf("spot %d (%s)", i+1, spots[i].Place)
}

func meanLab(labs []Lab) (m Lab) {
	n := float64(len(labs))
	for _, c := range labs {
		m.L, m.A, m.B = m.L+c.L/n, m.A+c.A/n, m.B+c.B/n
	}
	return m
}
