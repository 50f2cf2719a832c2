package colour

import (
	"cmp"
	"slices"
)

// Neighbour is one colour found near another: where it stood in the list given
// to NewNearest, and its CIEDE2000 from the colour asked for.
type Neighbour struct {
	Index      int
	Difference float64
}

// Nearest finds the nearest of many colours by CIEDE2000. It never changes once
// made, so that any number of goroutines may ask it at once.
type Nearest struct {
	labs []Lab
}

// NewNearest takes the colours up, all under one illuminant and observer. What
// Check refuses is no colour and is never found. The list is not kept.
func NewNearest(labs []Lab) *Nearest {
	return &Nearest{labs: slices.Clone(labs)}
}

// Len is how many colours can be found.
func (n *Nearest) Len() int {
	count := 0
	for _, c := range n.labs {
		if c.Check() == nil {
			count++
		}
	}
	return count
}

// Find returns the k colours nearest to q, the nearest first; of two that are
// equally far the one with the lower index comes first. Only colours for whose
// index keep says true are counted; nil keeps all. It is exact: the answer is
// that of comparing q with every colour. There are fewer than k where fewer are
// kept, and none where Check refuses q.
func (n *Nearest) Find(q Lab, k int, keep func(i int) bool) []Neighbour {
	if k < 1 || q.Check() != nil {
		return nil
	}
	var found []Neighbour
	for i, c := range n.labs {
		if c.Check() == nil && (keep == nil || keep(i)) {
			found = append(found, Neighbour{i, CIEDE2000(q, c)})
		}
	}
	slices.SortFunc(found, func(x, y Neighbour) int {
		return cmp.Or(cmp.Compare(x.Difference, y.Difference), x.Index-y.Index)
	})
	return found[:min(k, len(found))]
}
