package days

import (
	"fmt"

	"dyelot/inventory/fault"
)

// Task is one stage of one lot, or of several that share it.
type Task struct {
	Name string   // for people: "dye, L3"
	Lots []string // codes of the lots that it serves
	Kind string   // a key of lot.Kinds; free where nothing asks for it

	Vessels []int // which may serve, the one preferred first; none: it needs no vessel
	Shade   Shade // what it leaves in the vessel

	// Begin and End are attended minutes, by Hands people (0 is one). Heat are
	// minutes on the burner or in hand's reach: somebody is in the house, but
	// free for other work. Soak is the least time that follows by itself, and
	// LongestSoak the most that it may stand until it is ended.
	Begin, Heat, Soak, LongestSoak, End Minute
	Hands                               int
	Burner                              bool  // while it begins and heats
	Rack                                int64 // pieces that hang on the rack from start to end

	After   []Wait
	Release Minute // nothing before: its blanks or its plant are not there yet
	Due     Minute // the end of the day that it is due; 0: none
	Fixed   *Fixed
}

// Wait is what a task follows.
type Wait struct {
	Task  int    // index of the one before
	Least Minute // from its end
	Most  Minute // Never: any
}

// Fixed is a task that is not to be moved: begun, or pinned by a person.
type Fixed struct {
	Start  Minute // may lie before the plan begins
	Vessel int    // index; -1 for none
	// Until, where it is not 0, is when a begun task is lifted at the earliest,
	// or was. Begun tasks take no more labour to begin.
	Until Minute
	Begun bool
}

// Shade says how dark a bath is: what is lighter than what was in the pot before
// wants the pot scrubbed.
type Shade struct {
	Colour bool  // dye was in it
	Light  int64 // thousandths of L*, of the shade meant
	Iron   bool
}

// Vessel is a pot, tub or vat.
type Vessel struct {
	Code string
	Iron bool   // kept for iron alone
	Free Minute // not before
	Left Shade  // what was in it last
}

// Problem is all that a plan must fit.
type Problem struct {
	Hours   Calendar // nil: no working hours at all, everything goes on by itself
	Vessels []Vessel
	Burners int   // 0: never counted
	Rack    int64 // pieces; 0: never counted
	// RinseOut and Scrub are attended minutes before a bath, in a vessel that
	// another bath was in: RinseOut where it is as dark or darker, Scrub where it
	// is lighter. A vessel is rinsed out in any case.
	RinseOut, Scrub Minute
	Tasks           []Task
}

// The clean-down between two baths, in minutes of somebody's hands: common
// practice.
const (
	UsualRinseOut Minute = 5
	UsualScrub    Minute = 30
)

// maxTasks of a problem: ten seasons of the largest studio.
const maxTasks = 60_000

func (t *Task) hands() int64 { return int64(max(1, t.Hands)) }

// front is the part that must fall into one shift, without the clean-down.
func (t *Task) front() Minute { return t.Begin + t.Heat }

func (t *Task) least() Minute { return t.Begin + t.Heat + t.Soak + t.End }

// cleanBetween is the work on a vessel before a bath of shade next.
func (p *Problem) cleanBetween(last, next Shade) Minute {
	if last.Colour && (!next.Colour || next.Light > last.Light) {
		return max(p.Scrub, p.RinseOut)
	}
	return p.RinseOut
}

// Validate refuses what no plan can hold, naming the field: tasks[3].begin.
func (p *Problem) Validate() error {
	if len(p.Tasks) > maxTasks {
		return fault.BadField("tasks", "%d stages; %d at most are planned at once", len(p.Tasks), maxTasks)
	}
	for k, s := range p.Hours {
		if s.To <= s.From || s.People < 1 || k > 0 && s.From <= p.Hours[k-1].To {
			return fault.BadField(fmt.Sprintf("hours[%d]", k), "from %d to %d with %d people is no shift behind the one before", s.From, s.To, s.People)
		}
	}
	if p.Burners < 0 || p.Rack < 0 || p.RinseOut < 0 || p.Scrub < 0 {
		return fault.BadField("burners", "burners, rack and clean-down are not below zero")
	}
	day := workday{p.Hours.longest(), 0}
	for _, s := range p.Hours {
		day.people = max(day.people, s.People)
	}
	for i := range p.Tasks {
		if err := p.check(i, day); err != nil {
			return fault.In(fmt.Sprintf("tasks[%d]", i), err)
		}
	}
	if _, ok := p.order(); !ok {
		return fault.BadField("tasks", "a stage waits for itself, through those before it")
	}
	return nil
}

// workday is the most that a day of the calendar offers.
type workday struct {
	long   Minute
	people int
}

func (p *Problem) check(i int, day workday) error {
	t := &p.Tasks[i]
	for _, f := range []struct {
		field string
		n     Minute
	}{{"begin", t.Begin}, {"heat", t.Heat}, {"soak", t.Soak}, {"end", t.End}, {"rack", t.Rack}, {"hands", Minute(t.Hands)}, {"release", t.Release}, {"due", t.Due}} {
		if f.n < 0 || f.n > Never/4 {
			return fault.BadField(f.field, "%d lies below zero, or beyond any plan", f.n)
		}
	}
	if t.LongestSoak < t.Soak {
		return fault.BadField("longest_soak", "%d minutes at most, and %d at least", t.LongestSoak, t.Soak)
	}
	for _, w := range t.After {
		if w.Task < 0 || w.Task >= len(p.Tasks) || w.Least < 0 || w.Most < w.Least {
			return fault.BadField("after", "stage %d with a wait of %d to %d minutes", w.Task, w.Least, w.Most)
		}
	}
	for _, v := range t.Vessels {
		if v < 0 || v >= len(p.Vessels) {
			return fault.BadField("vessels", "there is no vessel %d", v)
		}
		if p.Vessels[v].Iron && t.Shade.Colour && !t.Shade.Iron {
			return fault.BadField("vessels", "%s is kept for iron, and %s is without: it would sadden", p.Vessels[v].Code, t.Name)
		}
	}
	if f := t.Fixed; f != nil {
		if f.Vessel < -1 || f.Vessel >= len(p.Vessels) {
			return fault.BadField("fixed", "there is no vessel %d", f.Vessel)
		}
		return nil
	}
	return p.fitsADay(t, day)
}

// fitsADay refuses what no working day is long enough for.
func (p *Problem) fitsADay(t *Task, day workday) error {
	if p.Hours == nil {
		return nil
	}
	need := t.front()
	if need > 0 && len(t.Vessels) > 0 {
		need += max(p.RinseOut, p.Scrub)
	}
	switch {
	case max(need, t.End) > day.long:
		return fault.BadField("begin", "%s takes %d minutes with somebody in the house, and the longest working day has %d", t.Name, max(need, t.End), day.long)
	case int(t.hands()) > day.people && t.Begin+t.End > 0:
		return fault.BadField("hands", "%s takes %d people, and %d work", t.Name, t.hands(), day.people)
	case p.Rack > 0 && t.Rack > p.Rack:
		return fault.BadField("rack", "%s hangs %d pieces, and the racks take %d", t.Name, t.Rack, p.Rack)
	}
	return nil
}

// order lists the tasks so that each stands behind what it waits for.
func (p *Problem) order() ([]int, bool) {
	next, waits := p.followers(), make([]int, len(p.Tasks))
	var order []int
	for i, t := range p.Tasks {
		if waits[i] = len(t.After); waits[i] == 0 {
			order = append(order, i)
		}
	}
	for k := 0; k < len(order); k++ {
		for _, j := range next[order[k]] {
			if waits[j]--; waits[j] == 0 {
				order = append(order, j)
			}
		}
	}
	return order, len(order) == len(p.Tasks)
}

// followers lists, for each task, those that wait for it; one that waits for it
// twice stands there twice.
func (p *Problem) followers() [][]int {
	next := make([][]int, len(p.Tasks))
	for i, t := range p.Tasks {
		for _, w := range t.After {
			next[w.Task] = append(next[w.Task], i)
		}
	}
	return next
}
