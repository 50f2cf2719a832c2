package days_test

import (
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"dyelot/inventory/days"
	"dyelot/inventory/fault"
)

// Nothing has happened: the plan stays as it is. A task runs late: it is begun and
// kept, all rules hold, and nothing moves to sooner.
func TestReplanMovesLittleAndKeepsWhatHasBegun(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := draw(t, small{tasks: 10, horizon: 400})
		first, err := days.Make(p, days.Limit{Nodes: 2000})
		if f, ok := fault.Of(err); ok && f.Reason == "NO_ROOM" {
			t.Skip("no calendar holds it")
		}
		if err != nil {
			t.Fatal(err)
		}
		again, err := days.Replan(p, first.Placed, days.Limit{Nodes: 2000})
		if err != nil {
			t.Fatal(err)
		}
		for i := range p.Tasks {
			if again.Placed[i].Start < first.Placed[i].Start {
				t.Fatalf("%s moved from %d to %d though nothing has happened", p.Tasks[i].Name, first.Placed[i].Start, again.Placed[i].Start)
			}
		}
		late := rapid.IntRange(0, len(p.Tasks)-1).Draw(t, "late")
		for _, w := range p.Tasks[late].After { // what was before it is done
			if w.Task >= 0 {
				return
			}
		}
		by := int64(rapid.IntRange(1, 12).Draw(t, "by"))
		at := first.Placed[late]
		p.Tasks[late].Fixed = &days.Fixed{Start: at.Start, Vessel: at.Vessel, Until: at.End + by, Begun: true}
		moved, err := days.Replan(p, first.Placed, days.Limit{Nodes: 2000})
		if err != nil {
			t.Fatal(err)
		}
		for _, wrong := range broken(p, moved) {
			t.Error(wrong)
		}
		for i := range p.Tasks {
			if i != late && moved.Placed[i].Start < first.Placed[i].Start {
				t.Errorf("%s moved to sooner", p.Tasks[i].Name)
			}
		}
	})
}

// twoLoads is the worked number of the package: one pot, Monday to Wednesday.
func twoLoads() *days.Problem {
	h := days.UsualHours()
	p := &days.Problem{Hours: h.Calendar(time.Date(2026, 11, 30, 0, 0, 0, 0, time.UTC), 3), Vessels: []days.Vessel{{Code: "pot-40"}}, RinseOut: 10, Scrub: 10}
	for k := range 2 {
		p.Tasks = append(p.Tasks, days.Task{Name: fmt.Sprint("load ", k+1), Begin: 30, Heat: 90, Soak: 12 * 60, LongestSoak: days.Never, End: 15, Vessels: []int{0}, Burner: true})
	}
	return p
}

func ExampleMake() {
	pl, err := days.Make(twoLoads(), days.Limit{})
	if err != nil {
		panic(err)
	}
	fmt.Println(pl.Makespan, pl.Optimal)
	// Output: 3375 true
}

// Why says who has the pot, and until when.
func TestWhySaysWhatHoldsATask(t *testing.T) {
	t.Parallel()
	p := twoLoads()
	pl, err := days.Make(p, days.Limit{})
	if err != nil {
		t.Fatal(err)
	}
	first, second := 0, 1
	if pl.Placed[1].Start < pl.Placed[0].Start {
		first, second = 1, 0
	}
	why := days.Why(p, pl)
	if w := why[second]; w.Kind != "vessel" || w.Task != first || w.Until != days.Day+495 {
		t.Errorf("%+v", w)
	}
	if w := why[first]; w.Kind != "hours" || w.Until != 480 {
		t.Errorf("%+v", w)
	}
}

// A pinned task stands whatever it costs, and what cannot be kept is said.
func TestAPinThatCannotBeKeptIsAClash(t *testing.T) {
	t.Parallel()
	p := twoLoads()
	p.Tasks[1].After = []days.Wait{{Task: 0, Most: days.Never}}
	p.Tasks[1].Fixed = &days.Fixed{Start: 600, Vessel: 0}
	p.Vessels = append(p.Vessels, days.Vessel{Code: "pot-30"})
	p.Tasks[0].Vessels = []int{1}
	pl, err := days.Make(p, days.Limit{})
	if err != nil || pl.Placed[1].Start != 600 || len(pl.Clashes) != 1 || pl.Clashes[0].Before != 0 {
		t.Errorf("%v, %+v", err, pl)
	}
}

// What is lifted hot must find its tub free within the hour: the tub is taken by a
// brew until noon on Tuesday, so the pot is lifted then and not at 8.
func TestWhatIsLiftedHotFindsItsTubFree(t *testing.T) {
	t.Parallel()
	p := twoLoads()
	p.Vessels = append(p.Vessels, days.Vessel{Code: "tub-60"})
	p.Tasks = p.Tasks[:1]
	p.Tasks = append(p.Tasks,
		days.Task{Name: "brew", Soak: 60, LongestSoak: 60, Vessels: []int{1}, Fixed: &days.Fixed{Start: 480, Vessel: 1, Until: days.Day + 720, Begun: true}},
		days.Task{Name: "rinse", Begin: 20, LongestSoak: 0, Vessels: []int{1}, After: []days.Wait{{Task: 0, Most: 60}}})
	pl, err := days.Make(p, days.Limit{})
	if err != nil {
		t.Fatal(err)
	}
	check(t, p, pl)
	if pot, rinse := pl.Placed[0], pl.Placed[2]; rinse.Start != days.Day+720 || pot.End < days.Day+660 || rinse.Start-pot.End > 60 {
		t.Errorf("the pot is lifted at %d, the rinse begins at %d", pot.End, rinse.Start)
	}
}
