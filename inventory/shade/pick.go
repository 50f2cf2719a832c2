package shade

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
)

// Asked is so many pieces of a style or of an item, by its code.
type Asked struct {
	What  string
	Count int
}

func (a Asked) is(style, item string) bool {
	return a.What != "" && (a.What == style || a.What == item)
}

// Kind is a style and an item that a run has.
type Kind struct{ Style, Item string }

// CheckAsked refuses (fault.Invalid, naming what in the list) what the run has
// none of, with what it has; counts of nothing; and two lines that ask for the
// same garments.
func CheckAsked(field string, asked []Asked, kinds []Kind) error {
	for i, a := range asked {
		at := fmt.Sprintf("%s[%d]", field, i)
		if a.Count < 1 || a.Count > Most {
			return fault.BadField(at+".count", "%d pieces of %s: 1 to %d", a.Count, a.What, Most)
		}
		known := false
		for _, k := range kinds {
			if !a.is(k.Style, k.Item) {
				continue
			}
			known = true
			for _, before := range asked[:i] {
				if before.is(k.Style, k.Item) {
					return fault.BadField(at+".what", "%s and %s are the same garments: add up their pieces", before.What, a.What)
				}
			}
		}
		if !known {
			return fault.BadField(at+".what", "%.60q is no style and no item here: use one of %s", a.What, strings.Join(words(kinds), ", "))
		}
	}
	return nil
}

func words(kinds []Kind) []string {
	all := map[string]bool{}
	for _, k := range kinds {
		all[k.Style], all[k.Item] = true, true
	}
	delete(all, "")
	return slices.Sorted(maps.Keys(all))
}

// Picked is a set from one group.
type Picked struct {
	Group  int // 1 is the first; 0 where none can serve
	Tags   []string
	Spread float64 // its worst pair, CIEDE2000
	Of     [2]string
	// Exact: no set of these pieces from any group has a nearer worst pair. Else
	// the search was cut short, and there may be one.
	Exact bool
	Lacks []Lack // what each group lacks, where none can serve
	// Across: no group serves, and these garments of several groups are all within
	// the tolerance of each other, so they may hang as a group of their own. Where
	// none serves and Exact is true, no such set is in the whole run.
	Across bool
}

// Lack is why a group cannot serve.
type Lack struct {
	Group int
	Text  string
}

// Pick chooses the asked pieces from one group: the set whose worst pair is
// least. A customer's own garments serve the owner's commission alone, and all
// of a set are of one harvest of each dyestuff (law 11 of the house), however
// near two harvests may look today.
func Pick(s Sorted, asked []Asked, owner string) Picked {
	p := &picking{asked: asked, budget: effort / 40, worst: math.Inf(1)}
	exact := true
	var best Picked
	for i, g := range s.Groups {
		if !p.load(g, owner) {
			best.Lacks = append(best.Lacks, Lack{i + 1, p.lack})
			continue
		}
		found, all := p.nearest()
		exact = exact && all
		switch {
		case found:
			best.Group, best.Tags, best.Of = i+1, p.tags(), p.pair()
		case best.Group == 0:
			best.Lacks = append(best.Lacks, Lack{i + 1, p.harvests(all)})
		}
	}
	if best.Group == 0 {
		return p.across(s, owner, best.Lacks, exact)
	}
	best.Spread, best.Exact, best.Lacks = p.worst, exact, nil
	return best
}

// across looks in the whole run for what no single group has: few groups are
// not always those that serve an order.
func (p *picking) across(s Sorted, owner string, lacks []Lack, exact bool) Picked {
	none := Picked{Lacks: lacks, Exact: exact}
	var all Group
	for _, g := range s.Groups {
		all.Members = append(all.Members, g.Members...)
	}
	if len(s.Groups) < 2 || !p.load(all, owner) {
		return none
	}
	p.budget, p.worst = effort/40, math.Nextafter(s.Tolerance.Widest(), math.Inf(1))+1e-12
	found, every := p.nearest()
	if none.Exact = every; !found {
		return none
	}
	return Picked{Across: true, Lacks: lacks, Tags: p.tags(), Of: p.pair(), Spread: p.worst, Exact: every}
}

// picking is the search within one group; worst and budget go on from group to
// group.
type picking struct {
	asked  []Asked
	budget int
	worst  float64 // of the best set so far
	chosen []int   // that set

	pieces []Piece
	kind   []int // which line asks for it
	apart  [][]float64
	lack   string
}

// load takes the pieces of a group that are asked for; false where there are
// too few, and lack says of what.
func (p *picking) load(g Group, owner string) bool {
	p.pieces, p.kind, p.lack, p.chosen = nil, nil, "", nil
	have := make([]int, len(p.asked))
	for _, m := range g.Members {
		if m.Owner != "" && m.Owner != owner {
			continue
		}
		for k, a := range p.asked {
			if a.is(m.Style, m.Item) {
				p.pieces, p.kind = append(p.pieces, m.Piece), append(p.kind, k)
				have[k]++
			}
		}
	}
	var lack []string
	for k, a := range p.asked {
		if have[k] < a.Count {
			lack = append(lack, fmt.Sprintf("%d of %d %s", have[k], a.Count, a.What))
		}
	}
	p.lack = "has " + strings.Join(lack, ", ")
	p.apart = differences(p.pieces)
	for i, a := range p.pieces {
		for j, b := range p.pieces {
			if i != j && mixed(a, b) != "" {
				p.apart[i][j] = math.Inf(1)
			}
		}
	}
	return len(lack) == 0
}

// mixed names a dyestuff of which two pieces of different lots have different
// harvests; empty where they may be of one set.
func mixed(a, b Piece) string {
	if a.Lot == b.Lot {
		return ""
	}
	for _, item := range slices.Sorted(maps.Keys(a.Harvests)) {
		for _, parcel := range b.Harvests[item] {
			if !slices.Equal(a.Harvests[item], []string{parcel}) {
				return item
			}
		}
	}
	return ""
}

// harvests says why enough pieces of a group make no set.
func (p *picking) harvests(all bool) string {
	if !all {
		return "has enough pieces, and the search for a set of one harvest was cut short"
	}
	for i, a := range p.pieces {
		for _, b := range p.pieces[:i] {
			if item := mixed(a, b); item != "" {
				return fmt.Sprintf("has enough pieces, but not of one harvest of %s: lot %s has %s and lot %s has %s", item,
					b.Lot, strings.Join(b.Harvests[item], ", "), a.Lot, strings.Join(a.Harvests[item], ", "))
			}
		}
	}
	return "has enough pieces, but not of one harvest of each dyestuff"
}

// nearest finds a set of this group that is nearer than the best so far, and the
// nearest of all where the budget suffices: all tells.
func (p *picking) nearest() (found, all bool) {
	for i := range p.pieces {
		if set := p.around(i); set != nil {
			if w := p.worstOf(set); w < p.worst-1e-12 {
				p.worst, p.chosen, found = w, set, true
			}
		}
	}
	for p.worst > 1e-12 { // below that no pair can be nearer
		every := make([]int, len(p.pieces))
		for i := range every {
			every[i] = i
		}
		need := make([]int, len(p.asked))
		for k, a := range p.asked {
			need[k] = a.Count
		}
		set := p.nearer(nil, every, need)
		if set == nil {
			return found, p.budget > 0
		}
		p.worst, p.chosen, found = p.worstOf(set), set, true
	}
	return found, true
}

// around takes the nearest of each kind to one piece.
func (p *picking) around(centre int) []int {
	order := make([]int, len(p.pieces))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch d, e := p.apart[centre][a], p.apart[centre][b]; {
		case d < e:
			return -1
		case d > e:
			return 1
		}
		return 0
	})
	need := make([]int, len(p.asked))
	var set []int
	for _, i := range order {
		if k := p.kind[i]; need[k] < p.asked[k].Count {
			need[k]++
			set = append(set, i)
		}
	}
	slices.Sort(set)
	return set
}

func (p *picking) worstOf(set []int) (w float64) {
	for i, a := range set {
		for _, b := range set[:i] {
			w = max(w, p.apart[a][b])
		}
	}
	return w
}

// nearer finds a set of which every pair is nearer than the worst so far; nil
// where there is none, or where the budget is spent.
func (p *picking) nearer(chosen, left, need []int) []int {
	if !slices.ContainsFunc(need, func(n int) bool { return n > 0 }) {
		return slices.Clone(chosen)
	}
	for at, v := range left {
		if !p.enough(left[at:], need) {
			return nil
		}
		k := p.kind[v]
		if need[k] == 0 {
			continue
		}
		if p.budget--; p.budget <= 0 {
			return nil
		}
		var rest []int
		for _, w := range left[at+1:] {
			if p.apart[v][w] < p.worst-1e-12 {
				rest = append(rest, w)
			}
		}
		need[k]--
		set := p.nearer(append(chosen, v), rest, need)
		need[k]++
		if set != nil {
			return set
		}
	}
	return nil
}

func (p *picking) enough(left, need []int) bool {
	have := make([]int, len(need))
	for _, v := range left {
		have[p.kind[v]]++
	}
	for k, n := range need {
		if have[k] < n {
			return false
		}
	}
	return true
}

func (p *picking) tags() []string {
	tags := make([]string, len(p.chosen))
	for i, v := range p.chosen {
		tags[i] = p.pieces[v].Tag
	}
	return tags
}

// pair is the worst pair of the set.
func (p *picking) pair() (of [2]string) {
	worst := -1.0
	for i, a := range p.chosen {
		for _, b := range p.chosen[:i] {
			if d := colour.CIEDE2000(p.pieces[a].Colour, p.pieces[b].Colour); d > worst {
				worst, of = d, [2]string{p.pieces[b].Tag, p.pieces[a].Tag}
			}
		}
	}
	return of
}
