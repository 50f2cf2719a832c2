package shade_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dyelot/inventory/colour"
	"dyelot/inventory/fault"
	"dyelot/inventory/shade"
)

// Three of five greys within 2.5 of each other: the three nearest, by hand 51.4,
// 51.9 and 52.2.
func TestTheNearestPiecesMakeTheSet(t *testing.T) {
	t.Parallel()
	s := shade.Sort(greys(50.1, 51.4, 51.9, 52.2, 60), 2500)
	p := shade.Pick(s, []shade.Asked{{What: "tunic", Count: 3}}, "")
	if p.Group != 1 || !p.Exact || !cmp.Equal(p.Tags, []string{"B", "C", "D"}) || p.Of != [2]string{"B", "D"} || len(p.Lacks) != 0 {
		t.Errorf("%+v", p)
	}
	near(t, "spread", p.Spread, colour.CIEDE2000(colour.Lab{L: 51.4}, colour.Lab{L: 52.2}), 1e-12)
	if one := shade.Pick(s, []shade.Asked{{What: "tunic-m", Count: 1}}, ""); one.Group != 1 || one.Spread != 0 || len(one.Tags) != 1 || !one.Exact {
		t.Errorf("%+v", one)
	}
	none := shade.Pick(s, []shade.Asked{{What: "tunic", Count: 5}}, "")
	if none.Group != 0 || !none.Exact || !cmp.Equal(none.Lacks, []shade.Lack{{Group: 1, Text: "has 4 of 5 tunic"}, {Group: 2, Text: "has 1 of 5 tunic"}}) {
		t.Errorf("%+v", none)
	}
}

// Greys in steps of one: two groups of two at 1.1 leave 51 and 52 apart, which
// hang well together.
func TestWhatNoGroupHasIsLookedForAcrossThem(t *testing.T) {
	t.Parallel()
	ps := greys(50, 51, 52, 53)
	ps[0].Style, ps[3].Style = "scarf", "scarf"
	s := shade.Sort(ps, 1100)
	p := shade.Pick(s, []shade.Asked{{"tunic", 2}}, "")
	if len(s.Groups) != 2 || p.Group != 0 || !p.Across || !cmp.Equal(p.Tags, []string{"B", "C"}) || len(p.Lacks) != 2 {
		t.Errorf("%+v from %+v", p, s)
	}
	near(t, "spread", p.Spread, colour.CIEDE2000(colour.Lab{L: 51}, colour.Lab{L: 52}), 1e-12)
}

// Two lots of one shade and two harvests of weld: the set comes from one of
// them, and where neither has enough it is said why (law 11 of the house).
func TestLaw11ASetIsOfOneHarvest(t *testing.T) {
	t.Parallel()
	ps := greys(50, 50.3, 50.1, 50.6)
	for i := range ps {
		ps[i].Harvests = map[string][]string{"weld": {"P3"}}
		if i > 1 {
			ps[i].Lot, ps[i].Harvests = "L2", map[string][]string{"weld": {"P9"}}
		}
	}
	s := shade.Sort(ps, 2000)
	if p := shade.Pick(s, []shade.Asked{{"tunic", 2}}, ""); !cmp.Equal(p.Tags, []string{"A", "B"}) {
		t.Errorf("%+v: A and C are nearer, and of two harvests", p)
	}
	p := shade.Pick(s, []shade.Asked{{"tunic", 3}}, "")
	if p.Group != 0 || len(p.Lacks) != 1 || p.Lacks[0].Text != "has enough pieces, but not of one harvest of weld: lot L1 has P3 and lot L2 has P9" {
		t.Errorf("%+v", p)
	}
	for i := range ps {
		ps[i].Harvests = map[string][]string{"weld": {"P3"}, []string{"", "", "madder", ""}[i]: {"P7"}}
	}
	if p := shade.Pick(shade.Sort(ps, 2000), []shade.Asked{{"tunic", 4}}, ""); p.Group != 1 {
		t.Errorf("%+v: one harvest of each", p)
	}
}

// A customer's own shirt is in nobody else's set.
func TestACustomersOwnServesTheirSetAlone(t *testing.T) {
	t.Parallel()
	ps := greys(50, 50.1)
	ps[1].Owner = "W2"
	s := shade.Sort(ps, 2000)
	if p := shade.Pick(s, []shade.Asked{{"tunic", 2}}, ""); p.Group != 0 {
		t.Errorf("%+v", p)
	}
	if p := shade.Pick(s, []shade.Asked{{"tunic", 2}}, "W2"); p.Group != 1 {
		t.Errorf("%+v", p)
	}
}

// The set is what trying every choice from every group finds.
func TestTheSetIsTheNearestByTryingAll(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		ps := dyed(t, 12)
		for i := range ps {
			ps[i].Harvests = map[string][]string{"weld": {rapid.SampledFrom([]string{"P3", "P9"}).Draw(t, "harvest")}}
		}
		s := shade.Sort(ps, tolerance(t))
		asked := []shade.Asked{{"tunic", rapid.IntRange(1, 4).Draw(t, "tunics")}, {"scarf", rapid.IntRange(1, 2).Draw(t, "scarves")}}
		want := math.Inf(1)
		for _, g := range s.Groups {
			for chosen := range 1 << len(g.Members) {
				want = min(want, worstOf(g, chosen, asked))
			}
		}
		p := shade.Pick(s, asked, "")
		switch {
		case !p.Exact:
			t.Fatal("a dozen pieces were not searched through")
		case math.IsInf(want, 1) != (p.Group == 0):
			t.Fatalf("%+v, want a set %v", p, want)
		case p.Group == 0 && len(p.Lacks) != len(s.Groups):
			t.Fatalf("%+v of %d groups", p.Lacks, len(s.Groups))
		case p.Group == 0:
			acrossByTryingAll(t, s, p, asked)
		case math.Abs(p.Spread-want) > 1e-9:
			t.Fatalf("%+v, want %v", p, want)
		}
		if p.Group == 0 {
			return
		}
		in := strings.Join(tagsOf(s.Groups[p.Group-1]), " ")
		for _, tag := range p.Tags {
			if !strings.Contains(in, tag) {
				t.Fatalf("%s is not in group %d: %s", tag, p.Group, in)
			}
		}
		if len(p.Tags) != asked[0].Count+asked[1].Count {
			t.Fatalf("%v for %v", p.Tags, asked)
		}
	})
}

// acrossByTryingAll: where no group serves, a set is offered across groups
// exactly where one is within the tolerance.
func acrossByTryingAll(t *rapid.T, s shade.Sorted, p shade.Picked, asked []shade.Asked) {
	var all shade.Group
	for _, g := range s.Groups {
		all.Members = append(all.Members, g.Members...)
	}
	want := math.Inf(1)
	for chosen := range 1 << len(all.Members) {
		want = min(want, worstOf(all, chosen, asked))
	}
	if p.Across != s.Tolerance.Allows(want) || p.Across && math.Abs(p.Spread-want) > 1e-9 || p.Across && len(p.Tags) != asked[0].Count+asked[1].Count {
		t.Fatalf("%+v, want %v within %s", p, want, s.Tolerance)
	}
}

// worstOf is the worst pair of the members chosen by a bit each; infinite where
// they are not what was asked or not of one harvest in two lots.
func worstOf(g shade.Group, chosen int, asked []shade.Asked) (worst float64) {
	count := map[string]int{}
	for i, m := range g.Members {
		if chosen&(1<<i) == 0 {
			continue
		}
		count[m.Style]++
		for j, n := range g.Members[:i] {
			if chosen&(1<<j) == 0 {
				continue
			}
			if m.Lot != n.Lot && m.Harvests["weld"][0] != n.Harvests["weld"][0] {
				return math.Inf(1)
			}
			worst = max(worst, colour.CIEDE2000(m.Colour, n.Colour))
		}
	}
	for _, a := range asked {
		if count[a.What] != a.Count {
			return math.Inf(1)
		}
	}
	return worst
}

func TestWhatIsAskedIsCheckedByField(t *testing.T) {
	t.Parallel()
	kinds := []shade.Kind{{"tunic", "tunic-m"}, {"tunic", "tunic-l"}, {"", "shirt-m"}}
	for name, c := range map[string]struct {
		asked       []shade.Asked
		field, says string
	}{
		"fine":       {[]shade.Asked{{"tunic-m", 2}, {"tunic-l", 1}, {"shirt-m", 1}}, "", ""},
		"unknown":    {[]shade.Asked{{"tunica", 2}}, "pieces[0].what", "use one of shirt-m, tunic, tunic-l, tunic-m"},
		"no style":   {[]shade.Asked{{"", 2}}, "pieces[0].what", "is no style"},
		"nothing":    {[]shade.Asked{{"tunic", 0}}, "pieces[0].count", "0 pieces of tunic"},
		"twice over": {[]shade.Asked{{"shirt-m", 1}, {"tunic", 2}, {"tunic-l", 1}}, "pieces[2].what", "tunic and tunic-l are the same garments"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			err := shade.CheckAsked("pieces", c.asked, kinds)
			f, _ := fault.Of(err)
			if c.field == "" && err != nil || c.field != "" && (f == nil || f.Field != c.field || !strings.Contains(f.Say, c.says)) {
				t.Errorf("%v", err)
			}
		})
	}
}

// A set of sixty: the search may be cut short, and says so; it is never worse
// than the pieces nearest to one of them, and ends at once.
func TestALargeSetIsFoundAtOnce(t *testing.T) {
	t.Parallel()
	ps := make([]shade.Piece, 60)
	for i := range ps {
		at := func(step float64) float64 { f := step * float64(i+1); return f - float64(int(f)) }
		ps[i] = shade.Piece{Tag: fmt.Sprintf("T%02d", i), Lot: "L1", Style: "tunic", Colour: colour.Lab{L: 48 + 6*at(0.8191725134), A: 2 + 4*at(0.6710436067), B: 18 + 7*at(0.5497004779)}}
	}
	p := shade.Pick(shade.Sort(ps, 9000), []shade.Asked{{"tunic", 20}}, "")
	if p.Group != 1 || len(p.Tags) != 20 || p.Spread <= 0 || p.Spread > 9 {
		t.Errorf("%+v", p)
	}
}
