package season

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/recipe"
)

// MonthDay is a day of any year.
type MonthDay struct {
	Month time.Month
	Day   int
}

// String is "10 June".
func (d MonthDay) String() string { return fmt.Sprintf("%d %s", d.Day, d.Month) }

func (d MonthDay) before(o MonthDay) bool {
	return d.Month < o.Month || d.Month == o.Month && d.Day < o.Day
}

// Gathering is when one part of one plant is gathered in a northern temperate
// year, near sea level at about 55 to 60 degrees: south of that two to four
// weeks earlier. A starting point, and never a promise: the year decides, and
// the studio's own harvests say more.
type Gathering struct {
	Plant string // "walnut"
	Part  string // "hull"
	Dye   string // its row in recipe.Dyes; empty where that has none
	// From and To are the first and the last day, both included; To before From
	// runs over the new year. Both are zero where it is bought, not gathered.
	From, To MonthDay
	// Food: the plant is grown or gathered to be eaten. It does not say that this
	// part may be.
	Food   bool
	Note   string
	Source recipe.Source
}

// Bought is true of what does not grow in such a year's weather.
func (g Gathering) Bought() bool { return g.From.Day == 0 }

// On is true of a day on which it is gathered.
func (g Gathering) On(d MonthDay) bool {
	switch {
	case g.Bought():
		return false
	case g.To.before(g.From):
		return !d.before(g.From) || !g.To.before(d)
	}
	return !d.before(g.From) && !g.To.before(d)
}

// In is true of a month on some day of which it is gathered.
func (g Gathering) In(m time.Month) bool {
	last := time.Date(2024, m+1, 0, 0, 0, 0, 0, time.UTC).Day() // a leap year has every day
	for day := 1; day <= last; day++ {
		if g.On(MonthDay{m, day}) {
			return true
		}
	}
	return false
}

// When is the window in words: "10 June to 10 August".
func (g Gathering) When() string {
	switch {
	case g.Bought():
		return "bought, not gathered"
	case g.From == newYear && g.To == newYearsEve:
		return "all year"
	}
	return g.From.String() + " to " + g.To.String()
}

// Gatherings lists the table in its order.
func Gatherings() []Gathering { return slices.Clone(gatherings) }

// PlantOf brings a plant and a part of it to the words of the table: "Weld
// tops" is the flowering top of weld, "walnut" and "hulls" the hull of walnut.
// What the table does not hold keeps its own words, small and with single
// spaces.
func PlantOf(plant, part string) (inTable, partInTable string) {
	plant, part = plainWord(plant), plainWord(part)
	if n, known := plantNames[plant]; known {
		plant = n.plant
		if part == "" {
			part = n.part
		}
	}
	for _, g := range gatherings {
		if g.Plant == plant && g.isPart(part) {
			return plant, g.Part
		}
	}
	return plant, part
}

// GatheringsOf are the rows of a plant, in any of its spellings: that of one
// part, or of each where none is said. There is none where nothing is known.
func GatheringsOf(plant, part string) []Gathering {
	plant, part = PlantOf(plant, part)
	var rows []Gathering
	for _, g := range gatherings {
		if g.Plant == plant && (part == "" || g.Part == part) {
			rows = append(rows, g)
		}
	}
	return rows
}

func plainWord(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// isPart is true of the part's word, one or many, and of the other words for it.
func (g Gathering) isPart(word string) bool {
	return word != "" && (word == g.Part || slices.Contains(partWords[g.Part], word))
}

type plantName struct{ plant, part string }

// namePlants finds a row by the plant's name, by plant and part in one ("birch
// leaf"), and by its other names.
func namePlants() map[string]plantName {
	names := map[string]plantName{}
	for _, g := range gatherings {
		for _, part := range append([]string{g.Part}, partWords[g.Part]...) {
			names[g.Plant+" "+part] = plantName{g.Plant, g.Part}
		}
	}
	for other, n := range otherNames {
		names[other] = n
	}
	for _, g := range gatherings {
		names[g.Plant] = plantName{plant: g.Plant}
	}
	return names
}
