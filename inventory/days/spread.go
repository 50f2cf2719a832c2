package days

import "slices"

// spread gives each task that stands in its vessel overnight the vessel that is
// asked for least, those with the fewest to choose from first; and ranks all by
// their turn in that vessel, light shades before dark, so that every pot is
// loaded each day and none waits for the largest.
func (p *Problem) spread(order []int) (only []int, rank []int64) {
	only, turn := make([]int, len(p.Tasks)), make([]int64, len(p.Tasks))
	queues := make([][]int, len(p.Vessels))
	long := p.Hours.longest()
	var tasks []int
	for i, t := range p.Tasks {
		only[i], turn[i] = -1, -1
		if len(t.Vessels) > 0 && t.Fixed == nil && p.Hours != nil && t.least() > long {
			tasks = append(tasks, i)
		}
	}
	sortBy(tasks, func(i int) int64 { return -p.Tasks[i].least() })
	sortBy(tasks, func(i int) int64 { return int64(len(p.Tasks[i].Vessels)) })
	asked := make([]Minute, len(p.Vessels))
	for _, i := range tasks {
		v := slices.MinFunc(p.Tasks[i].Vessels, func(a, b int) int { return int(asked[a] - asked[b]) })
		only[i], queues[v] = v, append(queues[v], i)
		asked[v] += p.Tasks[i].least()
	}
	late, light := p.latest(order), p.light(order)
	for _, q := range queues {
		sortBy(q, func(i int) int64 { return light[i] })
		sortBy(q, func(i int) int64 { return late[i] / (7 * Day) })
		for k, i := range q {
			turn[i] = int64(k)
		}
	}
	return only, p.handBack(order, turn)
}

// handBack gives tasks before a ranked one its rank, and those behind it too:
// what is begun is brought to its end.
func (p *Problem) handBack(order []int, turn []int64) []int64 {
	rank := slices.Clone(turn)
	for k := len(order) - 1; k >= 0; k-- {
		j := order[k]
		for _, w := range p.Tasks[j].After {
			if i := w.Task; rank[j] >= 0 && (rank[i] < 0 || rank[j] < rank[i]) && turn[i] < 0 {
				rank[i] = rank[j]
			}
		}
	}
	for _, j := range order {
		for _, w := range p.Tasks[j].After {
			if rank[j] < 0 {
				rank[j] = max(rank[j], rank[w.Task])
			}
		}
		if rank[j] < 0 {
			rank[j] = 0
		}
	}
	return rank
}
