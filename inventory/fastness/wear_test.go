package fastness_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/fastness"
	"dyelot/inventory/fault"
)

func mustMeasure(t *testing.T, method, component string, before, after fastness.Lab) fastness.Measured {
	t.Helper()
	m, err := fastness.MethodOf(method)
	if err != nil {
		t.Fatal(err)
	}
	got, err := m.Measure(component, before, after)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// The formula follows the component: a strip is ISO 105-A04, the cloth A05, and
// cloth in light A05 too, which is no blue wool. Figures computed by one
// independent program; the formulas are from memory.
func TestMeasureTakesTheComponentsFormula(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		method, component, formula, grade string
		before, after                     fastness.Lab
	}{
		{"iso-105-c06", "change", "ISO 105-A05", "3", fastness.Lab{42, 55, 28}, fastness.Lab{44.5, 51, 26}},
		{"iso-105-c06", "stain-wool", "ISO 105-A04", "3", fastness.Lab{94, 0, 2}, fastness.Lab{88, 8, -4}},
		{"iso-105-x12", "dry", "ISO 105-A04", "4-5", fastness.Lab{94, 0, 2}, fastness.Lab{92, 3, 1}},
		{"studio-window", "light", "ISO 105-A05", "3-4", fastness.Lab{40, -30, 12}, fastness.Lab{41, -27, 13}},
	} {
		got := mustMeasure(t, c.method, c.component, c.before, c.after)
		if got.Formula() != c.formula || got.Grade.String() != c.grade || got.Component != c.component {
			t.Errorf("%+v, want %+v", got, c)
		}
		if (len(got.Directions) > 0) != (c.formula == "ISO 105-A05") {
			t.Errorf("a strip takes the dye's colour, it does not move: %+v", got)
		}
	}
	m, _ := fastness.MethodOf("iso-105-c06")
	for field, c := range map[string]struct {
		component     string
		before, after fastness.Lab
	}{"component": {"moon", fastness.Lab{}, fastness.Lab{}}, "before": {"change", fastness.Lab{101}, fastness.Lab{}}, "after": {"change", fastness.Lab{}, fastness.Lab{0, 500}}} {
		_, err := m.Measure(c.component, c.before, c.after)
		wantField(t, err, field)
	}
}

// The assessor's grade counts; the measured one where there is none, on the
// component's own scale only.
func TestWhichGradeCounts(t *testing.T) {
	t.Parallel()
	is := mustMeasure(t, "studio-home-wash", "change", fastness.Lab{42, 55, 28}, fastness.Lab{44.5, 51, 26}) // 3
	row := row(t, "wash-change", "3-4", fastness.EachLot)
	for _, c := range []struct{ by, verdict, apart string }{
		{"", "failed 3", ""},
		{"3", "failed 3", ""},
		{"3-4", "passed 3-4", ""}, // half a grade apart is within two assessors
		{"2-3", "failed 2-3", ""},
		{"4", "passed 4", "change of T1: the assessor says 4, the instrument 3: more than half a grade apart, and the assessor's counts"},
		{"2", "failed 2", "change of T1: the assessor says 2, the instrument 3: more than half a grade apart, and the assessor's counts"},
	} {
		x := fastness.Test{ID: "T1", Method: "studio-home-wash", Date: day, Subject: fastness.Subject{Scope: fastness.EachLot, Code: "B"},
			Grades: map[string]fastness.Grade{}, Measured: map[string]fastness.Measured{"change": is}}
		if c.by != "" {
			x.Grades["change"] = parse(t, fastness.GreyChange, c.by)[0]
		}
		if err := x.Validate(); err != nil {
			t.Fatal(err)
		}
		f := judge(t, lotB, []fastness.Row{row}, list(x)).Findings[0]
		apart := ""
		for _, a := range f.Apart {
			apart += a.String()
		}
		if f.Verdict() != c.verdict || f.Deciding.Measured != (c.by == "") || apart != c.apart || strings.Contains(f.String(), "measured") != (c.by == "") {
			t.Errorf("by eye %q: %s, apart %q", c.by, f, apart)
		}
	}
	light := mustMeasure(t, "studio-window", "light", fastness.Lab{42, 55, 28}, fastness.Lab{44.5, 51, 26})
	alone := fastness.Test{ID: "T1", Method: "studio-window", Date: day, Subject: fastness.Subject{Scope: fastness.EachLot, Code: "B"}, Measured: map[string]fastness.Measured{"light": light}}
	wantField(t, alone.Validate(), "grades")
	alone.Grades = map[string]fastness.Grade{"light": fastness.Whole(7)}
	if err := alone.Validate(); err != nil || len(alone.Apart()) != 0 {
		t.Errorf("blue wool 7 and grey 3 are compared: %v, %v", err, alone.Apart())
	}
	bleach := fastness.Test{ID: "T1", Method: "aatcc-61", Edition: "2013", Variant: "4A", Date: day, Subject: alone.Subject,
		Grades:   map[string]fastness.Grade{"change": fastness.Whole(4)},
		Measured: map[string]fastness.Measured{"stain-wool": mustMeasure(t, "aatcc-61", "stain-wool", fastness.Lab{94}, fastness.Lab{92})}}
	wantField(t, bleach.Validate(), "measured.stain-wool")
}

// One axis at a time, in the words of ISO 105-A02 (from memory): towards white is
// weaker, towards black duller, and hue turns to the axis it goes to (CIELAB: red
// at 0°, yellow 90°, green 180°, blue 270°).
func TestDirectionsFollowLightnessChromaAndHue(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		before, after fastness.Lab
		want          string
	}{
		"nothing":                 {fastness.Lab{50, 20, 0}, fastness.Lab{50, 20, 0}, ""},
		"too small to see":        {fastness.Lab{50, 20, 0}, fastness.Lab{50.3, 20, 0}, ""},
		"lighter, less chroma":    {fastness.Lab{50, 20, 0}, fastness.Lab{52, 18, 0}, "weaker"},
		"darker, more chroma":     {fastness.Lab{50, 20, 0}, fastness.Lab{48, 22, 0}, "stronger"},
		"darker, less chroma":     {fastness.Lab{50, 20, 0}, fastness.Lab{48, 18, 0}, "duller"},
		"lighter, more chroma":    {fastness.Lab{50, 20, 0}, fastness.Lab{52, 22, 0}, "brighter"},
		"orange to red":           {fastness.Lab{50, 20, 20}, fastness.Lab{50, 22, 17.78}, "redder"},
		"orange to yellow":        {fastness.Lab{50, 20, 20}, fastness.Lab{50, 17.78, 22}, "yellower"},
		"olive to green":          {fastness.Lab{50, -20, 20}, fastness.Lab{50, -22, 17.78}, "greener"},
		"violet to blue":          {fastness.Lab{50, 20, -20}, fastness.Lab{50, 17.78, -22}, "bluer"},
		"across the red axis":     {fastness.Lab{50, 20, -1}, fastness.Lab{50, 20, 1}, "yellower"},
		"grey that yellows":       {fastness.Lab{50, 0, 0}, fastness.Lab{50, 0, 3}, "yellower"},
		"grey that gets lighter":  {fastness.Lab{50, 0, 1}, fastness.Lab{53, 0, 1}, "weaker"},
		"the choir's faded tunic": {fastness.Lab{46.3, -2.8, 24.4}, fastness.Lab{48.1, -2.0, 20.2}, "weaker, duller"},
	} {
		if got := strings.Join(fastness.DirectionsOf(c.before, c.after), ", "); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// What went one way comes back the other, and every word is one of the table's.
func TestDirectionsAreTurnedAroundWithTheColours(t *testing.T) {
	t.Parallel()
	opposite := map[string]string{"weaker": "stronger", "duller": "brighter", "stronger": "weaker", "brighter": "duller"}
	colours := rapid.Custom(func(t *rapid.T) fastness.Lab {
		at := func(low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, "of L*a*b*") }
		return fastness.Lab{at(0, 100), at(-60, 60), at(-60, 60)}
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := colours.Draw(t, "before"), colours.Draw(t, "after")
		there, back := fastness.DirectionsOf(a, b), fastness.DirectionsOf(b, a)
		for i, word := range there {
			if !slices.Contains(fastness.Directions(), word) {
				t.Fatalf("%q is no direction", word)
			}
			if slices.Index(there, word) != i {
				t.Fatalf("%q twice", word)
			}
			if o := opposite[word]; o != "" && !slices.Contains(back, o) {
				t.Fatalf("%v there, %v back", there, back)
			}
		}
		if len(there) != len(back) {
			t.Fatalf("%v there, %v back", there, back)
		}
	})
}

// n of n passing says 0.05^(1/n) at 95 % (checks: n = 3 0.37, n = 5 0.55), and 59
// are needed before that is 0.95.
func TestFewSpecimensAreSaidToBeFew(t *testing.T) {
	t.Parallel()
	light := row(t, "light", "3", fastness.EachLot)
	specimens := func(grades ...string) []string {
		var tests []fastness.Test
		for i, g := range grades {
			tests = append(tests, tested(t, "T"+string(rune('1'+i)), "studio-window", "lot", "B", "light "+g, day))
		}
		var said []string
		for _, s := range judge(t, lotB, []fastness.Row{light}, tests).Findings[0].Specimens() {
			said = append(said, s.String())
		}
		return said
	}
	if s := specimens("3"); s != nil {
		t.Errorf("one is listed: %v", s)
	}
	for want, grades := range map[string][]string{
		"light, 2 specimens, which is few: T2 3, T1 4; worst 3, lower median 3; 2 of 2 reach 3, which says at 95 % only that at least 0.22 of such cloth does":                       {"4", "3"},
		"light, 5 specimens, which is few: T1 3, T5 3, T3 3-4, T2 4, T4 5; worst 3, lower median 3-4; 5 of 5 reach 3, which says at 95 % only that at least 0.55 of such cloth does": {"3", "4", "3-4", "5", "3"},
		"light, 3 specimens, which is few: T2 2-3, T1 3, T3 3; worst 2-3, lower median 3; 2 of 3 reach 3":                                                                            {"3", "2-3", "3"},
	} {
		if got := specimens(grades...); len(got) != 1 || got[0] != want {
			t.Errorf("got  %q\nwant %q", got, want)
		}
	}
	many := make([]string, 59)
	for i := range many {
		many[i] = "3"
	}
	if got := specimens(many...); strings.Contains(got[0], "few") || !strings.HasSuffix(got[0], "at least 0.95 of such cloth does") {
		t.Error(got)
	}
	harvest := row(t, "light", "3", fastness.EachHarvest)
	f := judge(t, lotB, []fastness.Row{harvest}, list(tested(t, "T1", "studio-window", "harvest", "W24", "light 3", day), tested(t, "T2", "studio-window", "harvest", "W24", "light 4", day),
		tested(t, "T3", "studio-window", "lot", "B", "light 4", day))).Findings[0].Specimens()
	if len(f) != 1 || !strings.HasPrefix(f[0].String(), "light of harvest W24, 2 specimens") {
		t.Errorf("a lot's own and its harvest's are thrown together: %v", f)
	}
}

// The story's figures: light 3 at 400 lux for 10 hours, 375 days; 2-3 between 150
// and 375 (doses after CIE 157:2004 and Michalski, from memory).
func TestAdvice(t *testing.T) {
	t.Parallel()
	for g, want := range map[fastness.Grade]string{
		fastness.Whole(3): "light 3: about 375 days at 400 lux for 10 hours a day, ultraviolet not filtered out, before a just noticeable fade|150 to 875",
		fastness.Half(2):  "light 2-3: between 150 and 375 days at 400 lux for 10 hours a day, ultraviolet not filtered out, before a just noticeable fade|150 to 375",
		fastness.Whole(1): "light 1: about 55 days at 400 lux for 10 hours a day, ultraviolet not filtered out, before a just noticeable fade|55 to 150",
		fastness.Whole(8): "light 8: about 30000 days at 400 lux for 10 hours a day, ultraviolet not filtered out, before a just noticeable fade|12500 to 30000",
	} {
		a, err := fastness.Advise(g, 400, 10, true)
		text, doubt, _ := strings.Cut(want, "|")
		low, high, _ := strings.Cut(doubt, " to ")
		if err != nil || a.String() != text || !strings.Contains(a.Uncertainty(), "between "+low+" and "+high+" days") || !strings.Contains(a.Uncertainty(), "never a promise") {
			t.Errorf("%s\n%s\n%v", a, a.Uncertainty(), err)
		}
	}
	filtered, err := fastness.Advise(fastness.Whole(3), 400, 10, false)
	if err != nil || filtered.Days.Sooner.JustNoticeableAfterDays != 750 || !strings.HasSuffix(filtered.String(), "ultraviolet filtered out, before a just noticeable fade") {
		t.Errorf("%s, %v", filtered, err)
	}
	for field, c := range map[string]struct {
		g          fastness.Grade
		lux, hours float64
	}{"blue_wool": {17, 1, 1}, "lux": {6, 0, 1}, "hours_per_day": {6, 1, 25}} {
		_, err := fastness.Advise(c.g, c.lux, c.hours, true)
		wantField(t, err, field)
	}
}

func date(n int) time.Time { return time.Date(2026, 5, 1+n, 0, 0, 0, 0, time.UTC) }

func looks(of ...fastness.Look) []fastness.Look { return of }

func seen(day int, grade string, changed ...int) fastness.Look {
	g := fastness.Grade(0)
	if grade != "" {
		g, _ = fastness.Parse(grade, fastness.GreyChange)
	}
	return fastness.Look{On: date(day), Grade: g, Changed: changed}
}

// A specimen's light grade is that of the blue wool that faded with it; half a
// grade where it lies between two (the comparison of ISO 105-B02, from memory).
func TestPlaceAmongTheBlueWools(t *testing.T) {
	t.Parallel()
	all := []int{1, 2, 3, 4, 5}
	for name, c := range map[string]struct {
		beside []int
		looks  []fastness.Look
		grade  string
		says   string
	}{
		"no look":                {all, nil, "not graded", "nobody has looked"},
		"nothing changed":        {all, looks(seen(7, "5")), "not graded", "neither it nor a blue wool"},
		"outlasts so far":        {all, looks(seen(7, "5", 1), seen(14, "4-5", 1, 2)), "not graded", "better than 2"},
		"with a wool":            {all, looks(seen(7, "5", 1), seen(14, "4-5", 1, 2), seen(28, "4", 1, 2, 3)), "3", "same looks as blue wool 3"},
		"between two":            {all, looks(seen(7, "5", 1), seen(14, "4-5", 1, 2), seen(28, "3", 1, 2)), "2-3", "after blue wool 2 and before blue wool 3"},
		"with two":               {all, looks(seen(7, "5", 1), seen(28, "4", 1, 2, 3)), "2-3", "blue wool 2, 3"},
		"with three":             {all, looks(seen(28, "4", 1, 2, 3)), "not graded", "too far apart"},
		"before the first":       {all, looks(seen(7, "3")), "1", "most fugitive"},
		"before the lowest":      {[]int{2, 3}, looks(seen(7, "3")), "not graded", "before blue wool 2 did, the lowest"},
		"after the highest":      {[]int{2, 3}, looks(seen(7, "5", 2, 3), seen(14, "4")), "not graded", "after blue wool 3 did, the highest"},
		"a gap":                  {[]int{2, 5}, looks(seen(7, "5", 2), seen(14, "4")), "not graded", "too far apart"},
		"no wool beside":         {nil, looks(seen(7, "3")), "not graded", "no blue wool lies beside"},
		"what changed stays":     {all, looks(seen(7, "5", 1, 2), seen(14, "4")), "2-3", ""},
		"an ungraded look":       {all, looks(seen(7, "5", 1), seen(14, "", 1, 2), seen(28, "4", 1, 2)), "2", "same looks as blue wool 2"},
		"later ones say no more": {all, looks(seen(7, "4", 1), seen(14, "2", 1, 2, 3)), "1", ""},
	} {
		w := fastness.Window{Code: "X1", PutOut: date(0), Beside: c.beside, Looks: c.looks}
		if p := w.Place(); p.Grade.String() != c.grade || !strings.Contains(p.Text, c.says) {
			t.Errorf("%s: %s, %q; want %s, %q", name, p.Grade, p.Text, c.grade, c.says)
		}
	}
}

// Looks fall due on their days by a clock that stands where it is put.
func TestLooksFallDueOnTheirDays(t *testing.T) {
	t.Parallel()
	again, err := fastness.LookDays(date(0), []int{14, 7, 28}, []time.Time{date(7), date(60)})
	if diff := cmp.Diff([]time.Time{date(7), date(14), date(28), date(60)}, again); diff != "" || err != nil {
		t.Fatal(diff, err)
	}
	w := fastness.Window{Code: "X1", PutOut: date(0), Again: again}
	const anyDay = 1000
	for _, c := range []struct {
		looked []int
		today  int
		by     int // −1: nothing waits
		says   string
	}{
		{nil, 6, -1, ""}, {nil, 7, 7, "look at it: day 7"}, {nil, 10, 7, "day 7"}, {nil, 40, 7, "day 7"},
		{[]int{3}, 7, 7, "day 7"}, {[]int{8}, 10, -1, ""}, {[]int{8}, 14, 14, "day 14"}, {[]int{8, 30}, 59, -1, ""}, {[]int{60}, 60, anyDay, "take it in"},
	} {
		w.Looks = nil
		for _, n := range c.looked {
			w.Looks = append(w.Looks, seen(n, "5"))
		}
		text, by, ok := w.Due(date(c.today))
		if ok != (c.by >= 0) || ok && !by.Equal(date(c.by)) && (c.by != anyDay || !by.IsZero()) || !strings.Contains(text, c.says) {
			t.Errorf("looked %v, day %d: %q by %v, %v", c.looked, c.today, text, by, ok)
		}
	}
	w.In = date(61)
	if _, _, ok := w.Due(date(90)); ok || !w.NextLook().IsZero() {
		t.Error("work waits at what was taken in")
	}
	usual, err := fastness.LookDays(date(0), nil, nil)
	if err != nil || len(usual) != 4 || !usual[3].Equal(date(56)) {
		t.Errorf("%v, %v", usual, err)
	}
	far := make([]int, 61)
	for i := range far {
		far[i] = i + 1
	}
	for field, f := range map[string]func() ([]time.Time, error){
		"look_after_days[1]": func() ([]time.Time, error) { return fastness.LookDays(date(0), []int{7, 0}, nil) },
		"look_on[0]":         func() ([]time.Time, error) { return fastness.LookDays(date(0), nil, []time.Time{date(0)}) },
		"look_on":            func() ([]time.Time, error) { return fastness.LookDays(date(0), far, nil) },
	} {
		_, err := f()
		wantField(t, err, field)
	}
}

// 400 lux for 10 hours a day are 0.004 Mlx·h: blue wool 2, at 0.6 with its
// ultraviolet, after 150 days (CIE 157:2004 and Michalski, from memory).
func TestWhichBlueWoolShouldHaveChanged(t *testing.T) {
	t.Parallel()
	w := fastness.Window{PutOut: date(0), Beside: []int{1, 2, 8}, Lux: 400, HoursPerDay: 10, UV: true, Looks: looks(seen(56, "5", 1))}
	if dose, known := w.MegaluxHours(date(150)); !known || dose != 0.6 {
		t.Errorf("%v, %v", dose, known)
	}
	for i, want := range []string{
		"blue wool 1 should have shown a change by about 25 June 2026; it was found changed on 26 June 2026",
		"blue wool 2 should have shown a change by about 28 September 2026; no look has found it changed yet",
		"blue wool 8: nobody can say when, and no look has found it changed", // 30 000 days
	} {
		if got := w.Expect()[i].Say(date(200)); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := w.Expect()[1].Say(date(10)); got != "blue wool 2 may show a change by about 28 September 2026" {
		t.Error(got)
	}
	w.Lux, w.HoursPerDay = 0, 0
	if _, known := w.MegaluxHours(date(150)); known {
		t.Error("a dose of unknown light")
	}
	if got := w.Expect()[0].Say(date(200)); got != "blue wool 1 was found changed on 26 June 2026" {
		t.Error(got)
	}
}

// Out, looks, in: nothing comes after in, and nothing before out.
func TestAWindowTestEndsOnce(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		w := fastness.Window{Code: "X1", PutOut: date(10), Beside: []int{1, 2}}
		last := 10
		for range rapid.IntRange(0, 20).Draw(t, "acts") {
			n := rapid.IntRange(0, 40).Draw(t, "day")
			if rapid.IntRange(0, 5).Draw(t, "take in") == 0 {
				err := w.MayTakeIn(date(n))
				if (err == nil) != (w.In.IsZero() && n >= last) {
					t.Fatalf("in on %d after %d: %v", n, last, err)
				}
				if err == nil {
					w.In = date(n)
				}
				continue
			}
			err := w.MayLook(seen(n, "4", 2))
			if (err == nil) != (w.In.IsZero() && n >= 10) {
				t.Fatalf("look on %d: %v", n, err)
			}
			if f, ok := fault.Of(err); ok && !w.In.IsZero() && f.Reason != "WINDOW_IN" {
				t.Fatal(err)
			}
			if err == nil {
				w.Looks = append(w.Looks, seen(n, "4", 2))
				slices.SortStableFunc(w.Looks, func(a, b fastness.Look) int { return a.On.Compare(b.On) })
				last = max(last, n)
			}
		}
	})
	w := fastness.Window{Code: "X1", PutOut: date(0), Beside: []int{1, 2}}
	wantField(t, w.MayLook(seen(3, "4", 3)), "changed[0]")
	wantField(t, w.MayLook(fastness.Look{On: date(3), Grade: 12}), "grade")
	wantField(t, fastness.Window{PutOut: date(0), Beside: []int{9}}.Check(), "blue_wools[0]")
	wantField(t, fastness.Window{PutOut: date(0), Lux: 400}.Check(), "hours_per_day")
	wantField(t, fastness.Window{PutOut: date(0), HoursPerDay: 4}.Check(), "lux")
	wantField(t, fastness.Window{PutOut: date(0), Lux: -1, HoursPerDay: 4}.Check(), "lux")
}
