package fastness

import (
	"cmp"
	"math"
	"slices"
)

const (
	// tooSmallToName: below it a change is grade 5 by ISO 105-A05 (from memory),
	// and nobody sees which way it went.
	tooSmallToName = 0.40
	// aThird of the greatest part: what is smaller is not what the eye names.
	aThird = 1.0 / 3
	// grey: below this mean C*ab a cloth has no hue of its own to turn, and what it
	// turned to is told from a* and b*.
	grey = 5
)

// DirectionsOf proposes how a shade moved, in the words of [Directions], from the
// differences in lightness, chroma and hue; the greatest part first, and none
// where the change is too small to see. It is a proposal: whoever looks at the
// cloth has the last word.
//
// Towards white is weaker and away from it stronger: lighter with less chroma, or
// darker with more. Towards black is duller and away from it brighter: darker with
// less chroma, or lighter with more (common practice of the dye house). Hue is
// named by the axis it turns to: redder at 0°, yellower at 90°, greener at 180°,
// bluer at 270°.
func DirectionsOf(before, after Lab) []string {
	type part struct {
		word string
		size float64
	}
	dL, dC := after[0]-before[0], after.chroma()-before.chroma()
	var parts []part
	add := func(size float64, above, below string) {
		if size < 0 {
			above, size = below, -size
		}
		parts = append(parts, part{above, size})
	}
	if (before.chroma()+after.chroma())/2 < grey {
		add(dL, "weaker", "stronger")
		add(after[1]-before[1], "redder", "greener")
		add(after[2]-before[2], "yellower", "bluer")
	} else {
		add((dL-dC)/math.Sqrt2, "weaker", "stronger")
		add((dL+dC)/math.Sqrt2, "brighter", "duller")
		turn, mean := hueBetween(before, after)
		dH := 2 * math.Sqrt(before.chroma()*after.chroma()) * math.Sin(turn*math.Pi/360)
		add(dH, axisAbove(mean), axisBelow(mean))
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(b.size, a.size) })
	var words []string
	for _, p := range parts {
		if p.size >= tooSmallToName && p.size >= parts[0].size*aThird {
			words = append(words, p.word)
		}
	}
	return words
}

// axes are the words of the four axes, from 0° on.
var axes = [4]string{"redder", "yellower", "greener", "bluer"}

// axisAbove is the word of the next axis as the hue angle grows, axisBelow as it
// falls; on an axis both are its neighbours.
func axisAbove(hue float64) string { return axes[(int(math.Floor(hue/90))+1)%4] }
func axisBelow(hue float64) string { return axes[(int(math.Ceil(hue/90))+3)%4] }
