package lot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/colour"
	"dyelot/inventory/fastness"
)

// Pair is two lots of a matched set held against each other.
type Pair struct {
	Lot, Other string
	Difference float64 // CIEDE2000 between the two lots' colours
	Shown      string
	Within     bool
}

// leftItsSet: what is sold as imperfect, dyed again, put on the shelf undyed or
// thrown away is matched with nothing any more.
func (m Measured) leftItsSet() bool {
	return slices.Contains([]State{Imperfect, ReDye, Scrapped, Cancelled, PartDone}, m.State)
}

// set is the lots that must match, in the order of their numbers.
func (c Case) set() []Measured {
	set := slices.DeleteFunc(append([]Measured{c.Lot}, c.Sisters...), Measured.leftItsSet)
	slices.SortFunc(set, func(a, b Measured) int { return int(a.ID - b.ID) })
	return set
}

// pairs are all pairs of the set whose colours were known by a moment, and the
// lots that had none.
func (c Case) pairs(by time.Time) (pairs []Pair, unread []string) {
	set := c.set()
	for i, m := range set {
		one, ok := m.colourBy(c.Standard.View, by)
		if !ok {
			unread = append(unread, m.Code)
			continue
		}
		for _, n := range set[i+1:] {
			if other, ok := n.colourBy(c.Standard.View, by); ok {
				d := colour.CIEDE2000(one, other)
				pairs = append(pairs, Pair{m.Code, n.Code, d, c.Standard.SetTolerance.show(d), c.Standard.SetTolerance.within(d)})
			}
		}
	}
	return pairs, unread
}

// setRow judges the set as a whole, once every lot of it has been read: each
// pair must be within the set's tolerance.
func (c Case) setRow() (*JudgedRow, []Pair) {
	s := c.Standard
	whose := "the set"
	if c.Set != "" {
		whose = "the set of " + c.Set
	}
	r := &JudgedRow{Key: RowSet, Title: fmt.Sprintf("lots of %s to each other, %s", whose, s.terms()), Asked: s.SetTolerance.Decimal(), State: fastness.Passed}
	pairs, unread := c.pairs(time.Time{})
	worst := worstPair(pairs)
	what, more := "set ("+s.terms()+")", ""
	switch {
	case len(unread) > 0:
		r.State, more = fastness.NotTested, "no reading counts yet of "+strings.Join(unread, ", ")
	case worst == nil:
		more = "one lot alone"
	case !worst.Within:
		r.State = fastness.Failed
	}
	if worst != nil {
		r.Found, r.Evidence = worst.Shown, worst.Lot+" to "+worst.Other
		what = fmt.Sprintf("set %s (%s, %s)", r.Found, s.terms(), r.Evidence)
	}
	bare := r.State
	r.overridden(c.latest(RowSet), func(o RowOverride) bool {
		return bare == fastness.NotTested || c.knownApart(pairs, o.RecordedAt)
	})
	r.say(what, bare, more)
	return r, pairs
}

// knownApart tells whether each pair that is apart was known, by a moment, to
// be apart as far as it is.
func (c Case) knownApart(pairs []Pair, by time.Time) bool {
	then, _ := c.pairs(by)
	for _, p := range pairs {
		known := slices.ContainsFunc(then, func(q Pair) bool {
			return q.Lot == p.Lot && q.Other == p.Other && q.Difference >= p.Difference-1e-9
		})
		if !p.Within && !known {
			return false
		}
	}
	return true
}

func worstPair(pairs []Pair) *Pair {
	var worst *Pair
	for i, p := range pairs {
		if worst == nil || p.Difference > worst.Difference {
			worst = &pairs[i]
		}
	}
	return worst
}
