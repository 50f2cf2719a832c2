package shade

import (
	"slices"

	"dyelot/inventory/colour"
	"dyelot/inventory/lot"
)

// Piece is one garment that was read.
type Piece struct {
	Tag      string
	Lot      string // "L2"
	Item     string // code of the blank
	Style    string
	Size     string
	Colour   colour.Lab // the mean of its own readings, in the standard's light
	Readings []string   // their codes
	Owner    string     // the commission whose customer it belongs to; empty for the studio's own
	// Harvests are the parcels that its lot was dyed from, by dyestuff.
	Harvests map[string][]string
}

// Member is a piece in its group, with the one that it differs from most.
type Member struct {
	Piece
	Worst      string  // tag; empty where it is alone
	Difference float64 // CIEDE2000
}

// Group is garments that may hang side by side.
type Group struct {
	Members []Member
	Spread  float64    // the greatest CIEDE2000 between two of them
	Mean    colour.Lab // in L*, a* and b*
}

// Sorted is a run in groups: the largest first, of equals the one whose first
// piece came first.
type Sorted struct {
	Groups    []Group
	Tolerance lot.Tolerance
	// Proved: no fewer groups will do. Mutual are pieces that are each beyond the
	// tolerance of all the others; where there are as many as groups, they are
	// the proof, and else every way to make fewer was tried.
	Proved bool
	Mutual []string
	// Linked is how many groups complete linkage alone makes.
	Linked int
	// Pairs counts all pairs of garments, Beyond those that differ too much.
	Pairs, Beyond int
}

// effort is how many steps a search may take: some tenth of a second. It is
// counted in nodes times pieces, so that many pieces cost no more than few.
const effort = 12_000_000

// Most is how many garments are sorted at once: beyond it the table of their
// differences alone takes longer than anybody waits.
const Most = 2000

// Sort puts pieces into groups in which no two differ by more than a tolerance,
// CIEDE2000, with the fewest groups that it finds. The same pieces in the same
// order give the same groups.
func Sort(pieces []Piece, tolerance lot.Tolerance) Sorted {
	if len(pieces) == 0 {
		return Sorted{Proved: true, Tolerance: tolerance}
	}
	apart := differences(pieces)
	g := newConflicts(apart, tolerance.Allows)
	linked := cut(len(pieces), Linkage(apart), tolerance.Allows)
	budget := effort / len(pieces)
	mutual := g.mutual(10 * budget / len(pieces)) // a node looks at all pairs that are left
	heaps, proved := cover(g, linked, mutual, budget)
	heaps = settle(heaps, apart, g)
	slices.SortStableFunc(heaps, func(a, b []int) int {
		if len(a) != len(b) {
			return len(b) - len(a)
		}
		return a[0] - b[0]
	})
	s := Sorted{Tolerance: tolerance, Proved: proved, Linked: len(linked), Pairs: len(pieces) * (len(pieces) - 1) / 2}
	for _, h := range heaps {
		s.Groups = append(s.Groups, group(pieces, apart, h))
	}
	for _, i := range mutual {
		s.Mutual = append(s.Mutual, pieces[i].Tag)
	}
	slices.Sort(s.Mutual)
	for _, c := range g {
		s.Beyond += c.count()
	}
	s.Beyond /= 2
	return s
}

func differences(pieces []Piece) [][]float64 {
	apart := make([][]float64, len(pieces))
	for i := range pieces {
		apart[i] = make([]float64, len(pieces))
		for j := range i {
			d := colour.CIEDE2000(pieces[i].Colour, pieces[j].Colour)
			apart[i][j], apart[j][i] = d, d
		}
	}
	return apart
}

// rounds bounds how often settle goes over all pieces; a few are enough.
const rounds = 20

// settle moves each piece to the group whose farthest piece is nearest to it, as
// long as nobody there is in conflict with it. There are never more groups.
func settle(heaps [][]int, apart [][]float64, g conflicts) [][]int {
	of := make([]int, len(g))
	in := make([]set, len(heaps))
	for k, h := range heaps {
		in[k] = newSet(len(g))
		for _, v := range h {
			of[v] = k
			in[k].add(v)
		}
	}
	for range rounds {
		moved := false
		for v := range g {
			in[of[v]].drop(v)
			best, least := of[v], farthest(apart[v], in[of[v]])
			for k := range in {
				if k == of[v] || in[k].count() == 0 || g[v].both(in[k]).count() > 0 {
					continue
				}
				if f := farthest(apart[v], in[k]); f < least-1e-12 {
					best, least = k, f
				}
			}
			moved = moved || best != of[v]
			of[v] = best
			in[best].add(v)
		}
		if !moved {
			break
		}
	}
	var settled [][]int
	for _, s := range in {
		if s.count() > 0 {
			settled = append(settled, s.each())
		}
	}
	return settled
}

func farthest(from []float64, in set) (d float64) {
	for _, w := range in.each() {
		d = max(d, from[w])
	}
	return d
}

func group(pieces []Piece, apart [][]float64, heap []int) Group {
	var g Group
	n := float64(len(heap))
	for _, i := range heap {
		m := Member{Piece: pieces[i]}
		for _, j := range heap {
			if i != j && (m.Worst == "" || apart[i][j] > m.Difference) {
				m.Worst, m.Difference = pieces[j].Tag, apart[i][j]
			}
		}
		g.Members = append(g.Members, m)
		g.Spread = max(g.Spread, m.Difference)
		c := pieces[i].Colour
		g.Mean.L, g.Mean.A, g.Mean.B = g.Mean.L+c.L/n, g.Mean.A+c.A/n, g.Mean.B+c.B/n
	}
	return g
}
