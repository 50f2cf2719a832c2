package colour

import "math"

// sectors is into how many equal parts the tables cut the circle of hues.
const sectors = 1024

const (
	// hueSlope is the most that T can rise or fall a radian: the sum of the
	// factors of its four cosines, each times what it multiplies the hue by.
	hueSlope = 0.17 + 2*0.24 + 3*0.32 + 4*0.20
	// mostTwist is sin 2Δθ at 275°, where it is greatest.
	mostTwist = 0.8660254037844387
)

// hueWeights is what T stays below in each sector; mostHueWeight is the greatest
// of them, about 1.75.
var hueWeights, mostHueWeight = func() (all [sectors]float64, most float64) {
	const half = math.Pi / sectors
	for i := range all {
		sin, cos := math.Sincos(float64(2*i+1) * half)
		all[i] = hueWeight(cos, sin) + hueSlope*half
		most = max(most, all[i])
	}
	return all, most
}()

// sector is where a hue of −4π or more, in radians, stands in hueWeights.
func sector(h float64) int {
	return int((h+4*math.Pi)*(sectors/(2*math.Pi))) % sectors
}

// twists is what sin 2Δθ stays below, by the distance from 275° in parts of half a
// circle. It falls all the way, and counts as 0 where rotation takes it as 0.
var twists = func() (all [sectors]float64) {
	for i := range all {
		away := float64(i) * (180.0 / sectors)
		if away <= 120 {
			all[i] = math.Sin(60 * radians * math.Exp(-away*away/(25*25)))
		}
	}
	return all
}()

// twistFrom is what sin 2Δθ stays below for hues of middle ± half, in radians.
// The middle is within a circle and a half of 275°.
func twistFrom(middle, half float64) float64 {
	away := math.Abs(middle - 275*radians)
	if away > math.Pi {
		away = math.Abs(2*math.Pi - away)
	}
	return twists[int(min(max(away-half, 0), math.Pi*(1-1e-9))*(sectors/math.Pi))]
}

// way is how the hues of a cell lie to that of a colour asked for.
type way struct {
	same   bool    // the colour's own hue may be among them
	turn   float64 // 1 where ΔH′ is above 0 for all, −1 where below, 0 where neither is sure
	weight float64 // T at the mean hue is no more
	twist  float64 // sin 2Δθ at the mean hue is no more
}

// way compares the hues; g is the most that a* may be stretched by.
func (q *asked) way(x *cell, g float64) way {
	from, to := float64(x.h[0])-q.h, float64(x.h[1])-q.h
	switch {
	case from > math.Pi:
		from, to = from-2*math.Pi, to-2*math.Pi
	case to < -math.Pi:
		from, to = from+2*math.Pi, to+2*math.Pi
	}
	w := way{weight: mostHueWeight, twist: mostTwist}
	w.same = from <= 0 && to >= 0 || from <= -2*math.Pi || to >= 2*math.Pi
	if from <= -math.Pi || to >= math.Pi {
		return w
	}
	if from > 0 {
		w.turn = 1
	} else if to < 0 {
		w.turn = -1
	}
	middle, half := q.h+0.25*(from+to), 0.25*(to-from)+0.51*(g-1)
	w.weight = min(mostHueWeight, hueWeights[sector(middle)]+hueSlope*half)
	w.twist = twistFrom(middle, half)
	return w
}
