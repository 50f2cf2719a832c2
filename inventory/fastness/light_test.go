package fastness_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fastness"
)

// Doses of a just noticeable fade, megalux hours: CIE 157:2004 and Michalski,
// from memory.
func TestDosesOfTheBlueWools(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		uv   bool
		want [8]float64
	}{
		{true, [8]float64{0.22, 0.6, 1.5, 3.5, 8, 20, 50, 120}},
		{false, [8]float64{0.3, 1, 3, 10, 30, 100, 300, 1100}},
	} {
		for i, want := range c.want {
			got, err := fastness.Fade(i+1, 1000, 10, 100, c.uv)
			if err != nil || got.JustNoticeableMegaluxHours != want {
				t.Errorf("blue wool %d, uv %v: %+v, %v; want %v", i+1, c.uv, got, err, want)
			}
			// 1 000 lux × 10 h × 100 days is one megalux hour.
			if got.MegaluxHours != 1 || got.Noticeable != (want <= 1) {
				t.Errorf("blue wool %d, uv %v: %+v; want 1 Mlx·h", i+1, c.uv, got)
			}
		}
	}
}

// The returned tunic of the worked season: 400 lux, 10 h a day, with ultraviolet.
// 0.004 Mlx·h a day: blue wool 3 in 375 days, blue wool 2 in 150, and 2-3 between.
func TestTheReturnedTunicsLight(t *testing.T) {
	t.Parallel()
	for blueWool, want := range map[int]float64{3: 375, 2: 150} {
		got, err := fastness.Fade(blueWool, 400, 10, 54, true)
		if err != nil || got.JustNoticeableAfterDays != want || math.Abs(got.MegaluxHours-54*0.004) > 1e-12 {
			t.Errorf("blue wool %d: %+v, %v; want %v days", blueWool, got, err, want)
		}
	}
	between, err := fastness.FadeBetween(fastness.Half(2), 400, 10, 54, true)
	if err != nil || between.String() != "between 150 and 375 days" {
		t.Errorf("2-3: %v, %v", between, err)
	}
	whole, err := fastness.FadeBetween(fastness.Whole(3), 400, 10, 54, true)
	if err != nil || whole.String() != "about 375 days" || whole.Sooner != whole.Later {
		t.Errorf("3: %v, %v", whole, err)
	}
}

func TestNonsenseLightIsRefused(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		blueWool         int
		lux, hours, days float64
		field            string
	}{
		{0, 400, 10, 1, "blue_wool"}, {9, 400, 10, 1, "blue_wool"}, {-1, 400, 10, 1, "blue_wool"},
		{3, 0, 10, 1, "lux"}, {3, -1, 10, 1, "lux"}, {3, nan, 10, 1, "lux"}, {3, inf, 10, 1, "lux"}, {3, 1e7, 10, 1, "lux"},
		{3, 400, 0, 1, "hours_per_day"}, {3, 400, 24.1, 1, "hours_per_day"}, {3, 400, nan, 1, "hours_per_day"},
		{3, 400, 10, -1, "days"}, {3, 400, 10, inf, "days"}, {3, 400, 10, nan, "days"},
	} {
		_, err := fastness.Fade(c.blueWool, c.lux, c.hours, c.days, true)
		wantField(t, err, c.field)
	}
	for _, g := range []fastness.Grade{0, 1, fastness.Half(8), fastness.Whole(9)} {
		_, err := fastness.FadeBetween(g, 400, 10, 1, true)
		wantField(t, err, "blue_wool")
	}
	if got, err := fastness.Fade(3, 400, 24, 0, true); err != nil || got.MegaluxHours != 0 {
		t.Errorf("no days at all: %+v, %v", got, err)
	}
}

// Laws of the dose: twice the light takes half the days; a faster blue wool or
// filtered ultraviolet never fades sooner; days × daily dose is the dose; and a
// half grade's range starts where its lower wool does.
func TestLightDoseKeepsItsLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		lux := rapid.Float64Range(1, 100_000).Draw(t, "lux")
		hours := rapid.Float64Range(0.1, 24).Draw(t, "hours")
		days := rapid.Float64Range(0, 10_000).Draw(t, "days")
		uv := rapid.Bool().Draw(t, "uv")
		n := rapid.IntRange(1, 7).Draw(t, "blue wool")
		fade := func(n int, lux float64, uv bool) fastness.Fading {
			f, err := fastness.Fade(n, lux, hours, days, uv)
			if err != nil {
				t.Fatal(err)
			}
			return f
		}
		f := fade(n, lux, uv)
		if r := f.JustNoticeableAfterDays / fade(n, 2*lux, uv).JustNoticeableAfterDays; math.Abs(r-2) > 1e-9 {
			t.Fatalf("twice the light: %v times the days", r)
		}
		if fade(n+1, lux, uv).JustNoticeableAfterDays <= f.JustNoticeableAfterDays || fade(n, lux, false).JustNoticeableAfterDays <= fade(n, lux, true).JustNoticeableAfterDays {
			t.Fatalf("blue wool %d fades no sooner than the next, or ultraviolet does not hurt", n)
		}
		if d := f.JustNoticeableAfterDays * lux * hours / 1e6; math.Abs(d-f.JustNoticeableMegaluxHours) > 1e-9*d {
			t.Fatalf("%v days make %v Mlx·h, want %v", f.JustNoticeableAfterDays, d, f.JustNoticeableMegaluxHours)
		}
		between, err := fastness.FadeBetween(fastness.Half(n), lux, hours, days, uv)
		if err != nil || between.Sooner != f || between.Later != fade(n+1, lux, uv) {
			t.Fatalf("%v, %v", between, err)
		}
	})
}

// n of n passing, at 95 %: 0.05^(1/n), the exact binomial bound for no failures;
// 0.37 for three, 0.55 for five.
func TestNOfNPassingSaysLittle(t *testing.T) {
	t.Parallel()
	for n, want := range map[int]float64{1: 0.05, 3: 0.37, 5: 0.55} {
		got, err := fastness.AtLeastShare(n)
		if err != nil || math.Round(100*got)/100 != want {
			t.Errorf("n = %d: %v, %v; want %v", n, got, err, want)
		}
	}
	for _, n := range []int{0, -3} {
		_, err := fastness.AtLeastShare(n)
		wantField(t, err, "n")
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 200).Draw(t, "n")
		share, _ := fastness.AtLeastShare(n)
		more, _ := fastness.AtLeastShare(n + 1)
		if share <= 0 || more >= 1 || more <= share || math.Abs(math.Pow(share, float64(n))-0.05) > 1e-9 {
			t.Fatalf("n = %d: %v, then %v", n, share, more)
		}
	})
}
