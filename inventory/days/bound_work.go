package days

import (
	"fmt"
	"slices"
)

// vesselGroups bound each set of vessels that is all that some tasks may use.
func (r *relaxed) vesselGroups() []Bound {
	var found []Bound
	for _, group := range r.p.groups() {
		var tasks []int
		for i := range r.p.Tasks {
			if t := &r.p.Tasks[i]; t.Fixed == nil && len(t.Vessels) > 0 && subset(t.Vessels, group) {
				tasks = append(tasks, i)
			}
		}
		for _, part := range r.parts(tasks) {
			at := r.soonest(part, r.vesselsDone(part, int64(len(group))))
			names := ""
			for _, v := range group {
				names += ", " + r.p.Vessels[v].Code
			}
			found = append(found, Bound{at, "what " + names[2:] + " must hold"})
		}
	}
	return found
}

// groups are the sets of vessels of the tasks, and their unions where they meet.
func (p *Problem) groups() [][]int {
	var sets [][]int
	seen := map[string]bool{}
	add := func(s []int) {
		s = slices.Compact(slices.Sorted(slices.Values(s)))
		key := string(runesOf(s))
		if len(s) > 0 && !seen[key] {
			seen[key] = true
			sets = append(sets, s)
		}
	}
	for _, t := range p.Tasks {
		if t.Fixed == nil {
			add(t.Vessels)
		}
	}
	for k, first := 0, len(sets); k < first && first <= 24; k++ {
		for j := range k {
			if meet(sets[k], sets[j]) {
				add(append(slices.Clone(sets[k]), sets[j]...))
			}
		}
	}
	return sets
}

func runesOf(s []int) (rs []rune) {
	for _, v := range s {
		rs = append(rs, rune(v+1))
	}
	return rs
}

func subset(s, of []int) bool {
	return !slices.ContainsFunc(s, func(v int) bool { return !slices.Contains(of, v) })
}

func meet(a, b []int) bool {
	return slices.ContainsFunc(a, func(v int) bool { return slices.Contains(b, v) })
}

// parts are all tasks, and those of the longest tails or the latest heads: fewer
// ask for less time but for more before or behind it.
func (r *relaxed) parts(tasks []int) [][]int {
	if len(tasks) == 0 {
		return nil
	}
	parts := [][]int{tasks}
	for _, key := range []func(int) int64{func(i int) int64 { return -r.tail[i] }, func(i int) int64 { return -r.head[i] }} {
		sorted := slices.Clone(tasks)
		sortBy(sorted, key)
		step := max(1, len(sorted)/12)
		for n := step; n < len(sorted); n += step {
			if key(sorted[n-1]) != key(sorted[n]) {
				parts = append(parts, sorted[:n])
			}
		}
	}
	return parts
}

// vesselsDone is the soonest that m vessels can be through with some tasks.
func (r *relaxed) vesselsDone(tasks []int, m int64) Minute {
	head, nights, total := Never, int64(0), int64(0)
	least := [3]Minute{Never, Never, Never}
	lift := Never
	for _, i := range tasks {
		t := &r.p.Tasks[i]
		front := t.front() + r.clean(t)
		head = min(head, r.head[i])
		least = [3]Minute{min(least[0], front), min(least[1], t.Soak), min(least[2], t.End)}
		total += front + t.Soak + t.End
		if front > 0 && t.End > 0 {
			if n := r.nights(front + t.Soak + t.End); n > 0 {
				nights += n
				lift = min(lift, t.End)
			}
		}
	}
	done := head + ceil(total, m)
	if at := r.oneAfterAnother(least, head, ceil(int64(len(tasks)), m)); at > done {
		done = at
	}
	if nights > 0 {
		done = max(done, r.afterNights(head, ceil(nights, m), lift))
	}
	return done
}

// oneAfterAnother is the end of n uses of one vessel, each as short as the
// shortest in each of its parts.
func (r *relaxed) oneAfterAnother(least [3]Minute, at Minute, n int64) Minute {
	for ; n > 0; n-- {
		if _, at = r.alone(least[0], least[1], least[2], at); at >= Never {
			break
		}
	}
	return at
}

// nights is the least number of closed times that something so long spans when
// it begins and ends in working hours.
func (r *relaxed) nights(length Minute) int64 {
	if n, known := r.spans[length]; known {
		return n
	}
	n := r.spansOf(length)
	r.spans[length] = n
	return n
}

func (r *relaxed) spansOf(length Minute) int64 {
	h := r.p.Hours
	for n := range h {
		for k := 0; k+n < len(h); k++ {
			if h[k+n].To-h[k].From >= length {
				return int64(n)
			}
		}
	}
	return 0
}

// afterNights is the soonest end of the last of some tasks that stand over so
// many nights, one after another, in one vessel.
func (r *relaxed) afterNights(head Minute, n int64, lift Minute) Minute {
	k := r.p.Hours.shiftAt(head) + int(n)
	if k >= len(r.p.Hours) {
		return 0
	}
	return r.p.Hours[k].From + lift
}

func ceil(a, b int64) int64 { return (a + b - 1) / b }

// work bounds hands, burners and racks by all that they must do.
func (r *relaxed) work() []Bound {
	var found []Bound
	var tasks []int
	for i := range r.p.Tasks {
		if r.p.Tasks[i].Fixed == nil {
			tasks = append(tasks, i)
		}
	}
	for _, part := range r.parts(tasks) {
		head := Never
		var hands, burning, hanging int64
		for _, i := range part {
			t := &r.p.Tasks[i]
			head = min(head, r.head[i])
			hands += (r.clean(t) + t.Begin + t.End) * t.hands()
			if t.Burner {
				burning += r.clean(t) + t.front()
			}
			hanging += t.least() * t.Rack
		}
		if r.p.Hours != nil && hands > 0 {
			found = append(found, r.said(part, r.worked(head, hands, true), "hands: "+hoursOf(hands)+" of attended work"))
		}
		if r.p.Burners > 0 && burning > 0 {
			each := ceil(burning, int64(r.p.Burners))
			done := head + each
			if r.p.Hours != nil {
				done = r.worked(head, each, false)
			}
			found = append(found, r.said(part, done, "burners: "+hoursOf(burning)+" of heat"))
		}
		if r.p.Rack > 0 && hanging > 0 {
			found = append(found, r.said(part, head+ceil(hanging, r.p.Rack), "racks"))
		}
	}
	return found
}

// said is a bound on the plan from a time at which the last of some tasks is at
// work at the soonest: nothing of what follows any of them can be over before.
func (r *relaxed) said(tasks []int, done Minute, why string) Bound {
	least := Never
	for _, i := range tasks {
		// The piece of work that comes last may be what begins the task.
		least = min(least, done+r.tail[i])
	}
	return Bound{max(done, least), why}
}

// worked is when so many minutes of work are done, from a time on, by all people
// or by one.
func (r *relaxed) worked(from Minute, work int64, all bool) Minute {
	for k := r.p.Hours.shiftAt(from); k < len(r.p.Hours); k++ {
		s := r.p.Hours[k]
		rate := int64(1)
		if all {
			rate = int64(s.People)
		}
		start := max(s.From, from)
		if can := (s.To - start) * rate; work > can {
			work -= can
			continue
		}
		return start + ceil(work, rate)
	}
	return 0
}

func hoursOf(minutes int64) string {
	return fmt.Sprintf("%d h", ceil(minutes, 60))
}
