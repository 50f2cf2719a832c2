package season

// Limit ends a long search. The inventory asks no clock: the caller counts
// nodes, or passes a function that looks at its own clock or context. With
// neither, a search ends only when it has proved its answer.
type Limit struct {
	Nodes int         // moves and branchings at most; 0 is no limit
	Stop  func() bool // asked at every node; true ends the search; nil never does
}

// budget is a Limit being used up.
type budget struct {
	limit Limit
	used  int
	over  bool
}

// spent counts one node and says whether the search must end.
func (b *budget) spent() bool {
	if b.over {
		return true
	}
	b.used++
	b.over = b.limit.Nodes > 0 && b.used > b.limit.Nodes || b.limit.Stop != nil && b.limit.Stop()
	return b.over
}
