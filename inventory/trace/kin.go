package trace

import (
	"slices"
	"strings"
)

// Past is what the garments of a lot went through, as far as their kin are told
// by it: the baths that touched colour, and the parcels in them.
type Past struct {
	Run   string
	Pot   string
	Baths []Touch
	Parts []Part
}

// Touch is one bath that the lot was in.
type Touch struct {
	Record   string // "S6"
	Position int    // in the recipe
	Name     string // "after-dip"
	// Unusual is where it differed from its plan, in words.
	Unusual []string
}

// Part is one parcel above the lot.
type Part struct {
	Parcel string // "P6"
	Item   string // by its code: "iron-liquor"
	Name   string // "iron liquor"
	Direct bool   // it was in a bath itself, not only in what was made from it
	// Colours: a dyestuff, a mordant, a solution, or cloth that was worked on
	// before, so that lots which share it are kin.
	Colours bool
	Into    []string // parcels made from it that the lot has in it
}

// Kin says what two lots have in common and what sets them apart, mine before
// theirs: "after-dip S7/S6".
//
// Of a parcel and another one made from it, both shared, only the nearer one is
// named.
func Kin(mine, theirs Past) (shared, apart []string) {
	for _, b := range mine.Baths {
		if slices.ContainsFunc(theirs.Baths, func(t Touch) bool { return t.Record == b.Record }) {
			shared = append(shared, b.Name+" "+b.Record)
		}
	}
	both := sharedParts(mine, theirs)
	for _, p := range both {
		nearer := func(code string) bool {
			return slices.ContainsFunc(both, func(q Part) bool { return q.Parcel == code })
		}
		if p.Direct || !slices.ContainsFunc(p.Into, nearer) {
			shared = append(shared, p.Name+" "+p.Parcel)
		}
	}
	apart = append(potsApart(mine, theirs), bathsApart(mine, theirs)...)
	return shared, append(apart, partsApart(mine, theirs)...)
}

func sharedParts(mine, theirs Past) []Part {
	var both []Part
	for _, p := range mine.Parts {
		i := slices.IndexFunc(theirs.Parts, func(q Part) bool { return q.Parcel == p.Parcel })
		if i >= 0 {
			p.Direct = p.Direct && theirs.Parts[i].Direct
			both = append(both, p)
		}
	}
	return both
}

func potsApart(mine, theirs Past) []string {
	var apart []string
	if mine.Run != theirs.Run {
		apart = append(apart, "run "+mine.Run+"/"+theirs.Run)
	}
	if mine.Pot == theirs.Pot {
		return append(apart, "pot "+mine.Pot+", at another time")
	}
	return append(apart, "pot "+mine.Pot+"/"+theirs.Pot)
}

// bathsApart pairs baths of one run by their position, and tells of each that
// is not shared where it went another way than planned.
func bathsApart(mine, theirs Past) []string {
	var apart, unusual []string
	for _, b := range mine.Baths {
		if slices.ContainsFunc(theirs.Baths, func(t Touch) bool { return t.Record == b.Record }) {
			continue
		}
		unusual = append(unusual, b.said()...)
		if mine.Run != theirs.Run {
			continue
		}
		apart = append(apart, b.Name+" "+b.Record+"/"+at(theirs, b.Position))
	}
	for _, t := range theirs.Baths {
		if slices.ContainsFunc(mine.Baths, func(b Touch) bool { return t.Record == b.Record }) {
			continue
		}
		unusual = append(unusual, t.said()...)
		if mine.Run == theirs.Run && at(mine, t.Position) == none {
			apart = append(apart, t.Name+" "+none+"/"+t.Record)
		}
	}
	return append(apart, unusual...)
}

// none stands for the side that has no such thing.
const none = "none"

func at(p Past, position int) string {
	var records []string
	for _, b := range p.Baths {
		if b.Position == position {
			records = append(records, b.Record)
		}
	}
	if len(records) == 0 {
		return none
	}
	return strings.Join(records, ",")
}

func (b Touch) said() []string {
	var said []string
	for _, u := range b.Unusual {
		said = append(said, b.Record+": "+u)
	}
	return said
}

// partsApart names what came out of different bags, or was in one lot's baths
// alone: "weld P3/P9", "madder P8/none".
func partsApart(mine, theirs Past) []string {
	var apart, items []string
	for _, p := range append(slices.Clone(mine.Parts), theirs.Parts...) {
		if !p.Direct || !p.Colours || slices.Contains(items, p.Item) {
			continue
		}
		items = append(items, p.Item)
		if a, b := bags(mine, p.Item), bags(theirs, p.Item); a != b {
			apart = append(apart, p.Name+" "+a+"/"+b)
		}
	}
	return apart
}

func bags(p Past, item string) string {
	var codes []string
	for _, q := range p.Parts {
		if q.Item == item && q.Direct && !slices.Contains(codes, q.Parcel) {
			codes = append(codes, q.Parcel)
		}
	}
	if len(codes) == 0 {
		return none
	}
	return strings.Join(codes, ",")
}
