package colour

import "math"

// cell is a box of lightness, chroma and hue that holds some colours. Its sides
// are rounded outwards. The hue may be any where chroma is 0: a grey has none.
type cell struct {
	l, c, h  [2]float32 // least and most; hues in radians, from a hair below 0 to a hair above 2π
	cos, sin [2]float32 // the directions of the two hues
	square   [2]float32 // least and most of cos² h from one hue to the other
}

// hair widens an arc of hues on both sides, in radians, so that float32 and the
// rounding of arctangents lose nothing of it.
const hair = 2e-6

func cellAround(least, most [3]float64) cell {
	from, to := least[2]-hair, most[2]+hair
	x := cell{
		l:      [2]float32{under(least[0]), over(most[0])},
		c:      [2]float32{max(under(least[1]), 0), over(most[1])},
		h:      [2]float32{under(from), over(to)},
		square: [2]float32{0, 1},
	}
	s0, c0 := math.Sincos(from)
	s1, c1 := math.Sincos(to)
	x.cos, x.sin = [2]float32{float32(c0), float32(c1)}, [2]float32{float32(s0), float32(s1)}
	quarter := func(h float64) float64 { return math.Floor(h / (math.Pi / 2)) }
	if from, to := quarter(from-hair), quarter(to+hair); from == to { // no axis between: cos² rises or falls all the way
		x.square = [2]float32{under(min(c0*c0, c1*c1) - hair), over(max(c0*c0, c1*c1) + hair)}
	}
	return x
}

// under and over round to float32, never up and never down.
func under(v float64) float32 {
	f := float32(v)
	if float64(f) > v {
		f = math.Nextafter32(f, float32(math.Inf(-1)))
	}
	return f
}

func over(v float64) float32 { return -under(-v) }
