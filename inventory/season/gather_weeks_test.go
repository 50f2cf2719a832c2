package season

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
)

func date(text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return d
}

func kilos(text string) quantity.Amount {
	a, err := quantity.ParseText(text)
	if err != nil {
		panic(err)
	}
	return a
}

func picked(days ...string) (own []Harvested) {
	for _, d := range days {
		own = append(own, Harvested{Plant: "weld", Part: "flowering top", Place: "lane", Picked: date(d)})
	}
	return own
}

// By hand from a calendar; the table's own weeks are common practice.
func TestOwnWeeksAreFromTheEarliestToTheLatestPicking(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		plant, part string
		days        []string
		widen       int
		weeks       string
		source      string
	}{
		{"weld", "flowering top", nil, 0, "10 June to 10 August", "common practice"},
		{"weld", "flowering top", []string{"2025-06-28", "2024-06-20", "2025-07-04"}, 0, "20 June to 4 July", "own, 3 pickings in 2 years"},
		{"weld", "flowering top", []string{"2025-06-28"}, 3, "25 June to 1 July", "own, 1 picking in 1 year, widened by 3 days at each end, as you said"},
		{"weld", "flowering top", []string{"2025-07-02", "2025-07-02"}, 0, "2 July", "own, 1 picking in 1 year"}, // two bags, one picking
		// Over the new year: the longest time without a picking is out of season.
		{"dock", "root", []string{"2024-12-20", "2026-01-10"}, 0, "20 December to 10 January", "own, 2 pickings in 2 years"},
		{"dock", "root", []string{"2025-01-02"}, 5, "28 December to 7 January", "own, 1 picking in 1 year, widened by 5 days at each end, as you said"},
		// A day of the year is the same in each: 1 March 2023 is not 29 February 2024.
		{"willow", "bark", []string{"2024-02-29", "2023-03-01"}, 0, "29 February to 1 March", "own, 2 pickings in 2 years"},
		// Own pickings do not narrow what the kitchen gives all year.
		{"onion", "skin", []string{"2025-02-01"}, 0, "all year", "common practice"},
		{"weld", "flowering top", []string{"2025-01-01", "2025-07-02"}, 100, "all year", "own, 2 pickings in 1 year, widened by 100 days at each end, as you said"},
		{"bog myrtle", "leaf", []string{"2025-08-01", "2024-08-09"}, 0, "1 August to 9 August", "own, 2 pickings in 2 years"},
	} {
		w, known := WeeksOf(c.plant, c.part, picked(c.days...), c.widen)
		if !known || w.String() != c.weeks || w.Source() != c.source {
			t.Errorf("%s %v: %s (%s), %v; want %s (%s)", c.plant, c.days, w, w.Source(), known, c.weeks, c.source)
		}
	}
	for _, plant := range []string{"moon moss", "cochineal"} {
		if w, known := WeeksOf(plant, "", nil, 0); known {
			t.Errorf("%s has weeks: %s", plant, w)
		}
	}
}

// Worked on a calendar: 1 July 2026 is a Wednesday, 4 July a Saturday.
func TestWhatADayIsToTheWeeks(t *testing.T) {
	t.Parallel()
	weld, _ := WeeksOf("weld", "flowering top", picked("2025-06-20", "2024-07-04"), 0)
	dock, _ := WeeksOf("dock", "root", nil, 0) // 15 September to 15 March
	leap, _ := WeeksOf("willow", "bark", picked("2024-02-29"), 0)
	for _, c := range []struct {
		w    Weeks
		day  string
		says string
	}{
		{weld, "2026-06-08", "opens in 12 days"}, {weld, "2026-06-19", "opens tomorrow"}, {weld, "2026-05-01", "opens 20 June"},
		{weld, "2026-06-20", "closes 4 July"}, {weld, "2026-07-01", "closes Saturday"}, {weld, "2026-07-03", "closes tomorrow"}, {weld, "2026-07-04", "closes today"},
		{weld, "2026-07-05", "over since 1 day"}, {weld, "2026-07-17", "over since 13 days"}, {weld, "2026-07-25", "over since 3 weeks"}, {weld, "2026-11-25", "over since 20 weeks"},
		{weld, "2027-01-02", "opens 20 June"}, {weld, "2026-12-20", "over since 24 weeks"},
		{dock, "2026-12-31", "closes 15 March 2027"}, {dock, "2027-01-01", "closes 15 March"}, {dock, "2027-03-12", "closes Monday"}, {dock, "2026-09-01", "opens in 14 days"},
		{leap, "2027-02-28", "closes today"}, {leap, "2028-02-29", "closes today"}, {leap, "2028-02-28", "opens tomorrow"}, {leap, "2027-03-01", "over since 1 day"},
	} {
		if got := c.w.Says(date(c.day)); got != c.says {
			t.Errorf("%s on %s: %q, want %q", c.w, c.day, got, c.says)
		}
	}
	if s, _ := dock.On(date("2027-02-01")); s.Year() != 2026 || !s.Closes.Equal(date("2027-03-15")) {
		t.Errorf("February is of the weeks that began in September: %v", s)
	}
}

// Own weeks hold every picking, a day is in them or between two of them, and
// wider ones hold narrower ones, in any year.
func TestLawsOfWeeks(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		day := rapid.Custom(func(t *rapid.T) time.Time {
			return date("2019-01-01").AddDate(0, 0, rapid.IntRange(0, 3000).Draw(t, "day"))
		})
		var own []Harvested
		for _, d := range rapid.SliceOfN(day, 1, 6).Draw(t, "pickings") {
			own = append(own, Harvested{Plant: "moon moss", Picked: d})
		}
		w, _ := WeeksOf("moon moss", "", own, 0)
		wider, _ := WeeksOf("moon moss", "", own, rapid.IntRange(0, 200).Draw(t, "widen"))
		for _, h := range own {
			if _, in := w.On(h.Picked); !in {
				t.Fatalf("%s leaves out its own picking of %s", w, h.Picked.Format(time.DateOnly))
			}
		}
		today := day.Draw(t, "today")
		span, open := w.On(today)
		if _, in := wider.On(today); open && !in {
			t.Fatalf("%s holds %s and %s does not", w, today, wider)
		}
		before, after := w.Before(today), w.After(today)
		if !before.Closes.Before(today) || !after.Opens.After(today) {
			t.Fatalf("%s on %s: before %v, after %v", w, today, before, after)
		}
		if between := int(after.Opens.Sub(before.Closes).Hours() / 24); between > 2*366 || open && (span.Year() < before.Year() || span.Year() > after.Year()) {
			t.Fatalf("%s on %s: %d days between %v and %v", w, today, between, before, after)
		}
	})
}
