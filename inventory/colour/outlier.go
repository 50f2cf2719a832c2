package colour

import (
	"math"
	"slices"
)

// An outlier is pointed out by its modified z-score, 0.6745·(x − median)/MAD,
// above 3.5 (Iglewicz & Hoaglin, How to Detect and Handle Outliers, 1993, quoted
// in the NIST/SEMATECH e-Handbook 1.3.5.17; both from memory). MAD is the median
// of the absolute deviations from the median.
const (
	outlierScore = 3.5
	normalMAD    = 0.6745 // MAD of a normal distribution of standard deviation 1
	// fewestForOutlier: of three spots any one may be the odd one.
	fewestForOutlier = 4
	// leastMAD, in CIEDE2000, keeps spots that no eye tells apart from being
	// called outliers: with it, one must lie 0.52 farther out than the usual
	// spot. Below that an instrument put down twice on one spot differs as much
	// (common practice).
	leastMAD = 0.1
)

// modifiedZ gives the modified z-score of each figure, with a MAD of at least
// least, which must be above 0.
func modifiedZ(x []float64, least float64) []float64 {
	middle := median(x)
	off := make([]float64, len(x))
	for i, v := range x {
		off[i] = math.Abs(v - middle)
	}
	mad := max(median(off), least)
	z := make([]float64, len(x))
	for i, v := range x {
		z[i] = normalMAD * (v - middle) / mad
	}
	return z
}

// outliers are the indexes of the colours that stand out: their CIEDE2000 to the
// median in L*, a* and b* is beyond what the others' is. Of fewer than four,
// none can be told.
func outliers(colours []Lab) (out []int) {
	if len(colours) < fewestForOutlier {
		return nil
	}
	var l, a, b, away []float64
	for _, c := range colours {
		l, a, b = append(l, c.L), append(a, c.A), append(b, c.B)
	}
	middle := Lab{median(l), median(a), median(b)}
	for _, c := range colours {
		away = append(away, CIEDE2000(middle, c))
	}
	for i, z := range modifiedZ(away, leastMAD) {
		if z > outlierScore {
			out = append(out, i)
		}
	}
	return out
}

// median is the middle figure, or the mean of the two in the middle; x must not
// be empty.
func median(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}
