package days_test

import (
	"fmt"

	"pgregory.net/rapid"

	"dyelot/inventory/days"
)

// small says what a drawn problem may have.
type small struct {
	tasks, horizon int
	longest        bool // longest waits and soaks
	fixed          bool
}

// draw makes a problem in small numbers, so that every minute can be looked at.
func draw(t *rapid.T, s small) *days.Problem {
	n := func(low, high int, what string) int64 { return int64(rapid.IntRange(low, high).Draw(t, what)) }
	p := &days.Problem{Burners: int(n(0, 1, "burners")), Rack: n(0, 3, "rack"), RinseOut: n(0, 1, "rinse out")}
	p.Scrub = p.RinseOut + n(0, 1, "scrub")
	for at := n(0, 2, "opens"); at < int64(s.horizon); {
		long := n(5, 7, "shift")
		p.Hours = append(p.Hours, days.Shift{From: at, To: at + long, People: int(n(1, 2, "people"))})
		at += long + n(1, 4, "night")
	}
	for v := range n(1, 2, "vessels") {
		p.Vessels = append(p.Vessels, days.Vessel{Code: fmt.Sprint("pot-", v), Left: days.Shade{Colour: rapid.Bool().Draw(t, "used"), Light: n(1, 3, "left")}})
	}
	for i := range rapid.IntRange(2, s.tasks).Draw(t, "tasks") {
		a := days.Task{Name: fmt.Sprint("task ", i), Begin: n(0, 2, "begin"), Heat: n(0, 1, "heat"), Soak: n(0, 4, "soak"), End: n(0, 1, "end"), LongestSoak: days.Never,
			Burner: rapid.Bool().Draw(t, "burner"), Rack: n(0, min(2, int(p.Rack)), "pieces"), Release: n(0, 2, "release"),
			Shade: days.Shade{Colour: rapid.Bool().Draw(t, "coloured"), Light: n(1, 3, "light")}}
		if a.Begin+a.Heat+a.Soak+a.End == 0 {
			a.Begin = 1
		}
		for v := range p.Vessels {
			if rapid.Bool().Draw(t, "in this") {
				a.Vessels = append(a.Vessels, v)
			}
		}
		for j := range i {
			if n(0, 2, "follows") == 0 {
				a.After = append(a.After, days.Wait{Task: j, Least: n(0, 2, "least"), Most: days.Never})
			}
		}
		if s.longest && n(0, 2, "soaks no longer") == 0 {
			a.LongestSoak = a.Soak + n(0, 6, "longest soak")
		}
		for k := range a.After {
			if s.longest && n(0, 1, "bounded") == 0 {
				a.After[k].Most = a.After[k].Least + n(0, 8, "most")
			}
		}
		if s.fixed && len(a.After) == 0 && len(a.Vessels) > 0 && n(0, 3, "fixed") == 0 {
			a.Fixed = &days.Fixed{Start: n(-2, 6, "start"), Vessel: a.Vessels[0]}
			if a.Fixed.Begun = a.Fixed.Start < 0; a.Fixed.Begun {
				a.Release = 0
			}
			for _, b := range p.Tasks { // two fixed in one pot at once are the person's own affair
				if b.Fixed != nil {
					a.Fixed = nil
				}
			}
		}
		p.Tasks = append(p.Tasks, a)
	}
	return p
}
