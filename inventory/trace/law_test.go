package trace_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"dyelot/inventory/quantity"
	"dyelot/inventory/stock"
	"dyelot/inventory/trace"
)

// went answers, from what happened and by plain recursion, whether a parcel is
// in a garment. The graph is not used.
func (s *studio) went(parcel, garment int64) bool {
	for _, g := range s.garments {
		if g.Garment != garment {
			continue
		}
		for _, c := range s.cloth {
			if c.Lot == g.Lot && c.Parcel == parcel && (!c.Blanks || g.Parcel == parcel) {
				return true
			}
		}
		for _, b := range s.baths {
			for _, l := range b.Lots {
				if !b.undone && l.LotID == g.Lot && b.Poured[0].Parcel == parcel {
					return true
				}
			}
		}
	}
	for _, m := range s.movements {
		if m.Kind != stock.ActMaking || m.ReversedByID != 0 {
			continue
		}
		for _, l := range m.Legs {
			if l.To == stock.InMaking && l.ParcelID == parcel && s.went(m.MadeParcelID, garment) {
				return true
			}
		}
	}
	return false
}

// Law 4: b is downstream of a exactly when a is upstream of b; and both are
// what happened.
func TestLaw4TraceIsDual(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudio(t)
		g := s.history().Graph()
		for _, p := range s.parcels {
			below := g.Below(trace.ParcelNode(p.ID))
			for _, m := range s.garments {
				up := slices.Contains(g.Above(trace.GarmentNode(m.Garment)), trace.ParcelNode(p.ID))
				down := slices.Contains(below, trace.GarmentNode(m.Garment))
				if went := s.went(p.ID, m.Garment); up != down || up != went {
					t.Fatalf("%s in garment %d: up %t, down %t, and it happened: %t", p.Code(), m.Garment, up, down, went)
				}
			}
			for _, n := range below {
				if !slices.Contains(g.Above(n), trace.ParcelNode(p.ID)) {
					t.Fatalf("%s is below %s, which is not above it", n, p.Code())
				}
			}
		}
	})
}

// Law 4: the graph has no cycle, whatever is made of what; and where the books
// were made to have one, it is found.
func TestLaw4NothingIsMadeOfItself(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudio(t)
		g := s.history().Graph()
		if c := g.Cycle(); c != nil {
			t.Fatalf("cycle %v", c)
		}
		p := trace.ParcelNode(s.anyParcel(t).ID)
		below := g.Below(p)
		if len(below) == 0 {
			return
		}
		deep := below[rapid.IntRange(0, len(below)-1).Draw(t, "back from")]
		g.Link(deep, p)
		c := g.Cycle()
		if c == nil {
			t.Fatalf("%s is below %s and above it, and no cycle was found", deep, p)
		}
		for i, n := range c {
			if next := c[(i+1)%len(c)]; !slices.Contains(g.Below(n), next) || !slices.Contains(g.Below(n), n) {
				t.Fatalf("%v is no cycle at %s", c, n)
			}
		}
	})
}

// Law 4: received + found = used + lost + sent back + on hand.
func TestLaw4EachParcelBalances(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudio(t)
		for _, p := range s.parcels {
			a := trace.AccountOf(p, s.movements)
			if a.Missing().N != 0 {
				t.Fatalf("%s: %s", p.Code(), a)
			}
			p.OnHand.N += 5
			if short := trace.AccountOf(p, s.movements); short.Missing().N != -5 {
				t.Fatalf("5 µg came from nowhere and the account says %s", short)
			}
		}
	})
}

// Law 4: a bath divided among pots is divided by fibre mass, and the shares sum
// to it.
func TestLaw4SharesSumToTheBath(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudio(t)
		for _, b := range s.baths {
			sum, fibre := powder.Zero(), powder.Zero()
			for _, l := range b.Lots {
				fibre = fibre.Add(l.Fibre)
			}
			given, step := b.Given(), powder.Resolution.N
			if len(given) != len(b.Lots) {
				t.Fatalf("%d lots have %d shares", len(b.Lots), len(given))
			}
			for i, x := range given {
				sum = sum.Add(x.Share)
				exact := float64(b.Poured[0].Amount.N) * float64(b.Lots[i].Fibre.N) / float64(fibre.N)
				if off := float64(x.Share.N) - exact; off > 2*float64(step) || off < -2*float64(step) {
					t.Fatalf("lot %d got %d of exactly %.1f, by steps of %d", x.Lot, x.Share.N, exact, step)
				}
			}
			if sum != b.Poured[0].Amount {
				t.Fatalf("shares of %s sum to %s", b.Poured[0].Amount, sum)
			}
		}
	})
}

// What all lots got of a parcel's children, and what is left or lost of those,
// is what went into them: nothing is counted twice on the way up.
func TestSharesOfParentsNeverExceedWhatTheyGave(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudio(t)
		h := s.history()
		h.Given = slices.DeleteFunc(h.Given, func(x trace.Given) bool { return x.Through == trace.LotNode(x.Lot) })
		got := map[int64]int64{}
		for lotID := range int64(lotsOfStudio) {
			sources, err := h.OfLot(lotID + 1).Sources()
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range sources {
				got[x.Parcel] += x.Share.N
			}
		}
		for _, p := range s.parcels {
			a := trace.AccountOf(p, s.movements)
			rounding := int64(lotsOfStudio * (len(h.Makings) + 1) * (len(h.Makings) + 1))
			if got[p.ID] > a.Used.N+rounding {
				t.Fatalf("%s: lots got %s, and it gave %s", p.Code(), quantity.Amount{N: got[p.ID], Unit: quantity.Mass}, a.Used)
			}
		}
	})
}
