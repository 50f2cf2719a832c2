package days

import (
	"cmp"
	"slices"
)

func sortBy(list []int, key func(int) int64) {
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(key(a), key(b)) })
}

// tails is, of each task, the least time from its start to the end of all that
// follows, were everything free at all hours.
func (p *Problem) tails(order []int) []Minute {
	tail := make([]Minute, len(p.Tasks))
	for i := range p.Tasks {
		tail[i] = p.Tasks[i].least()
	}
	for k := len(order) - 1; k >= 0; k-- {
		j := order[k]
		for _, w := range p.Tasks[j].After {
			i := w.Task
			tail[i] = max(tail[i], p.Tasks[i].least()+w.Least+tail[j])
		}
	}
	return tail
}

// latest is, of each task, the soonest due date among all that follow it, less
// what must be done until then.
func (p *Problem) latest(order []int) []Minute {
	late := make([]Minute, len(p.Tasks))
	for i, t := range p.Tasks {
		late[i] = Never
		if t.Due > 0 {
			late[i] = t.Due - t.least()
		}
		if t.Fixed != nil {
			late[i] = t.Fixed.Start
		}
	}
	for k := len(order) - 1; k >= 0; k-- {
		j := order[k]
		for _, w := range p.Tasks[j].After {
			late[w.Task] = min(late[w.Task], late[j]-w.Least-p.Tasks[w.Task].least())
		}
	}
	return late
}

// choice is how few vessels may serve a task or what follows it.
func (p *Problem) choice(order []int) []int64 {
	few := make([]int64, len(p.Tasks))
	for i, t := range p.Tasks {
		if few[i] = int64(len(t.Vessels)); few[i] == 0 {
			few[i] = int64(len(p.Vessels) + 1)
		}
	}
	for k := len(order) - 1; k >= 0; k-- {
		for _, w := range p.Tasks[order[k]].After {
			few[w.Task] = min(few[w.Task], few[order[k]])
		}
	}
	return few
}

// light is how light the shade of a task, or of the first coloured one behind
// it, is; lighter is smaller.
func (p *Problem) light(order []int) []int64 {
	shade := make([]int64, len(p.Tasks))
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		if t := p.Tasks[i]; t.Shade.Colour {
			shade[i] = 100_000 - t.Shade.Light
		}
		for _, w := range p.Tasks[i].After {
			if shade[w.Task] == 0 && !p.Tasks[w.Task].Shade.Colour {
				shade[w.Task] = shade[i]
			}
		}
	}
	return shade
}

// rules rank the tasks, each by one thing and then by the next: what is due
// first, what has fewest vessels to go to, the longest way to go, light before
// dark.
func (p *Problem) rules(order []int) [][]int64 {
	tail, late, few, light := p.tails(order), p.latest(order), p.choice(order), p.light(order)
	fewest := slices.Max(append(slices.Clone(few), 1)) + 1
	var due, long, narrow, pale []int64
	for i := range p.Tasks {
		due = append(due, late[i]/Day*1_000_000-tail[i])
		long = append(long, -tail[i])
		narrow = append(narrow, few[i]*1_000_000-tail[i])
		pale = append(pale, few[i]*1_000_000+light[i]/1000)
	}
	both := make([]int64, len(p.Tasks))
	for i := range both {
		both[i] = min(late[i], Never/Day)/Day*fewest + few[i]
	}
	return [][]int64{due, narrow, long, pale, both}
}

// ofBlocks is the least rank in each block.
func (b blocks) ofBlocks(rank []int64) []int64 {
	least := make([]int64, len(b.in))
	for k, in := range b.in {
		least[k] = rank[in[0]]
		for _, i := range in {
			least[k] = min(least[k], rank[i])
		}
	}
	return least
}
