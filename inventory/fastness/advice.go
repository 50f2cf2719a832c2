package fastness

import (
	"fmt"
	"strconv"
)

const (
	// LightSource is where the doses of light are from.
	LightSource = "CIE 157:2004 and Michalski, from memory: check it before you rely on it"
	// LightDoubt is how far they may be believed.
	LightDoubt = "the doses are averages over many dyes with a wide spread, and a window has its clouds and its seasons: a guide, never a promise"
)

// Advice is how long a lot may hang in a light before a just noticeable fade, by
// its own light grade.
type Advice struct {
	Grade       Grade // on the blue wools
	Lux         float64
	HoursPerDay float64
	UV          bool // ultraviolet is not filtered out
	Days        FadeRange
	// Doubt is the same for half a grade either way, since no assessor is surer
	// than that.
	Doubt FadeRange
}

// Advise computes it. Errors as [FadeBetween].
func Advise(blueWool Grade, lux, hoursPerDay float64, uv bool) (Advice, error) {
	a := Advice{Grade: blueWool, Lux: lux, HoursPerDay: hoursPerDay, UV: uv}
	var err error
	if a.Days, err = FadeBetween(blueWool, lux, hoursPerDay, 0, uv); err != nil {
		return a, err
	}
	low, err := FadeBetween(max(blueWool-1, BlueWool.Worst()), lux, hoursPerDay, 0, uv)
	if err != nil {
		return a, err
	}
	high, err := FadeBetween(min(blueWool+1, BlueWool.Best()), lux, hoursPerDay, 0, uv)
	a.Doubt = FadeRange{low.Sooner, high.Later}
	return a, err
}

// String is "light 3: about 375 days at 400 lux for 10 hours a day, ultraviolet
// not filtered out, before a just noticeable fade".
func (a Advice) String() string {
	return fmt.Sprintf("light %s: %s at %s, before a just noticeable fade", a.Grade, a.Days, lightWords(a.Lux, a.HoursPerDay, a.UV))
}

// Uncertainty says how far to believe it: "the grade itself is sure to half a
// grade at best, which is between 150 and 875 days; …".
func (a Advice) Uncertainty() string {
	return fmt.Sprintf("the grade itself is sure to half a grade at best, which is %s; %s", a.Doubt, LightDoubt)
}

func lightWords(lux, hours float64, uv bool) string {
	filter := "filtered out"
	if uv {
		filter = "not filtered out"
	}
	return fmt.Sprintf("%s lux for %s hours a day, ultraviolet %s", plainNumber(lux), plainNumber(hours), filter)
}

func plainNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
