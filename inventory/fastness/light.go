package fastness

import (
	"fmt"

	"dyelot/inventory/fault"
)

// lightDoses are the doses, in megalux hours, that give a just noticeable fade of
// blue wool 1 to 8: after CIE 157:2004 and Michalski, from memory. They are
// averages over many dyes with a wide spread; a guide, never a promise.
var lightDoses = [8]struct{ withUV, filtered float64 }{
	{0.22, 0.3},
	{0.6, 1},
	{1.5, 3},
	{3.5, 10},
	{8, 30},
	{20, 100},
	{50, 300},
	{120, 1100},
}

// Limits of what is believed about a place: direct noon sun is about 100 000 lux.
const (
	maxLux  = 200_000
	maxDays = 1_000_000
)

// Fading is what a spell of light does to cloth of one blue wool grade.
type Fading struct {
	BlueWool                   Grade
	MegaluxHours               float64 // the dose of the whole spell
	JustNoticeableMegaluxHours float64 // the dose of a just noticeable fade
	JustNoticeableAfterDays    float64 // days of that light until then
	Noticeable                 bool    // whether the spell reaches it
}

// Fade says what days of light, at lux for hoursPerDay, do to cloth of a whole
// blue wool grade, 1 to 8; uv true means that ultraviolet is not filtered out.
// lux is above 0 up to 200 000, hoursPerDay above 0 up to 24, days 0 up to
// 1 000 000; anything else is an INVALID_FIELD fault naming "blue_wool", "lux",
// "hours_per_day" or "days". For a half grade use [FadeBetween].
func Fade(blueWool int, lux, hoursPerDay, days float64, uv bool) (Fading, error) {
	if blueWool < 1 || blueWool > len(lightDoses) {
		return Fading{}, fault.BadField("blue_wool", "%d is not a blue wool; they run from 1 to %d", blueWool, len(lightDoses))
	}
	for _, f := range []struct {
		name       string
		value, max float64
		unit       string
		zero       bool // whether nothing at all is a sensible answer
	}{
		{"lux", lux, maxLux, "lux (noon sun is about 100000)", false},
		{"hours_per_day", hoursPerDay, 24, "hours a day", false},
		{"days", days, maxDays, "days", true},
	} {
		if !(f.value >= 0 && f.value <= f.max) || (f.value == 0 && !f.zero) {
			low := "above 0"
			if f.zero {
				low = "at least 0"
			}
			return Fading{}, fault.BadField(f.name, "must be %s and at most %.0f %s, not %v", low, f.max, f.unit, f.value)
		}
	}
	dose := lightDoses[blueWool-1].filtered
	if uv {
		dose = lightDoses[blueWool-1].withUV
	}
	spell := lux * hoursPerDay * days / 1e6
	return Fading{
		BlueWool:                   Whole(blueWool),
		MegaluxHours:               spell,
		JustNoticeableMegaluxHours: dose,
		JustNoticeableAfterDays:    dose * 1e6 / (lux * hoursPerDay),
		Noticeable:                 spell >= dose,
	}, nil
}

// FadeRange is the pair of answers between which a grade's fading lies.
type FadeRange struct{ Sooner, Later Fading }

// FadeBetween is [Fade] for any blue wool grade. A half grade such as 2-3 has no
// dose of its own: it lies between blue wool 2 and 3, and both are given. A whole
// grade gives the same answer twice.
func FadeBetween(blueWool Grade, lux, hoursPerDay, days float64, uv bool) (FadeRange, error) {
	if err := BlueWool.check("blue_wool", blueWool); err != nil {
		return FadeRange{}, err
	}
	below := int(blueWool) / 2
	sooner, err := Fade(below, lux, hoursPerDay, days, uv)
	if err != nil {
		return FadeRange{}, err
	}
	if !blueWool.IsHalf() {
		return FadeRange{sooner, sooner}, nil
	}
	later, err := Fade(below+1, lux, hoursPerDay, days, uv)
	return FadeRange{sooner, later}, err
}

// String says when, in whole days: "about 375 days", or "between 150 and 375
// days" for a half grade.
func (r FadeRange) String() string {
	if r.Sooner == r.Later {
		return fmt.Sprintf("about %.0f days", r.Sooner.JustNoticeableAfterDays)
	}
	return fmt.Sprintf("between %.0f and %.0f days", r.Sooner.JustNoticeableAfterDays, r.Later.JustNoticeableAfterDays)
}
