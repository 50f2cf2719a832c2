package cause_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"dyelot/inventory/cause"
)

// drawn is a random population: some garments have the same factors as others,
// some factors are copies of others, some are parts of others.
func drawn(t *rapid.T) cause.Case {
	n := rapid.IntRange(2, 70).Draw(t, "garments")
	kinds := cause.Kinds()
	var c cause.Case
	for i := range rapid.IntRange(1, 8).Draw(t, "factors") {
		k := rapid.SampledFrom(kinds).Draw(t, "kind")
		c.Factors = append(c.Factors, cause.Factor{Kind: k, Code: fmt.Sprintf("X%d", i), Name: fmt.Sprintf("%s X%d", k, i), Had: "that had it"})
	}
	for i := range n {
		g := cause.Garment{ID: int64(i + 1), Tag: fmt.Sprintf("T%02d", i), Returned: i == 0 || rapid.Bool().Draw(t, "returned")}
		for f := range c.Factors {
			if rapid.Bool().Draw(t, "exposed") {
				g.Exposed = append(g.Exposed, f)
			}
		}
		c.Garments = append(c.Garments, g)
	}
	for range rapid.IntRange(0, 3).Draw(t, "copies") {
		of := rapid.IntRange(0, len(c.Factors)-1).Draw(t, "copy of")
		f := c.Factors[of]
		f.Code = fmt.Sprintf("X%d", len(c.Factors))
		c.Factors = append(c.Factors, f)
		for i, g := range c.Garments {
			if slices.Contains(g.Exposed, of) {
				c.Garments[i].Exposed = append(g.Exposed, len(c.Factors)-1)
			}
		}
	}
	return c
}

// exposedTo is what the case itself says of a factor, by its code.
func exposedTo(c cause.Case, code string) (ids []int64, back int) {
	for _, g := range c.Garments {
		for _, f := range g.Exposed {
			if c.Factors[f].Code == code {
				ids = append(ids, g.ID)
				if g.Returned {
					back++
				}
			}
		}
	}
	slices.Sort(ids)
	return ids, back
}

func TestLawsOfSuspicion(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := drawn(t)
		a, err := c.Find()
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]string{}
		before, raw := 0.0, 0.0
		for i, s := range a.Suspects {
			if !(s.P > 0 && s.P <= 1) || !(s.Corrected >= s.P && s.Corrected <= 1) || s.P < raw || s.Corrected < before {
				t.Fatalf("suspect %d: p %v corrected %v after %v, %v", i, s.P, s.Corrected, raw, before)
			}
			raw, before = s.P, s.Corrected
			for _, f := range s.Factors { // each of a group has exactly the group's garments
				ids, back := exposedTo(c, f.Code)
				if len(ids) != s.Exposed || back != s.ExposedReturned || len(s.Tags) != back {
					t.Fatalf("%s: %d exposed, %d back, and the answer says %+v", f.Code, len(ids), back, s)
				}
				if other, known := seen[fmt.Sprint(ids)]; known && other != fmt.Sprint(i) {
					t.Fatalf("%s has the garments of suspect %s and stands apart from it", f.Code, other)
				}
				seen[fmt.Sprint(ids)] = fmt.Sprint(i)
			}
			for _, j := range s.Within {
				inner, _ := exposedTo(c, s.Factors[0].Code)
				outer, _ := exposedTo(c, a.Suspects[j].Factors[0].Code)
				for _, id := range inner {
					if !slices.Contains(outer, id) || len(outer) <= len(inner) {
						t.Fatalf("%v is not within %v", inner, outer)
					}
				}
			}
		}
	})
}

// However the garments and factors are listed, the answer is the same.
func TestTheOrderChangesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := drawn(t)
		first, err := c.Find()
		if err != nil {
			t.Fatal(err)
		}
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		to := r.Perm(len(c.Factors))
		mixed := cause.Case{Factors: make([]cause.Factor, len(c.Factors))}
		for i, f := range c.Factors {
			mixed.Factors[to[i]] = f
		}
		for _, i := range r.Perm(len(c.Garments)) {
			g := c.Garments[i]
			exposed := []int{}
			for _, f := range g.Exposed {
				exposed = append(exposed, to[f])
			}
			r.Shuffle(len(exposed), func(i, j int) { exposed[i], exposed[j] = exposed[j], exposed[i] })
			g.Exposed = exposed
			mixed.Garments = append(mixed.Garments, g)
		}
		again, err := mixed.Find()
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(first, again, cmpopts.IgnoreUnexported(cause.Suspect{})); diff != "" {
			t.Fatal(diff)
		}
	})
}

// One more return that did not have a suspect makes that suspect no likelier: its
// p never falls. Its corrected p and its rank may move, since the other suspects
// of the list do.
func TestAReturnOutsideNeverRaisesASuspect(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := drawn(t)
		before, err := c.Find()
		if err != nil {
			t.Fatal(err)
		}
		at := rapid.IntRange(0, len(c.Garments)-1).Draw(t, "one more")
		if c.Garments[at].Returned {
			return
		}
		c.Garments[at].Returned = true
		after, err := c.Find()
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range before.Suspects {
			ids, _ := exposedTo(c, s.Factors[0].Code)
			if slices.Contains(ids, c.Garments[at].ID) {
				continue
			}
			for _, now := range after.Suspects {
				if now.Factors[0].Code == s.Factors[0].Code && now.P < s.P*(1-1e-12) {
					t.Fatalf("%s: p fell from %v to %v", s.Factors[0].Code, s.P, now.P)
				}
			}
		}
	})
}
