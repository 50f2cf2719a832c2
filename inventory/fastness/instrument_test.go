package fastness_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/fastness"
)

// ISO 105-A02, table of the grey scale for change, as published.
var isoA02 = []struct {
	grade             string
	deltaE, tolerance float64
}{
	{"5", 0, 0.2}, {"4-5", 0.8, 0.2}, {"4", 1.7, 0.3}, {"3-4", 2.5, 0.35}, {"3", 3.4, 0.4},
	{"2-3", 4.8, 0.5}, {"2", 6.8, 0.6}, {"1-2", 9.6, 0.7}, {"1", 13.6, 1.0},
}

// ISO 105-A03, table of the grey scale for staining, from memory.
var isoA03 = []struct {
	grade             string
	deltaE, tolerance float64
}{
	{"5", 0, 0.2}, {"4-5", 2.2, 0.3}, {"4", 4.3, 0.3}, {"3-4", 6.0, 0.4}, {"3", 8.5, 0.5},
	{"2-3", 12.0, 0.7}, {"2", 16.9, 1.0}, {"1-2", 24.0, 1.5}, {"1", 34.1, 2.0},
}

func TestGreyScalesAreThoseOfISO105(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		got  []fastness.Step
		want []struct {
			grade             string
			deltaE, tolerance float64
		}
	}{"A02": {fastness.ChangeScale(), isoA02}, "A03": {fastness.StainScale(), isoA03}} {
		if len(c.got) != len(c.want) {
			t.Fatalf("%s has %d steps, want %d", name, len(c.got), len(c.want))
		}
		for i, w := range c.want {
			s := c.got[i]
			if s.Grade.String() != w.grade || s.DeltaE != w.deltaE || s.Tolerance != w.tolerance {
				t.Errorf("%s step %d is %v %v ± %v, want %+v", name, i, s.Grade, s.DeltaE, s.Tolerance, w)
			}
			if !s.Allows(w.deltaE) || !s.Allows(w.deltaE+w.tolerance) || s.Allows(w.deltaE+w.tolerance+0.01) || s.Allows(w.deltaE-w.tolerance-0.01) {
				t.Errorf("%s grade %v: the tolerance is not kept", name, s.Grade)
			}
		}
	}
}

// ISO 105-A05 (from memory): a neutral pair that is a step of ISO 105-A02 comes back as that
// step's own grade, wherever on the grey axis it lies and whichever way it moved.
func TestNeutralStepsOfA02ComeBackAsTheirOwnGrade(t *testing.T) {
	t.Parallel()
	for _, w := range isoA02 {
		for _, from := range []fastness.Lab{{50, 0, 0}, {20, 0, 0}, {80, 0, 0}} {
			for _, way := range []float64{1, -1} {
				to := fastness.Lab{from[0] + way*w.deltaE, 0, 0}
				got, err := fastness.ChangeGrade(from, to)
				if err != nil || got.Grade.String() != w.grade || math.Abs(got.DeltaEF-w.deltaE) > 1e-9 {
					t.Errorf("%v to %v: %+v, %v; want grade %s", from, to, got, err, w.grade)
				}
			}
		}
	}
}

// ISO 105-A04 and A03 (from memory): steps of the latter, which are neutral, come back likewise.
func TestNeutralStepsOfA03ComeBackAsTheirOwnGrade(t *testing.T) {
	t.Parallel()
	for _, w := range isoA03 {
		got, err := fastness.StainGrade(fastness.Lab{94, 0, 0}, fastness.Lab{94 - w.deltaE, 0, 0})
		if err != nil || got.Grade.String() != w.grade {
			t.Errorf("ΔL %v: %+v, %v; want grade %s", w.deltaE, got, err, w.grade)
		}
	}
}

// ISO 105-A05 (formula from memory), cases computed by one independent program.
func TestChangeGradeAfterA05(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		original, tested fastness.Lab
		deltaEF          float64
		grade            string
	}{
		{fastness.Lab{42, 55, 28}, fastness.Lab{44.5, 51, 26}, 3.1111, "3"},
		{fastness.Lab{35, 5, -30}, fastness.Lab{38, 3, -24}, 4.6358, "2-3"},
		{fastness.Lab{75, -2, 62}, fastness.Lab{77, -3, 50}, 5.7769, "2-3"},
		{fastness.Lab{40, -30, 12}, fastness.Lab{41, -27, 13}, 2.7562, "3-4"},
	} {
		got, err := fastness.ChangeGrade(c.original, c.tested)
		if err != nil || math.Abs(got.DeltaEF-c.deltaEF) > 5e-5 || got.Grade.String() != c.grade {
			t.Errorf("%v to %v: %+v, %v; want %v grade %s", c.original, c.tested, got, err, c.deltaEF, c.grade)
		}
	}
}

// The bands of ISO 105-A05 (from memory), tried on neutral pairs, where ΔE_F is
// the difference of L*: each limit belongs to the grade below it.
func TestBandsOfA05(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		limit        float64
		under, above string
	}{
		{0.40, "5", "4-5"}, {1.25, "4-5", "4"}, {2.10, "4", "3-4"}, {2.95, "3-4", "3"},
		{4.10, "3", "2-3"}, {5.80, "2-3", "2"}, {8.20, "2", "1-2"}, {11.60, "1-2", "1"},
	} {
		for dL, want := range map[float64]string{c.limit - 0.001: c.under, c.limit: c.above, c.limit + 0.001: c.above} {
			got, err := fastness.ChangeGrade(fastness.Lab{0, 0, 0}, fastness.Lab{dL, 0, 0})
			if err != nil || got.Grade.String() != want {
				t.Errorf("ΔE_F %v: %+v, %v; want %s", dL, got, err, want)
			}
		}
	}
	if got, _ := fastness.ChangeGrade(fastness.Lab{0, 0, 0}, fastness.Lab{100, 0, 0}); got.Grade.String() != "1" {
		t.Errorf("black to white is grade %v", got.Grade)
	}
}

// ISO 105-A04 (formula from memory), cases computed by one independent program.
func TestStainGradeAfterA04(t *testing.T) {
	t.Parallel()
	clean := fastness.Lab{94, 0, 2}
	for _, c := range []struct {
		stained  fastness.Lab
		deltaEGS float64
		grade    string
	}{
		{fastness.Lab{92, 3, 1}, 2.4767, "4-5"},
		{fastness.Lab{88, 8, -4}, 7.6619, "3"},
		{fastness.Lab{90, -2, 16}, 9.0401, "3"},
		{clean, 0, "5"},
	} {
		got, err := fastness.StainGrade(clean, c.stained)
		if err != nil || math.Abs(got.DeltaEGS-c.deltaEGS) > 5e-5 || got.Grade.String() != c.grade {
			t.Errorf("%v: %+v, %v; want %v grade %s", c.stained, got, err, c.deltaEGS, c.grade)
		}
	}
}

// Hue wraps at 360° and opposite hues lie 180° apart but for rounding; neither may
// make the formula jump. A grey has no hue and takes the other's.
func TestHueDoesNotJump(t *testing.T) {
	t.Parallel()
	near := func(name string, a1, b1, a2, b2 fastness.Lab) {
		one, err := fastness.ChangeGrade(a1, b1)
		two, err2 := fastness.ChangeGrade(a2, b2)
		if err != nil || err2 != nil || math.Abs(one.DeltaEF-two.DeltaEF) > 1e-3 {
			t.Errorf("%s: %v, %v, %v, %v", name, one, two, err, err2)
		}
	}
	near("across 0°", fastness.Lab{50, 30, 1e-5}, fastness.Lab{50, 30, -1}, fastness.Lab{50, 30, -1e-5}, fastness.Lab{50, 30, -1})
	near("a grey takes the other's hue", fastness.Lab{50, 0, 0}, fastness.Lab{55, 0, -20}, fastness.Lab{50, 0, -1e-6}, fastness.Lab{55, 0, -20})
	near("and the other way", fastness.Lab{50, 0, -20}, fastness.Lab{55, 0, 0}, fastness.Lab{50, 0, -20}, fastness.Lab{55, 0, -1e-6})
}

// Opposite hues, as in pairs 10 and 14 of Sharma, Wu & Dalal 2005, differ by 180°
// but for the last bit. ISO 105-A05 then takes the plain average of the two hue
// angles and the sign of their difference; the last bit must not choose otherwise,
// all round the circle. Worked out here from the angle that was put in.
func TestOppositeHuesAreAveragedPlainly(t *testing.T) {
	t.Parallel()
	for h := range 360 {
		sin, cos := math.Sincos(float64(h) * math.Pi / 180)
		sin, cos = math.Round(sin*1e12)/1e12, math.Round(cos*1e12)/1e12 // 180° is 180°, not a hair less
		one := fastness.Lab{50, 20 * cos, 20 * sin}
		two := fastness.Lab{50, -30 * cos, -30 * sin}
		mean, dH := float64(h)+90, 2*math.Sqrt(20*30)
		if h >= 180 {
			mean, dH = mean-180, -dH
		}
		want := deltaEF(0, 10, dH, 25, mean)
		if got, err := fastness.ChangeGrade(one, two); err != nil || math.Abs(got.DeltaEF-want) > 1e-6 {
			t.Errorf("hue %d°: %v, %v; want %v", h, got.DeltaEF, err, want)
		}
	}
}

// The mean hue lies on the shorter way round: between 210° and 10° it is 290°,
// near blue, where the term D bites, and not 110°.
func TestMeanHueLiesOnTheShorterWay(t *testing.T) {
	t.Parallel()
	at := func(c, h float64) fastness.Lab {
		sin, cos := math.Sincos(h * math.Pi / 180)
		return fastness.Lab{50, c * cos, c * sin}
	}
	for _, c := range []struct{ from, to, turn float64 }{{210, 10, 160}, {10, 210, -160}} {
		got, err := fastness.ChangeGrade(at(20, c.from), at(60, c.to))
		want := deltaEF(0, 40, 2*math.Sqrt(20*60)*math.Sin(c.turn/2*math.Pi/180), 40, 290)
		if err != nil || math.Abs(got.DeltaEF-want) > 1e-9 {
			t.Errorf("%v° to %v°: %v, %v; want %v", c.from, c.to, got.DeltaEF, err, want)
		}
	}
}

// deltaEF is ISO 105-A05's formula from its differences, mean chroma and mean hue.
func deltaEF(dL, dC, dH, meanC, meanH float64) float64 {
	q := math.Min(math.Abs(meanH-280), 360-math.Abs(meanH-280))
	d := dC * meanC * math.Exp(-q*q/900) / 100
	return math.Sqrt(dL*dL + math.Pow((dC-d)/(1+meanC*meanC/2500), 2) + math.Pow((dH-d)/(1+meanC*meanC/10000), 2))
}

// A red at hue 0° lies 80° from 280°, not 280°: h_M − 280 is folded. By hand:
// C_M 60, ΔC 80, e^(−(80/30)²) = 0.000816, D 0.0392.
func TestHueDistanceIsFolded(t *testing.T) {
	t.Parallel()
	got, err := fastness.ChangeGrade(fastness.Lab{50, 20, 0}, fastness.Lab{50, 100, 0})
	if want := deltaEF(0, 80, 0, 60, 0); err != nil || math.Abs(got.DeltaEF-want) > 1e-9 || math.Abs(want-32.7709) > 1e-4 {
		t.Errorf("%v, %v; want %v", got.DeltaEF, err, want)
	}
}

// Half-way ratings of ISO 105-A04 (from memory): 5 − 0.23 ΔE_GS meets 4.75 at
// 1.0870 and 4.25 at 3.2609; 6.1 − 1.45 ln ΔE_GS meets 3.75, 3.25 … 1.25 at the rest.
func TestStainRatingGoesToTheNearestHalfGrade(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		limit        float64
		under, above string
	}{
		{1.0870, "5", "4-5"}, {3.2609, "4-5", "4"}, {5.0566, "4", "3-4"}, {7.1386, "3-4", "3"},
		{10.0779, "3", "2-3"}, {14.2275, "2-3", "2"}, {20.0855, "2", "1-2"}, {28.3556, "1-2", "1"},
	} {
		for dL, want := range map[float64]string{c.limit - 0.002: c.under, c.limit + 0.002: c.above} {
			got, err := fastness.StainGrade(fastness.Lab{94, 0, 0}, fastness.Lab{94 - dL, 0, 0})
			if err != nil || got.Grade.String() != want {
				t.Errorf("ΔE_GS %v: %+v, %v; want %s", dL, got, err, want)
			}
		}
	}
}

func labGen() *rapid.Generator[fastness.Lab] {
	return rapid.Custom(func(t *rapid.T) fastness.Lab {
		return fastness.Lab{
			rapid.Float64Range(0, 100).Draw(t, "L"),
			rapid.Float64Range(-100, 100).Draw(t, "a"),
			rapid.Float64Range(-100, 100).Draw(t, "b"),
		}
	})
}

// Laws of both instrumental grades: no difference is grade 5; every answer is a
// grade of its scale; a change of L* is never forgiven; ΔE_GS lies between 0.6 ΔE
// and ΔE, and staining knows only how far two colours lie apart, not which way.
func TestInstrumentalGradesKeepTheirLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		one, two := labGen().Draw(t, "one"), labGen().Draw(t, "two")
		change, err := fastness.ChangeGrade(one, two)
		if err != nil {
			t.Fatal(err)
		}
		stain, err := fastness.StainGrade(one, two)
		if err != nil {
			t.Fatal(err)
		}
		if !fastness.GreyChange.Holds(change.Grade) || !fastness.GreyStaining.Holds(stain.Grade) {
			t.Fatalf("%+v, %+v", change, stain)
		}
		if dL := math.Abs(one[0] - two[0]); change.DeltaEF < dL-1e-9 {
			t.Fatalf("ΔE_F %v is less than the change of L*, %v", change.DeltaEF, dL)
		}
		dE := math.Sqrt(math.Pow(one[0]-two[0], 2) + math.Pow(one[1]-two[1], 2) + math.Pow(one[2]-two[2], 2))
		if stain.DeltaEGS < 0.6*dE-1e-9 || stain.DeltaEGS > dE+1e-9 {
			t.Fatalf("ΔE_GS %v for ΔE %v", stain.DeltaEGS, dE)
		}
		if back, _ := fastness.StainGrade(two, one); math.Abs(back.DeltaEGS-stain.DeltaEGS) > 1e-9 {
			t.Fatalf("staining is not the same both ways: %v, %v", stain, back)
		}
		for _, c := range []fastness.Lab{one, two} {
			same, _ := fastness.ChangeGrade(c, c)
			clean, _ := fastness.StainGrade(c, c)
			if same.DeltaEF != 0 || same.Grade != fastness.Whole(5) || clean.DeltaEGS != 0 || clean.Grade != fastness.Whole(5) {
				t.Fatalf("%v against itself: %+v, %+v", c, same, clean)
			}
		}
	})
}

// ISO 105-A04's rating falls, and so the grade never rises, as a stain grows along
// one line.
func TestAWorseStainNeverGradesBetter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		way := labGen().Draw(t, "way")
		near := rapid.Float64Range(0, 1).Draw(t, "near")
		far := rapid.Float64Range(near, 1).Draw(t, "far")
		at := func(part float64) fastness.Lab {
			return fastness.Lab{94 - part*way[0]*0.9, part * way[1], part * way[2]}
		}
		small, _ := fastness.StainGrade(at(0), at(near))
		large, _ := fastness.StainGrade(at(0), at(far))
		if large.Grade > small.Grade {
			t.Fatalf("%v grades %v, yet %v grades %v", near, small, far, large)
		}
	})
}

func TestColoursThatNoClothHasAreRefused(t *testing.T) {
	t.Parallel()
	good := fastness.Lab{50, 10, 10}
	for _, bad := range []fastness.Lab{
		{math.NaN(), 0, 0}, {50, math.NaN(), 0}, {50, 0, math.Inf(1)}, {-1, 0, 0}, {100.5, 0, 0}, {50, 250, 0}, {50, 0, -1e300},
	} {
		_, err := fastness.ChangeGrade(bad, good)
		wantField(t, err, "standard")
		_, err = fastness.ChangeGrade(good, bad)
		wantField(t, err, "sample")
		_, err = fastness.StainGrade(bad, good)
		wantField(t, err, "standard")
		_, err = fastness.StainGrade(good, bad)
		wantField(t, err, "sample")
	}
}
