package lot

import (
	"fmt"
	"math/bits"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// Pot is a vessel as a place for a lot.
type Pot struct {
	ID     int64
	Code   string
	Brim   quantity.Amount
	Fill   quantity.Percent // how full it may be
	IsIron bool             // kept for iron alone
}

// Liquor is how much the pot may hold: 40 L at 80 % is 32 L.
func (p Pot) Liquor() quantity.Amount { return p.Brim.Percent(p.Fill) }

// Takes is the air-dry fibre that its liquor serves at a ratio: 32 L at 1 : 40
// is 800 g.
func (p Pot) Takes(ratio quantity.Ratio) quantity.Amount { return ratio.Fibre(p.Liquor()) }

// Split lays garments, in the order given, into the fewest of the pots, each
// pot used once, and fills those as evenly as their order allows; witness cloth
// goes with each lot and counts in the mass. It returns how many garments go
// into each chosen pot, with the index of the pot. Among equally even ways the
// smaller pots win.
//
// fault.Refused, POTS_TOO_SMALL, when even all pots do not hold them: a set
// larger than every pot is said, not split further.
func Split(masses []quantity.Amount, witness quantity.Amount, pots []Pot, ratio quantity.Ratio) ([]Share, error) {
	if len(pots) > maxPots {
		return nil, fault.BadField("pot_codes", "%d pots are named, at most %d are weighed up", len(pots), maxPots)
	}
	var best []Share
	var bestCost cost
	for chosen := 1; chosen < 1<<len(pots); chosen++ {
		k := bits.OnesCount(uint(chosen))
		if k > len(masses) || best != nil && k > len(best) {
			continue
		}
		shares, c, ok := lay(masses, witness, pots, ratio, chosen)
		if ok && (best == nil || k < len(best) || c.less(bestCost)) {
			best, bestCost = shares, c
		}
	}
	if best == nil {
		return nil, tooSmall(masses, witness, pots, ratio)
	}
	return best, nil
}

// maxPots keeps the search over subsets of pots short.
const maxPots = 10

// Share is how many garments, in order, go into which pot.
type Share struct {
	Pot      int // index into the pots given
	Garments int
}

// cost orders the ways to fill a number of pots: the heaviest lot first, then
// the litres of pot used.
type cost struct{ heaviest, litres int64 }

func (c cost) less(d cost) bool {
	return c.heaviest < d.heaviest || c.heaviest == d.heaviest && c.litres < d.litres
}

// lay fills the chosen pots, in order, with runs of garments so that the
// heaviest lot is lightest: best[i] is the lightest heaviest lot for the first
// i garments in the pots so far, and cut where the last of them begins.
func lay(masses []quantity.Amount, witness quantity.Amount, pots []Pot, ratio quantity.Ratio, chosen int) ([]Share, cost, bool) {
	const none = int64(-1)
	n := len(masses)
	upTo := make([]int64, n+1)
	for i, m := range masses {
		upTo[i+1] = upTo[i] + m.N
	}
	best := make([]int64, n+1)
	for i := range best {
		best[i] = none
	}
	best[0] = 0
	var used []int
	var cuts [][]int
	litres := int64(0)
	for p, pot := range pots {
		if chosen&(1<<p) == 0 {
			continue
		}
		room := pot.Takes(ratio).N
		next, cut := make([]int64, n+1), make([]int, n+1)
		for i := range next {
			next[i] = none
			for j := range i {
				load := upTo[i] - upTo[j] + witness.N
				if best[j] == none || load > room {
					continue
				}
				if h := max(best[j], load); next[i] == none || h < next[i] {
					next[i], cut[i] = h, j
				}
			}
		}
		best, used, cuts, litres = next, append(used, p), append(cuts, cut), litres+pot.Brim.N
	}
	if best[n] == none {
		return nil, cost{}, false
	}
	shares := make([]Share, len(used))
	for k, end := len(used)-1, n; k >= 0; k-- {
		shares[k] = Share{used[k], end - cuts[k][end]}
		end = cuts[k][end]
	}
	return shares, cost{best[n], litres}, true
}

func tooSmall(masses []quantity.Amount, witness quantity.Amount, pots []Pot, ratio quantity.Ratio) error {
	total := quantity.Sum(masses...)
	total.Unit = quantity.Mass
	holds, room := "", quantity.Amount{Unit: quantity.Mass}
	for i, p := range pots {
		if i > 0 {
			holds += ", "
		}
		holds += fmt.Sprintf("%s %s", p.Code, p.Takes(ratio))
		room = room.Add(p.Takes(ratio))
	}
	return fault.Refuse("POTS_TOO_SMALL", "%s of garments with %s of witness cloth for each lot do not fit: at %s the pots hold %s of fibre each way they can be filled; add a pot, or plan fewer",
		total, witness, ratio, holds).With("fibre", total.String()).With("room", room.String())
}

// Fits refuses a lot that is too heavy for its pot.
func (p Pot) Fits(fibre quantity.Amount, ratio quantity.Ratio) error {
	if room := p.Takes(ratio); fibre.N > room.N {
		return fault.Refuse("POT_TOO_SMALL", "%s of fibre at %s need %s of liquor; pot %s may hold %s, which serves %s",
			fibre, ratio, ratio.Bath(fibre), p.Code, p.Liquor(), room).With("fibre", fibre.String()).With("room", room.String())
	}
	return nil
}

// Holds refuses a bath that does not go into the vessel.
func (p Pot) Holds(bath quantity.Amount) error {
	if bath.N > p.Liquor().N {
		return fault.Refuse("VESSEL_TOO_SMALL", "a bath of %s does not go into %s, which may hold %s", bath, p.Code, p.Liquor()).
			With("bath", bath.String()).With("room", p.Liquor().String())
	}
	return nil
}
