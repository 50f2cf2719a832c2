package cause

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"dyelot/inventory/fault"
	"dyelot/inventory/trace"
)

// Case is a population of garments, which of them came back, and what each was
// exposed to.
type Case struct {
	Factors  []Factor
	Garments []Garment
}

// Garment is one of the population.
type Garment struct {
	ID       int64 // each once
	Tag      string
	Returned bool
	Exposed  []int // places in Case.Factors, in any order
}

// Answer is what was found.
type Answer struct {
	Garments int
	Returned int
	// LookedAt is how many exposures were tested: sets of garments, since factors
	// of one and the same set are one test.
	LookedAt int
	// Suspects that at least two of the returns share (or the one, where only one
	// came back), the least likely by chance first.
	Suspects []Suspect
	// Everywhere are factors of every garment of the population: they explain no
	// difference within it.
	Everywhere []Factor
}

// Suspect is one exposure: the garments, and the factors that exactly these
// garments had.
type Suspect struct {
	// Factors are inseparable in this population where there are several.
	Factors         []Factor
	Exposed         int
	ExposedReturned int
	Expected        float64 // returns among the exposed, were it chance
	P               float64 // Fisher's exact test, one-sided; above 0, at most 1
	Corrected       float64 // P by Holm, for all that were looked at
	// Tags of the returns among the exposed, in order.
	Tags []string
	// Within are places in Answer.Suspects: all of these garments are among
	// those, and no listed suspect lies between.
	Within []int

	exposed set
}

// Worth is the corrected probability up to which a suspect is worth a look: one
// chance in twenty that anyone on the list is wrongly so (Holm 1979).
const Worth = 0.05

// WorthALook is true up to Worth.
func (s Suspect) WorthALook() bool { return s.Corrected <= Worth }

// MostFew is the number of returns up to which they are said to be few.
const MostFew = 3

// Few is true where the returns are too few to tell much.
func (a Answer) Few() bool { return a.Returned <= MostFew }

// Find counts, tests and ranks. Errors: fault.Invalid naming garments where
// there is none, one stands twice, or one names a factor that is not there;
// fault.Refused NO_RETURNS where none of them came back.
func (c Case) Find() (Answer, error) {
	garments, err := c.inOrder()
	if err != nil {
		return Answer{}, err
	}
	a := Answer{Garments: len(garments)}
	returned := newSet(len(garments))
	for i, g := range garments {
		if g.Returned {
			returned.put(i)
			a.Returned++
		}
	}
	if a.Returned == 0 {
		return Answer{}, fault.Refuse("NO_RETURNS", "none of these %d garments came back, so there is nothing to explain", a.Garments)
	}
	all := c.group(garments, &a)
	if err := test(all, returned, a); err != nil {
		return Answer{}, err
	}
	a.LookedAt = len(all)
	for _, s := range all {
		if s.ExposedReturned >= min(2, a.Returned) {
			a.Suspects = append(a.Suspects, s)
		}
	}
	slices.SortFunc(a.Suspects, func(x, y Suspect) int {
		return cmp.Or(cmp.Compare(x.P, y.P), cmp.Compare(x.Exposed, y.Exposed), compareFactors(x.Factors[0], y.Factors[0]))
	})
	for i := range a.Suspects {
		a.Suspects[i].tagged(garments, returned)
	}
	nest(a.Suspects)
	return a, nil
}

// inOrder are the garments by id, so that the order they came in changes nothing.
func (c Case) inOrder() ([]Garment, error) {
	garments := slices.SortedFunc(slices.Values(c.Garments), func(a, b Garment) int { return cmp.Compare(a.ID, b.ID) })
	for i, g := range garments {
		if i > 0 && garments[i-1].ID == g.ID {
			return nil, fault.BadField("garments", "%s stands there twice", g.Tag)
		}
		for _, f := range g.Exposed {
			if f < 0 || f >= len(c.Factors) {
				return nil, fault.BadField("garments", "%s names factor %d of %d", g.Tag, f, len(c.Factors))
			}
		}
	}
	if len(garments) == 0 {
		return nil, fault.BadField("garments", "there is none")
	}
	return garments, nil
}

// group puts factors of the same garments together; those of all garments go
// into the answer apart, those of none nowhere.
func (c Case) group(garments []Garment, a *Answer) []Suspect {
	exposed := make([]set, len(c.Factors))
	for i, g := range garments {
		for _, f := range g.Exposed {
			if exposed[f] == nil {
				exposed[f] = newSet(len(garments))
			}
			exposed[f].put(i)
		}
	}
	order := make([]int, len(c.Factors))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return compareFactors(c.Factors[i], c.Factors[j]) })
	at := map[string]int{}
	var all []Suspect
	for _, f := range order {
		n := exposed[f].count()
		switch {
		case n == 0:
			continue
		case n == len(garments):
			a.Everywhere = append(a.Everywhere, c.Factors[f])
			continue
		}
		key := exposed[f].key()
		i, known := at[key]
		if !known {
			i, at[key] = len(all), len(all)
			all = append(all, Suspect{Exposed: n, exposed: exposed[f]})
		}
		all[i].Factors = append(all[i].Factors, c.Factors[f])
	}
	return all
}

// test gives each its probabilities. Exposures of equal counts are tested once.
func test(all []Suspect, returned set, a Answer) error {
	type counts struct{ exposed, back int }
	known := map[counts][2]float64{}
	ps := make([]float64, len(all))
	for i := range all {
		s := &all[i]
		s.ExposedReturned = s.exposed.both(returned)
		k := counts{s.Exposed, s.ExposedReturned}
		if _, is := known[k]; !is {
			p, expected, err := trace.Suspect(trace.Returns{Garments: int64(a.Garments), Returned: int64(a.Returned), Exposed: int64(k.exposed), ExposedReturned: int64(k.back)})
			if err != nil {
				return err
			}
			known[k] = [2]float64{max(p, math.SmallestNonzeroFloat64), expected} // never quite impossible
		}
		s.P, s.Expected = known[k][0], known[k][1]
		ps[i] = s.P
	}
	corrected, err := trace.Holm(ps)
	if err != nil {
		return err
	}
	for i := range all {
		all[i].Corrected = corrected[i]
	}
	return nil
}

func (s *Suspect) tagged(garments []Garment, returned set) {
	for i, g := range garments {
		if s.exposed.has(i) && returned.has(i) {
			s.Tags = append(s.Tags, g.Tag)
		}
	}
}

// mostNested bounds how many suspects are held against each other.
const mostNested = 200

// nest says of each whose garments are all among another's.
func nest(suspects []Suspect) {
	n := min(len(suspects), mostNested)
	for i := range n {
		var above []int
		for j := range n {
			if i != j && suspects[i].exposed.within(suspects[j].exposed) {
				above = append(above, j)
			}
		}
		for _, j := range above {
			nearest := !slices.ContainsFunc(above, func(k int) bool { return k != j && suspects[k].exposed.within(suspects[j].exposed) })
			if nearest {
				suspects[i].Within = append(suspects[i].Within, j)
			}
		}
	}
}

// set is some of the garments, by their place: a bit each.
type set []uint64

func newSet(n int) set       { return make(set, (n+63)/64) }
func (s set) put(i int)      { s[i/64] |= 1 << (i % 64) }
func (s set) has(i int) bool { return s[i/64]&(1<<(i%64)) != 0 }
func (s set) both(o set) int { return s.each(o, func(a, b uint64) uint64 { return a & b }) }
func (s set) without(o set) set { // as a new set
	r := make(set, len(s))
	for i := range s {
		r[i] = s[i] &^ o[i]
	}
	return r
}

func (s set) count() int { return s.each(s, func(a, _ uint64) uint64 { return a }) }

func (s set) each(o set, f func(a, b uint64) uint64) int {
	n := 0
	for i := range s {
		n += bits.OnesCount64(f(s[i], o[i]))
	}
	return n
}

// within is true where every garment of s is one of o.
func (s set) within(o set) bool { return s.each(o, func(a, b uint64) uint64 { return a &^ b }) == 0 }

func (s set) key() string {
	b := make([]byte, 0, len(s)*8)
	for _, w := range s {
		for shift := 0; shift < 64; shift += 8 {
			b = append(b, byte(w>>shift))
		}
	}
	return string(b)
}
