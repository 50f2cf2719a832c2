package season

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"
)

func drawStock(t *rapid.T, sets int) *stock {
	var pots []Pot
	for k, m := range append(rapid.SliceOfN(rapid.Int64Range(10, 99), 0, 3).Draw(t, "pots"), 100) {
		pots = append(pots, Pot{fmt.Sprint(k), m})
	}
	var list []Set
	for k, m := range rapid.SliceOfN(rapid.Int64Range(5, 100), 2, sets).Draw(t, "sets") {
		list = append(list, Set{fmt.Sprint(k), m})
	}
	return newStock(pots, list)
}

// Whatever guides the search, the answer is the same; and where there is a
// packing, no bound says that there is none.
func TestGuideChangesNoAnswer(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawStock(t, 12)
		loads := len(s.bestFit())
		room := space{rapid.IntRange(max(1, loads-1), loads).Draw(t, "loads"), 0}
		goals := sumsOf(s.pots, room.loads)
		for goal := goals.up(s.mass(s.count)); goal <= s.largest()*int64(room.loads); goal = goals.up(goal + 1) {
			room.capacity = goal
			answers := map[answer]bool{}
			for _, guided := range []bool{false, true} {
				p := newPacker(s, &budget{})
				p.guided, p.shaken = guided, guided
				a := p.try(room, 100_000)
				if answers[a] = true; a == isPlan && (len(p.loads) > room.loads || s.capacity(p.loads) > goal) {
					t.Fatalf("%+v goes into %v, which is not in %+v", s, p.loads, room)
				}
			}
			lower, _ := newRelax(s, &budget{}).bound(s.count, room.loads, goal)
			if len(answers) > 1 || answers[gaveUp] || answers[isPlan] && lower > goal {
				t.Fatalf("%+v into %+v: answers %v, bound %d", s, room, answers, lower)
			}
			if goal == s.largest()*int64(room.loads) {
				return
			}
		}
	})
}

// No pot gains more than best says, and what best lists gains what it says.
func TestBestOfAllContents(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawStock(t, 9)
		w := worth{stock: s, left: s.count}
		for range s.sizes {
			w.value = append(w.value, rapid.Int64Range(0, 50).Draw(t, "value"))
		}
		price := int64(0)
		for range s.pots {
			price += rapid.Int64Range(0, 40).Draw(t, "dearer by")
			w.price = append(w.price, price)
		}
		floor := rapid.Int64Range(0, 30).Draw(t, "floor")
		want := floor
		var fill func(i int, load, value int64)
		fill = func(i int, load, value int64) {
			if load > s.largest() {
				return
			}
			if i == len(s.sizes) {
				want = max(want, value-w.price[s.smallest(load)])
				return
			}
			for n := 0; n <= s.count[i]; n++ {
				fill(i+1, load+int64(n)*s.sizes[i], value+int64(n)*w.value[i])
			}
		}
		fill(0, 0, 0)
		gain, contents, ok := w.best(floor)
		highest := floor
		for _, c := range contents {
			value := -w.price[c.pot]
			for _, p := range c.pieces {
				value += int64(p.n) * w.value[p.size]
			}
			if highest = max(highest, value); s.load(c) > s.pots[c.pot] || !c.in(s.count) {
				t.Fatalf("%v is no contents of %+v", c, s)
			}
		}
		if !ok || gain != want || highest != want {
			t.Fatalf("gain %d, reached %d; trying everything gives %d", gain, highest, want)
		}
	})
}

// Up and below are each other's inverse however the sums are held, and no
// sum falls between the steps.
func TestSumsUpAndBelow(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawStock(t, 2)
		listed := sumsOf(s.pots, rapid.IntRange(1, 6).Draw(t, "loads"))
		for _, held := range []sums{listed, {base: listed.base, step: listed.step}} {
			for _, v := range listed.list {
				if b := held.below(v); b >= v || held.up(v) != v || held.up(b+1) != v {
					t.Fatalf("sum %d: up %d, below %d, up from there %d", v, held.up(v), b, held.up(b+1))
				}
			}
		}
	})
}
