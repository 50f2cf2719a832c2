package depth

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dyelot/inventory/fault"
)

// Point is one dyed piece: the dyestuff in per cent WOF on air-dry fibre, and
// the K/S that it added to the undyed cloth.
type Point struct {
	WOF float64 // %
	KS  float64
}

// Warning is what to mind of a proposal or a strength.
type Warning struct {
	Key  string // stable, for programs: "near-saturation"
	Text string
	// Limit: it is drawn at a limit of this program's own, from no standard.
	Limit bool
}

// most % WOF that is believed of a swatch; fresh leaves are used by the armful.
const most = 10_000

// check refuses a point that no curve can hold, on field[i].
func check(field string, ps []Point) error {
	for i, p := range ps {
		at := fmt.Sprintf("%s[%d]", field, i)
		if !(p.WOF > 0 && p.WOF <= most) {
			return fault.BadField(at+".percent_wof", "%v %% WOF: above 0 and up to %d is believed", p.WOF, most)
		}
		if !(p.KS > 0) || math.IsInf(p.KS, 0) {
			return fault.BadField(at+".spectrum", "K/S %.3g over the undyed cloth: a piece that is no deeper than undyed cloth says nothing", p.KS)
		}
	}
	return nil
}

// sorted is a copy, from the lowest dose up.
func sorted(ps []Point) []Point {
	ps = slices.Clone(ps)
	slices.SortStableFunc(ps, func(a, b Point) int { return cmp.Or(cmp.Compare(a.WOF, b.WOF), cmp.Compare(a.KS, b.KS)) })
	return ps
}

// doses counts the different doses.
func doses(ps []Point) int {
	seen := map[float64]bool{}
	for _, p := range ps {
		seen[p.WOF] = true
	}
	return len(seen)
}

// Dose writes % WOF with as many digits as a dye bath can use: 52, 5.2, 0.52.
func Dose(wof float64) string {
	switch {
	case math.Abs(wof) >= 10:
		return fmt.Sprintf("%.0f", wof)
	case math.Abs(wof) >= 1:
		return fmt.Sprintf("%.1f", wof)
	}
	return fmt.Sprintf("%.2f", wof)
}

// Number writes K/S, or a figure of a curve, to three digits.
func Number(v float64) string {
	switch a := math.Abs(v); {
	case a >= 100:
		return fmt.Sprintf("%.0f", v)
	case a >= 10:
		return fmt.Sprintf("%.1f", v)
	case a >= 1:
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.3f", v)
}
