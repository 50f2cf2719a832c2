package season

import (
	"fmt"
	"strings"
	"time"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

const (
	// UsualStandIns are shown for a colourway, MostStandIns when asked for.
	UsualStandIns, MostStandIns = 3, 20
	// NearEnough is how far a stand-in may be, by CIEDE2000, unless another limit
	// is asked for: beyond it people call it another colour (common practice).
	NearEnough = 10.0
	mostWithin = 50.0
)

// CheckStandIns reads how many and how far, zero for the usual. Refused
// (fault.Invalid): k outside 0 to 20, within outside 0 to 50.
func CheckStandIns(k int, within float64) (int, float64, error) {
	switch {
	case k < 0 || k > MostStandIns:
		return 0, 0, fault.BadField("k", "%d: from 1 to %d are looked for", k, MostStandIns)
	case !(within >= 0 && within <= mostWithin):
		return 0, 0, fault.BadField("within", "%v: a difference above 0, at most %v", within, mostWithin)
	}
	if k == 0 {
		k = UsualStandIns
	}
	if within == 0 {
		within = NearEnough
	}
	return k, within, nil
}

// Supply is what a studio could dye with of one plant and part today.
type Supply struct {
	Plant, Part string
	Free        quantity.Amount // on the shelf, free and usable, dry at reference strength
	Parcels     []string        // that hold it
	Supplier    string          // who sells it; empty: nobody was named
	LeadDays    int
	Own         []Harvested
	Widen       int
}

// Way is how a swatch's plant can be had.
type Way string

const (
	NoWay     Way = ""
	FromShelf Way = "shelf"
	InSeason  Way = "season"
	Bought    Way = "bought"
)

// HowToHave says whether a plant (and part, where the swatch's page names one)
// can be had today: dried on the shelf in enough amount, in season by own weeks
// or by the table's, or from who sells it, in this order. wof is how much of it
// the swatch took and fibre how much is to be dyed; where one of them is not
// known any amount on the shelf counts, and that is said.
func HowToHave(plant, part string, supplies []Supply, wof quantity.Percent, fibre quantity.Amount, today time.Time) (Way, string) {
	if plant == "" {
		return NoWay, ""
	}
	of := suppliesOf(plant, part, supplies)
	needed := quantity.Amount{}
	if fibre.N > 0 {
		needed = fibre.Percent(wof)
	}
	for _, s := range of {
		if s.Free.N > 0 && s.Free.N >= needed.N {
			return FromShelf, s.shelfWords(needed)
		}
	}
	for _, s := range of {
		w, known := WeeksOf(s.Plant, s.Part, s.Own, s.Widen)
		if !known {
			continue
		}
		if _, open := w.On(today); open {
			return InSeason, fmt.Sprintf("%s is in season, %s (%s)", PlantWord(s.Plant, s.Part), w.Says(today), w.Source())
		}
	}
	for _, s := range of {
		w, _ := WeeksOf(s.Plant, s.Part, nil, 0)
		if s.Supplier == "" && (w.Table == nil || !w.Table.Bought()) {
			continue
		}
		text := PlantWord(s.Plant, s.Part) + " is bought"
		if s.Supplier != "" {
			text += " from " + s.Supplier
		}
		if s.LeadDays > 0 {
			text += ", " + counted(s.LeadDays, "day")
		}
		return Bought, text
	}
	return NoWay, ""
}

// suppliesOf are those of the plant, and of each row of the table that the studio
// has nothing of.
func suppliesOf(plant, part string, supplies []Supply) []Supply {
	plant, part = PlantOf(plant, part)
	var of []Supply
	had := map[string]bool{}
	for _, s := range supplies {
		if s.Plant == plant && (part == "" || s.Part == part) {
			of, had[s.Part] = append(of, s), true
		}
	}
	for _, g := range GatheringsOf(plant, part) {
		if !had[g.Part] {
			of = append(of, Supply{Plant: g.Plant, Part: g.Part})
		}
	}
	return of
}

func (s Supply) shelfWords(needed quantity.Amount) string {
	text := fmt.Sprintf("%s is on the shelf: %s free (%s)", PlantWord(s.Plant, s.Part), s.Free, strings.Join(s.Parcels, ", "))
	if needed.N == 0 {
		return text + "; how much it takes is not known"
	}
	return text + fmt.Sprintf(", %s needed", needed.Round(100_000))
}
