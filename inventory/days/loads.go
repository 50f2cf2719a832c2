package days

import (
	"fmt"
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
	"dyelot/inventory/season"
)

// Pot is a kind of pot for loads; each may be used as often as needed.
type Pot struct {
	Code   string
	Liquor quantity.Amount // how much it may hold: 32 L of 40
	Mass   quantity.Amount // fibre that it may hold, whatever the liquor; absent: any
}

// Set is garments that must be dyed in one pot to match.
type Set struct {
	Name  string
	Fibre quantity.Amount // air-dry, witness cloth included
	Ratio quantity.Ratio  // litres of liquor a kilogram
}

// Liquor is what it takes.
func (s Set) Liquor() quantity.Amount { return s.Ratio.Bath(s.Fibre) }

// Load is one use of a pot.
type Load struct {
	Pot           int   // index
	Sets          []int // indices, in the order given
	Fibre, Liquor quantity.Amount
}

// Loads are sets laid into pots.
type Loads struct {
	Loads   []Load
	Fewest  int  // no laying has fewer loads: proved
	Optimal bool // nor as many, in pots of less volume: proved
	Unfit   []Unfit
}

// Unfit is a set that no pot takes. It is said, and not divided.
type Unfit struct {
	Set   int
	Words string
}

// Lay puts sets into the fewest pot loads, and of those into pots of the least
// volume together, no pot above its liquor nor its mass. Sets are whole.
//
// Where all sets have one ratio and liquor alone limits, season.Pack lays them
// exactly. Otherwise a branch and bound does, over both; when the limit ends it, Fewest is what mass and liquor each ask for
// at least.
//
// Ten tunics of 1044 g at 1 : 40 need 41.8 L: pots of 32 L and 24 L take no such
// set, and it is said.
//
// fault.Invalid, fields "pots[1].liquor", "sets[2].fibre" and the like: nothing
// to lay into, or nothing to lay.
func Lay(pots []Pot, sets []Set, limit Limit) (Loads, error) {
	if err := checkLoads(pots, sets); err != nil {
		return Loads{}, err
	}
	l := &laying{pots: pots, sets: sets}
	for i := range sets {
		if l.anyPot(i) {
			l.in = append(l.in, i)
		} else {
			l.out.Unfit = append(l.out.Unfit, Unfit{i, tooLarge(pots, sets[i])})
		}
	}
	if len(l.in) == 0 {
		l.out.Optimal = true
		return l.out, nil
	}
	if l.liquorAlone() {
		return l.byMass(limit)
	}
	return l.byBoth(limit), nil
}

func checkLoads(pots []Pot, sets []Set) error {
	if len(pots) == 0 {
		return fault.BadField("pots", "at least 1 pot is needed")
	}
	for k, p := range pots {
		if p.Liquor.N <= 0 {
			return fault.BadField(fmt.Sprintf("pots[%d].liquor", k), "%s holds nothing", p.Code)
		}
		if p.Mass.N < 0 {
			return fault.BadField(fmt.Sprintf("pots[%d].mass", k), "%s is below zero", p.Mass)
		}
	}
	for k, s := range sets {
		if s.Fibre.N <= 0 || s.Fibre.N > quantity.Max {
			return fault.BadField(fmt.Sprintf("sets[%d].fibre", k), "%s of fibre in %s", s.Fibre, s.Name)
		}
		if s.Ratio <= 0 {
			return fault.BadField(fmt.Sprintf("sets[%d].ratio", k), "%s is no liquor ratio", s.Ratio)
		}
	}
	return nil
}

func tooLarge(pots []Pot, s Set) string {
	widest := slices.MaxFunc(pots, func(a, b Pot) int { return int((a.Liquor.N - b.Liquor.N) / 1000) })
	words := fmt.Sprintf("%s fits no pot: %s at %s needs %s of liquor, and the largest, %s, may hold %s", s.Name, s.Fibre, s.Ratio, s.Liquor(), widest.Code, widest.Liquor)
	if s.Liquor().N <= widest.Liquor.N {
		words = fmt.Sprintf("%s fits no pot: %s is more than %s may hold", s.Name, s.Fibre, widest.Code)
	}
	return words + "; it is not divided, since it must match"
}

// laying is one search.
type laying struct {
	pots []Pot
	sets []Set
	in   []int // sets that fit some pot
	out  Loads
}

func (l *laying) fits(p Pot, fibre, liquor int64) bool {
	return liquor <= p.Liquor.N && (p.Mass.N == 0 || fibre <= p.Mass.N)
}

func (l *laying) anyPot(set int) bool {
	s := l.sets[set]
	return slices.ContainsFunc(l.pots, func(p Pot) bool { return l.fits(p, s.Fibre.N, s.Liquor().N) })
}

// liquorAlone says that all sets have one ratio, and that no pot is full by mass
// before it is by liquor.
func (l *laying) liquorAlone() bool {
	ratio := l.sets[l.in[0]].Ratio
	for _, p := range l.pots {
		if p.Mass.N > 0 && p.Mass.N < ratio.Fibre(p.Liquor).N {
			return false
		}
	}
	return !slices.ContainsFunc(l.in, func(i int) bool { return l.sets[i].Ratio != ratio })
}

// byMass lays sets of one ratio, by the fibre that each pot's liquor serves.
func (l *laying) byMass(limit Limit) (Loads, error) {
	ratio := l.sets[l.in[0]].Ratio
	var pots []season.Pot
	of := map[string]int{}
	for k, p := range l.pots {
		mass := ratio.Fibre(p.Liquor).N
		if mass > 0 {
			id := fmt.Sprint(k)
			of[id] = k
			pots = append(pots, season.Pot{ID: id, Mass: mass})
		}
	}
	var sets []season.Set
	for _, i := range l.in {
		sets = append(sets, season.Set{ID: fmt.Sprint(i), Mass: l.sets[i].Fibre.N})
	}
	packed, err := season.Pack(pots, sets, season.Limit{Nodes: limit.Nodes, Stop: limit.Stop})
	if err != nil {
		return l.out, err
	}
	for _, load := range packed.Loads {
		var in []int
		for _, id := range load.Sets {
			var i int
			fmt.Sscan(id, &i)
			in = append(in, i)
		}
		l.add(of[load.Pot], in)
	}
	l.out.Optimal = packed.Optimal
	if l.out.Fewest = len(packed.Loads); !packed.Optimal {
		l.out.Fewest = min(l.least(l.in), len(packed.Loads))
	}
	return l.out, nil
}

func (l *laying) add(pot int, in []int) {
	load := Load{Pot: pot, Sets: in, Fibre: quantity.Amount{Unit: quantity.Mass}, Liquor: quantity.Amount{Unit: quantity.Volume}}
	for _, i := range in {
		load.Fibre, load.Liquor = load.Fibre.Add(l.sets[i].Fibre), load.Liquor.Add(l.sets[i].Liquor())
	}
	l.out.Loads = append(l.out.Loads, load)
}

// least is how many loads mass and liquor each ask for, and how many sets are
// too large to share any pot.
func (l *laying) least(in []int) int {
	var room, mass int64
	counted := true
	for _, p := range l.pots {
		room, mass = max(room, p.Liquor.N), max(mass, p.Mass.N)
		counted = counted && p.Mass.N > 0
	}
	var liquor, fibre int64
	halves := 0
	for _, i := range in {
		s := l.sets[i]
		liquor, fibre = liquor+s.Liquor().N, fibre+s.Fibre.N
		if 2*s.Liquor().N > room || counted && 2*s.Fibre.N > mass {
			halves++
		}
	}
	n := max(int(ceil(liquor, room)), halves)
	if counted {
		n = max(n, int(ceil(fibre, mass)))
	}
	return n
}
