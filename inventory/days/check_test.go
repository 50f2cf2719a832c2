package days_test

import (
	"fmt"
	"testing"

	"dyelot/inventory/days"
)

// check holds a plan against its problem, minute by minute and by code of its
// own: it shares nothing with what built the plan.
func check(t testing.TB, p *days.Problem, pl days.Plan) {
	t.Helper()
	for _, wrong := range broken(p, pl) {
		t.Error(wrong)
	}
	end := int64(0)
	for _, at := range pl.Placed {
		end = max(end, at.End)
	}
	if end != pl.Makespan || pl.Bound.At > pl.Makespan || pl.Optimal != (pl.Bound.At == pl.Makespan) {
		t.Errorf("the last ends at %d; makespan %d, bound %d, optimal %v", end, pl.Makespan, pl.Bound.At, pl.Optimal)
	}
}

func broken(p *days.Problem, pl days.Plan) (wrong []string) {
	say := func(format string, args ...any) { wrong = append(wrong, fmt.Sprintf(format, args...)) }
	if len(pl.Placed) != len(p.Tasks) {
		say("%d tasks are placed of %d", len(pl.Placed), len(p.Tasks))
		return wrong
	}
	for i, t := range p.Tasks {
		at := pl.Placed[i]
		if t.Fixed != nil {
			if at.Start != t.Fixed.Start || at.Vessel != t.Fixed.Vessel {
				say("%s was fixed at %d in %d, and is at %d in %d", t.Name, t.Fixed.Start, t.Fixed.Vessel, at.Start, at.Vessel)
			}
			continue
		}
		soak := at.Lift - (at.Start + at.Clean + t.Begin + t.Heat)
		if soak < t.Soak || soak > t.LongestSoak || at.End != at.Lift+t.End || at.Start < t.Release {
			say("%s soaks %d and ends at %d (%+v)", t.Name, soak, at.End, at)
		}
		for _, w := range t.After {
			wait := at.Start - pl.Placed[w.Task].End
			if f := p.Tasks[w.Task].Fixed; wait < w.Least || wait > w.Most && f == nil {
				say("%s waits %d for %s, asked %d to %d", t.Name, wait, p.Tasks[w.Task].Name, w.Least, w.Most)
			}
		}
		if (at.Vessel < 0) != (len(t.Vessels) == 0) {
			say("%s in vessel %d", t.Name, at.Vessel)
		}
		if at.Vessel >= 0 {
			allowed := false
			for _, v := range t.Vessels {
				allowed = allowed || v == at.Vessel
			}
			if !allowed || at.Start < p.Vessels[at.Vessel].Free {
				say("%s may not be in %d at %d", t.Name, at.Vessel, at.Start)
			}
		}
	}
	wrong = append(wrong, brokenVessels(p, pl)...)
	return append(wrong, brokenMinutes(p, pl)...)
}

// brokenVessels: one use at a time, and cleaned between two.
func brokenVessels(p *days.Problem, pl days.Plan) (wrong []string) {
	for v := range p.Vessels {
		for i, a := range p.Tasks {
			if pl.Placed[i].Vessel != v || a.Fixed != nil {
				continue
			}
			last, left := int64(-1<<60), p.Vessels[v].Left
			for j, b := range p.Tasks {
				if i == j || pl.Placed[j].Vessel != v {
					continue
				}
				x, y := pl.Placed[i], pl.Placed[j]
				if x.Start < y.End && y.Start < x.End {
					wrong = append(wrong, fmt.Sprintf("%s and %s are both in %d", a.Name, b.Name, v))
				}
				if y.End <= x.Start && y.End > last && y.End > y.Start {
					last, left = y.End, b.Shade
				}
			}
			want := p.RinseOut
			if left.Colour && (!a.Shade.Colour || a.Shade.Light > left.Light) {
				want = max(p.Scrub, p.RinseOut)
			}
			if p.Hours == nil || a.Begin+a.Heat == 0 {
				want = 0
			}
			if pl.Placed[i].Clean < want {
				wrong = append(wrong, fmt.Sprintf("%s cleans its vessel for %d minutes of %d", a.Name, pl.Placed[i].Clean, want))
			}
		}
	}
	return wrong
}

// brokenMinutes counts hands, burners and rack in every minute in which a free
// task uses some.
func brokenMinutes(p *days.Problem, pl days.Plan) (wrong []string) {
	for m := int64(0); m < pl.Makespan; m++ {
		people := int64(0)
		for _, s := range p.Hours {
			if m >= s.From && m < s.To {
				people = int64(s.People)
			}
		}
		var hands, burners, rack [2]int64 // all, and of those that are free to move
		inHouse := false
		for i, t := range p.Tasks {
			at := pl.Placed[i]
			count := func(into *[2]int64, n int64) {
				into[0] += n
				if t.Fixed == nil {
					into[1] += n
				}
			}
			begun := t.Fixed != nil && t.Fixed.Begun
			h := max(1, int64(t.Hands))
			began := at.Start + at.Clean
			if m >= at.Start && m < began+t.Begin && !begun || m >= at.Lift && m < at.End {
				count(&hands, h)
			}
			if m >= at.Start && m < began+t.Begin+t.Heat && !begun {
				if t.Burner {
					count(&burners, 1)
				}
				inHouse = inHouse || t.Fixed == nil
			}
			if m >= at.Start && m < at.End {
				count(&rack, t.Rack)
			}
		}
		if p.Hours != nil && (hands[1] > 0 && hands[0] > people || inHouse && people == 0) {
			wrong = append(wrong, fmt.Sprintf("minute %d: %d hands of %d", m, hands[0], people))
		}
		if p.Burners > 0 && burners[1] > 0 && burners[0] > int64(p.Burners) {
			wrong = append(wrong, fmt.Sprintf("minute %d: %d burners of %d", m, burners[0], p.Burners))
		}
		if p.Rack > 0 && rack[1] > 0 && rack[0] > p.Rack {
			wrong = append(wrong, fmt.Sprintf("minute %d: %d pieces on a rack for %d", m, rack[0], p.Rack))
		}
	}
	return wrong
}
