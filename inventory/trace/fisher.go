package trace

import (
	"cmp"
	"math/big"

	"dyelot/inventory/fault"
)

// MostGarments is the largest archive that Suspect takes. Its products of two
// counts still fit an int64, and the answer comes within a second.
const MostGarments = 1_000_000_000

// Returns is what one parcel has to do with the garments that came back.
type Returns struct {
	Garments        int64 // all that were sold, 1 to MostGarments
	Returned        int64 // of those, how many came back
	Exposed         int64 // of all, how many have the parcel in them
	ExposedReturned int64 // of those, how many came back
}

// Suspect returns the probability that as many exposed garments, or more, would
// come back if the parcel had nothing to do with it, and how many are expected
// then: Fisher's exact test, one-sided (Fisher, The Design of Experiments,
// 1935). A small probability is a reason to look, not a proof, and a list of
// suspects goes through Holm first.
//
//	p = Σ C(exposed, k) · C(garments − exposed, returned − k) / C(garments, returned), k ≥ exposed returned
//
// It is right to the last digit of a float64; what is below 5e-324 is 0. Errors:
// fault.Invalid naming garments, returned, exposed or exposed_returned where
// the counts do not fit each other.
func Suspect(r Returns) (pValue, expected float64, err error) {
	if err := r.check(); err != nil {
		return 0, 0, err
	}
	expected, _ = new(big.Rat).SetFrac64(r.Returned*r.Exposed, r.Garments).Float64()
	return r.tail(), expected, nil
}

func (r Returns) check() error {
	within := func(field string, n, least, most int64, why string) error {
		if n < least || n > most {
			return fault.BadField(field, "%d does not lie from %d to %d%s", n, least, most, why)
		}
		return nil
	}
	return cmp.Or(
		within("garments", r.Garments, 1, MostGarments, ""),
		within("returned", r.Returned, 0, r.Garments, ", all garments"),
		within("exposed", r.Exposed, 0, r.Garments, ", all garments"),
		within("exposed_returned", r.ExposedReturned, r.fewest(), r.most(), ", what the other counts leave possible"),
	)
}

// fewest and most exposed garments that can be among the returned.
func (r Returns) fewest() int64 { return max(0, r.Returned+r.Exposed-r.Garments) }
func (r Returns) most() int64   { return min(r.Returned, r.Exposed) }

// tail sums the hypergeometric distribution outwards from its mode, where the
// weight is called 1: each weight is its neighbour times a ratio of whole
// numbers, so no factorial is needed and nothing large cancels. 128 bits keep
// what a million roundings take.
func (r Returns) tail() float64 {
	if r.ExposedReturned == r.fewest() {
		return 1
	}
	var (
		mode  = (r.Returned + 1) * (r.Exposed + 1) / (r.Garments + 2)
		total = weight(1)
		tail  = weight(0)
	)
	if mode >= r.ExposedReturned {
		tail = weight(1)
	}
	add := func(k int64, w *big.Float) {
		total.Add(total, w)
		if k >= r.ExposedReturned {
			tail.Add(tail, w)
		}
	}
	w := weight(1)
	for k := mode; k < r.most(); {
		if k >= r.ExposedReturned && beyond(w, tail, enoughBits) {
			break
		}
		if k < r.ExposedReturned && beyond(w, total, nothingBits) {
			return 0
		}
		up, down := r.odds(k)
		w.Quo(w.Mul(w, weight(up)), weight(down))
		k++
		add(k, w)
	}
	w = weight(1)
	for k := mode; k > r.fewest() && !beyond(w, total, enoughBits); {
		k--
		up, down := r.odds(k)
		w.Quo(w.Mul(w, weight(down)), weight(up))
		add(k, w)
	}
	p, _ := tail.Quo(tail, total).Float64()
	return min(p, 1)
}

const (
	// enoughBits below a sum, the rest of a falling series no longer counts: at
	// MostGarments at most some 2^12 terms as large follow.
	enoughBits = 80
	// nothingBits below the total, even MostGarments terms as large stay under
	// the smallest float64, 2^-1074.
	nothingBits = 1200
)

// odds is the weight of k+1 over the weight of k, as a fraction.
func (r Returns) odds(k int64) (up, down int64) {
	return (r.Returned - k) * (r.Exposed - k), (k + 1) * (r.Garments - r.Returned - r.Exposed + k + 1)
}

func weight(n int64) *big.Float { return new(big.Float).SetPrec(128).SetInt64(n) }

// beyond is true where w is more than so many bits below the sum.
func beyond(w, sum *big.Float, bits int) bool {
	return w.MantExp(nil) < sum.MantExp(nil)-bits
}
