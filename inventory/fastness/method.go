package fastness

import (
	"slices"
	"strings"

	"dyelot/inventory/fault"
)

// Component is one thing a method has graded: the cloth itself, or one strip of
// the white cloth that was sewn against it.
type Component struct {
	Key   string // unique within the method: "change", "stain-wool", "acid-stain-wool"
	Title string // in words for a person
	Kind  string // the test kind it answers
	Part  string // which part of the kind, where that has several: "acid"
	Scale Scale
}

// Variant is one set of conditions a method may be run under.
type Variant struct {
	Key   string // as the standard names it: "A1S", "2A", "3"
	Title string // the conditions in our own words; from memory, the edition in force decides
	// Ungraded names test kinds that this variant leaves without a grade.
	Ungraded []string
	Caution  string // what can hurt in this variant beyond the method's own caution
}

// Method is one way of testing fastness that a result can name.
type Method struct {
	Key        string // our own slug: "iso-105-c06"
	Standard   string // the standard's number, empty for the studio's own
	Family     string
	Title      string // what is done, in our own words
	StudioOwn  bool   // the studio's own test: no standard and no laboratory stands behind it
	Components []Component
	Variants   []Variant // empty where the method has one set of conditions
	Caution    string
}

// Methods lists every method a result can name, each a copy.
func Methods() []Method {
	out := make([]Method, len(methods))
	for i, m := range methods {
		out[i] = m.clone()
	}
	return out
}

// MethodOf finds a method by its key, a copy, or is an INVALID_FIELD fault on
// "method" that lists the known ones.
func MethodOf(key string) (Method, error) {
	m, ok := lookUp(key)
	if !ok {
		return Method{}, unknownMethod("method", key)
	}
	return m.clone(), nil
}

func (m Method) clone() Method {
	m.Components = slices.Clone(m.Components)
	m.Variants = slices.Clone(m.Variants)
	for i := range m.Variants {
		m.Variants[i].Ungraded = slices.Clone(m.Variants[i].Ungraded)
	}
	return m
}

// lookUp finds the table's own row, to be read only.
func lookUp(key string) (Method, bool) {
	i := slices.IndexFunc(methods, func(m Method) bool { return m.Key == key })
	if i < 0 {
		return Method{}, false
	}
	return methods[i], true
}

func unknownMethod(field, key string) error {
	var known []string
	for _, m := range methods {
		known = append(known, m.Key)
	}
	return fault.BadField(field, "there is no fastness method %q; the methods are %s", key, strings.Join(known, ", "))
}

// Component finds one component of the method by its key.
func (m Method) Component(key string) (Component, bool) {
	i := slices.IndexFunc(m.Components, func(c Component) bool { return c.Key == key })
	if i < 0 {
		return Component{}, false
	}
	return m.Components[i], true
}

// Variant finds one variant of the method by its key.
func (m Method) Variant(key string) (Variant, bool) {
	i := slices.IndexFunc(m.Variants, func(v Variant) bool { return v.Key == key })
	if i < 0 {
		return Variant{}, false
	}
	return m.Variants[i], true
}

// strips are the six white cloths woven into one multifibre ribbon, in their
// order on it (ISO 105-F10, DW).
var strips = []string{"acetate", "cotton", "polyamide", "polyester", "acrylic", "wool"}

// Strips lists the six fibres that staining is graded on.
func Strips() []string { return slices.Clone(strips) }

// changeAndStrips are the seven components of a test that wets the cloth beside
// the ribbon: the change of the cloth, and the staining of each strip. part is
// "" or one condition of several, which then leads the keys.
func changeAndStrips(family, part string) []Component {
	prefix, suffix := "", ""
	if part != "" {
		prefix, suffix = part+"-", ", "+part
	}
	out := []Component{{prefix + "change", "change of the cloth" + suffix, family + "-change", part, GreyChange}}
	for _, fibre := range strips {
		out = append(out, Component{prefix + "stain-" + fibre, "staining of " + fibre + suffix, family + "-staining", part, GreyStaining})
	}
	return out
}
