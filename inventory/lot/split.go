package lot

import (
	"fmt"
	"math/bits"
	"slices"
	"sort"
	"strings"

	"dyelot/inventory/fault"
	"dyelot/inventory/quantity"
)

// maxPots keeps the search over sets of pots short.
const maxPots = 10

// Share is how many garments, in order, go into which pot.
type Share struct {
	Pot      int // index into the pots given
	Garments int
}

// Split lays garments, in the order given, into the fewest of the pots, each
// pot used once; witness cloth goes with each lot and counts in the mass. Of
// all ways to do that it takes one whose heaviest lot is as light as can be,
// then the one of the least litres of pot, then the pots named first; those it
// fills as evenly as the garments' order allows. The pots keep the order in
// which they were named wherever the garments fit so.
//
// Ten silk tunics of 1044 g with 18 g of witness cloth each go into pots of
// 800 g and 600 g as five and five.
//
// fault.Invalid: no garments (field "blanks"), no pots or more than 10
// ("pot_codes"). fault.Refused, POTS_TOO_SMALL, when even all pots do not hold
// them.
func Split(masses []quantity.Amount, witness quantity.Amount, pots []Pot, ratio quantity.Ratio) ([]Share, error) {
	switch {
	case len(masses) == 0:
		return nil, fault.BadField("blanks", "are needed: there is no garment to lay into a pot")
	case len(pots) == 0 || len(pots) > maxPots:
		return nil, fault.BadField("pot_codes", "%d pots are named: 1 to %d are weighed up", len(pots), maxPots)
	}
	l := loadsOf(masses, witness, pots, ratio)
	k := l.fewest(l.widest())
	if k == 0 {
		return nil, tooSmall(masses, witness, pots, ratio)
	}
	most := l.lightest(k)
	return l.even(l.order(l.smallest(k, most), most), most), nil
}

// loads is what Split searches: sums of the garments' masses, what each pot
// takes, all in µg, and its litres. upTo[i] is the mass of the first i garments.
type loads struct {
	upTo    []int64
	witness int64
	rooms   []int64
	brims   []int64
}

func loadsOf(masses []quantity.Amount, witness quantity.Amount, pots []Pot, ratio quantity.Ratio) loads {
	l := loads{upTo: []int64{0}, witness: witness.N}
	for i, m := range masses {
		l.upTo = append(l.upTo, l.upTo[i]+m.N)
	}
	for _, p := range pots {
		l.rooms, l.brims = append(l.rooms, p.Takes(ratio).N), append(l.brims, p.Brim.N)
	}
	return l
}

func (l loads) widest() int64 { return slices.Max(l.rooms) }

// next is the first garment that pot p leaves over when it is filled from
// garment from on, no lot above most.
func (l loads) next(from, p int, most int64) int {
	limit := l.upTo[from] + min(l.rooms[p], most) - l.witness
	return from + max(0, sort.Search(len(l.upTo)-from, func(i int) bool { return l.upTo[from+i] > limit })-1)
}

// reach is, by set of pots, how many garments the set takes in its best order.
// What reaches further is never worse, so the furthest is all that is kept.
func (l loads) reach(most int64) []int {
	reach := make([]int, 1<<len(l.rooms))
	for set := 1; set < len(reach); set++ {
		for p := range l.rooms {
			if rest := set &^ (1 << p); rest != set {
				reach[set] = max(reach[set], l.next(reach[rest], p, most))
			}
		}
	}
	return reach
}

// whole is true of a reach that takes every garment.
func (l loads) whole(reach int) bool { return reach == len(l.upTo)-1 }

// fewest is how many pots take them all with no lot above most; 0 for none.
func (l loads) fewest(most int64) int {
	k := 0
	for set, r := range l.reach(most) {
		if n := bits.OnesCount(uint(set)); l.whole(r) && (k == 0 || n < k) {
			k = n
		}
	}
	return k
}

// lightest is the least that the heaviest lot can weigh in k pots.
func (l loads) lightest(k int) int64 {
	return int64(sort.Search(int(l.widest()), func(most int) bool {
		n := l.fewest(int64(most))
		return n != 0 && n <= k
	}))
}

// smallest is the set of k pots with the least litres that takes them all.
func (l loads) smallest(k int, most int64) int {
	best, least := 0, int64(0)
	for set, r := range l.reach(most) {
		if !l.whole(r) || bits.OnesCount(uint(set)) != k {
			continue
		}
		litres := int64(0)
		for p, b := range l.brims {
			if set&(1<<p) != 0 {
				litres += b
			}
		}
		if best == 0 || litres < least {
			best, least = set, litres
		}
	}
	return best
}

// order is an order of the set's pots in which they take all garments: the
// given one where it does.
func (l loads) order(set int, most int64) []int {
	var given []int
	at := 0
	for p := range l.rooms {
		if set&(1<<p) != 0 {
			given, at = append(given, p), l.next(at, p, most)
		}
	}
	if l.whole(at) {
		return given
	}
	reach := l.reach(most)
	var order []int
	for set != 0 {
		for p := len(l.rooms) - 1; p >= 0; p-- {
			if rest := set &^ (1 << p); rest != set && l.next(reach[rest], p, most) == reach[set] {
				order, set = append([]int{p}, order...), rest
				break
			}
		}
	}
	return order
}

// even cuts the garments into lots for the pots in their order, none empty and
// none above most, so that the lightest is as heavy as can be: best[i] is the
// heaviest lightest lot of the first i garments in the pots so far, and cut
// where the last of them begins.
func (l loads) even(order []int, most int64) []Share {
	const none = int64(-1)
	best := make([]int64, len(l.upTo))
	for i := range best {
		best[i] = none
	}
	best[0] = l.widest()
	cuts := make([][]int, len(order))
	for k, p := range order {
		next, cut := make([]int64, len(best)), make([]int, len(best))
		for i := range next {
			next[i] = none
			for j := i - 1; j >= 0; j-- {
				load := l.upTo[i] - l.upTo[j] + l.witness
				if load > min(l.rooms[p], most) {
					break
				}
				if light := min(best[j], load); light > next[i] {
					next[i], cut[i] = light, j
				}
			}
		}
		best, cuts[k] = next, cut
	}
	shares := make([]Share, len(order))
	for k, end := len(order)-1, len(best)-1; k >= 0; k-- {
		shares[k], end = Share{order[k], end - cuts[k][end]}, cuts[k][end]
	}
	return shares
}

func tooSmall(masses []quantity.Amount, witness quantity.Amount, pots []Pot, ratio quantity.Ratio) error {
	total, room := quantity.Sum(masses...), quantity.Amount{Unit: quantity.Mass}
	var takes []string
	for _, p := range pots {
		takes = append(takes, fmt.Sprintf("%s takes %s", p.Code, p.Takes(ratio)))
		room = room.Add(p.Takes(ratio))
	}
	with := ""
	if witness.N > 0 {
		with = fmt.Sprintf(" and with %s of witness cloth in each pot", witness)
	}
	return fault.Refuse("POTS_TOO_SMALL", "%s of garments, in their order%s, do not fit: of fibre at %s %s; add a pot, or plan fewer", total, with, ratio, strings.Join(takes, ", ")).
		With("fibre", total.String()).With("room", room.String())
}
