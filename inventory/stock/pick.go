package stock

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/quantity"
)

// Pick is so much to be promised from one parcel.
type Pick struct {
	ParcelID int64
	Amount   quantity.Amount
}

// Picked is what a need came to. Either Picks cover the whole need, or there
// are none: a part is never promised, so nobody dyes with 12.5 % where 15 %
// were meant.
type Picked struct {
	Picks []Pick
	// Need is the sum of the picks; without any, what would be taken from the
	// parcel that comes nearest, or of the item at 100 % where there is none.
	Need quantity.Amount
	// Short is zero, or the whole need.
	Short quantity.Amount
	// Lacks is what the shelf is short of: the need less what could be given.
	// 162 g of alum with 135 g free lacks 27 g.
	Lacks quantity.Amount
	// Say is a sentence for the dyer; empty where one parcel covers it.
	Say string
}

// PickFor chooses parcels of one item for a need. need says how much of a given
// parcel would be taken, rounded to the studio's scale: a harvest of 90 %
// strength gives more, a liquor gives millilitres by its g/L. It answers nothing
// for a parcel that cannot serve (a liquor of unknown strength for a dose in
// % WOF), and the dose at reference strength for the zero Parcel.
//
// A preferred parcel (by id, zero for none) is the only one that is asked.
// Otherwise it is the oldest usable parcel whose free stock covers the whole
// need, so that old stock is used up and a set stays in one harvest; otherwise,
// unless oneOnly, several from the oldest on, each giving what it has. Damp,
// blocked and out-of-date parcels are passed over.
func PickFor(need func(Parcel) quantity.Amount, candidates []Parcel, preferredID int64, oneOnly bool, today time.Time) Picked {
	offers, passed := offersOf(need, candidates, preferredID, today)
	for _, o := range offers {
		if o.covers() {
			return Picked{Picks: []Pick{{o.parcel.ID, o.need}}, Need: o.need}
		}
	}
	if !oneOnly && preferredID == 0 {
		if picks := several(offers); picks != nil {
			return Picked{Picks: picks, Need: sum(picks), Say: fmt.Sprintf("no single parcel covers it: %d together do, the oldest first", len(picks))}
		}
	}
	return nothing(need, offers, passed, preferredID, oneOnly)
}

// offer is a usable parcel and what it would have to give.
type offer struct {
	parcel Parcel
	need   quantity.Amount
}

func (o offer) covers() bool { return o.parcel.Free().N >= o.need.N }

// share is the part of the whole need that an amount of this parcel meets.
func (o offer) share(amount int64) *big.Rat { return big.NewRat(amount, o.need.N) }

func offersOf(need func(Parcel) quantity.Amount, candidates []Parcel, preferredID int64, today time.Time) (offers []offer, passed []string) {
	byAge := slices.Clone(candidates)
	slices.SortFunc(byAge, func(a, b Parcel) int {
		return cmp.Or(a.ArrivedAt.Compare(b.ArrivedAt), cmp.Compare(a.ID, b.ID))
	})
	for _, p := range byAge {
		if preferredID != 0 && p.ID != preferredID {
			continue
		}
		n := need(p)
		if err := p.Usable(today); err != nil {
			if p.OnHand.N > 0 || p.ID == preferredID {
				passed = append(passed, err.Error())
			}
		} else if n.N <= 0 {
			passed = append(passed, fmt.Sprintf("no amount of %s can be computed for it", p.Code()))
		} else {
			offers = append(offers, offer{p, n})
		}
	}
	return offers, passed
}

// several takes what each parcel has, the oldest first, until they cover the
// need; nil where they do not. Each gives whole steps of the scale, and the
// last one what is left of the need at its own strength.
func several(offers []offer) []Pick {
	rest := big.NewRat(1, 1)
	var picks []Pick
	for _, o := range offers {
		step := max(o.parcel.Item.Resolution.N, 1)
		free := o.parcel.Free().N
		wanted := scaled(o.need.N, rest, step)
		if wanted <= free {
			return append(picks, Pick{o.parcel.ID, quantity.Amount{N: wanted, Unit: o.need.Unit}})
		}
		give := free / step * step
		if give <= 0 {
			continue
		}
		picks = append(picks, Pick{o.parcel.ID, quantity.Amount{N: give, Unit: o.need.Unit}})
		rest.Sub(rest, o.share(give))
	}
	return nil
}

// scaled is n times share, half-even to the step and at least one of it.
func scaled(n int64, share *big.Rat, step int64) int64 {
	exact := new(big.Rat).Mul(share, big.NewRat(n, 1))
	steps := new(big.Rat).Quo(exact, big.NewRat(step, 1))
	twice := new(big.Int).Lsh(steps.Num(), 1)
	q, r := new(big.Int).QuoRem(twice.Add(twice, steps.Denom()), new(big.Int).Lsh(steps.Denom(), 1), new(big.Int))
	if r.Sign() == 0 && q.Bit(0) == 1 {
		q.Sub(q, big.NewInt(1))
	}
	return max(q.Int64(), 1) * step
}

func sum(picks []Pick) quantity.Amount {
	var total quantity.Amount
	for _, p := range picks {
		total = total.Add(p.Amount)
	}
	return total
}

// nothing explains why nothing was picked, with the largest free amount.
func nothing(need func(Parcel) quantity.Amount, offers []offer, passed []string, preferredID int64, oneOnly bool) Picked {
	if len(offers) == 0 {
		n := need(Parcel{})
		say := []string{fmt.Sprintf("%s is needed and none is on the shelf", n)}
		if preferredID != 0 && len(passed) == 0 {
			say[0] = fmt.Sprintf("%s is needed and P%d holds none of this item", n, preferredID)
		} else if len(passed) > 0 {
			say[0] = fmt.Sprintf("%s is needed and no parcel may be used", n)
		}
		return Picked{Need: n, Short: n, Lacks: n, Say: strings.Join(append(say, passed...), "; ")}
	}
	best := slices.MaxFunc(offers, func(a, b offer) int { // the oldest of equals
		return a.share(a.parcel.Free().N).Cmp(b.share(b.parcel.Free().N))
	})
	given := best.share(best.parcel.Free().N)
	free := fmt.Sprintf("%s has %s free", best.parcel.Code(), best.parcel.Free())
	if !oneOnly && preferredID == 0 && len(offers) > 1 {
		given = new(big.Rat)
		for _, o := range offers {
			given.Add(given, o.share(o.parcel.Free().N))
		}
		free = fmt.Sprintf("%d parcels together do not cover it, of which %s", len(offers), free)
	} else if oneOnly && len(offers) > 1 {
		free = fmt.Sprintf("one parcel must cover it, and of %d parcels %s", len(offers), free)
	}
	lacks := best.need
	if left := new(big.Rat).Sub(big.NewRat(1, 1), given); left.Sign() > 0 {
		lacks.N = scaled(best.need.N, left, max(best.parcel.Item.Resolution.N, 1))
	} else {
		lacks.N = max(best.parcel.Item.Resolution.N, 1) // by the scale's steps alone
	}
	say := append([]string{fmt.Sprintf("%s is needed, %s: %s short", best.need, free, lacks)}, passed...)
	return Picked{Need: best.need, Short: best.need, Lacks: lacks, Say: strings.Join(say, "; ")}
}
