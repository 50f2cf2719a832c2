package days

import (
	"slices"
	"sort"
)

// Placed is a task with its time. Start is when its vessel's clean-down begins.
type Placed struct {
	Start, End Minute
	Clean      Minute // of Start, spent on the vessel
	Lift       Minute // when its attended end begins; End where there is none
	Vessel     int    // index; -1: none
}

// ready is when its clean-down is done and the stage itself begins.
func (p Placed) ready() Minute { return p.Start + p.Clean }

// booking is one use of a vessel.
type booking struct {
	task       int
	start, end Minute
	clean      Minute // what is set aside before it
	shade      Shade
	fixed      bool
}

// line is what one vessel does, in order of time.
type line struct {
	vessel   Vessel
	bookings []booking
	shortest Minute // of all tasks that may be in it
	solid    int    // before this booking there is no gap that takes the shortest
}

// room is the soonest that anything may find room.
func (l *line) room() Minute {
	for ; l.solid < len(l.bookings); l.solid++ {
		if _, free := l.last(l.solid); l.bookings[l.solid].start-free >= l.shortest {
			break
		}
	}
	_, free := l.last(l.solid)
	return free
}

// gapAt is the place of a use that would begin at t or later: behind all that
// end by then.
func (l *line) gapAt(t Minute) int {
	high, step := len(l.bookings), 1
	for high-step >= 0 && l.bookings[high-step].end > t {
		high, step = high-step, 2*step
	}
	low := max(0, high-step)
	return low + sort.Search(high-low, func(i int) bool { return l.bookings[low+i].end > t })
}

// last is what was in the vessel before place k, and until when.
func (l *line) last(k int) (Shade, Minute) {
	if k == 0 {
		return l.vessel.Left, l.vessel.Free
	}
	return l.bookings[k-1].shade, l.bookings[k-1].end
}

// until is when the use at place k must have ended.
func (l *line) until(k int) Minute {
	if k == len(l.bookings) {
		return Never
	}
	return l.bookings[k].start
}

func (l *line) add(k int, b booking) {
	l.bookings = slices.Insert(l.bookings, k, b)
	l.solid = min(l.solid, k)
}

func (l *line) remove(task int, near Minute) {
	for k := max(0, l.gapAt(near)-1); k < len(l.bookings); k++ {
		if l.bookings[k].task == task {
			l.bookings = slices.Delete(l.bookings, k, k+1)
			l.solid = min(l.solid, k)
			return
		}
	}
}
