package cause

import (
	"cmp"
	"slices"
	"strings"
)

// Kind is what sort of thing garments may have in common.
type Kind string

// The kinds of factor.
const (
	Parcel      Kind = "parcel"
	SupplierLot Kind = "supplier-lot"
	Harvest     Kind = "harvest"
	Making      Kind = "making"
	BathUse     Kind = "bath-use"
	Bath        Kind = "bath"
	Vessel      Kind = "vessel"
	Person      Kind = "person"
	Water       Kind = "water"
	Week        Kind = "week"
	Recipe      Kind = "recipe"
	Override    Kind = "override"
	LeftUndone  Kind = "skipped"
	IronAddedUp Kind = "iron"
	ShadeGroup  Kind = "shade-group"
)

// kinds in the order in which suspects of equal counts are named: what was in
// the cloth before who stood by.
var kinds = []Kind{Parcel, SupplierLot, Harvest, Making, BathUse, Bath, Recipe, IronAddedUp, Override, LeftUndone, Vessel, Person, Water, Week, ShadeGroup}

// Kinds lists every kind, in that order.
func Kinds() []Kind { return slices.Clone(kinds) }

func (k Kind) order() int {
	if i := slices.Index(kinds, k); i >= 0 {
		return i
	}
	return len(kinds)
}

// Factor is one thing or circumstance that garments may share.
type Factor struct {
	Kind Kind
	Code string // tells it from the others of its kind: "P3", "S2", "dyer-1 at mordant"
	Name string // "potassium alum P3 (Northern Salts, lot NS-118)"
	// Had ends "the 24 garments …": "that had potassium alum P3 in them".
	Had string
	// Own is true of what a garment has and the witness cloth beside it has not:
	// its blank, the iron of its whole life, its shade group.
	Own bool
}

func (f Factor) key() key { return key{f.Kind, f.Code} }

type key struct {
	kind Kind
	code string
}

func compareFactors(a, b Factor) int {
	return cmp.Or(cmp.Compare(a.Kind.order(), b.Kind.order()), strings.Compare(string(a.Kind), string(b.Kind)), compareCodes(a.Code, b.Code))
}

// compareCodes puts P9 before P10.
func compareCodes(a, b string) int {
	return cmp.Or(strings.Compare(strings.TrimRight(a, "0123456789"), strings.TrimRight(b, "0123456789")), cmp.Compare(len(a), len(b)), strings.Compare(a, b))
}
