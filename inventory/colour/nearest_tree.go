package colour

// leafSize is how many colours hang from a leaf at most. Less makes the cells
// outgrow the colours in memory and is no faster.
const leafSize = 32

// tree is a balanced tree over lightness, chroma and hue (a k-d tree) without a
// pointer: the children of cell i are 2i+1 and 2i+2, and the leaves, the last of
// the cells, share the colours out evenly in their order.
type tree struct {
	leaves int // a power of two, or 0 for no colours
	cells  []cell
	labs   []Lab   // leaf by leaf
	index  []int32 // where each of labs stood in the caller's list
}

// span is the share of a leaf, counted from 0.
func (t *tree) span(leaf int) (first, end int) {
	return leaf * len(t.labs) / t.leaves, (leaf + 1) * len(t.labs) / t.leaves
}

// seed is a colour while the tree is grown.
type seed struct {
	at    [3]float64 // lightness, chroma, hue in radians from 0 to 2π
	index int32
}

func grow(labs []Lab) tree {
	seeds := make([]seed, 0, len(labs))
	for i, c := range labs {
		if c.Check() == nil {
			p := c.LCh()
			seeds = append(seeds, seed{[3]float64{p.L, p.C, p.H * radians}, int32(i)})
		}
	}
	t := tree{labs: make([]Lab, len(seeds)), index: make([]int32, len(seeds))}
	if len(seeds) == 0 {
		return t
	}
	for t.leaves = 1; t.leaves*leafSize < len(seeds); {
		t.leaves *= 2
	}
	t.cells = make([]cell, 2*t.leaves-1)
	t.split(0, 0, t.leaves, seeds)
	for i, s := range seeds {
		t.labs[i], t.index[i] = labs[s.index], s.index
	}
	return t
}

// split makes the cell of a node that covers some leaves, and what hangs from
// it. It puts the seeds in the order of the leaves.
func (t *tree) split(node, first, leaves int, seeds []seed) {
	lo, _ := t.span(first)
	_, hi := t.span(first + leaves - 1)
	least, most := extent(seeds[lo:hi])
	t.cells[node] = cellAround(least, most)
	if leaves == 1 {
		return
	}
	middle, _ := t.span(first + leaves/2)
	part(seeds[lo:hi], middle-lo, widest(least, most))
	t.split(2*node+1, first, leaves/2, seeds)
	t.split(2*node+2, first+leaves/2, leaves/2, seeds)
}

func extent(seeds []seed) (least, most [3]float64) {
	least, most = seeds[0].at, seeds[0].at
	for _, s := range seeds[1:] {
		for axis, v := range s.at {
			least[axis], most[axis] = min(least[axis], v), max(most[axis], v)
		}
	}
	return least, most
}

// widest is the axis along which a box reaches farthest, roughly as CIEDE2000
// counts it. Hue counts double, for so it looks from a more saturated colour.
func widest(least, most [3]float64) (axis int) {
	c := 0.5 * (least[1] + most[1])
	reach := [3]float64{
		(most[0] - least[0]) / 1.2,
		(most[1] - least[1]) / (1 + 0.045*c),
		(most[2] - least[2]) / (1 + 0.015*c) * c * 2,
	}
	for i, r := range reach {
		if r > reach[axis] {
			axis = i
		}
	}
	return axis
}

// part puts the n seeds with the least values along an axis before the others
// (Hoare's selection, with the middle of three as pivot).
func part(seeds []seed, n, axis int) {
	for lo, hi := 0, len(seeds)-1; lo < hi; {
		x, y, z := seeds[lo].at[axis], seeds[(lo+hi)/2].at[axis], seeds[hi].at[axis]
		pivot := max(min(x, y), min(max(x, y), z))
		i, j := lo, hi
		for i <= j {
			for seeds[i].at[axis] < pivot {
				i++
			}
			for seeds[j].at[axis] > pivot {
				j--
			}
			if i <= j {
				seeds[i], seeds[j] = seeds[j], seeds[i]
				i++
				j--
			}
		}
		switch {
		case n <= j:
			hi = j
		case n >= i:
			lo = i
		default:
			return
		}
	}
}
