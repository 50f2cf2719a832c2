package fastness

import (
	"regexp"
	"slices"
	"strings"

	"dyelot/inventory/fault"
)

// Row is one line of the house standard: the lowest grade the studio lets pass
// for one kind of test. Owners edit rows; only active ones are in force.
type Row struct {
	Key       string // the row's own slug, unique in the house standard
	Kind      string // a key of [Kinds]
	Component string // narrows to one component key, such as "stain-cotton"; empty takes every one of the kind
	Scale     Scale  // the scale of Minimum; grades on another scale never answer the row
	Minimum   Grade
	Scope     Scope
	Methods   []string // method keys that answer the row; empty takes every method of the kind
	Source    string   // who asks for it
	Edition   string   // the edition of the source that was checked; empty for the studio's own
	Active    bool
	Note      string
}

var slug = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// Validate refuses a row that could never be judged, with an INVALID_FIELD fault
// that names the field: "key", "kind", "component", "scale", "minimum", "scope",
// "methods", "source" or "edition". A row of somebody else's is only switched on
// with the edition it was checked in.
func (r Row) Validate() error {
	if !slug.MatchString(r.Key) {
		return fault.BadField("key", "%q is not a row key; use small letters, digits and single hyphens", r.Key)
	}
	k, err := KindOf(r.Kind)
	if err != nil {
		return err
	}
	if !slices.Contains(k.Scales, r.Scale) {
		return fault.BadField("scale", "%s is not graded on %q; it is graded on %s", k.Key, string(r.Scale), joinScales(k.Scales))
	}
	if err := r.Scale.check("minimum", r.Minimum); err != nil {
		return err
	}
	if !slices.Contains(Scopes(), r.Scope) {
		return fault.BadField("scope", "%q is not a scope; a row asks for a test of each lot, harvest or recipe", string(r.Scope))
	}
	if strings.TrimSpace(r.Source) == "" {
		return fault.BadField("source", "say who asks for this grade, be it the studio itself")
	}
	if r.Active && r.Source != StudioOwn && strings.TrimSpace(r.Edition) == "" {
		return fault.BadField("edition", "name the edition of %s that this grade was checked in before the row is switched on", r.Source)
	}
	return r.checkMethods()
}

// checkMethods refuses a row that none of its methods can answer.
func (r Row) checkMethods() error {
	for _, key := range r.Methods {
		m, ok := lookUp(key)
		if !ok {
			return unknownMethod("methods", key)
		}
		if !slices.ContainsFunc(m.Components, r.wants) {
			return fault.BadField("methods", "%s has nothing to say about %s on %s", key, r.asked(), r.Scale.Title())
		}
	}
	if slices.ContainsFunc(methods, func(m Method) bool { return slices.ContainsFunc(m.Components, r.wants) }) {
		return nil
	}
	return fault.BadField("component", "no method grades %q for %s on %s", r.Component, r.Kind, r.Scale.Title())
}

// asks reports whether the component is of the row's kind, and the one it names.
func (r Row) asks(c Component) bool {
	return c.Kind == r.Kind && (r.Component == "" || c.Key == r.Component)
}

// wants reports whether the component can answer the row: asked for, and on the
// row's own scale.
func (r Row) wants(c Component) bool { return r.asks(c) && c.Scale == r.Scale }

// takes reports whether the row takes the method's word.
func (r Row) takes(method string) bool {
	return len(r.Methods) == 0 || slices.Contains(r.Methods, method)
}

func (r Row) asked() string {
	if r.Component == "" {
		return r.Kind
	}
	return r.Kind + " (" + r.Component + ")"
}

// parts are the parts of the kind that must be graded for this row.
func (r Row) parts() []string {
	if r.Component != "" {
		for _, m := range methods {
			if c, ok := m.Component(r.Component); ok && r.asks(c) {
				return []string{c.Part}
			}
		}
	}
	i := slices.IndexFunc(kinds, func(k Kind) bool { return k.Key == r.Kind })
	return kinds[i].Parts
}

func joinScales(scales []Scale) string {
	var out []string
	for _, s := range scales {
		out = append(out, string(s))
	}
	return strings.Join(out, ", ")
}
