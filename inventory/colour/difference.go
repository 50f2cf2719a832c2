package colour

import (
	"math"

	"dyelot/inventory/fault"
)

// Delta is the CIE 1976 difference of a sample from its standard, taken apart
// (CIE 015). Every part is sample − standard: L above 0 is lighter, C
// above 0 brighter (farther from grey), H above 0 means that the hue angle has
// grown (a yellow gone greener, a red gone yellower). E is the whole, ΔE*ab:
// E² = L² + C² + H².
type Delta struct{ L, C, H, E float64 }

// Between takes the difference of a sample from its standard apart. A grey has
// no hue of its own and takes the other's, so its H is 0. Exact opposites (half
// a turn apart) count as grown when the sample's angle is the larger of the two.
func Between(standard, sample Lab) Delta {
	dl, da, db := sample.L-standard.L, sample.A-standard.A, sample.B-standard.B
	c1, c2 := chroma(standard), chroma(sample)
	d := Delta{L: dl, C: c2 - c1, E: math.Sqrt(dl*dl + da*da + db*db)}
	if c1*c2 > grey {
		d.H = turn(standard, sample, c1, c2, 1).step
	}
	return d
}

// Ratio is the l:c of a CMC difference: how much lightness and chroma may stray
// against hue. Textiles are judged for acceptance at 2:1, and for what the eye
// can just see at 1:1 (ISO 105-J03).
type Ratio struct{ L, C float64 }

// Acceptance is the ratio that cloth is passed by: 2:1.
var Acceptance = Ratio{2, 1}

// Check refuses weights that are not above 0 and at most 100, NaN included. The
// error is a fault.BadField on "l" or "c".
func (r Ratio) Check() error {
	for _, w := range []struct {
		field string
		value float64
	}{{"l", r.L}, {"c", r.C}} {
		if !(w.value > 0 && w.value <= 100) {
			return fault.BadField(w.field, "the weight %s is %v, but it must be above 0 and at most 100", w.field, w.value)
		}
	}
	return nil
}

// Difference is a sample measured against its standard by every formula the
// house uses.
type Difference struct {
	Delta             // ΔL*, ΔC*ab, signed ΔH*ab and ΔE*ab
	CIEDE2000 float64 // ISO/CIE 11664-6, weights 1:1:1
	CMC       float64 // ISO 105-J03 at the ratio asked for
}

// Compare measures a sample against its standard. Both must stand under one
// illuminant and observer; the caller names them beside the answer. Errors are
// fault.BadField below "standard", "sample" or "cmc".
func Compare(standard, sample Lab, ratio Ratio) (Difference, error) {
	for _, part := range []struct {
		name string
		err  error
	}{{"standard", standard.Check()}, {"sample", sample.Check()}, {"cmc", ratio.Check()}} {
		if part.err != nil {
			return Difference{}, fault.In(part.name, part.err)
		}
	}
	return Difference{
		Delta:     Between(standard, sample),
		CIEDE2000: CIEDE2000(standard, sample),
		CMC:       CMC(standard, sample, ratio),
	}, nil
}

func chroma(c Lab) float64 { return math.Sqrt(c.A*c.A + c.B*c.B) }
