package fastness

import (
	"math"

	"dyelot/inventory/fault"
)

// Lab is one measured colour, L*, a*, b* in that order: CIELAB, both colours of
// a pair under one illuminant and observer (ISO 105 asks for D65 and 10°). L* is
// 0 to 100; a* and b* stay within ±200, beyond which no cloth lies.
type Lab [3]float64

// abLimit bounds a* and b*; the most saturated surface colours stay under 150.
const abLimit = 200

func (c Lab) check(field string) error {
	for i, name := range [3]string{"L*", "a*", "b*"} {
		low, high := -float64(abLimit), float64(abLimit)
		if i == 0 {
			low, high = 0, 100
		}
		if !(c[i] >= low && c[i] <= high) { // NaN fails both
			return fault.BadField(field, "%s is %v; it lies between %v and %v", name, c[i], low, high)
		}
	}
	return nil
}

// checkPair refuses either colour of a pair that no cloth can have.
func checkPair(oneField string, one Lab, otherField string, other Lab) error {
	if err := one.check(oneField); err != nil {
		return err
	}
	return other.check(otherField)
}

// chroma is C*ab.
func (c Lab) chroma() float64 { return math.Hypot(c[1], c[2]) }

// hue is h_ab in degrees, 0 up to 360.
func (c Lab) hue() float64 {
	h := math.Atan2(c[2], c[1]) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

// huePair gives both hue angles; a grey has no hue and takes the other's.
func huePair(one, other Lab) (h1, h2 float64) {
	h1, h2 = one.hue(), other.hue()
	if one.chroma() == 0 {
		h1 = h2
	}
	if other.chroma() == 0 {
		h2 = h1
	}
	return h1, h2
}
