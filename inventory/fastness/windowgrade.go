package fastness

import (
	"fmt"
	"time"
)

// changedAt is the worst grade of change at which a specimen counts as not yet
// changed to the eye: 4-5. From 4 down it has changed (from memory, ISO 105-B02
// and CIE 157, which both take grade 4 for the first change to be seen).
const changedAt = Grade(8)

// Placed is where a specimen lies among the blue wools by the looks so far.
type Placed struct {
	Grade Grade // zero where the looks do not give one
	Text  string
}

// Place says which blue wool a specimen faded with, by the looks: the one that
// changed between the same two looks; where none did, half a grade between the
// last that had changed before and the first that had not. It is a proposal: the
// person who takes it in has the last word.
func (w Window) Place() Placed {
	before, at, ok := w.firstChange()
	if !ok {
		return w.unchanged()
	}
	var below, above int // the neighbours; zero where there is none
	var with []int
	for _, n := range w.Beside {
		switch changed := w.woolChanged(n); {
		case changed.IsZero() || changed.After(at):
			if above == 0 {
				above = n
			}
		case changed.After(before) || changed.Equal(at):
			with = append(with, n)
		default:
			below = n
		}
	}
	switch {
	case len(with) > 0:
		return placed(with[0], with[len(with)-1], fmt.Sprintf("it changed between the same looks as blue wool %s", woolList(with)))
	case below == 0 && above == 1:
		return Placed{BlueWool.Worst(), "it changed before blue wool 1 did, the most fugitive"}
	case below == 0 && above > 0:
		return Placed{0, fmt.Sprintf("it changed before blue wool %d did, the lowest beside it: no lower one lies there to tell", above)}
	case above == 0 && below > 0:
		return Placed{0, fmt.Sprintf("it changed after blue wool %d did, the highest beside it: no higher one lies there to tell", below)}
	case below > 0:
		return placed(below, above, fmt.Sprintf("it changed after blue wool %d and before blue wool %d", below, above))
	}
	return Placed{0, "it changed, and no blue wool lies beside it to tell by"}
}

// placed gives a grade where low and high are the same or neighbours.
func placed(low, high int, text string) Placed {
	switch high - low {
	case 0:
		return Placed{Whole(low), text}
	case 1:
		return Placed{Half(low), text}
	}
	return Placed{0, text + ": too far apart for a grade"}
}

// firstChange is the first look that found the specimen changed, and the look
// before it, or the day it was put out.
func (w Window) firstChange() (before, at time.Time, ok bool) {
	before = w.PutOut
	for _, l := range w.Looks {
		if l.Grade > 0 && l.Grade <= changedAt {
			return before, l.On, true
		}
		if l.Grade > 0 {
			before = l.On
		}
	}
	return before, at, false
}

func (w Window) unchanged() Placed {
	highest := 0
	for _, n := range w.Beside {
		if !w.woolChanged(n).IsZero() {
			highest = n
		}
	}
	switch {
	case len(w.Looks) == 0:
		return Placed{0, "nobody has looked yet"}
	case highest == 0:
		return Placed{0, "neither it nor a blue wool beside it was found changed yet"}
	}
	return Placed{0, fmt.Sprintf("it was not found changed yet, and blue wool %d was: better than %d, and nobody can say how much", highest, highest)}
}
