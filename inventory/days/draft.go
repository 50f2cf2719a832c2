package days

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"dyelot/inventory/lot"
	"dyelot/inventory/quantity"
)

// Stage is a planned stage of an open run, as the books have it.
type Stage struct {
	Run, Position int64
	Kind          lot.Kind
	Celsius       int
	Minutes       int
	Lots          []StageLot
	Pot           int64 // the vessel that the plan names; 0: none
	Bath          quantity.Amount
	Light         int64  // thousandths of L* of its standard
	Due           Minute // the end of its run's day; 0: none
	Done          *Done
	Pin           *Pin
}

// StageLot is one lot of a stage.
type StageLot struct {
	ID     int64
	Code   string
	Pot    int64 // the lot's own
	Pieces int64
}

// Done is what was recorded of a stage.
type Done struct {
	Start   Minute // when it began, as far as somebody said
	Over    Minute // when it was over, or is to be, by itself
	Lifted  bool   // somebody said when the cloth came out
	Skipped bool
	Vessel  int64
}

// Pin is a stage that a person has set to a time.
type Pin struct {
	Start  Minute
	Vessel int64 // 0: the one that the plan would take
	Reason string
}

// Kept is a vessel of the studio, and what it is kept for.
type Kept struct {
	Pot  lot.Pot
	Uses []string
}

// Draft is a problem made from the books, with what it stands for.
type Draft struct {
	Problem Problem
	Stage   []int    // of each task: index of its stage
	Note    []string // of each task: to mind
}

// Make up the problem of all open stages. What is recorded and over falls away;
// what cools, soaks, dries or cures on is begun, and keeps its vessel. The cloth
// goes from stage to stage in the order of its recipe; a brew is drawn beside
// that, and must be there when its lot is dyed. Nothing begins before now.
//
// Stages that share a bath must name the same lots as their plan does; they come
// by run and position.
func DraftOf(stages []Stage, vessels []Kept, h Hours, calendar Calendar, now Minute) (Draft, error) {
	d := &drafting{stages: stages, vessels: vessels, now: now, at: map[int64]int{}, left: map[int64]lastBath{}, open: map[int64]*chain{}}
	d.out.Problem = Problem{Hours: calendar, Burners: h.Burners, Rack: int64(h.RackPieces), RinseOut: UsualRinseOut, Scrub: UsualScrub}
	for k, v := range vessels {
		d.at[v.Pot.ID] = k
		d.out.Problem.Vessels = append(d.out.Problem.Vessels, Vessel{Code: v.Pot.Code, Iron: v.Pot.IsIron, Free: 0})
	}
	for k := range stages {
		if err := d.add(k); err != nil {
			return Draft{}, err
		}
	}
	for k, v := range vessels {
		d.out.Problem.Vessels[k].Left = d.left[v.Pot.ID].shade
	}
	return d.out, nil
}

type lastBath struct {
	shade Shade
	until Minute
}

// end is what a lot waits for: a task, or a time that has passed.
type end struct {
	task int // -1: recorded and over
	at   Minute
	row  Row
}

// chain is where a lot stands: what its cloth waits for, and its brews.
type chain struct {
	cloth  *end
	brewed []end
}

type drafting struct {
	stages  []Stage
	vessels []Kept
	now     Minute
	at      map[int64]int
	left    map[int64]lastBath
	open    map[int64]*chain
	out     Draft
}

// add makes a stage a task, unless it is over.
func (d *drafting) add(k int) error {
	s := &d.stages[k]
	row, err := RowOf(s.Kind.Key)
	if err != nil {
		return err
	}
	pieces := int64(0)
	for _, l := range s.Lots {
		pieces += l.Pieces
	}
	t := row.Task(s.Celsius, s.Minutes, pieces)
	t.Name, t.Shade = nameOf(s), d.shade(s)
	for _, l := range s.Lots {
		t.Lots = append(t.Lots, l.Code)
	}
	e := end{task: -1, row: row}
	switch {
	case s.Done != nil && s.Done.Skipped:
		return nil // the cloth waits for what was before
	case s.Done != nil:
		e.at = d.done(k, &t)
		if e.at > d.now {
			e.task = d.append(k, t, "")
		}
	default:
		t.Release = d.now
		note := d.serve(s, &t)
		d.wait(s, &t, row)
		if s.Pin != nil {
			t.Fixed = d.pin(s, &t)
		}
		e.task = d.append(k, t, note)
	}
	d.follow(s, e)
	return nil
}

func (d *drafting) append(k int, t Task, note string) int {
	d.out.Problem.Tasks = append(d.out.Problem.Tasks, t)
	d.out.Stage, d.out.Note = append(d.out.Stage, k), append(d.out.Note, note)
	return len(d.out.Problem.Tasks) - 1
}

func nameOf(s *Stage) string {
	var codes []string
	for _, l := range s.Lots {
		codes = append(codes, l.Code)
	}
	return s.Kind.Name + " of " + strings.Join(codes, ", ")
}

func (d *drafting) shade(s *Stage) Shade {
	iron := s.Kind.Uses == "iron"
	return Shade{Colour: s.Kind.Brews || s.Kind.Shades || iron, Light: s.Light, Iron: iron}
}

// done is when a recorded stage is over. What goes on by itself is a begun task
// that is lifted when there is a hand for it.
func (d *drafting) done(k int, t *Task) Minute {
	s := d.stages[k].Done
	over := s.Over
	vessel, known := d.at[s.Vessel]
	if s.Vessel == 0 || !known {
		vessel = -1
	}
	if last, seen := d.left[s.Vessel]; !seen || over > last.until {
		d.left[s.Vessel] = lastBath{t.Shade, over}
	}
	t.Fixed = &Fixed{Start: s.Start, Vessel: vessel, Until: over, Begun: true}
	if vessel < 0 {
		t.Vessels = nil
	} else {
		t.Vessels = []int{vessel}
	}
	if s.Lifted || over <= d.now {
		t.End = 0
	}
	t.Burner = false
	return over
}

// serve finds the vessels that may hold a bath: the one that the plan names, else
// those that are kept for it and hold it, the smallest first, else the lot's own.
func (d *drafting) serve(s *Stage, t *Task) (note string) {
	if !s.Kind.Bath {
		return ""
	}
	if k, named := d.at[s.Pot]; named {
		t.Vessels = []int{k}
		if d.vessels[k].Pot.IsIron {
			t.Shade.Iron = true // the person has named an iron pot: it is kept apart in any case
		}
		return ""
	}
	for k, v := range d.vessels {
		if slices.Contains(v.Uses, s.Kind.Uses) && v.Pot.Holds(s.Bath) == nil && (!v.Pot.IsIron || t.Shade.Iron) {
			t.Vessels = append(t.Vessels, k)
		}
	}
	slices.SortStableFunc(t.Vessels, func(a, b int) int { return cmp.Compare(d.vessels[a].Pot.Liquor().N, d.vessels[b].Pot.Liquor().N) })
	if len(t.Vessels) > 0 {
		return ""
	}
	for _, l := range s.Lots {
		if k, known := d.at[l.Pot]; known && d.vessels[k].Pot.Holds(s.Bath) == nil {
			t.Vessels = []int{k}
			return fmt.Sprintf("no vessel is kept for %s that holds %s: planned in %s", s.Kind.Uses, s.Bath, d.vessels[k].Pot.Code)
		}
	}
	return fmt.Sprintf("no vessel is kept for %s that holds %s: planned without one", s.Kind.Uses, s.Bath)
}

// wait ties a task to what its lots had before.
func (d *drafting) wait(s *Stage, t *Task, row Row) {
	for _, l := range s.Lots {
		c := d.open[l.ID]
		if c == nil {
			continue
		}
		var before []end
		if c.cloth != nil && !s.Kind.Brews {
			before = append(before, *c.cloth)
		}
		if s.Kind.Dyes {
			before = append(before, c.brewed...)
		}
		for _, e := range before {
			least, most := Rests(e.row, row)
			if e.task < 0 {
				t.Release = max(t.Release, e.at+least)
				continue
			}
			if w := (Wait{e.task, least, most}); !slices.Contains(t.After, w) {
				t.After = append(t.After, w)
			}
		}
	}
}

// follow notes what the lots of a stage wait for from now on. The last stage of
// a lot is what is due.
func (d *drafting) follow(s *Stage, e end) {
	for _, l := range s.Lots {
		c := d.open[l.ID]
		if c == nil {
			c = &chain{}
			d.open[l.ID] = c
		}
		if s.Kind.Brews {
			c.brewed = append(c.brewed, e)
			continue
		}
		if s.Kind.Dyes {
			c.brewed = nil
		}
		if c.cloth != nil && c.cloth.task >= 0 {
			d.out.Problem.Tasks[c.cloth.task].Due = 0
		}
		c.cloth = &end{e.task, e.at, e.row}
		if e.task >= 0 && s.Due != 0 {
			d.out.Problem.Tasks[e.task].Due = max(1, s.Due)
		}
	}
}

func (d *drafting) pin(s *Stage, t *Task) *Fixed {
	f := &Fixed{Start: s.Pin.Start, Vessel: -1}
	if k, named := d.at[s.Pin.Vessel]; named {
		f.Vessel, t.Vessels = k, []int{k}
	} else if len(t.Vessels) > 0 {
		f.Vessel = t.Vessels[0]
	}
	t.Release = 0
	return f
}
