package season

import (
	"fmt"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Pot is one kind of pot. Each may be used as often as it is needed.
type Pot struct {
	ID   string
	Mass int64 // what it holds, in µg of air-dry fibre
}

// Set is what must be dyed in one pot to match.
type Set struct {
	ID   string
	Mass int64 // µg
}

// Load is one use of a pot.
type Load struct {
	Pot  string
	Sets []string // in the order they were given
}

// Packing puts each set into one load.
type Packing struct {
	Loads   []Load
	Optimal bool // no packing has fewer loads, nor as few and less capacity: proved
}

// maxSets is the most that Pack takes on.
const maxSets = 2000

// Pack puts the sets into the fewest loads, and of all such packings into the
// one whose pots hold the least together. A set is never divided.
//
// The search is exact: pots are filled one by one around the largest set
// left, in every way that is not plainly worse than another, and the
// fractional packing of Gilmore and Gomory says how much capacity the rest
// needs at least. When the limit ends it, the best packing so far comes back
// and Optimal is false. The answer depends on nothing but the arguments, and
// on when limit.Stop says stop.
//
// Pack refuses, naming the field, an empty or repeated id, a mass that is not
// above 0, a set that is heavier than the largest pot holds, more than 2000
// sets, and pots of more than about 10^12 of the largest unit that divides
// all masses.
func Pack(pots []Pot, sets []Set, limit Limit) (Packing, error) {
	if err := checkPots(pots, sets); err != nil {
		return Packing{}, err
	}
	if len(sets) == 0 {
		return Packing{Optimal: true}, nil
	}
	s := newStock(pots, sets)
	if s.largest() > maxCapacity {
		return Packing{}, fault.BadField("pots", "a pot holds %d times the unit in which all masses are whole; at most %d can be packed exactly", s.largest(), int64(maxCapacity))
	}
	budget := &budget{limit: limit}
	loads, fewest := fewestLoads(s, budget)
	loads, least := leastCapacity(s, loads, budget)
	p := spread(pots, sets, s, loads)
	p.Optimal = fewest && least
	return p, nil
}

func checkPots(pots []Pot, sets []Set) error {
	if len(pots) == 0 {
		return fault.BadField("pots", "at least 1 pot is needed")
	}
	if len(sets) > maxSets {
		return fault.BadField("sets", "at most %d sets can be packed together, not %d", maxSets, len(sets))
	}
	var largest Pot
	seen := map[string]bool{}
	for k, p := range pots {
		if err := checkOne(fmt.Sprintf("pots[%d]", k), p.ID, p.Mass, seen); err != nil {
			return err
		}
		if p.Mass > largest.Mass {
			largest = p
		}
	}
	clear(seen)
	for k, s := range sets {
		at := fmt.Sprintf("sets[%d]", k)
		if err := checkOne(at, s.ID, s.Mass, seen); err != nil {
			return err
		}
		if s.Mass > largest.Mass {
			return fault.BadField(at+".mass_g", "set %q of %s fits no pot: the largest, %q, holds %s", s.ID, grams(s.Mass), largest.ID, grams(largest.Mass)).
				With("set", grams(s.Mass)).With("largest_pot", grams(largest.Mass))
		}
	}
	return nil
}

func checkOne(at, id string, mass int64, seen map[string]bool) error {
	switch {
	case id == "":
		return fault.BadField(at+".id", "an id is needed")
	case seen[id]:
		return fault.BadField(at+".id", "%q is there twice", id)
	case mass <= 0:
		return fault.BadField(at+".mass_g", "%q has a mass of %s; it must be above 0", id, grams(mass))
	case mass > quantity.Max:
		return fault.BadField(at+".mass_g", "%q has a mass of %s; at most %s can be planned", id, grams(mass), grams(quantity.Max))
	}
	seen[id] = true
	return nil
}

// grams shows a mass to the last digit, since here the last digit decides.
func grams(microgram int64) string {
	value, unit := quantity.Amount{N: microgram, Unit: quantity.Mass}.Decimal()
	return value + " " + unit
}

// spread hands out the ids again.
func spread(pots []Pot, sets []Set, s *stock, loads []pattern) Packing {
	potID := map[int64]string{}
	for _, p := range pots {
		if _, taken := potID[p.Mass]; !taken {
			potID[p.Mass] = p.ID
		}
	}
	var packing Packing
	of := map[int64][]int{} // loads that still want a set of a mass
	for k, l := range loads {
		packing.Loads = append(packing.Loads, Load{Pot: potID[s.pots[l.pot]*s.unit]})
		for _, c := range l.pieces {
			for n := c.n; n > 0; n-- {
				mass := s.sizes[c.size] * s.unit
				of[mass] = append(of[mass], k)
			}
		}
	}
	for _, set := range sets {
		k := of[set.Mass][0]
		of[set.Mass] = of[set.Mass][1:]
		packing.Loads[k].Sets = append(packing.Loads[k].Sets, set.ID)
	}
	return packing
}
