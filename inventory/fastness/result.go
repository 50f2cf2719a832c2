package fastness

import (
	"maps"
	"slices"
	"strings"
	"time"

	"dyelot/inventory/fault"
)

// Scope says how often a row asks for a test, and what a test was of.
type Scope string

// The scopes, narrowest first.
const (
	EachLot     Scope = "lot"
	EachHarvest Scope = "harvest"
	EachRecipe  Scope = "recipe"
)

// Scopes lists the scopes, narrowest first.
func Scopes() []Scope { return []Scope{EachLot, EachHarvest, EachRecipe} }

// Subject is what a test was of: the witness cloth of a lot, a trial of one
// harvest, or a trial of one recipe version.
type Subject struct {
	Scope Scope
	Code  string // the lot's, harvest's or recipe version's own code
}

// String is "lot L7", "harvest W24" and so on.
func (s Subject) String() string { return string(s.Scope) + " " + s.Code }

// Test is one fastness test as it was recorded. It is never changed; a test that
// should not count is withdrawn with a reason and stays to be read.
type Test struct {
	ID         string
	Method     string // a key of [Methods]
	Edition    string // the year of the standard that was followed; free for the studio's own tests
	Variant    string // a key of the method's variants; empty where it has none
	Subject    Subject
	Grades     map[string]Grade    // component key → the assessor's grade; what was not graded is left out
	Measured   map[string]Measured // component key → what two colours say; kept beside the assessor's
	Directions []string            // how the shade moved, keys of [Directions]; may be empty
	Date       time.Time           // when the grades were read
	Recorded   time.Time           // when they were written down here; zero counts as Date
	Withdrawn  string              // why the test no longer counts; empty while it does
}

// directions are the words of ISO 105-A02 for how a shade moved (from memory).
var directions = []string{"bluer", "greener", "redder", "yellower", "weaker", "stronger", "duller", "brighter"}

// Directions lists the words for how a shade moved.
func Directions() []string { return slices.Clone(directions) }

// Validate refuses a test record that no one could have made, with an
// INVALID_FIELD fault that names the field: a method, variant, component or
// direction that is not in the tables, a standard without its edition, a variant
// missing or given where there is none, no grade at all, or a grade off its scale.
func (t Test) Validate() error {
	m, err := t.checkGrades()
	if err != nil {
		return err
	}
	if strings.TrimSpace(t.Edition) == "" && !m.StudioOwn {
		return fault.BadField("edition", "name the edition of %s that was followed, such as its year", m.Standard)
	}
	if err := checkVariant(m, t.Variant); err != nil {
		return err
	}
	if err := t.Subject.check(); err != nil {
		return fault.In("subject", err)
	}
	for _, d := range t.Directions {
		if !slices.Contains(directions, d) {
			return fault.BadField("directions", "%q is not a direction of change; they are %s", d, strings.Join(directions, ", "))
		}
	}
	if t.Date.IsZero() {
		return fault.BadField("date", "say when the grades were read")
	}
	return nil
}

func (s Subject) check() error {
	if !slices.Contains(Scopes(), s.Scope) {
		return fault.BadField("scope", "%q cannot be tested for; a test is of a lot, a harvest or a recipe", string(s.Scope))
	}
	if strings.TrimSpace(s.Code) == "" {
		return fault.BadField("code", "say which %s was tested", s.Scope)
	}
	return nil
}

func checkVariant(m Method, key string) error {
	var known []string
	for _, v := range m.Variants {
		known = append(known, v.Key)
	}
	switch _, ok := m.Variant(key); {
	case len(known) == 0 && key != "":
		return fault.BadField("variant", "%s has no variants; leave %q out", m.Key, key)
	case len(known) > 0 && !ok:
		return fault.BadField("variant", "%q is not a variant of %s; they are %s", key, m.Key, strings.Join(known, ", "))
	}
	return nil
}

// checkGrades finds the method and refuses grades it cannot have given. It is
// what [Judge] needs of a stored test, however old.
func (t Test) checkGrades() (Method, error) {
	m, ok := lookUp(t.Method)
	if !ok {
		return Method{}, unknownMethod("method", t.Method)
	}
	if err := t.checkGraded(m); err != nil {
		return Method{}, err
	}
	v, _ := m.Variant(t.Variant)
	for _, key := range slices.Sorted(maps.Keys(t.Grades)) {
		field := "grades." + key
		c, ok := m.Component(key)
		if !ok {
			return Method{}, fault.BadField(field, "%s does not grade %q; it grades %s", m.Key, key, strings.Join(m.componentKeys(), ", "))
		}
		if slices.Contains(v.Ungraded, c.Kind) {
			return Method{}, fault.BadField(field, "%s %s gives no grade of %s", m.Standard, v.Key, c.Kind)
		}
		if err := c.Scale.check(field, t.Grades[key]); err != nil {
			return Method{}, err
		}
	}
	for _, key := range slices.Sorted(maps.Keys(t.Measured)) {
		c, ok := m.Component(key)
		if !ok {
			return Method{}, fault.BadField("measured."+key, "%s does not grade %q; it grades %s", m.Key, key, strings.Join(m.componentKeys(), ", "))
		}
		if slices.Contains(v.Ungraded, c.Kind) {
			return Method{}, fault.BadField("measured."+key, "%s %s gives no grade of %s", m.Standard, v.Key, c.Kind)
		}
	}
	return m, nil
}

// checkGraded refuses a test in which nothing that counts is graded.
func (t Test) checkGraded(m Method) error {
	if slices.ContainsFunc(m.Components, func(c Component) bool { _, _, ok := t.Counting(c); return ok }) || len(t.Grades) > 0 {
		return nil
	}
	if len(t.Measured) > 0 {
		return fault.BadField("grades", "%s is graded on %s: two colours say how much it changed, and a person which grade that is", m.Components[0].Key, m.Components[0].Scale.Title())
	}
	return fault.BadField("grades", "give at least one grade; %s grades %s", m.Key, strings.Join(m.componentKeys(), ", "))
}

func (m Method) componentKeys() []string {
	var keys []string
	for _, c := range m.Components {
		keys = append(keys, c.Key)
	}
	return keys
}

// known is when the studio knew of the grades.
func (t Test) known() time.Time {
	if t.Recorded.IsZero() {
		return t.Date
	}
	return t.Recorded
}
