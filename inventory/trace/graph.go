package trace

import (
	"cmp"
	"slices"
	"strconv"
)

// Node is one thing in a history, by the letter that its code begins with: a
// parcel P7, a stage record S5 (one use of one bath), an entry E4 of the diary
// of a bath, which fed it, a lot L3; and a garment, G with the number of its row, since a tag is for people.
type Node struct {
	Letter byte
	ID     int64
}

// String is the code: "P7".
func (n Node) String() string { return string(n.Letter) + strconv.FormatInt(n.ID, 10) }

// ParcelNode, RecordNode, EntryNode, LotNode and GarmentNode name the five.
func ParcelNode(id int64) Node  { return Node{'P', id} }
func RecordNode(id int64) Node  { return Node{'S', id} }
func EntryNode(id int64) Node   { return Node{'E', id} }
func LotNode(id int64) Node     { return Node{'L', id} }
func GarmentNode(id int64) Node { return Node{'G', id} }

func compareNodes(a, b Node) int {
	return cmp.Or(cmp.Compare(a.Letter, b.Letter), cmp.Compare(a.ID, b.ID))
}

// Graph says what went into what. Its zero value is empty and ready.
type Graph struct {
	above, below map[Node][]Node
}

// Link notes that one thing went into another: a parcel into a bath or into a
// parcel made of it, a bath into the lots whose cloth it held, a lot into its
// garments. A second time changes nothing.
func (g *Graph) Link(from, into Node) {
	if g.below == nil {
		g.above, g.below = map[Node][]Node{}, map[Node][]Node{}
	}
	if slices.Contains(g.below[from], into) {
		return
	}
	g.below[from] = append(g.below[from], into)
	g.above[into] = append(g.above[into], from)
}

// Above lists everything that a thing is made of, however far up, in the order
// of the codes and without itself.
func (g *Graph) Above(n Node) []Node { return reach(g.above, n) }

// Below lists everything that a thing went into, however far down. It is the
// mirror of Above: b is below a exactly when a is above b (law 4).
func (g *Graph) Below(n Node) []Node { return reach(g.below, n) }

func reach(next map[Node][]Node, from Node) []Node {
	seen := map[Node]bool{}
	for open := slices.Clone(next[from]); len(open) > 0; {
		n := open[len(open)-1]
		open = open[:len(open)-1]
		if !seen[n] {
			seen[n] = true
			open = append(open, next[n]...)
		}
	}
	var found []Node
	for n := range seen {
		found = append(found, n)
	}
	slices.SortFunc(found, compareNodes)
	return found
}

// order lists every node before whatever it is made of: garments first, the
// oldest parcels last. Where the graph has a cycle there is no such order, and
// the nodes of one cycle come back instead.
func (g *Graph) order() (ordered, cycle []Node) {
	waiting := map[Node]int{} // on how many things below
	var free []Node
	for n := range g.above {
		waiting[n] = len(g.below[n])
	}
	for n := range g.below {
		waiting[n] = len(g.below[n])
	}
	for n, w := range waiting {
		if w == 0 {
			free = append(free, n)
		}
	}
	for len(free) > 0 {
		n := free[len(free)-1]
		free = free[:len(free)-1]
		ordered = append(ordered, n)
		for _, up := range g.above[n] {
			if waiting[up]--; waiting[up] == 0 {
				free = append(free, up)
			}
		}
	}
	if len(ordered) == len(waiting) {
		return ordered, nil
	}
	return nil, g.loop(waiting)
}

// loop walks down among the nodes that still wait, each of which has another
// one of them below it, until one comes twice.
func (g *Graph) loop(waiting map[Node]int) []Node {
	var at Node
	for n, w := range waiting {
		if w > 0 && (at == Node{} || compareNodes(n, at) < 0) {
			at = n
		}
	}
	var path []Node
	for !slices.Contains(path, at) {
		path = append(path, at)
		i := slices.IndexFunc(g.below[at], func(n Node) bool { return waiting[n] > 0 })
		at = g.below[at][i]
	}
	return path[slices.Index(path, at):]
}

// Cycle lists the nodes of a cycle, each with the next one below it, or nothing:
// whatever was made is new, so nothing is made of itself (law 4).
func (g *Graph) Cycle() []Node {
	_, cycle := g.order()
	return cycle
}
