package season

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"dyelot/inventory/recipe"
)

// Every dyestuff that recipes know of has a row, found by its own name and by
// each of its other names; berries alone are three plants.
func TestEveryDyestuffOfTheRecipesHasItsWeeks(t *testing.T) {
	t.Parallel()
	for _, d := range recipe.Dyes() {
		for _, name := range append([]string{d.Key}, d.Also...) {
			if name == "berries" {
				continue
			}
			rows := GatheringsOf(name, "")
			if len(rows) == 0 {
				t.Errorf("%q has no row", name)
				continue
			}
			if !hasDye(rows, d.Key) {
				t.Errorf("%q is found as %s %s, of another dye than %s", name, rows[0].Plant, rows[0].Part, d.Key)
			}
		}
	}
}

func hasDye(rows []Gathering, key string) bool {
	for _, g := range rows {
		if g.Dye == key {
			return true
		}
	}
	return false
}

// Common practice, from memory of the trade's calendars: walnut hulls and madder
// roots are October's work, weld and woad leaf are not winter's, onion skins are
// kept all year, and nobody gathers cochineal on a northern coast.
func TestWhatTheTradeGathersWhen(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		plant, part string
		month       time.Month
		in          bool
	}{
		{"walnut", "hulls", time.October, true}, {"walnut hull", "", time.June, false}, {"walnut", "leaf", time.June, true}, {"walnut", "leaf", time.October, false},
		{"madder", "", time.October, true}, {"madder root", "", time.May, false},
		{"weld", "tops", time.July, true}, {"weld", "", time.December, false}, {"Weld", "leaf", time.July, true},
		{"onion", "skin", time.January, true}, {"onion", "skin", time.October, true},
		{"birch", "", time.June, true}, {"birch leaf", "", time.November, false},
		{"dock", "root", time.January, true}, {"dock", "root", time.December, true}, {"dock", "root", time.June, false}, // over the new year
		{"tansy", "flowers", time.August, true}, {"dyer's greenweed", "", time.July, true}, {"cochineal", "", time.July, false},
	} {
		rows := GatheringsOf(c.plant, c.part)
		if len(rows) != 1 && c.part != "" {
			t.Errorf("%s %s: %d rows", c.plant, c.part, len(rows))
		}
		in := false
		for _, g := range rows {
			in = in || g.In(c.month)
		}
		if in != c.in {
			t.Errorf("%s %s in %s: %v", c.plant, c.part, c.month, in)
		}
	}
	if rows := GatheringsOf("moon moss", ""); rows != nil {
		t.Errorf("an unknown plant: %v", rows)
	}
	if rows := GatheringsOf("weld", "seed"); rows != nil {
		t.Errorf("an unknown part: %v", rows)
	}
	if g := GatheringsOf("weld", "")[0]; g.When() != "10 June to 10 August" || g.Food || g.Source.Mark != recipe.Practice {
		t.Errorf("%v: %s", g, g.When())
	}
}

func TestTheTableIsWhole(t *testing.T) {
	t.Parallel()
	seen := map[plantName]bool{}
	for i, g := range Gatherings() {
		at := plantName{g.Plant, g.Part}
		if seen[at] || g.Plant == "" || g.Part == "" || g.Source.Mark == "" || partWords[g.Part] == nil {
			t.Errorf("row %d: %+v", i, g)
		}
		seen[at] = true
		for _, d := range []MonthDay{g.From, g.To} {
			if !g.Bought() && time.Date(2024, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Month() != d.Month {
				t.Errorf("%s %s: %v is no day", g.Plant, g.Part, d)
			}
		}
		if g.Dye != "" {
			if _, known := recipe.DyeOf(g.Dye); !known {
				t.Errorf("%s: %q is no dye", g.Plant, g.Dye)
			}
		}
		if plant, part := PlantOf(g.Plant, g.Part); plant != g.Plant || part != g.Part {
			t.Errorf("%s %s comes back as %s %s", g.Plant, g.Part, plant, part)
		}
	}
	for word, n := range otherNames {
		if n.part != "" && !seen[n] || n.part == "" && GatheringsOf(n.plant, "") == nil {
			t.Errorf("%q is another name of nothing: %v", word, n)
		}
	}
}

// A word brought to the table's own stays there, and a window holds its ends.
func TestLawsOfTheTable(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		plant, part := PlantOf(rapid.String().Draw(t, "plant"), rapid.String().Draw(t, "part"))
		if p, q := PlantOf(plant, part); p != plant || q != part {
			t.Fatalf("%q %q goes on to %q %q", plant, part, p, q)
		}
		g := rapid.SampledFrom(gatherings).Draw(t, "row")
		if g.Bought() {
			return
		}
		if !g.On(g.From) || !g.On(g.To) || !g.In(g.From.Month) || !g.In(g.To.Month) {
			t.Fatalf("%s %s leaves its own ends out", g.Plant, g.Part)
		}
	})
}
