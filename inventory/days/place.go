package days

// tries of one block before it is given up: each moves a task later by as much
// as a longest wait asks.
const tries = 400

// place books a block as early as it goes and returns when it begins; its tasks
// are tied by longest waits, so one that would wait too long begins later, or
// soaks on.
func (w *builder) place(board *board, block int, how way) (Minute, bool) {
	in := w.inside(block, how)
	if len(in) == 1 && w.p.Tasks[in[0]].Fixed != nil {
		return board.at[in[0]].Start, true
	}
	low := w.low[block]
	w.look(board, in, low, how)
	for range tries {
		first, placed, ok := Never, 0, true
		for k, i := range in {
			p, found := board.find(i, w.from(board, i, low[k], how), w.vessel(i, how))
			if !found {
				ok = false
				break
			}
			board.book(i, p, false)
			low[k].start = p.Start // what is booked only grows: never sooner than this again
			first = min(first, p.ready())
			placed++
		}
		if !ok {
			w.unplace(board, in[:placed])
			return 0, false
		}
		if !w.tighten(board, in, low) {
			return first, true
		}
		w.unplace(board, in)
		w.budget.spend(len(in))
	}
	return 0, false
}

// inside lists a block's tasks in the order in which they are placed.
func (w *builder) inside(block int, how way) []int {
	if how.in != nil && how.in[block] != nil {
		return how.in[block]
	}
	return w.b.in[block]
}

// look raises the bounds of a block by the room in vessels that are all that a
// task may have: what goes before it by a longest wait need not be tried in the
// weeks before.
func (w *builder) look(board *board, in []int, low []bounds, how way) {
	if len(in) == 1 {
		return
	}
	for k := len(in) - 1; k >= 0; k-- {
		i := in[k]
		t := &w.p.Tasks[i]
		v := w.vessel(i, how)
		if v < 0 && len(t.Vessels) == 1 {
			v = t.Vessels[0]
		}
		if v >= 0 {
			low[k].start = max(low[k].start, board.lines[v].room())
		}
		for _, a := range t.After {
			for m, j := range in[:k] {
				if j == a.Task && a.Most < Never {
					before := &w.p.Tasks[j]
					low[m].end = max(low[m].end, low[k].start-a.Most)
					if before.LongestSoak < Never {
						low[m].start = max(low[m].start, low[m].end-before.front()-before.LongestSoak-before.End-max(w.p.Scrub, w.p.RinseOut))
					}
				}
			}
		}
	}
}

func (w *builder) unplace(board *board, tasks []int) {
	for _, i := range tasks {
		board.unbook(i)
	}
}

func (w *builder) vessel(i int, how way) int {
	if how.only == nil {
		return -1
	}
	return how.only[i]
}

// from is how early a task may begin: its release, and those before it.
func (w *builder) from(board *board, i int, low bounds, how way) bounds {
	t := &w.p.Tasks[i]
	low.start = max(low.start, t.Release)
	if how.floor != nil {
		low.start = max(low.start, how.floor[i])
	}
	for _, a := range t.After {
		if board.done[a.Task] {
			low.start = max(low.start, board.at[a.Task].End+a.Least)
		}
	}
	return low
}

// tighten raises the bounds of tasks whose followers in the block come too late
// for them, and says whether it raised any.
func (w *builder) tighten(board *board, in []int, low []bounds) bool {
	raised := false
	for k, i := range in {
		for _, a := range w.p.Tasks[i].After {
			if a.Most >= Never || w.b.of[a.Task] != w.b.of[in[k]] {
				continue
			}
			before := &w.p.Tasks[a.Task]
			late := board.at[i].Start - a.Most - board.at[a.Task].End
			if late <= 0 {
				continue
			}
			raised = true
			for m, j := range in {
				if j != a.Task {
					continue
				}
				low[m].end = board.at[j].End + late
				if before.LongestSoak < Never {
					stood := board.at[j].Lift - board.at[j].ready() - before.front()
					if spare := before.LongestSoak - stood; spare < late {
						low[m].start = board.at[j].Start + late - max(0, spare)
					}
				}
			}
		}
	}
	return raised
}
