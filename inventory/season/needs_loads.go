package season

import (
	"cmp"
	"slices"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// loads counts the pots that a batch fills at its recipe's depth of liquor: the
// largest is filled with the heaviest pieces that go in, again and again, and
// the rest goes into the smallest that holds it. It is a count to buy and to
// book days by; which piece goes into which pot is laid out when a run is
// planned. First-fit decreasing needs at most 11/9 of the fewest and one more
// (Johnson 1973; Dósa 2007).
func (e *Exploded) loads(b *batch, pots []lot.Pot, witness quantity.Amount) int {
	room := int64(0)
	ratio := deepest(b)
	for _, p := range pots {
		room = max(room, p.Takes(ratio).N-witness.N)
	}
	if room <= 0 {
		e.note("no pot to dye in holds anything, so what is dyed together is counted as one load")
		return 1
	}
	left := slices.Clone(b.pieces)
	slices.SortStableFunc(left, func(x, y pieces) int { return cmp.Compare(y.blank.PieceMass.N, x.blank.PieceMass.N) })
	loads := 0
	for {
		free, some := room, false
		for i := range left {
			if left[i].n == 0 {
				continue
			}
			mass := left[i].blank.PieceMass.N
			if mass > room {
				e.note("%s: one %s of %s is more than any pot holds (%s of fibre at %s): each is counted as a load", b.colourway, left[i].blank.Code, left[i].blank.PieceMass,
					quantity.Amount{N: room, Unit: quantity.Mass}, ratio)
				loads += int(left[i].n)
				left[i].n = 0
				continue
			}
			take := min(left[i].n, free/mass)
			left[i].n -= take
			free -= take * mass
			some = some || take > 0
		}
		if !some {
			return loads
		}
		loads++
	}
}

// deepest is the liquor ratio that the lot's own pot must have room for.
func deepest(b *batch) quantity.Ratio {
	ratio := quantity.Ratio(0)
	for _, s := range b.recipe.Stages {
		if k, err := lot.KindOf(s.Kind); err == nil && k.Dyes {
			ratio = max(ratio, b.recipe.RatioOf(s))
		}
	}
	if ratio == 0 {
		return b.recipe.Ratio
	}
	return ratio
}
